"""Neighbours in a group hang close, and farther apart only when there are two or three of them.

Gaps are between outer edges that look at each other; each counts by the length over which it does, and a mere glance
past the pieces between does not count. What stands among the pieces, a sconce with its margin, parts those beside it.
Pieces that overlap cannot hang at all.
Source: common practice, no source. Applies to two or more pieces.
Good: five prints 2.5 in apart. Bad: five prints 5 in apart, which fall apart into single pieces.
"""

from dataclasses import dataclass

import numpy as np

from ...arrangement import Arranged
from ...bands import nearness, within
from ...groups.boxes import neighbour_gaps
from ...groups.measures import overlap_area
from ...house import Rect
from ...results import Words
from ...rule import INCH, Array, Remark, Rule, Verdict, at, limit

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
    if len(arranged.works) < 2:
        return Verdict(np.array(1.0), 0.0, applies=False)
    high = greatest(len(arranged.works), limits)
    gaps, lengths = _gaps(arranged)[:2]
    score = np.average(nearness(gaps, limits.low, high, limits.reach), weights=lengths)
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


def _gaps(arranged: Arranged) -> tuple[Array, Array, Array]:
    """(p,) gaps [mm], facing lengths [mm], and (p, 4) its box; of the nearest pair where none face.

    On a stair neighbours are those that stand side by side to who climbs it.
    """
    boxes = arranged.boxes
    found = neighbour_gaps(arranged.seen, arranged.standing)
    size = boxes[:, 2:] - boxes[:, :2]
    shorter = np.minimum(size[found.first, 1 - found.axis], size[found.second, 1 - found.axis])
    near = found.facing_mm >= np.maximum(GLANCE_RATIO * shorter, GLANCE_MM)
    if near.any():
        one, two = boxes[found.first[near]], boxes[found.second[near]]
        between = np.concatenate([np.minimum(one[:, 2:], two[:, 2:]), np.maximum(one[:, :2], two[:, :2])], axis=1)
        return found.gap_mm[near], found.facing_mm[near], between
    i, j = np.triu_indices(len(boxes), 1)
    apart = np.maximum(boxes[i][:, :2] - boxes[j][:, 2:], boxes[j][:, :2] - boxes[i][:, 2:])
    distance = np.hypot(*np.maximum(apart, 0).T)
    nearest = int(np.argmin(distance))
    one, two = boxes[i[nearest]], boxes[j[nearest]]
    between = np.concatenate([np.minimum(one[2:], two[2:]), np.maximum(one[:2], two[:2])])
    return distance[[nearest]], np.ones(1), between[None]


def explain(arranged: Arranged, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    gap, high = at(verdict.value, 0, 0), at(verdict.high, 0, 0)
    band = words.band(limits.low, high)
    if at(verdict.veto, 0, 0):
        return Remark("stop", f"Pieces overlap; neighbours hang {band} apart", min(gap, 0.0), limits.low, high, "mm")
    if within(gap, limits.low, high, SLACK_MM):
        return Remark(None, f"Neighbours hang {band} apart", gap, limits.low, high, "mm")
    why = "lets each breathe" if gap < limits.low else "keeps the group together"
    x0, y0, x1, y1 = _gaps(arranged)[2][int(at(verdict.also["worst"], 0, 0))]
    where = Rect(min(x0, x1), min(y0, y1), abs(x1 - x0), abs(y1 - y0))
    text = f"Two neighbours hang {words.length(gap)} apart; {band} {why}"
    return Remark("exception", text, gap, limits.low, high, "mm", where)


RULE = Rule("spacing", "Gaps in a group", "arrangement", "exception", 2.0, Limits, evaluate, explain, vetoes=True)
