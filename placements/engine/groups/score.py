"""How good a group looks: every wish as a term in 0-1, the terms weighed into one score of 0-100.

The search minimises the same score that the reader sees. Each term never falls when its measure comes nearer its
band. Weights are common practice as we read it, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np

from ..house import Work
from ..results import PlainWords, Reason, Words
from ..stairs import astray_of_rail
from .boxes import Floats
from .measures import BatchMeasures, GroupMeasures
from .setting import GroupLimits, Setting
from .unity import Unity

#: Term -> weight. Names of house rules where the term is the rule's wish.
WEIGHTS: Mapping[str, float] = MappingProxyType(
    {
        "spacing": 3.0,
        "two-thirds": 2.5,
        "shape": 1.5,
        "clearance": 0.8,
        "eye-line": 1.0,
        "largest-central": 0.8,
        "balance": 1.2,
        "alignment": 1.0,
        "fullness": 0.8,
        "outline": 1.6,
        "unity": 1.6,
        "rail-line": 1.5,
    }
)

#: What a wish counts when it is not met at all.
_FLOOR = 0.05


def _falls(value: Floats, good: float, bad: float) -> Floats:
    """1 at `good` and better, 0 at `bad` and worse, straight between."""
    return np.clip((bad - np.asarray(value, dtype=np.float64)) / (bad - good), 0, 1)


def _kept(term: Floats, short: Floats, within: float) -> Floats:
    """A term that falls faster where its measure comes near the end of what reads as well hung: by half in `within`."""
    return np.asarray(term * (1 - 0.5 * np.clip(short / within, 0, 1)))


def _beyond(value: Floats, band: tuple[float, float]) -> Floats:
    return np.maximum(0, np.maximum(band[0] - value, value - band[1]))


def shape_terms(m: BatchMeasures, limits: GroupLimits, pieces: int) -> dict[str, Floats]:
    """Terms that do not depend on where the group hangs, each (B,)."""
    low, high = limits.gap_band(pieces)
    uneven = np.minimum(m.gap_spread_mm / ((high - low) / 2), 1)
    rim = m.notch_ratio + 0.45 * m.lopsided_ratio + 2 * m.void_ratio + 0.06 * m.strays + 0.04 * m.cross_meetings
    terms = {
        "spacing": _kept(_falls(1 - m.band_share, 0, 0.4) * (1 - 0.1 * uneven), 0.965 - m.band_share, 0.05),
        "largest-central": _falls(m.largest_offset_ratio, 0.08, 0.5),
        "balance": _kept(_falls(m.weight_offset_ratio, 0.01, 0.16), m.weight_offset_ratio - 0.053, 0.02),
        "alignment": _kept(np.clip(m.alignment_ratio, 0, 1), 0.575 - m.alignment_ratio, 0.05),
        "fullness": _kept(_falls(1 - m.fill_ratio, 0.08, 0.5), 0.77 - m.fill_ratio, 0.05),
        "outline": _falls(rim, 0.02, 0.6),
    }
    if pieces <= 2:
        del terms["largest-central"]
    return terms


def place_terms(outline: Floats, setting: Setting) -> dict[str, Floats]:
    """Terms of an outline (B, 4) where it hangs, each (B,): in wall coordinates, on a stair over the treads."""
    width, height = outline[:, 2] - outline[:, 0], outline[:, 3] - outline[:, 1]
    aim_w, aim_h = setting.aim
    terms = {
        "two-thirds": _falls(_beyond(width, setting.width) / aim_w, 0, 0.5),
        "shape": _falls(np.abs(np.log(width / height * aim_h / aim_w)), 0.15, 1.2),
    }
    middle = (outline[:, 1] + outline[:, 3]) / 2
    off = _beyond(middle, setting.eye)
    if setting.bottom is not None:
        astray = _beyond(outline[:, 1], setting.bottom)
        off = np.where(middle > setting.eye[1], np.minimum(off, astray), off)  # too high counts only with the gap
        terms["clearance"] = _falls(astray, 0, 300)
    if setting.space.kind != "panel":
        terms["eye-line"] = _falls(off, 0, 400)
    return terms


def rail_term(boxes: Floats, setting: Setting) -> float:
    """1 where the run keeps to a line parallel to the rail, 0 where it strays by a foot."""
    assert setting.rail is not None
    return float(_falls(np.array([astray_of_rail(boxes, setting.rail)]), 5, 300)[0])


def weigh(terms: Mapping[str, Floats]) -> Floats:
    """(B,) score 0-100 of terms (B,): their weighted geometric mean, so that no wish can be bought off wholly."""
    total = sum(WEIGHTS[name] for name in terms)
    logs = sum(WEIGHTS[name] * np.log(_FLOOR + (1 - _FLOOR) * value) for name, value in terms.items())
    return np.asarray(100 * np.exp(logs / total))


def visual_weight(works: Sequence[Work]) -> Floats:
    """(k,) how heavy each piece looks: its area, half as much again for a black picture as for a white one."""
    lightness = [w.palette_lab[0][0] if w.palette_lab else 50.0 for w in works]
    area = np.array([w.width * w.height for w in works])
    return np.asarray(area * (1.25 - 0.5 * np.array(lightness) / 100))


def reasons(
    measures: GroupMeasures,
    seen: Floats,
    setting: Setting,
    limits: GroupLimits,
    bond: Unity,
    pieces: int,
    words: Words | None = None,
) -> tuple[Reason, ...]:
    """What speaks for a layout, and what against it, each with its measured value.

    seen: (4,) the outline over the floor, on a stair over the treads [mm].
    """
    say = words or PlainWords()
    low, high = limits.gap_band(pieces)
    said = []
    if pieces > 1:
        if measures.band_share > 0.999 and measures.gap_spread_mm < 1.6:
            said.append(Reason("spacing", f"every gap is {say.length(measures.mean_gap_mm)}"))
        else:
            within = f"{measures.band_share:.0%} of the facing edges are {say.band(low, high)} apart"
            said.append(Reason("spacing", within))
        said.append(Reason("unity", bond.text if bond.score > 0 else "little holds these pieces together"))
    out = measures.outline
    share = out.width / setting.space.width_basis if setting.space.width_basis else 0.0
    what = "the width it hangs over" if setting.space.kind == "over_furniture" else "the free width"
    said.append(Reason("two-thirds", f"the outline is {say.size(out.width, out.height)}, {share:.0%} of {what}"))
    if setting.bottom is not None:
        said.append(
            Reason(
                "clearance",
                f"its lower edge is {say.length(out.bottom - setting.bottom[0] + limits.clearance_low)} above",
            )
        )
    above = "floor" if setting.rail is None else "treads"
    said.append(Reason("eye-line", f"its middle is {say.length(float(seen[1] + seen[3]) / 2)} above the {above}"))
    if pieces > 2:
        side = measures.weight_offset_ratio
        said.append(Reason("balance", f"its visual weight lies {side:.1%} off the middle"))
        if measures.largest_offset_ratio > 0.3:
            said.append(Reason("largest-central", "the largest piece hangs away from the middle"))
    if measures.strays:
        alone = "a piece at the rim stands" if measures.strays == 1 else f"{measures.strays} pieces at the rim stand"
        said.append(Reason("outline", f"{alone} alone"))
    if measures.cross_meetings:
        places = "one place" if measures.cross_meetings == 1 else f"{measures.cross_meetings} places"
        said.append(Reason("outline", f"four corners meet in {places}"))
    return tuple(said)
