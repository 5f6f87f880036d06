"""Let pieces settle: gaps back into the band, lines kept, nothing overlapping, the least movement.

Each pair of pieces is kept apart along the axis on which it is apart already (or overlaps least), so that the question
falls into two linear programs, one an axis. Two rounds, because neighbours may change once pieces have moved.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import LinearConstraint, milp
from scipy.sparse import csr_array

from .boxes import Floats, Ints, neighbour_gaps

#: Costs for each millimetre of a gap beyond the band and of a line not quite shared; moving a piece costs 1.
_BEYOND, _LINE = 60.0, 2.0
#: Lines of neighbours nearer than this are meant to be one [mm].
LINE_MM = 22.0


class NoRoom(ValueError):
    """The pieces that may move cannot give way within the bounds."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What settling keeps.

    gap_low, gap_high, gap: band between neighbours and the gap to hang by [mm].
    bounds: left, bottom, right, top that no piece may cross, None for an open field.
    blocks: (m, 4) things that pieces must stay clear of.
    join_mm: neighbours whose gap is at most this much beyond the band belong together.
    pull: further pairs (left or lower piece first) to bring together however far apart.
    floor: lowest lower edge (k,) of (k, 4) boxes that stand at their final left and right, for a stair.
    even: what a millimetre of a gap off the wanted one costs; moving a piece costs 1.
    """

    gap_low: float
    gap_high: float
    gap: float
    bounds: tuple[float, float, float, float] | None = None
    blocks: Floats | None = None
    join_mm: float = 45.0
    pull: frozenset[tuple[int, int]] = frozenset()
    floor: Callable[[Floats], Floats] | None = None
    even: float = 10.0


@dataclass(frozen=True, slots=True)
class _Pairs:
    """Pairs along one axis: `before` ends where `after` begins."""

    before: Ints
    after: Ints


def settle(boxes: Floats, wish: Wish, *, stay: Floats | None = None, rounds: int = 2) -> Floats:
    """Move pieces as little as possible until their gaps, lines and bounds hold.

    Args:
        boxes: (k, 4) [mm]; sizes never change.
        stay: (k,) what a millimetre of movement of each piece costs, 1 where None; infinity locks a piece.

    Returns:
        (k, 4) boxes; no two overlap or come nearer than the lowest gap.

    Raises:
        NoRoom: the locked pieces, the blocks and the bounds leave no way out.
    """
    stay = np.ones(len(boxes)) if stay is None else stay
    home = boxes
    for _ in range(rounds):
        boxes = _round(boxes, home, wish, stay)
    return boxes


def _round(boxes: Floats, home: Floats, wish: Wish, stay: Floats) -> Floats:
    k = len(boxes)
    blocks = wish.blocks if wish.blocks is not None else np.zeros((0, 4))
    everything = np.concatenate([boxes, blocks])
    order = _order(everything, k)
    near = neighbour_gaps(boxes, blocks)
    pulled = [pair in wish.pull for pair in zip(near.first.tolist(), near.second.tolist(), strict=True)]
    together = (near.gap_mm <= wish.gap_high + wish.join_mm) | np.array(pulled, dtype=bool)
    new = boxes.copy()
    for axis in (0, 1):
        pairs = order[axis]
        # Neighbours along this axis whose gap should be in the band, and only those kept apart along it.
        kept = {(int(i), int(j)) for i, j in zip(pairs.before, pairs.after, strict=True)}
        here = [
            (int(i), int(j))
            for i, j in zip(
                near.first[together & (near.axis == axis)], near.second[together & (near.axis == axis)], strict=True
            )
            if (int(i), int(j)) in kept
        ]
        lines = _lines(
            boxes, near.first[together & (near.axis != axis)], near.second[together & (near.axis != axis)], axis
        )
        floor = wish.floor(new) if wish.floor is not None and axis == 1 else None
        new[:, axis], new[:, axis + 2] = _solve(everything, home, pairs, here, lines, axis, wish, stay, floor)
    return new


def _order(boxes: Floats, pieces: int) -> tuple[_Pairs, _Pairs]:
    """For each pair, the axis that keeps it apart and which of the two comes first there."""
    i, j = np.triu_indices(len(boxes), k=1)
    real = i < pieces  # two blocks need no order
    i, j = i[real], j[real]
    sep = []
    first_lower = []
    for axis in (0, 1):
        low, high = boxes[:, axis], boxes[:, axis + 2]
        lower = low[i] + high[i] <= low[j] + high[j]
        first_lower.append(lower)
        sep.append(np.where(lower, low[j] - high[i], low[i] - high[j]))
    sideways = sep[0] >= sep[1]
    out = []
    for axis, mine in ((0, sideways), (1, ~sideways)):
        a, b = i[mine], j[mine]
        lower = first_lower[axis][mine]
        ahead = np.zeros((len(boxes), len(boxes)), dtype=np.float32)
        ahead[np.where(lower, a, b), np.where(lower, b, a)] = 1
        before, after = np.nonzero((ahead > 0) & (ahead @ ahead < 0.5))  # a before b before c says a before c
        out.append(_Pairs(before, after))
    return out[0], out[1]


def _lines(boxes: Floats, first: Ints, second: Ints, axis: int) -> list[tuple[int, int, float]]:
    """Pairs (i, j, offset): their near edges should differ by `offset`, to share an edge or a centre line."""
    lines = []
    for i, j in zip(first.tolist(), second.tolist(), strict=True):
        low = boxes[j, axis] - boxes[i, axis]
        high = boxes[j, axis + 2] - boxes[i, axis + 2]
        wider = low - high  # size of i less size of j
        choices = ((abs(low), 0.0), (abs(high), wider), (abs(low + high) / 2, wider / 2))
        miss, offset = min(choices, key=lambda c: c[0])
        if miss < LINE_MM:
            lines.append((i, j, float(offset)))
    return lines


def _solve(
    boxes: Floats,
    home: Floats,
    pairs: _Pairs,
    near: list[tuple[int, int]],
    lines: list[tuple[int, int, float]],
    axis: int,
    wish: Wish,
    stay: Floats,
    floor: Floats | None,
) -> tuple[Floats, Floats]:
    """New near and far edges of the pieces along one axis."""
    k = len(home)
    size = boxes[:, axis + 2] - boxes[:, axis]
    start = home[:, axis]
    n, m = len(near), len(lines)
    # Variables: near edge (k), movement (k), unevenness (n), beyond the band (n), line miss (m).
    count = 2 * k + 2 * n + m
    cost = np.concatenate(
        [
            np.zeros(k),
            np.where(np.isinf(stay), 0.0, stay),
            np.full(n, wish.even),
            np.full(n, _BEYOND),
            np.full(m, _LINE),
        ]
    )
    lower = np.concatenate([np.full(k, -np.inf), np.zeros(count - k)])
    upper = np.full(count, np.inf)
    if wish.bounds is not None:
        lower[:k] = wish.bounds[axis]
        upper[:k] = wish.bounds[axis + 2] - size[:k]
    if floor is not None:
        lower[:k] = np.maximum(lower[:k], floor)
    locked = np.isinf(stay)
    lower[:k][locked] = upper[:k][locked] = start[locked]
    if (lower[:k] > upper[:k] + 1e-9).any():
        raise NoRoom("a piece is larger than the space")
    upper[:k] = np.maximum(upper[:k], lower[:k])

    rows = _Rows(count)
    for i in range(k):
        rows.add([(i, 1.0), (k + i, -1.0)], start[i])
        rows.add([(i, -1.0), (k + i, -1.0)], -start[i])
    for i, j in zip(pairs.before.tolist(), pairs.after.tolist(), strict=True):
        if i < k and j < k:
            if not (locked[i] and locked[j]):
                rows.add([(i, 1.0), (j, -1.0)], -size[i] - wish.gap_low)
        elif i < k:  # j is a block: end before it
            rows.add([(i, 1.0)], boxes[j, axis] - size[i])
        else:
            rows.add([(j, -1.0)], -boxes[i, axis + 2])
    for at, (i, j) in enumerate(near):
        uneven, beyond = 2 * k + at, 2 * k + n + at
        rows.add([(j, 1.0), (i, -1.0), (uneven, -1.0)], wish.gap + size[i])
        rows.add([(j, -1.0), (i, 1.0), (uneven, -1.0)], -wish.gap - size[i])
        rows.add([(j, 1.0), (i, -1.0), (beyond, -1.0)], wish.gap_high + size[i])
    for at, (i, j, offset) in enumerate(lines):
        miss = 2 * k + 2 * n + at
        rows.add([(j, 1.0), (i, -1.0), (miss, -1.0)], offset)
        rows.add([(j, -1.0), (i, 1.0), (miss, -1.0)], -offset)
    found = milp(cost, constraints=rows.constraint(), bounds=(lower, upper))
    if found.x is None:
        raise NoRoom("the pieces cannot give way: too little room between what is locked and the edges of the space")
    near_edge = np.asarray(found.x[:k], dtype=np.float64)
    near_edge[locked] = start[locked]
    return near_edge, near_edge + size[:k]


class _Rows:
    """Rows `sum(coefficient * variable) <= right` of a sparse program."""

    def __init__(self, columns: int) -> None:
        self.columns = columns
        self.at: list[int] = []
        self.column: list[int] = []
        self.value: list[float] = []
        self.right: list[float] = []

    def add(self, terms: list[tuple[int, float]], right: float) -> None:
        for column, value in terms:
            self.at.append(len(self.right))
            self.column.append(column)
            self.value.append(value)
        self.right.append(float(right))

    def constraint(self) -> LinearConstraint:
        matrix = csr_array((self.value, (self.at, self.column)), shape=(len(self.right), self.columns))
        return LinearConstraint(matrix, -np.inf, np.array(self.right))
