"""Column generation with a proved bound, the integer solve, and the best few distinct plans."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from ..rule import Array
from .master import NONE, Columns, Cut, Relaxed, Rows, relax, whole
from .problem import Column, Problem, Solution

#: Single columns that the first linear program holds for each work and each space.
FIRST = 10
#: A column is added when it would gain more than this.
EPSILON = 1e-7
#: Most columns added in one round of pricing.
ROUND = 20_000
#: How far below the linear program's price, in score points, columns may lie that a dive chooses from.
NEAR = 15.0
#: Dives differ in how sure the linear program must be of what is fixed.
DIVES = (0.7, 0.5)
#: Spaces opened at a time when a plan is polished, how many times, and the longest for one of them [s].
PART, PARTS, PART_SECONDS = 40, 25, 0.5
#: Longest time for one integer solve [s]; the bound stays true when it runs out.
SECONDS = 3.0
#: Most columns that an alternative plan chooses from.
ALTERNATIVE_COLUMNS = 4_000
#: Share of the hung spaces in which an alternative differs.
DISTINCT = 0.15


@dataclass(frozen=True)
class _Priced:
    """The linear program after pricing: no column outside can improve its value."""

    rows: Rows
    columns: Columns
    relaxed: Relaxed


def solve(problem: Problem, seconds: float = SECONDS, gap: float = 0.0) -> Solution:
    """The best choice of columns, with a bound that holds for all of them.

    seconds : at most this long in each integer solve; gap : an integer solve may stop when proved this close

    Raises:
        EngineError: a problem that contradicts itself.
    """
    problem.check()
    if not problem.size[1]:
        return Solution((), 0.0, 0.0)
    return _integer(problem, _priced(problem), seconds, gap)


def alternatives(problem: Problem, best: Solution, count: int, seconds: float = 2.0) -> tuple[Solution, ...]:
    """The best further plans, each distinct from `best` and from one another in a share of the hung spaces.

    Each carries its own value and, as bound, the best plan's.
    """
    if count < 1 or not best.columns:
        return ()
    priced = _priced(problem)
    near = _columns_within(problem, priced, math.inf, ALTERNATIVE_COLUMNS)
    known: dict[tuple[int, tuple[int, ...]], list[int]] = {}
    for c in range(len(near.value)):
        for part in near.parts_of(c):
            known.setdefault((part.space, part.works), []).append(c)
    found: list[Solution] = []
    cuts: list[Cut] = []
    last = best
    for _ in range(count):
        hung = [known.get((one.space, one.works)) for one in last.columns if one.works]
        here = [columns for columns in hung if columns]
        if not here:
            break
        row = np.zeros(len(near.value))
        for columns in here:
            row[columns] += 1
        cuts.append((row, len(here) - max(1, math.ceil(DISTINCT * len(here)))))
        chosen, _ = whole(priced.rows, near, seconds, cuts, gap=1e-4)
        if chosen is None:
            break
        last = _solution(near, chosen, best.bound)
        found.append(last)
    return tuple(found)


def _priced(problem: Problem) -> _Priced:
    rows = Rows.of(problem)
    inside = _first(problem.singles)
    columns = _seeded(problem, inside)
    while True:
        relaxed = relax(rows, columns)
        gain = relaxed.single_gain(rows, problem.singles)
        gain[inside] = -np.inf
        better = np.flatnonzero(gain.ravel() > EPSILON)
        if not len(better):
            return _Priced(rows, columns, relaxed)
        if len(better) > ROUND:
            better = better[np.argpartition(-gain.ravel()[better], ROUND)[:ROUND]]
        work, space = np.unravel_index(np.sort(better), gain.shape)
        inside[work, space] = True
        columns = columns.with_singles(work, space, problem.singles[work, space])


def _first(singles: Array) -> Array:
    """(N, M) bool: the best few of each work and of each space."""
    inside = np.zeros(singles.shape, dtype=bool)
    works, spaces = singles.shape
    if not works or not spaces:
        return inside
    if spaces > FIRST:
        best = np.argpartition(-singles, FIRST, axis=1)[:, :FIRST]
        np.put_along_axis(inside, best, True, axis=1)
    if works > FIRST:
        best = np.argpartition(-singles, FIRST, axis=0)[:FIRST]
        np.put_along_axis(inside, best, True, axis=0)
    if spaces <= FIRST or works <= FIRST:
        inside[:] = True
    return inside & np.isfinite(singles)


def _seeded(problem: Problem, inside: Array) -> Columns:
    bare = [Column(space, (), float(value)) for space, value in enumerate(problem.bare)]
    work, space = np.nonzero(inside)
    barred = [{one, other} for one, other in problem.apart]

    def allowed(works: Iterable[int]) -> bool:
        return not any(pair <= set(works) for pair in barred)

    groups = [one for one in problem.groups if allowed(one.works)]
    columns = Columns.of([*bare, *groups]).with_matches([one for one in problem.matches if allowed(one.works)])
    return columns.with_singles(work, space, problem.singles[work, space])


def _integer(problem: Problem, priced: _Priced, seconds: float, gap: float) -> Solution:
    x, top = priced.relaxed.x, priced.relaxed.value
    if (np.abs(x - np.round(x)) < 1e-6).all():
        return _solution(priced.columns, np.flatnonzero(x > 0.5), top)
    near = _columns_within(problem, priced, NEAR)
    chosen = max((_dive(priced.rows, near, share) for share in DIVES), key=lambda one: float(near.value[one].sum()))
    if priced.rows.spaces > PART:  # a smaller plan is one part: it is solved whole at once
        chosen = _polished(priced.rows, near, chosen, top, gap)
    found = _solution(near, chosen, top)
    if found.gap <= gap:
        return found
    rest = _columns_within(problem, priced, top - found.objective + 1e-6)
    better, bound = whole(priced.rows, rest, seconds, gap=gap)
    # A plan better than `found` uses none of the columns left out: each would cost more than the whole slack.
    bound = min(top, max(bound, found.objective))
    if better is not None:
        second = _solution(rest, better, bound)
        if second.objective >= found.objective:
            return second
    return Solution(found.columns, found.objective, bound)


def _polished(rows: Rows, columns: Columns, chosen: Array, top: float, gap: float) -> Array:
    """A plan bettered by opening a part of its spaces at a time and solving that part exactly; the others stay.

    The parts are drawn from a fixed seed; it ends when the plan is proved within `gap`, or after so many parts.
    """
    draw = np.random.default_rng(0)
    for _ in range(PARTS):
        value = float(columns.value[chosen].sum())
        if top - value <= gap * abs(top):
            break
        opened = np.zeros(rows.spaces, dtype=bool)
        opened[draw.permutation(rows.spaces)[:PART]] = True
        matched = chosen[columns.twin[chosen] != NONE]
        torn = matched[opened[columns.space[matched]] | opened[columns.twin[matched]]]
        opened[columns.space[torn]] = opened[columns.twin[torn]] = True
        kept = chosen[~opened[columns.space[chosen]]]
        free = opened[columns.space]
        for column in kept:
            free &= ~columns.clashing(rows, int(column))
        at = np.flatnonzero(free)
        found, _ = whole(rows, columns.take(np.sort(np.concatenate([at, kept]))), PART_SECONDS)
        if found is not None:
            better = np.sort(np.concatenate([at, kept]))[found]
            if columns.value[better].sum() > value + EPSILON:
                chosen = better
    return chosen


def _dive(rows: Rows, columns: Columns, share: float) -> Array:
    """A whole plan by fixing, again and again, what the linear program is surest of: every column of at least `share`,
    or else the greatest. Every space may stay bare, so no fixing can make the rest impossible."""
    left = np.ones(len(columns.value), dtype=bool)
    fixed = np.zeros(len(columns.value), dtype=bool)
    while fixed.sum() + (columns.twin[fixed] != NONE).sum() != rows.spaces:
        at = np.flatnonzero(left)
        x = relax(rows, columns.take(at)).x
        x[fixed[at]] = 0
        sure = at[x >= share] if (x >= share).any() else at[[int(np.argmax(x))]]
        for column in sure:
            if left[column]:
                fixed[column] = True
                left &= ~columns.clashing(rows, int(column))
    return np.flatnonzero(fixed)


def _columns_within(problem: Problem, priced: _Priced, slack: float, most: int | None = None) -> Columns:
    """Every column of the problem whose price lies within `slack` of paying for itself; the nearest `most`."""
    rows, relaxed = priced.rows, priced.relaxed
    fixed = _seeded(problem, np.zeros(problem.size, dtype=bool))
    gain = relaxed.single_gain(rows, problem.singles)
    least = -slack
    if most is not None:
        every = np.concatenate([gain.ravel(), relaxed.gains(rows, fixed)])
        if len(every) > most:
            least = max(least, float(-np.partition(-every, most)[most]))
    work, space = np.nonzero((gain >= least) & np.isfinite(gain))
    kept = (relaxed.gains(rows, fixed) >= least) | (np.arange(len(fixed.value)) < rows.spaces)
    return fixed.take(np.flatnonzero(kept)).with_singles(work, space, problem.singles[work, space])


def _solution(columns: Columns, chosen: Array, bound: float) -> Solution:
    parts = (part for c in chosen for part in columns.parts_of(int(c)))
    found = tuple(sorted(parts, key=lambda one: one.space))
    objective = math.fsum(one.value for one in found)
    return Solution(found, objective, max(bound, objective))
