"""The order of hanging: the middle piece first, centred, then outwards.

Each further piece is measured twice: from a neighbour that is up already (quick, and true to the gap) and from the
fixed datum, the wall's left end and the floor (so that a slip is seen at once and cannot accumulate).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ..house import Work
from ..results import Hanging
from .boxes import BOTTOM, LEFT, RIGHT, TOP, Floats, Ints, NeighbourGaps, boxes_hung, neighbour_gaps, outline_of

Side = Literal["right of", "left of", "above", "below"]


@dataclass(frozen=True, slots=True)
class Step:
    """One piece to hang [mm, wall coordinates].

    order: from 1. left, bottom: of the piece's lower left corner from the datum (wall's left end, floor).
    reference: the piece already up to measure from, None for the first. side: where this piece hangs seen from it.
    gap: clear distance to the reference across that side. dx, dy: from the reference's lower left corner to this one's.
    centre_x, centre_y: of the piece; the first piece is set out by its middle.
    """

    order: int
    work: str
    left: float
    bottom: float
    centre_x: float
    centre_y: float
    reference: str | None = None
    side: Side | None = None
    gap: float | None = None
    dx: float | None = None
    dy: float | None = None


def hanging_order(boxes: Floats) -> Ints:
    """Indices of (k, 4) boxes in the order of hanging.

    First the piece whose middle is nearest to the group's middle; then always the nearest to the middle among those
    that have a visible neighbour up already. Of equally near ones the larger, then the left, then the lower goes first.
    """
    return _order(boxes, neighbour_gaps(boxes))


def _order(boxes: Floats, gaps: NeighbourGaps) -> Ints:
    if not len(boxes):
        return np.zeros(0, dtype=np.int64)
    left, bottom, right, top = outline_of(boxes)
    middle_x, middle_y = (boxes[:, LEFT] + boxes[:, RIGHT]) / 2, (boxes[:, BOTTOM] + boxes[:, TOP]) / 2
    away = np.hypot(middle_x - (left + right) / 2, middle_y - (bottom + top) / 2)
    area = (boxes[:, RIGHT] - boxes[:, LEFT]) * (boxes[:, TOP] - boxes[:, BOTTOM])
    ranked = np.lexsort((boxes[:, BOTTOM], boxes[:, LEFT], -np.round(area), np.round(away))).tolist()
    beside: dict[int, set[int]] = {i: set() for i in ranked}
    for i, j in zip(gaps.first.tolist(), gaps.second.tolist(), strict=True):
        beside[i].add(j)
        beside[j].add(i)
    up = [ranked.pop(0)] if ranked else []
    while ranked:
        following = next((i for i in ranked if beside[i] & set(up)), ranked[0])
        ranked.remove(following)
        up.append(following)
    return np.array(up, dtype=np.int64)


def sequence(hangings: Sequence[Hanging], work_by_id: Mapping[str, Work]) -> tuple[Step, ...]:
    """Steps to hang a group, in order.

    The reference of each piece is the neighbour already up that it faces over the greatest length; where it faces
    none, the nearest one up.
    """
    boxes = boxes_hung(hangings, work_by_id)
    gaps = neighbour_gaps(boxes)
    order = _order(boxes, gaps).tolist()
    steps: list[Step] = []
    for at, i in enumerate(order):
        left, bottom, right, top = boxes[i].tolist()
        here = {
            "order": at + 1,
            "left": left,
            "bottom": bottom,
            "centre_x": (left + right) / 2,
            "centre_y": (bottom + top) / 2,
        }
        if at == 0:
            steps.append(Step(work=hangings[i].work, **here))
            continue
        reference, side, gap = _reference(i, order[:at], boxes, gaps)
        steps.append(
            Step(
                work=hangings[i].work,
                **here,
                reference=hangings[reference].work,
                side=side,
                gap=gap,
                dx=left - float(boxes[reference, LEFT]),
                dy=bottom - float(boxes[reference, BOTTOM]),
            )
        )
    return tuple(steps)


def _reference(i: int, up: list[int], boxes: Floats, gaps: NeighbourGaps) -> tuple[int, Side, float]:
    """Which piece already up to measure piece i from, on which side of it i hangs, and the gap between."""
    best: tuple[float, int, Side, float] | None = None
    for a, b, gap, facing, axis in zip(
        gaps.first.tolist(),
        gaps.second.tolist(),
        gaps.gap_mm.tolist(),
        gaps.facing_mm.tolist(),
        gaps.axis.tolist(),
        strict=True,
    ):
        if i not in (a, b) or (other := b if a == i else a) not in up:
            continue
        side: Side = ("right of" if b == i else "left of") if axis == 0 else ("above" if b == i else "below")
        if best is None or facing > best[0]:
            best = facing, other, side, gap
    if best is not None:
        return best[1], best[2], best[3]
    middle = (boxes[:, :2] + boxes[:, 2:]) / 2
    other = min(up, key=lambda j: float(np.hypot(*(middle[j] - middle[i]))))
    sideways = {
        "right of": boxes[i, LEFT] - boxes[other, RIGHT],
        "left of": boxes[other, LEFT] - boxes[i, RIGHT],
        "above": boxes[i, BOTTOM] - boxes[other, TOP],
        "below": boxes[other, BOTTOM] - boxes[i, TOP],
    }
    nearest = max(sideways, key=lambda s: float(sideways[s]))
    return other, nearest, float(sideways[nearest])  # type: ignore[return-value]
