"""Maximal empty rectangles against brute force, shapely and an independent library."""

from __future__ import annotations

import itertools
import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box, unary_union

from placements.engine.geometry import common, grown, maximal_empty_rectangles, stretches
from placements.engine.house import Rect

WALL = Rect(0, 0, 12, 9)
SIDES = st.integers(min_value=-2, max_value=11)
OBSTACLES = st.lists(st.builds(Rect, SIDES, SIDES, st.integers(1, 6), st.integers(1, 6)), max_size=7)


def edges(rect: Rect) -> tuple[float, float, float, float]:
    return rect.left, rect.bottom, rect.right, rect.top


def brute_force(wall: Rect, obstacles: list[Rect]) -> set[tuple[float, float, float, float]]:
    """Every empty rectangle with sides on obstacle or wall edges that lies in no larger one."""

    def lines(low: float, high: float, sides: list[tuple[float, float]]) -> list[float]:
        return sorted({low, high, *(min(max(one, low), high) for pair in sides for one in pair)})

    across = lines(wall.left, wall.right, [(o.left, o.right) for o in obstacles])
    upward = lines(wall.bottom, wall.top, [(o.bottom, o.top) for o in obstacles])
    empty = [
        (left, bottom, right, top)
        for left, right in itertools.combinations(across, 2)
        for bottom, top in itertools.combinations(upward, 2)
        if not any(o.left < right and o.right > left and o.bottom < top and o.top > bottom for o in obstacles)
    ]

    def inside(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
        return other[0] <= one[0] and other[1] <= one[1] and other[2] >= one[2] and other[3] >= one[3]

    return {one for one in empty if not any(other != one and inside(one, other) for other in empty)}


@settings(max_examples=150, deadline=None)
@given(OBSTACLES)
def test_every_maximal_empty_rectangle_is_found_once(obstacles):
    found = [edges(one) for one in maximal_empty_rectangles(WALL, obstacles)]
    assert len(found) == len(set(found))
    assert set(found) == brute_force(WALL, obstacles)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(*[st.integers(0, 800).map(lambda value: value / 8)] * 4), max_size=25))
def test_rectangles_are_empty_and_cover_the_free_wall(corners):
    """Against shapely: no rectangle meets an obstacle, and together they are exactly the free part of the wall."""
    wall = Rect(0, 0, 100, 60)
    solid = [Rect(a, b, max(c / 4, 0.5), max(d / 4, 0.5)) for a, b, c, d in corners]
    found = maximal_empty_rectangles(wall, solid)
    blocked = unary_union([box(*edges(one)) for one in solid]) if solid else box(0, 0, 0, 0)
    free = box(*edges(wall)).difference(blocked)
    union = unary_union([box(*edges(one)) for one in found])
    assert union.symmetric_difference(free).area == pytest.approx(0, abs=1e-6)
    for one in found:
        assert box(*edges(one)).intersection(blocked).area == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(
    ("rows", "area"),
    [
        # The classic worked example of the maximal rectangle in a binary matrix.
        pytest.param(["10100", "10111", "11111", "10010"], 6, id="four by five"),
        pytest.param(["111", "011", "100"], 4, id="three by three"),
    ],
)
def test_published_binary_matrices(rows, area):
    grid = np.array([[int(cell) for cell in row] for row in rows], dtype=bool)
    assert max(r.width * r.height for r in maximal_empty_rectangles(*as_wall(grid))) == area


def test_largest_agrees_with_an_independent_library(monkeypatch):
    """The package `largestinteriorrectangle` on walls rastered at whole inches."""
    monkeypatch.setenv("NUMBA_DISABLE_JIT", "1")  # compiling it takes longer than all that it computes here
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        library = pytest.importorskip("largestinteriorrectangle")
    rng = np.random.default_rng(4)
    for _ in range(40):
        grid = rng.random((9, 14)) > 0.2
        grid[0, 0] = True
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            _, _, width, height = library.lir(grid)
        assert max(r.width * r.height for r in maximal_empty_rectangles(*as_wall(grid))) == width * height


def as_wall(grid: np.ndarray) -> tuple[Rect, list[Rect]]:
    """A grid as a wall of unit cells whose False cells are obstacles."""
    rows, columns = grid.shape
    return Rect(0, 0, columns, rows), [Rect(int(x), int(y), 1, 1) for y, x in zip(*np.nonzero(~grid), strict=True)]


def test_a_covered_wall_has_no_rectangle():
    assert maximal_empty_rectangles(WALL, [Rect(-1, -1, 20, 20)]) == []


def test_an_obstacle_beside_the_wall_changes_nothing():
    assert maximal_empty_rectangles(WALL, [Rect(12, 0, 3, 9)]) == [WALL]


def test_helpers():
    assert grown(Rect(2, 2, 4, 4), -1) == Rect(3, 3, 2, 2)
    assert common(Rect(0, 0, 2, 2), Rect(2, 0, 2, 2)) is None
    assert stretches(0, 10, [(2, 3), (2.5, 6), (9, 12)]) == [(0, 2), (6, 9)]
