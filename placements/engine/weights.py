"""How heavy a work is: its own weight where it was measured, else a cautious estimate from size and make.

Sources: glass 2,500 kg/m3, EN ISO 10456:2007 (2 mm picture glass 5.0 kg/m2, 3 mm above about 1 m wide 7.5 kg/m2; mirror
6 mm 15.0 kg/m2). The frame term was set by hand so that the 13 framed paintings with a recorded weight in Tate's open
data (8 to 47 kg) fall inside the band; slim modern frames weigh less. Other densities: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from .house import Work

#: Support and backing, without glass and frame [kg/m2].
AREAL_KG_M2 = {
    "painting": 5.0,
    "print": 3.0,
    "drawing": 3.0,
    "photograph": 3.5,
    "textile": 2.0,
    "mirror": 18.0,
    "relief": 20.0,
    "basket": 3.0,
    "clock": 8.0,
    "object": 15.0,
}
FRAME_KG_M_MM = 0.045
STRETCHER_KG_M_MM = 0.015
USUAL_DEPTH_MM = 25.0
WIDE_GLASS_MM = 1000.0
GLASS_2MM_KG_M2 = 5.0
GLASS_3MM_KG_M2 = 7.5
LOW_RATIO = 0.5
HIGH_RATIO = 1.6


@dataclass(frozen=True, slots=True)
class Weight:
    """A weight to plan with [kg]; `low` and `high` bound the truth when it is estimated."""

    kg: float
    low_kg: float
    high_kg: float
    estimated: bool


def estimated_weight(work: Work) -> Weight:
    """The work's own weight, or an estimate where it has none.

    Notes: kg = area x (support + glass) + perimeter x depth x frame. Load checks should use `high_kg` when
    `estimated` is true.
    Source: see the module.
    """
    if work.weight_kg is not None:
        return Weight(work.weight_kg, work.weight_kg, work.weight_kg, estimated=False)
    area_m2 = work.width * work.height / 1e6
    perimeter_m = 2 * (work.width + work.height) / 1e3
    glass = 0.0
    if work.glazed and work.form != "mirror":
        glass = GLASS_3MM_KG_M2 if max(work.width, work.height) > WIDE_GLASS_MM else GLASS_2MM_KG_M2
    per_mm = FRAME_KG_M_MM if work.frame or work.glazed else STRETCHER_KG_M_MM
    frame = perimeter_m * (work.depth or USUAL_DEPTH_MM) * per_mm if work.form not in ("textile", "basket") else 0.0
    kg = max(0.2, area_m2 * (AREAL_KG_M2.get(work.form, 15.0) + glass) + frame)
    return Weight(kg, LOW_RATIO * kg, HIGH_RATIO * kg, estimated=True)
