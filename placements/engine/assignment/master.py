"""The linear program over a set of columns, its duals, and the integer program over the same rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
from scipy.sparse import csr_array, vstack

from ..rule import Array
from .problem import Column, Match, Problem

Cut = tuple[Array, float]
#: No second space.
NONE = -1


@dataclass(frozen=True)
class Rows:
    """The rows of a problem: M spaces (= 1), N works (<= 1), and one a pair of works and room for works kept apart."""

    works: int
    spaces: int
    apart: Array
    room: Array

    @classmethod
    def of(cls, problem: Problem) -> Rows:
        works, spaces = problem.size
        room = problem.room if problem.room is not None else np.zeros(spaces, dtype=np.intp)
        apart = np.array(problem.apart, dtype=np.intp).reshape(-1, 2)
        return cls(works, spaces, apart, np.unique(room, return_inverse=True)[1])

    @property
    def rooms(self) -> int:
        return int(self.room.max()) + 1 if len(self.room) else 0

    def matrices(self, columns: Columns) -> tuple[csr_array, csr_array]:
        """Equality rows (M, C) and inequality rows (N + pairs x rooms, C)."""
        count = len(columns.value)
        matched = np.flatnonzero(columns.twin != NONE)
        at = np.concatenate([columns.space, columns.twin[matched]]), np.concatenate([np.arange(count), matched])
        equal = csr_array((np.ones(len(at[0])), at), shape=(self.spaces, count))
        of, work = columns.entries
        less = csr_array((np.ones(len(of)), (work, of)), shape=(self.works, count))
        if not len(self.apart):
            return equal, less
        row, col = [], []
        for pair, (one, other) in enumerate(self.apart):
            here = of[(work == one) | (work == other)]
            row.append(pair * self.rooms + self.room[columns.space[here]])
            col.append(here)
        at = np.concatenate(row), np.concatenate(col)
        shape = (len(self.apart) * self.rooms, count)
        return equal, vstack([less, csr_array((np.ones(len(at[0])), at), shape=shape)], format="csr")


@dataclass(frozen=True)
class Columns:
    """Columns as arrays: space, value (C,), and which works each holds as entries (column, work).

    twin : (C,) the second space of a match, whose second work hangs there; `NONE` for any other column
    """

    space: Array
    twin: Array
    value: Array
    entries: tuple[Array, Array]

    @classmethod
    def of(cls, columns: Sequence[Column]) -> Columns:
        of = [number for number, one in enumerate(columns) for _ in one.works]
        works = [work for one in columns for work in one.works]
        return cls(
            np.array([one.space for one in columns], dtype=np.intp),
            np.full(len(columns), NONE),
            np.array([one.value for one in columns], dtype=np.float64),
            (np.array(of, dtype=np.intp), np.array(works, dtype=np.intp)),
        )

    def with_singles(self, work: Array, space: Array, value: Array) -> Columns:
        start = len(self.value)
        return self._with(space, np.full(len(space), NONE), value, (np.arange(start, start + len(work)), work))

    def with_matches(self, matches: Sequence[Match]) -> Columns:
        start = len(self.value)
        first, second = (np.array([one.spaces[k] for one in matches], dtype=np.intp) for k in (0, 1))
        works = np.array([one.works for one in matches], dtype=np.intp).ravel()
        of = np.repeat(np.arange(start, start + len(matches)), 2)
        return self._with(first, second, np.array([one.value for one in matches], dtype=np.float64), (of, works))

    def _with(self, space: Array, twin: Array, value: Array, entries: tuple[Array, Array]) -> Columns:
        return Columns(
            np.concatenate([self.space, space]),
            np.concatenate([self.twin, twin]),
            np.concatenate([self.value, value]),
            (np.concatenate([self.entries[0], entries[0]]), np.concatenate([self.entries[1], entries[1]])),
        )

    def take(self, chosen: Array) -> Columns:
        """Some of the columns, by index in ascending order."""
        new = np.full(len(self.value), -1)
        new[chosen] = np.arange(len(chosen))
        kept = new[self.entries[0]] >= 0
        entries = new[self.entries[0][kept]], self.entries[1][kept]
        return Columns(self.space[chosen], self.twin[chosen], self.value[chosen], entries)

    def clashing(self, rows: Rows, number: int) -> Array:
        """(C,) bool: the other columns that cannot be chosen beside this one."""
        works = self.works_of(number)
        room = rows.room[self.space[number]]
        barred = {int(b) for a, b in rows.apart if a in works} | {int(a) for a, b in rows.apart if b in works}
        of, work = self.entries
        clash: Array = np.zeros(len(self.space), dtype=bool)
        for space in self.spaces_of(number):
            clash |= (self.space == space) | (self.twin == space)
        clash[of[np.isin(work, works)]] = True
        near = of[np.isin(work, sorted(barred))]
        clash[near[rows.room[self.space[near]] == room]] = True
        clash[number] = False
        return clash

    def spaces_of(self, number: int) -> tuple[int, ...]:
        """The space that a column takes up, or the two of a match."""
        return tuple(int(j) for j in (self.space[number], self.twin[number]) if j != NONE)

    def works_of(self, number: int) -> tuple[int, ...]:
        return tuple(int(i) for i in self.entries[1][self.entries[0] == number])

    def parts_of(self, number: int) -> tuple[Column, ...]:
        """A column as what hangs in each of its spaces; each part of a match counts for half of its value."""
        spaces, works, value = self.spaces_of(number), self.works_of(number), float(self.value[number])
        if len(spaces) == 1:
            return (Column(spaces[0], works, value),)
        return tuple(
            Column(space, (work,), value / 2, twin)
            for space, work, twin in zip(spaces, works, reversed(spaces), strict=True)
        )


@dataclass(frozen=True)
class Relaxed:
    """The linear program's answer: x (C,), its value, and the rows' prices (what one more unit would be worth)."""

    x: Array
    value: float
    space_price: Array
    work_price: Array
    apart_price: Array

    def single_gain(self, rows: Rows, singles: Array) -> Array:
        """(N, M) by how much each single work in each space would beat what the prices ask; -inf where forbidden."""
        gain: Array = singles - self.work_price[:, None] - self.space_price
        if len(rows.apart):
            price = self.apart_price.reshape(len(rows.apart), rows.rooms)[:, rows.room]
            for pair, (one, other) in enumerate(rows.apart):
                gain[one] -= price[pair]
                gain[other] -= price[pair]
        return gain

    def gains(self, rows: Rows, columns: Columns) -> Array:
        """(C,) the same for any columns."""
        equal, less = rows.matrices(columns)
        prices = np.concatenate([self.work_price, self.apart_price])
        return np.asarray(columns.value - equal.T @ self.space_price - less.T @ prices)


def relax(rows: Rows, columns: Columns) -> Relaxed:
    """Solve the linear program over the given columns; each space must have a bare column, so there is an answer."""
    equal, less = rows.matrices(columns)
    found = linprog(
        -columns.value,
        A_ub=less,
        b_ub=np.ones(less.shape[0]),
        A_eq=equal,
        b_eq=np.ones(rows.spaces),
        bounds=(0, None),
        method="highs",
    )
    if found.status != 0:
        raise RuntimeError(f"HiGHS: {found.message}")
    below = -found.ineqlin.marginals
    return Relaxed(found.x, -found.fun, -found.eqlin.marginals, below[: rows.works], below[rows.works :])


def whole(
    rows: Rows, columns: Columns, seconds: float, cuts: Sequence[Cut] = (), gap: float = 0.0
) -> tuple[Array | None, float]:
    """Solve the integer program: the chosen columns' indices (None when none was found) and an upper bound.

    cuts : rows (C,) with the most that they may sum to; gap : stop when proved this close, as a share
    """
    equal, less = rows.matrices(columns)
    constraints = [LinearConstraint(equal, 1, 1), LinearConstraint(less, -np.inf, 1)]
    constraints += [LinearConstraint(csr_array(row[None, :]), -np.inf, most) for row, most in cuts]
    found = milp(
        -columns.value,
        constraints=constraints,
        integrality=np.ones(len(columns.value)),
        bounds=Bounds(0, 1),
        options={"time_limit": seconds, "mip_rel_gap": gap},
    )
    bound = np.inf if found.mip_dual_bound is None else -found.mip_dual_bound
    return (None if found.x is None else np.flatnonzero(found.x > 0.5)), float(bound)
