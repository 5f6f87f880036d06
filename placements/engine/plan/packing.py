"""The best choice of columns, proved by a bound: each place filled once at most, each work hung once at most.

The linear program is solved by HiGHS, over all columns, or of many over a few, where those left out are priced by its
duals and the best of every row added while any could improve it, so that its bound holds for all of them. Then the
integer program is solved over every column whose price leaves it a chance, so that its best is the best of all. Work is
counted in nodes, not in seconds: the answer does not depend on the machine.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
from scipy.sparse import csc_array, csr_array

from ..groups.boxes import Floats, Ints

#: So many columns are solved at once; of more, the program begins with a few.
AT_ONCE = 20_000
#: Columns of each row that the first program starts from and that a round adds, nodes of the integer search.
FIRST_A_ROW, ADDED_A_ROW, NODES = 10, 5, 100
#: The integer search begins with the columns that cost no more than this by their price [points].
NEAR = 12.0
#: The most columns that the integer search begins with, and that it looks at where that proves the best.
BEGIN, MOST = 2000, 3000
#: Where more than those could be better, a choice is bettered by so many rows at a time, half of them the next time
#: too, by so many of the nearest columns, of which so many that fit are looked at; so often over all rows at the most.
WINDOW, REACH, A_PART, SWEEPS = 60, 30_000, 800, 4
#: How near to its bound the integer search must come, as a share; and where it looks at a part of many columns, whose
#: bound says nothing of the others.
REL_GAP, ROUGH_GAP = 1e-6, 1e-3
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
    by_row = problem.rows.tocsr()
    few = len(problem.value) > AT_ONCE
    here = _best_a_row(by_row, problem.value, FIRST_A_ROW) if few else np.arange(len(problem.value))
    # Duals from within lead to fewer rounds than a corner's.
    method = "highs-ipm" if few else "highs"
    while True:
        bound, duals, used = _relaxed(problem, here, method)
        spare = problem.value - problem.rows.T @ duals
        left_out = np.ones(len(spare), dtype=bool)
        left_out[here] = False
        better = left_out & (spare > TINY)
        if not better.any():
            break
        here = np.union1d(here, _best_a_row(by_row, np.where(better, spare, -np.inf), ADDED_A_ROW))
    near = np.union1d(used, _nearest(spare, NEAR, A_PART if few else BEGIN))
    chosen, best, proved = _whole(problem, near, problem.limit, ROUGH_GAP if few else REL_GAP)
    could = _could_do(spare, best - bound)
    if few or not np.isin(could, near).all():
        proved = np.inf
        if len(could) > MOST:
            chosen = _bettered(problem, chosen, spare)
            best = float(problem.value[chosen].sum())
            could = _could_do(spare, best - bound)
        if len(could) <= MOST:
            again, total, proved = _whole(problem, could, problem.limit, REL_GAP)
            chosen, best = (again, total) if total > best else (chosen, best)
    return Chosen(tuple(int(i) for i in chosen), best, min(bound, max(best, proved)))


def _could_do(spare: Floats, short: float) -> Ints:
    """Whatever could still be in a choice that is better than one so far from the bound, by its price."""
    return np.flatnonzero(spare >= short - TINY)


def _bettered(problem: Packing, chosen: Ints, spare: Floats) -> Ints:
    """A choice made better a few rows at a time: what takes them is given back, and the best that then fits taken."""
    near = np.argsort(-spare, kind="stable")[:REACH]
    rows = problem.rows[:, near]
    column = np.repeat(np.arange(len(near)), np.diff(rows.indptr))
    count = rows.shape[0]
    for _ in range(SWEEPS):
        before = problem.value[chosen].sum()
        for start in range(0, count, WINDOW // 2):
            window = np.zeros(count, dtype=bool)
            window[start : start + WINDOW] = True
            touches = (problem.rows[:, chosen].T @ window) > 0
            kept, given = chosen[~touches], chosen[touches]
            left = problem.limit - problem.rows[:, kept].sum(axis=1)
            too_much = column[rows.data > left[rows.indices] + TINY]
            fits = near[np.bincount(too_much, minlength=len(near)) == 0]
            fits = np.union1d(fits[~np.isin(fits, kept)][:A_PART], given)
            if not len(fits):
                continue
            taken, total, _ = _whole(problem, fits, left, REL_GAP)
            if total > problem.value[given].sum() + TINY:
                chosen = np.sort(np.concatenate([kept, taken]))
        if problem.value[chosen].sum() <= before + TINY:
            break
    return chosen


def _nearest(spare: Floats, within: float, most: int) -> Ints:
    """The columns that cost no more than so much by their price, of very many the nearest."""
    near = np.flatnonzero(spare >= -within)
    return near if len(near) <= most else np.sort(near[np.argsort(-spare[near], kind="stable")[:most]])


def _best_a_row(by_row: csr_array, value: Floats, count: int) -> Ints:
    """The most valuable columns of every row, but for those of no finite value."""
    found = [np.zeros(0, dtype=np.intp)]
    for start, end in zip(by_row.indptr[:-1], by_row.indptr[1:], strict=True):
        columns = np.sort(by_row.indices[start:end])
        columns = columns[np.isfinite(value[columns])]
        found.append(columns[np.argsort(-value[columns], kind="stable")[:count]])
    return np.unique(np.concatenate(found))


def _relaxed(problem: Packing, here: Ints, method: str) -> tuple[float, Floats, Ints]:
    """The linear program over some columns: its value, the price of every row, and the columns that it uses."""
    rows, value = problem.rows[:, here], problem.value[here]
    found = linprog(-value, A_ub=rows, b_ub=problem.limit, bounds=(0, None), method=method)
    return float(-found.fun), np.maximum(-found.ineqlin.marginals, 0.0), here[found.x > TINY]


def _whole(problem: Packing, here: Ints, limit: Floats, gap: float) -> tuple[Ints, float, float]:
    """The integer program over some columns and what the rows have left, to within a share of its bound: what it
    chooses, its total, and the bound over these columns."""
    found = milp(
        -problem.value[here],
        constraints=LinearConstraint(problem.rows[:, here], ub=limit),
        bounds=Bounds(0, 1),
        integrality=np.ones(len(here)),
        options={"node_limit": NODES, "mip_rel_gap": gap},
    )
    if found.x is None:
        return np.zeros(0, dtype=np.intp), 0.0, np.inf
    chosen = here[found.x > 0.5]
    return chosen, float(problem.value[chosen].sum()), float(-found.mip_dual_bound)
