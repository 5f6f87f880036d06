"""Pieces as boxes, who sees whom among them, and which belong together.

A facing edge is a stretch where two pieces look at each other with nothing between.

    +-----+   +--------+        axis 0: side by side, the gap runs along x
    |  i  |<->|   j    |
    +-----+   +--------+        axis 1: one above the other, the gap runs along y
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..house import Rect, Work
from ..results import Hanging

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

LEFT, BOTTOM, RIGHT, TOP = range(4)
#: Pieces nearer than this belong together; farther apart each hangs by itself [mm]. Twelve inches, more than twice the
#: widest spacing within a group: common practice, no source.
GROUP_REACH_MM = 304.8
#: Intervals that differ by no more are even to the eye, and distances to the ends of a wall [mm].
EVEN_MM, EVEN_ENDS_MM = 25.4, 152.4
SLACK_MM = 1e-6


def boxes_of(rects: Iterable[Rect]) -> Floats:
    """(k, 4) left, bottom, right, top [mm] of upright rectangles."""
    return np.array([(r.left, r.bottom, r.right, r.top) for r in rects], dtype=np.float64).reshape(-1, 4)


def boxes_hung(hangings: Iterable[Hanging], work_by_id: Mapping[str, Work]) -> Floats:
    """(k, 4) left, bottom, right, top [mm] of works at their places, in the order given."""
    return boxes_of(Rect(h.left, h.bottom, work_by_id[h.work].width, work_by_id[h.work].height) for h in hangings)


def outline_of(boxes: Floats) -> Floats:
    """(..., 4) bounding box of (..., k, 4) boxes."""
    return np.concatenate([boxes[..., :2].min(axis=-2), boxes[..., 2:].max(axis=-2)], axis=-1)


def clusters(boxes: Floats, reach_mm: float = GROUP_REACH_MM) -> list[list[int]]:
    """Indices of (k, 4) boxes that are joined by steps of at most `reach_mm`, each cluster in order, the first first.

    A step is the gap along the axis that parts two boxes most; none where they touch or overlap.
    """
    apart = np.maximum(boxes[:, None, :2] - boxes[None, :, 2:], boxes[None, :, :2] - boxes[:, None, 2:]).max(axis=2)
    left = list(range(len(boxes)))
    found = []
    while left:
        joined = {left[0]}
        while more := {j for j in left if j not in joined and (apart[list(joined), j] <= reach_mm).any()}:
            joined |= more
        found.append(sorted(joined))
        left = [i for i in left if i not in joined]
    return found


@dataclass(frozen=True, slots=True)
class NeighbourGaps:
    """Pairs of pieces that see each other, one entry for each pair and axis.

    first, second : (p,) int, indices into the boxes; `first` is the left (axis 0) or lower (axis 1) piece.
    gap_mm : (p,) float, clear distance; negative where the two overlap.
    facing_mm : (p,) float, length over which they see each other.
    axis : (p,) int, 0 side by side, 1 one above the other.
    """

    first: Ints
    second: Ints
    gap_mm: Floats
    facing_mm: Floats
    axis: Ints


@dataclass(frozen=True, slots=True)
class Facing:
    """Facing stretches along one axis of a batch: (B, strips, k), pieces in order of their near edge."""

    gap: Floats
    length: Floats  # zero where the entry is not a facing stretch
    before: Ints  # index of the piece before, in the caller's numbering
    piece: Ints  # (B, k) index of the piece itself


def facing_stretches(boxes: Floats, axis: int, blocks: Floats | None = None) -> Facing:
    """Facing stretches of a batch along an axis, exact, by a sweep over the strips between edges.

    Args:
        boxes: (B, k, 4) [mm].
        axis: 0 for gaps along x, 1 for gaps along y.
        blocks: (m, 4) things that are no pieces but stand between them; they hide what lies behind.
    """
    pieces = boxes.shape[1]
    if blocks is not None and len(blocks):
        boxes = np.concatenate([boxes, np.broadcast_to(blocks, (len(boxes), *blocks.shape))], axis=1)
    near, far = boxes[..., axis], boxes[..., axis + 2]
    low, high = boxes[..., 1 - axis], boxes[..., 3 - axis]
    order = np.argsort(near, axis=1, kind="stable")
    near, far, low, high = (np.take_along_axis(v, order, axis=1) for v in (near, far, low, high))

    cuts = np.sort(np.concatenate([low, high], axis=1), axis=1)
    height = np.diff(cuts, axis=1)
    middle = (cuts[:, 1:] + cuts[:, :-1]) / 2
    member = (low[:, None, :] < middle[:, :, None]) & (high[:, None, :] > middle[:, :, None])

    index = np.where(member, np.arange(boxes.shape[1])[None, None, :], -1)
    last = np.maximum.accumulate(index, axis=2)
    before = np.concatenate([np.full_like(last[:, :, :1], -1), last[:, :, :-1]], axis=2)
    faces = member & (before >= 0)
    before = np.maximum(before, 0)
    rows = np.arange(len(boxes))[:, None, None]
    gap = near[:, None, :] - far[rows, before]
    before = order[rows, before]
    if boxes.shape[1] > pieces:
        faces &= (before < pieces) & (order[:, None, :] < pieces)
    return Facing(gap, np.where(faces, height[:, :, None], 0.0), before, order)


def neighbour_gaps(boxes: Floats, blocks: Floats | None = None) -> NeighbourGaps:
    """Every pair of visible neighbours with its gap and facing length.

    Args:
        boxes: (k, 4) pieces [mm].
        blocks: (m, 4) sconces, lamps and the like among the pieces [mm].

    Returns:
        Pairs in order of axis, first, second.
    """
    found: list[tuple[int, int, int, float, float]] = []
    for axis in (0, 1):
        if len(boxes) < 2:
            continue
        facing = facing_stretches(boxes[None], axis, blocks)
        length = facing.length[0]
        strip, place = np.nonzero(length > SLACK_MM)
        together: dict[tuple[int, int], tuple[float, float]] = {}
        for s, p in zip(strip.tolist(), place.tolist(), strict=True):
            pair = int(facing.before[0, s, p]), int(facing.piece[0, p])
            seen = together.get(pair, (0.0, 0.0))[1]
            together[pair] = float(facing.gap[0, s, p]), seen + float(length[s, p])
        found += [(axis, i, j, gap, seen) for (i, j), (gap, seen) in sorted(together.items())]
    return NeighbourGaps(
        first=np.array([f[1] for f in found], dtype=np.int64),
        second=np.array([f[2] for f in found], dtype=np.int64),
        gap_mm=np.array([f[3] for f in found], dtype=np.float64),
        facing_mm=np.array([f[4] for f in found], dtype=np.float64),
        axis=np.array([f[0] for f in found], dtype=np.int64),
    )


def keeps_time(boxes: Floats, ends: tuple[float, float]) -> bool:
    """Whether pieces hang in a line at even intervals, each by itself: two of them also as far from the ends.

    Args:
        boxes: (k, 4) [mm]. ends: left and right of the stretch that they hang in [mm].
    """
    if len(boxes) < 2 or boxes[:, BOTTOM].max() >= boxes[:, TOP].min():
        return False
    in_line = boxes[np.argsort(boxes[:, LEFT])]
    intervals = in_line[1:, LEFT] - in_line[:-1, RIGHT]
    if len(boxes) == 2:
        margins = np.array([in_line[0, LEFT] - ends[0], ends[1] - in_line[-1, RIGHT]])
        return bool(intervals[0] > GROUP_REACH_MM and np.abs(margins - intervals[0]).max() <= EVEN_ENDS_MM)
    return bool(intervals.min() > GROUP_REACH_MM and np.ptp(intervals) <= EVEN_MM)
