"""The best choice of columns, proved by a bound: each place filled once at most, each work hung once at most.

The linear program is solved by HiGHS, over all columns, or of very many over a few, where those left out are priced by
its duals and added while any could improve it, so that its bound holds for all of them. Then the integer program is
solved over every column whose price leaves it a chance, so that its best is the best of all. Work is counted in nodes,
not in seconds: the answer does not depend on the machine.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
from scipy.sparse import csc_array

from ..groups.boxes import Floats, Ints

#: So many columns are solved at once; of more, the program begins with a few.
AT_ONCE = 150_000
#: Columns of each row that the first program starts from, columns added in one round, nodes of the integer search.
FIRST_A_ROW, ADDED, NODES = 20, 6000, 100
#: The integer search begins with the columns that cost no more than this by their price [points].
NEAR = 12.0
#: The most columns that the integer search looks at.
MOST = 3000
#: How near to its bound the integer search must come, as a share.
REL_GAP = 1e-6
#: What counts as nothing [points].
TINY = 1e-6


@dataclass(frozen=True)
class Packing:
    """Choose columns for the greatest total value, with `rows @ chosen <= limit`.

    value : (n,) of each column; rows : (m, n) how much of each row a column takes; limit : (m,) what each row has
    """

    value: Floats
    rows: csc_array
    limit: Floats


@dataclass(frozen=True, slots=True)
class Chosen:
    """columns : indices in order; objective : their total; bound : no choice is worth more."""

    columns: tuple[int, ...]
    objective: float
    bound: float

    @property
    def gap(self) -> float:
        """How far from the best this can be at most, as a share of the bound; 0 when proved best."""
        slack = self.bound - self.objective
        return 0.0 if slack <= 2 * REL_GAP * max(1.0, abs(self.bound)) else slack / max(abs(self.bound), 1e-9)


def pack(problem: Packing) -> Chosen:
    """The best columns of all, or the best found within the work allowed, with the bound."""
    if not len(problem.value):
        return Chosen((), 0.0, 0.0)
    few = len(problem.value) > AT_ONCE
    here = _first(problem) if few else np.arange(len(problem.value))
    while True:
        bound, duals, used = _relaxed(problem, here)
        spare = problem.value - problem.rows.T @ duals
        left_out = np.ones(len(spare), dtype=bool)
        left_out[here] = False
        better = np.flatnonzero(left_out & (spare > TINY))
        if not len(better):
            break
        here = np.union1d(here, better[np.argsort(-spare[better], kind="stable")][:ADDED])
    near = np.union1d(used, _nearest(spare, NEAR))
    chosen, best, proved = _whole(problem, near)
    could = np.flatnonzero(spare >= best - bound - TINY)  # whatever could still be in a better choice, by its price
    if not np.isin(could, near).all():
        proved = np.inf
        if len(could) <= MOST:
            again, total, proved = _whole(problem, could)
            chosen, best = (again, total) if total > best else (chosen, best)
    return Chosen(tuple(int(i) for i in chosen), best, min(bound, max(best, proved)))


def _nearest(spare: Floats, within: float) -> Ints:
    """The columns that cost no more than so much by their price, of very many the nearest."""
    near = np.flatnonzero(spare >= -within)
    return near if len(near) <= MOST else np.sort(near[np.argsort(-spare[near], kind="stable")[:MOST]])


def _first(problem: Packing) -> Ints:
    """The most valuable columns of every row."""
    by_row = problem.rows.tocsr()
    found = [np.zeros(0, dtype=np.intp)]
    for start, end in zip(by_row.indptr[:-1], by_row.indptr[1:], strict=True):
        columns = by_row.indices[start:end]
        found.append(columns[np.argsort(-problem.value[columns], kind="stable")[:FIRST_A_ROW]])
    return np.unique(np.concatenate(found))


def _relaxed(problem: Packing, here: Ints) -> tuple[float, Floats, Ints]:
    """The linear program over some columns: its value, the price of every row, and the columns that it uses."""
    rows, value = problem.rows[:, here], problem.value[here]
    found = linprog(-value, A_ub=rows, b_ub=problem.limit, bounds=(0, None), method="highs")
    return float(-found.fun), np.maximum(-found.ineqlin.marginals, 0.0), here[found.x > TINY]


def _whole(problem: Packing, here: Ints) -> tuple[Ints, float, float]:
    """The integer program over some columns: what it chooses, its total, and the bound over these columns."""
    found = milp(
        -problem.value[here],
        constraints=LinearConstraint(problem.rows[:, here], ub=problem.limit),
        bounds=Bounds(0, 1),
        integrality=np.ones(len(here)),
        options={"node_limit": NODES, "mip_rel_gap": REL_GAP},
    )
    if found.x is None:
        return np.zeros(0, dtype=np.intp), 0.0, np.inf
    chosen = here[found.x > 0.5]
    return chosen, float(problem.value[chosen].sum()), float(-found.mip_dual_bound)
