"""The plan of whole houses: how its time grows, and what its choice costs against an assignment alone."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
from scipy.optimize import linear_sum_assignment
from scipy.sparse import csc_array

from placements.engine.facade import propose
from placements.engine.plan.packing import Packing, pack
from tests.benchmarks import Row
from tests.benchmarks.houses import house

#: Walls, works and the seconds of one core that a proposal of such a house may take.
HOUSES = ((10, 30, 0.5), (60, 120, 3.0), (300, 600, 20.0))
SMALL = ((4, 10, 0.5), (10, 30, 0.5))
#: Time a wall in the largest house, against the smallest.
GROWTH = 4.0


def rows(*, smoke: bool) -> Iterator[Row]:
    each: list[float] = []
    for walls, works, bar in SMALL if smoke else HOUSES:
        seconds, gaps = [], []
        for seed in range(1 if smoke or walls > 100 else 3):
            took, found = _timed(
                lambda told: propose(told, pairings=False, remedies=False, alternatives=0), house(walls, works, seed)
            )
            seconds.append(took)
            gaps.append(found.optimality.gap)
        each.append(statistics.median(seconds) / walls)
        yield Row(
            f"plan of {walls} walls × {works} works with sets and groups: time against {bar:g} s",
            f"{statistics.median(seconds):.2f} s ({min(seconds):.2f}–{max(seconds):.2f}), gap {max(gaps):.2%} at worst",
            statistics.median(seconds) / bar,
            1.0,
            at_least=False,
        )
    yield Row(
        "time a wall, the largest of these houses against the smallest",
        f"{1000 * each[-1]:.1f} ms / {1000 * each[0]:.1f} ms",
        each[-1] / each[0],
        GROWTH,
        at_least=False,
    )
    size = (200, 60) if smoke else (2000, 500)
    value = _values(*size)
    took, best = _timed(pack, _packing(value))
    exact_took, exact = _timed(_assigned, value)
    assert abs(best.objective - exact) < 1e-6 * exact, (best.objective, exact)
    yield Row(
        f"choice of {size[0]} × {size[1]} singles: time against 1 s",
        f"{took:.2f} s, gap {best.gap:.1%}; scipy's assignment {exact_took:.2f} s, the same optimum",
        took / 1.0 + best.gap,
        1.0,
        at_least=False,
    )


def _timed(act: Callable[[Any], Any], given: Any) -> tuple[float, Any]:
    began = time.process_time()
    found = act(given)
    return time.process_time() - began, found


def _values(works: int, spaces: int) -> np.ndarray:
    """Works and spaces as points of size and shape; the farther apart, the less a pair is worth; a third is barred."""
    rng = np.random.default_rng((works, spaces))
    away = rng.normal(size=(works, 1, 3)) - rng.normal(size=(1, spaces, 3))
    value = 100 / (1 + (away**2).sum(axis=2))
    value[rng.random(value.shape) < 0.3] = 0.0
    return value


def _packing(value: np.ndarray) -> Packing:
    works, spaces = np.nonzero(value)
    columns = np.arange(len(works))
    rows = np.concatenate([spaces, value.shape[1] + works])
    taken = csc_array((np.ones(2 * len(works)), (rows, np.tile(columns, 2))), shape=(sum(value.shape), len(works)))
    return Packing(value[works, spaces], taken, np.ones(sum(value.shape)))


def _assigned(value: np.ndarray) -> float:
    chosen = linear_sum_assignment(value, maximize=True)
    return float(value[chosen].sum())
