"""The choice of columns against trying every one, and the outlines of casts against their pieces laid out."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from scipy.sparse import csc_array

from placements.engine.plan import packing
from placements.engine.plan.casts import Gaps, casts_of
from placements.engine.plan.kinds import kinds_of
from placements.engine.plan.packing import Packing, pack
from placements.engine.rulebook import Rulebook
from tests.scenes import house, wall, work


def problem(seed: int, columns: int = 11) -> Packing:
    """A few columns over seven rows, each taking one to three of them, of whole values so that some tie."""
    rng = np.random.default_rng(seed)
    rows = np.zeros((7, columns))
    for at in range(columns):
        rows[rng.choice(7, size=rng.integers(1, 4), replace=False), at] = 1.0
    return Packing(rng.integers(1, 30, columns).astype(float), csc_array(rows), rng.integers(1, 3, 7).astype(float))


def best_of_all(given: Packing) -> float:
    rows = given.rows.toarray()
    choices = itertools.product((0.0, 1.0), repeat=len(given.value))
    return max(float(given.value @ one) for one in map(np.array, choices) if (rows @ one <= given.limit).all())


def held(given: Packing, columns: tuple[int, ...]) -> bool:
    return bool((given.rows[:, list(columns)].sum(axis=1) <= given.limit).all())


@pytest.mark.parametrize("seed", range(12))
def test_small_problems_are_solved_as_by_trying_everything(seed):
    given = problem(seed)
    found = pack(given)
    assert found.objective == pytest.approx(best_of_all(given))
    assert found.gap == 0
    assert held(given, found.columns)


@pytest.mark.parametrize("seed", range(12))
def test_many_columns_are_chosen_from_by_parts_and_the_bound_holds(seed, monkeypatch):
    """As of a very large house: a few columns first, a part of them in the integer search, bettered by three rows."""
    for name, value in {"AT_ONCE": 3, "FIRST_A_ROW": 1, "ADDED_A_ROW": 1, "MOST": 0, "A_PART": 6, "WINDOW": 3}.items():
        monkeypatch.setattr(packing, name, value)
    given = problem(seed)
    found, best = pack(given), best_of_all(given)
    assert held(given, found.columns)
    assert found.objective == pytest.approx(given.value[list(found.columns)].sum())
    assert 0.8 * best <= found.objective <= best + 1e-6 <= found.bound + 2e-6


def test_an_outline_is_as_large_as_its_pieces_laid_out():
    works = [
        *(work(f"equal-{i}", 12, 16, frame="oak") for i in range(6)),
        *(work(f"pair-{i}", 9, 9, frame="oak") for i in range(2)),
        *(work(f"odd-{i}", 10 + 3 * i, 14, set_name="odd") for i in range(3)),
        work("large", 40, 34, frame="oak"),
        work("like", 12.5, 20, frame="oak"),
    ]
    told = house(*works, walls=(wall(),))
    gaps = Gaps.of(Rulebook.for_house(told))
    forms = [outline for cast in casts_of(kinds_of(told)) for outline in cast.outlines(gaps)]
    assert {one.form for one in forms} == {"single", "row", "column", "grid", "block"}
    for one in forms:
        low, high = one.boxes[:, :2].min(axis=0), one.boxes[:, 2:].max(axis=0)
        assert (high - low).tolist() == pytest.approx([one.width, one.height])
        assert (low + high).tolist() == pytest.approx([0, 0])
        assert len(one.slots) == len(one.boxes)
