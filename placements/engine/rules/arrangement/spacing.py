"""Neighbours in a group hang close, and farther apart only when there are two or three of them.

Gaps are those that the eye sees: between outer edges that look at each other with no third piece nearer to both; each
counts by the length over which it does, and a mere glance past the pieces between does not count. An empty place inside
the group that is more than twice as wide and high as a gap may be is seen as well. What stands among the pieces, a
sconce with its margin, parts those beside it. Pieces that overlap cannot hang at all. Pieces in a line at even
intervals of more than 12 in, two of them as far from each other as from the ends of the wall, are singles that keep
time, no group, and are not judged.
Source: common practice, no source; no third piece nearer to both is the relative neighbourhood of Toussaint, "The
relative neighbourhood graph of a finite planar set", Pattern Recognition 12 (1980) 261-268, quoted from memory. Applies
to two or more pieces.
Good: five prints 2.5 in apart. Bad: five prints 5 in apart, which fall apart into single pieces.
"""

from dataclasses import dataclass

import numpy as np

from ...arrangement import Arranged
from ...bands import nearness, within
from ...groups.boxes import NeighbourGaps, neighbour_gaps
from ...groups.measures import overlap_area
from ...house import Rect
from ...results import Words
from ...rule import INCH, Array, Mask, Remark, Rule, Verdict, at, limit

_RANGE = (0.0, 24 * INCH)
#: How far a gap may miss its band before anybody is told: what a hanger can hold between two pieces, 1/8 in.
SLACK_MM = 3.175
#: Two that look at each other over less than this share of the shorter side, or over less than 1/8 in, pass each other
#: by and are no neighbours.
GLANCE_RATIO, GLANCE_MM = 0.1, 3.175


@dataclass(frozen=True)
class Limits:
    low: float = limit(2 * INCH, "mm", _RANGE, "smallest gap between neighbours")
    high: float = limit(3 * INCH, "mm", _RANGE, "greatest gap between neighbours")
    high_few: float = limit(5 * INCH, "mm", _RANGE, "greatest gap when there are only a few pieces")
    few: float = limit(3, "count", (2, 6), "how many pieces are a few")
    reach: float = limit(1.5 * INCH, "mm", (0.1 * INCH, 12 * INCH), "distance beyond at which the score is one half")


def evaluate(arranged: Arranged, limits: Limits) -> Verdict:
    if len(arranged.works) < 2 or arranged.keeps_time:
        return Verdict(np.array(1.0), 0.0, applies=False)
    high = greatest(len(arranged.works), limits)
    gaps, lengths = _gaps(arranged, high)[:2]
    beyond = np.maximum(np.maximum(limits.low - gaps, gaps - high), 0)
    score = np.average(nearness(beyond, -np.inf, 0.0, limits.reach), weights=lengths)
    overlap = bool(overlap_area(arranged.boxes[None])[0] > 1.0)
    veto = np.array(overlap)
    away = np.abs(gaps - (limits.low + high) / 2)
    worst = int(np.argmin(gaps) if overlap and (gaps < 0).any() else np.argmax(away))
    return Verdict(
        np.array(score), float(gaps[worst]), limits.low, high, veto=veto, slack=SLACK_MM, also={"worst": float(worst)}
    )


def greatest(pieces: int, limits: Limits) -> float:
    """The greatest gap for so many pieces [mm]."""
    return limits.high_few if pieces <= limits.few else limits.high


