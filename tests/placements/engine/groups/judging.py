"""An independent judge of arrangements, from the boxes alone: shapely for areas, plain intervals for what faces what.

Written apart from the composer's own measures, which it never asks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely


@dataclass(frozen=True)
class Verdict:
    """Shares but for `overlap` [square inches] and `aspect` (width over height).

    facing: of the length over which two edges look at each other, that with 2 to 3 in between. fill: of the outline
    that pieces cover. across, upright: the weight (area) off the middle. largest: its middle from the outline's middle.
    quarter: of the smaller half of the pieces, the most in one quarter of the outline.
    """

    overlap: float
    facing: float
    fill: float
    aspect: float
    across: float
    upright: float
    largest: float
    quarter: float

    def misses(self) -> list[str]:
        """The bars that are missed."""
        held = {
            "overlap": self.overlap <= 1e-6,
            "facing": self.facing >= 0.97,
            "fill": self.fill >= 0.78,
            "aspect": 1 - 1e-9 <= self.aspect <= 2.2,
            "weight": max(self.across, self.upright) <= 0.04,
            "largest": self.largest <= 0.12,
            "quarter": self.quarter <= 0.5,
        }
        return [name for name, held_it in held.items() if not held_it]


def judge(boxes: np.ndarray) -> Verdict:
    """Judge (k, 4) left, bottom, right, top [in]."""
    shapes = [shapely.box(*one) for one in boxes]
    whole = shapely.union_all(shapes)
    left, bottom, right, top = whole.bounds
    areas = np.array([one.area for one in shapes])
    middles = np.array([one.centroid.coords[0] for one in shapes])
    at = (middles - [(left + right) / 2, (bottom + top) / 2]) / [right - left, top - bottom]
    weight = np.abs((areas[:, None] * at).sum(axis=0) / areas.sum())
    small = np.argsort(areas, kind="stable")[: len(areas) // 2]
    quarters = [int(x > 0) + 2 * int(y > 0) for x, y in at[small]]
    return Verdict(
        overlap=float(areas.sum() - whole.area),
        facing=_facing(boxes),
        fill=float(whole.area / whole.envelope.area),
        aspect=(right - left) / (top - bottom),
        across=float(weight[0]),
        upright=float(weight[1]),
        largest=float(np.hypot(*at[int(np.argmax(areas))])),
        quarter=max(quarters.count(one) for one in range(4)) / max(1, len(small)),
    )


def _facing(boxes: np.ndarray, low: float = 2.0, high: float = 3.0) -> float:
    held = faced = 0.0
    for turned in (boxes, boxes[:, [1, 0, 3, 2]]):
        for i, one in enumerate(turned):
            for j, two in enumerate(turned):
                if i == j or two[0] < one[2] - 1e-9:
                    continue
                start, end = max(one[1], two[1]), min(one[3], two[3])
                if end - start <= 1e-9:
                    continue
                between = [
                    (max(o[1], start), min(o[3], end))
                    for o in turned
                    if o[0] >= one[2] - 1e-9 and o[2] <= two[0] + 1e-9 and o[3] > start and o[1] < end
                ]
                seen = (end - start) - _length(between)
                faced += seen
                held += seen * (low - 1e-6 <= two[0] - one[2] <= high + 1e-6)
    return held / faced if faced else 1.0


def _length(spans: Sequence[tuple[float, float]]) -> float:
    covered, reached = 0.0, -np.inf
    for start, end in sorted(spans):
        covered += max(0.0, end - max(start, reached))
        reached = max(reached, end)
    return covered
