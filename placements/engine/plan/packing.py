"""The best choice of columns, proved by a bound: each place filled once at most, each work hung once at most.

The linear program over a few columns is solved by HiGHS; columns left out are priced by its duals and added while any
could improve it, so its bound holds for all of them. Then the integer program is solved over every column whose price
leaves it a chance, so that its best is the best of all. Work is counted in nodes, not in seconds: the answer does not
depend on the machine.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
from scipy.sparse import csc_array, hstack

from ..groups.boxes import Floats, Ints

#: Columns of each row that the first program starts from.
FIRST_A_ROW = 8
#: Columns added in one round of pricing, and nodes of the integer search.
ADDED, NODES = 4000, 2000
#: What counts as nothing.
TINY = 1e-6


@dataclass(frozen=True)
class Packing:
    """Choose columns for the greatest total value: `rows @ chosen <= limit`.

    value : (n,) of each column, above zero
    rows : (m, n) sparse, how much of each row a column takes
    limit : (m,) what each row has
    """

    value: Floats
    rows: csc_array
    limit: Floats


@dataclass(frozen=True)
class Chosen:
    """columns : indices in order; objective : their total; bound : no choice is worth more."""

    columns: tuple[int, ...]
    objective: float
    bound: float

    @property
    def gap(self) -> float:
        slack = self.bound - self.objective
        return 0.0 if slack <= 1e-5 * max(1.0, abs(self.bound)) else slack / max(abs(self.bound), 1e-9)


def pack(problem: Packing) -> Chosen:
    """The best columns of all, or the best found within the work allowed, with the bound."""
    count = len(problem.value)
    if not count:
        return Chosen((), 0.0, 0.0)
    here = _first(problem)
    while True:
        objective, duals = _relaxed(problem, here)
        reduced = problem.value - problem.rows.T @ duals
        reduced[here] = -np.inf
        better = np.flatnonzero(reduced > TINY)
        if not len(better):
            break
        order = better[np.argsort(-reduced[better], kind="stable")][:ADDED]
        here = np.sort(np.concatenate([here, order]))
    bound = objective
    spare = problem.value - problem.rows.T @ duals
    chosen, least = _whole(problem, here)
    if bound - least > TINY:  # whatever column could still be in a better choice, by its price
        wider = np.flatnonzero(spare >= -(bound - least) - TINY)
        if len(wider) > len(here):
            chosen, least = max((_whole(problem, np.union1d(here, wider)), (chosen, least)), key=lambda one: one[1])
    return Chosen(tuple(int(i) for i in chosen), least, max(bound, least))




def _first(problem: Packing) -> Ints:
    """The most valuable columns of every row."""
    by_row = problem.rows.tocsr()
    found: set[int] = set()
    for start, end in zip(by_row.indptr[:-1], by_row.indptr[1:], strict=True):
        columns = by_row.indices[start:end]
        best = columns[np.argsort(-problem.value[columns], kind="stable")[:FIRST_A_ROW]]
        found.update(int(i) for i in best)
    return np.array(sorted(found), dtype=np.intp)


def _relaxed(problem: Packing, here: Ints) -> tuple[float, Floats]:
    found = linprog(
        -problem.value[here],
        A_ub=problem.rows[:, here],
        b_ub=problem.limit,
        bounds=(0, None),
        method="highs",
    )
    return float(-found.fun), np.maximum(-found.ineqlin.marginals, 0.0)


def _whole(problem: Packing, here: Ints) -> tuple[Ints, float]:
    found = milp(
        -problem.value[here],
        constraints=LinearConstraint(problem.rows[:, here], ub=problem.limit),
        bounds=Bounds(0, 1),
        integrality=np.ones(len(here)),
        options={"node_limit": NODES, "mip_rel_gap": 0.0},
    )
    if found.x is None:
        return np.array([], dtype=np.intp), 0.0
    chosen = here[found.x > 0.5]
    return chosen, float(problem.value[chosen].sum())


__all__ = ["Chosen", "Packing", "hstack", "pack"]
