"""The plan: proved optima of large projects, against all columns at once and against their bars."""

from __future__ import annotations

import time
from collections.abc import Iterator

import numpy as np
from scipy.optimize import linear_sum_assignment

from placements.engine.assignment import Column, Problem, Solution, solve
from placements.engine.assignment.master import Columns, Rows, relax
from tests.benchmarks import Row

#: Advice is mostly to hang: what leaving bare is worth, and how often.
BARE, HOW_OFTEN = (65.0, 86.0, 97.0), (0.7, 0.2, 0.1)


def project(works: int, spaces: int, seed: int) -> Problem:
    """Works and spaces as points of size and shape; the farther apart, the less a pair is worth; a third is barred."""
    rng = np.random.default_rng((works, spaces, seed))
    away = rng.normal(size=(works, 1, 3)) - rng.normal(size=(1, spaces, 3))
    singles = 100 / (1 + (away**2).sum(axis=2))
    singles[rng.random(singles.shape) < 0.3] = -np.inf
    return Problem(singles, rng.choice(BARE, spaces, p=HOW_OFTEN))


def with_groups(works: int, spaces: int, seed: int) -> Problem:
    """The same with forty groups a space of two to six works, and works that must not share a room."""
    plain = project(works, spaces, seed)
    rng = np.random.default_rng((works, spaces, seed, 1))
    groups = [
        Column(
            j, tuple(int(i) for i in rng.choice(works, rng.integers(2, 7), replace=False)), float(rng.uniform(70, 100))
        )
        for j in range(spaces)
        for _ in range(40)
    ]
    apart = [tuple(int(i) for i in rng.choice(works, 2, replace=False)) for _ in range(works // 10)]
    return Problem(plain.singles, plain.bare, groups, (), apart, np.arange(spaces) // 4)


def rows(*, smoke: bool) -> Iterator[Row]:
    size = (200, 60) if smoke else (2000, 500)
    problem = project(*size, seed=1)
    seconds, best = _timed(problem)
    exact = _scipy(problem)
    assert abs(best.objective - exact) < 1e-6 * exact
    yield Row(
        f"plan of {size[0]} × {size[1]} singles: time against 2 s",
        f"{seconds:.2f} s, gap {best.gap:.1%}, scipy's optimum",
        seconds / 2.0 + best.gap,
        1.0,
        at_least=False,
    )
    half = (100, 40) if smoke else (500, 200)
    middle = project(*half, seed=2)
    quick, _ = _timed(middle)
    slow = _all_at_once(middle)
    yield Row(
        f"plan of {half[0]} × {half[1]}: all columns at once / priced",
        f"{slow:.2f} s / {quick:.3f} s",
        slow / quick,
        5.0,
    )
    group_size = (50, 30) if smoke else (150, 80)
    worst_time, worst_gap = 0.0, 0.0
    for seed in range(1 if smoke else 3):
        seconds, best = _timed(with_groups(*group_size, seed=seed), seconds=0.8, gap=0.008)
        worst_time, worst_gap = max(worst_time, seconds), max(worst_gap, best.gap)
    yield Row(
        f"plan of {group_size[0]} × {group_size[1]} with groups: time against 2 s",
        f"{worst_time:.2f} s at worst",
        worst_time / 2.0,
        1.0,
        at_least=False,
    )
    yield Row(
        f"plan of {group_size[0]} × {group_size[1]} with groups: gap in %",
        f"{worst_gap:.2%} at worst",
        100 * worst_gap,
        1.0,
        at_least=False,
    )


def _timed(problem: Problem, **limits: float) -> tuple[float, Solution]:
    began = time.process_time()
    best = solve(problem, **limits)
    return time.process_time() - began, best


def _all_at_once(problem: Problem) -> float:
    """The linear program over every column."""
    began = time.process_time()
    work, space = np.nonzero(np.isfinite(problem.singles))
    bare = Columns.of([Column(j, (), float(value)) for j, value in enumerate(problem.bare)])
    relax(Rows.of(problem), bare.with_singles(work, space, problem.singles[work, space]))
    return time.process_time() - began


def _scipy(problem: Problem) -> float:
    never = -1e7
    singles = np.where(np.isfinite(problem.singles), problem.singles, never).T
    table = np.hstack([singles, np.where(np.eye(len(problem.bare), dtype=bool), problem.bare[:, None], never)])
    chosen = linear_sum_assignment(table, maximize=True)
    return float(table[chosen].sum())
