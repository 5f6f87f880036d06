"""How far two hangings of one house agree: 1 is the same works at the same places, 0 is nothing in common.

The measure: works that a visitor could not tell apart on the wall (same size, form, frame and set; and, outside a
set, the same maker) are interchangeable. Among each such kind of work the pieces of one hanging are matched with
those of the other so that the sum of credits is greatest. A matched pair earns credit by how far apart its two
places on one wall are: all of it to 1 in, none from 12 in, evenly less between; on two different walls none.
Agreement is the sum of credits over the number of pieces that at least one of the two hangs (of each kind, the
larger count), so that a piece too many and a piece left out each cost as much as one hung at quite another place.
Two hangings without any piece agree.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import linear_sum_assignment

from placements.engine.house import House, Work
from placements.engine.results import Hanging

from .proposing import INCH

FULL_WITHIN = 1 * INCH
NONE_FROM = 12 * INCH


@dataclass(frozen=True, slots=True)
class Agreement:
    """`score` in 0–1; `same_wall` the share of pieces that hang on the same walls, wherever there; then the works
    that the first hanging has beyond the second (`extra`) and the other way round (`missing`)."""

    score: float
    same_wall: float
    extra: int
    missing: int


def kind_of(work: Work) -> Hashable:
    """Works of one kind are interchangeable: sizes to the millimetre, form, frame and set, or maker where no set is."""
    size = (round(work.width), round(work.height))
    return (*size, work.form, work.frame, work.set_name, "" if work.set_name else work.maker)


def credit(one: Hanging, other: Hanging) -> float:
    """What two places of one work, or of two equal works, earn: 1 to 0."""
    if one.wall != other.wall:
        return 0.0
    apart = math.hypot(one.left - other.left, one.bottom - other.bottom)
    return min(1.0, max(0.0, (NONE_FROM - apart) / (NONE_FROM - FULL_WITHIN)))


def agreement(house: House, first: Iterable[Hanging], second: Iterable[Hanging]) -> Agreement:
    """How far the first hanging agrees with the second."""
    ours, theirs = _by_kind(house, first), _by_kind(house, second)
    earned = shared = 0.0
    union = extra = missing = 0
    for kind in ours.keys() | theirs.keys():
        mine, other = ours.get(kind, []), theirs.get(kind, [])
        union += max(len(mine), len(other))
        extra += max(0, len(mine) - len(other))
        missing += max(0, len(other) - len(mine))
        earned += _most([[credit(one, two) for two in other] for one in mine])
        shared += _most([[float(one.wall == two.wall) for two in other] for one in mine])
    if not union:
        return Agreement(1.0, 1.0, 0, 0)
    return Agreement(earned / union, shared / union, extra, missing)


def nearest(house: House, hangings: Sequence[Hanging], ranked: Mapping[int, Sequence[Hanging]]) -> tuple[int, ...]:
    """The rank whose hanging agrees most; where places say nothing, the one that shares most walls.

    Several ranks when they tie, none when nothing is shared with any.
    """
    found = {rank: agreement(house, hangings, one) for rank, one in ranked.items()}
    best = max((one.score, one.same_wall) for one in found.values())
    if best == (0.0, 0.0):
        return ()
    return tuple(rank for rank, one in sorted(found.items()) if (one.score, one.same_wall) == best)


def _by_kind(house: House, hangings: Iterable[Hanging]) -> dict[Hashable, list[Hanging]]:
    kinds: dict[Hashable, list[Hanging]] = defaultdict(list)
    for one in hangings:
        kinds[kind_of(house.work_by_id[one.work])].append(one)
    return kinds


def _most(credits: list[list[float]]) -> float:
    """The greatest sum of one-to-one matches."""
    if not credits or not credits[0]:
        return 0.0
    table = np.array(credits)
    rows, columns = linear_sum_assignment(table, maximize=True)
    return float(table[rows, columns].sum())