def _gaps(arranged: Arranged, high: float) -> tuple[Array, Array, Array]:
    """(p,) gaps [mm], facing lengths [mm], and (p, 4) its box; of the nearest pair where none face.

    On a stair neighbours are those that stand side by side to who climbs it.
    """
    boxes = arranged.boxes
    found = neighbour_gaps(arranged.seen, arranged.standing)
    size = boxes[:, 2:] - boxes[:, :2]
    shorter = np.minimum(size[found.first, 1 - found.axis], size[found.second, 1 - found.axis])
    near = found.facing_mm >= np.maximum(GLANCE_RATIO * shorter, GLANCE_MM)
    distance = _distances(arranged.seen)
    apart = distance[found.first, found.second]
    nearer = np.maximum(distance[found.first], distance[found.second]).min(axis=1) < apart - SLACK_MM
    near &= ~nearer | _holes(arranged.seen, found, 2 * high)
    if near.any():
        return found.gap_mm[near], found.facing_mm[near], _between(boxes[found.first[near]], boxes[found.second[near]])
    i, j = np.triu_indices(len(boxes), 1)
    nearest = int(np.argmin(distance[i, j]))
    pair = i[[nearest]], j[[nearest]]
    return distance[pair], np.ones(1), _between(boxes[pair[0]], boxes[pair[1]])


def _distances(boxes: Array) -> Array:
    """(k, k) clear distance between every two pieces, 0 where they touch or overlap, infinite of one from itself."""
    apart = np.maximum(boxes[:, None, :2] - boxes[None, :, 2:], boxes[None, :, :2] - boxes[:, None, 2:])
    found: Array = np.hypot(*np.maximum(apart, 0).transpose(2, 0, 1))
    np.fill_diagonal(found, np.inf)
    return found


def _between(array: Array, two: Array) -> Array:
    """(p, 4) the corners of what lies between two pieces."""
    return np.concatenate([np.minimum(array[:, 2:], two[:, 2:]), np.maximum(array[:, :2], two[:, :2])], axis=1)


def _holes(boxes: Array, found: NeighbourGaps, least: float) -> Mask:
    """(p,) bool: whether two pieces face each other across an empty place with pieces on all four sides.

    least: its smallest width and height [mm]
    """
    between = _between(boxes[found.first], boxes[found.second])
    middle = (between[:, :2] + between[:, 2:]) / 2
    in_x = (boxes[:, 0] < middle[:, :1]) & (boxes[:, 2] > middle[:, :1])
    above = np.where(in_x & (boxes[:, 1] >= middle[:, 1:]), boxes[:, 1], np.inf).min(axis=1)
    below = np.where(in_x & (boxes[:, 3] <= middle[:, 1:]), boxes[:, 3], -np.inf).max(axis=1)
    in_y = (boxes[:, 1] < middle[:, 1:]) & (boxes[:, 3] > middle[:, 1:])
    right = np.where(in_y & (boxes[:, 0] >= middle[:, :1]), boxes[:, 0], np.inf).min(axis=1)
    left = np.where(in_y & (boxes[:, 2] <= middle[:, :1]), boxes[:, 2], -np.inf).max(axis=1)
    tall, wide = above - below, right - left
    empty = ~(in_x & in_y).any(axis=1)
    return np.asarray(empty & np.isfinite(tall) & np.isfinite(wide) & (tall > least) & (wide > least))


def explain(arranged: Arranged, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    gap, high = at(verdict.value, 0, 0), at(verdict.high, 0, 0)
    band = words.band(limits.low, high)
    if at(verdict.veto, 0, 0):
        return Remark("stop", f"Pieces overlap; neighbours hang {band} apart", min(gap, 0.0), limits.low, high, "mm")
    if within(gap, limits.low, high, SLACK_MM):
        return Remark(None, f"Neighbours hang {band} apart", gap, limits.low, high, "mm")
    why = "lets each breathe" if gap < limits.low else "keeps the group together"
    x0, y0, x1, y1 = _gaps(arranged, high)[2][int(at(verdict.also["worst"], 0, 0))]
    where = Rect(min(x0, x1), min(y0, y1), abs(x1 - x0), abs(y1 - y0))
    text = f"Two neighbours hang {words.length(gap)} apart; {band} {why}"
    missed = "low" if gap < limits.low else "high_few" if len(arranged.works) <= limits.few else "high"
    return Remark("exception", text, gap, limits.low, high, "mm", where, missed)


RULE = Rule("spacing", "Gaps in a group", "arrangement", "exception", 3.0, Limits, evaluate, explain, vetoes=True)
