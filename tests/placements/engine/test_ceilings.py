"""Free rectangles under ceilings that slope or step, against shapely and against all places on a grid."""

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from placements.engine.ceilings import Aims, ceiling_over, free_rectangles, kept_below
from placements.engine.geometry import from_edges, maximal_empty_rectangles
from placements.engine.house import Rect, Wall

LENGTH, HEIGHT = 4000.0, 2600.0


def under(points, length: float = LENGTH, height: float = HEIGHT) -> Wall:
    return Wall("w", "r", "W", length, height, ceiling=tuple(points))


GABLE = under([(0, 1200), (2000, 2600), (4000, 1200)])
ATTIC = under([(0, 1000), (1600, 2600), (4000, 2600)])
STEP = under([(0, 2600), (1500, 2600), (1500, 2200), (4000, 2200)])
VALLEY = under([(0, 2600), (2000, 1500), (4000, 2600)])
CEILINGS = {"gable": GABLE, "attic": ATTIC, "step": STEP, "valley": VALLEY}


@st.composite
def ceilings(draw):
    count = draw(st.integers(2, 5))
    inner = sorted(draw(st.lists(st.integers(1, 39), min_size=count - 2, max_size=count - 2)))
    across = [0, *(100.0 * one for one in inner), LENGTH]
    heights = [100.0 * draw(st.integers(9, 26)) for _ in across]
    heights[draw(st.integers(0, count - 1))] = HEIGHT
    points = list(zip(across, heights, strict=True))
    if any(a == b == c for a, b, c in zip(across, across[1:], across[2:], strict=False)):
        points = [points[0], points[-1]] if max(heights[0], heights[-1]) == HEIGHT else [(0, HEIGHT), (LENGTH, 900.0)]
    return under(points)


@st.composite
def obstacles(draw):
    found = []
    for _ in range(draw(st.integers(0, 3))):
        left, bottom = draw(st.integers(0, 36)) * 100.0, draw(st.integers(0, 20)) * 100.0
        found.append(Rect(left, bottom, draw(st.integers(1, 12)) * 100.0, draw(st.integers(1, 12)) * 100.0))
    return found


def polygon(wall: Wall) -> shapely.Polygon:
    """The wall's face."""
    return shapely.Polygon([(0, 0), (wall.length, 0), *reversed(wall.ceiling)])


def box(rect: Rect) -> shapely.Polygon:
    return shapely.box(rect.left, rect.bottom, rect.right, rect.top)


BOUNDS = from_edges(100.0, 300.0, LENGTH - 100.0, HEIGHT)


@settings(max_examples=100, deadline=None)
@given(ceilings(), obstacles(), st.sampled_from([0.0, 50.0, 152.4, 400.0]))
def test_every_rectangle_lies_on_the_wall_clear_of_obstacles_and_of_the_ceiling_by_its_margin(wall, solid, margin):
    line = shapely.LineString(wall.ceiling)
    for rect in free_rectangles(wall, BOUNDS, solid, margin, Aims(((1600.0, 1.0),), (600.0,))):
        place = box(rect)
        assert polygon(wall).buffer(1e-6).contains(place)
        assert line.distance(place) >= margin - 1e-6
        assert all(box(one).intersection(place).area < 1e-6 for one in solid)
        assert box(BOUNDS).buffer(1e-6).contains(place)


@settings(max_examples=60, deadline=None)
@given(ceilings(), obstacles())
def test_none_on_a_grid_of_places_is_larger_than_the_largest(wall, solid):
    """Brute force: every left and right edge 100 mm apart, on every foot, as high as ceiling and obstacles let it."""
    largest = max((one.width * one.height for one in free_rectangles(wall, BOUNDS, solid, 0.0)), default=0.0)
    edges = np.arange(BOUNDS.left, BOUNDS.right + 1, 100.0)
    lowest = np.array([_height(wall, x) for x in edges])
    found = 0.0
    for foot in {BOUNDS.bottom, *(one.top for one in solid if one.top > BOUNDS.bottom)}:
        for i, j in itertools.combinations(range(len(edges)), 2):
            left, right = edges[i], edges[j]
            top = min([lowest[i : j + 1].min(), *(y for x, y in wall.ceiling if left <= x <= right)])
            above = [one.bottom for one in solid if one.left < right and one.right > left and one.top > foot]
            found = max(found, (right - left) * (min([top, *above]) - foot))
    assert largest >= found - 1e-6


def _height(wall: Wall, x: float) -> float:
    """The lowest height of the ceiling at x."""
    across, up = np.array(wall.ceiling).T
    here = up[np.isclose(across, x)]
    return float(here.min() if len(here) else np.interp(x, across, up))


def test_the_largest_rectangle_under_a_gable_is_the_one_of_the_textbook():
    """In a triangle the largest rectangle on the base is half as wide and half as high (calculus, common knowledge)."""
    wall = under([(0, 1.0), (2000, 2600), (4000, 1.0)])
    found = free_rectangles(wall, from_edges(0, 1.0, LENGTH, HEIGHT), [], 0.0)
    best = max(found, key=lambda one: one.width * one.height)
    assert (best.left, best.width, best.height) == pytest.approx((1000, 2000, 2599 / 2))


def test_the_margin_is_measured_square_to_a_slope():
    """At 45 degrees 100 mm square to the line are 100 x sqrt(2) straight down (Pythagoras)."""
    wall = under([(0, 1000), (1600, 2600), (4000, 2600)])
    sloped = next(one for one in kept_below(wall, 100.0) if one.slope > 0)
    assert sloped.at(800.0) == pytest.approx(1800.0 - 100.0 * math.sqrt(2))


@pytest.mark.parametrize("wall", CEILINGS.values(), ids=CEILINGS)
@pytest.mark.parametrize("margin", [0.0, 152.4])
def test_the_line_that_art_keeps_below_is_shapelys_offset(wall, margin):
    """Between corners it is the ceiling shifted square to itself; at corners it never lies nearer than the margin."""
    line, kept = shapely.LineString(wall.ceiling), kept_below(wall, margin)
    for x in range(0, 4001, 37):
        here = [one.at(x) for one in kept if one.x0 <= x <= one.x1]
        if not here:
            continue
        gap = line.distance(shapely.Point(x, min(here)))
        assert gap >= margin - 1e-6
        if len(here) == 1 and abs(next(one for one in kept if one.x0 <= x <= one.x1).slope) > 0:
            assert gap == pytest.approx(margin)


@given(obstacles())
def test_under_a_level_ceiling_all_is_as_it_was(solid):
    level = Wall("w", "r", "W", LENGTH, HEIGHT)
    bounds = from_edges(100.0, 300.0, LENGTH - 100.0, HEIGHT - 152.4)
    assert free_rectangles(level, BOUNDS, solid, 152.4) == maximal_empty_rectangles(bounds, solid)


@settings(max_examples=60, deadline=None)
@given(obstacles())
def test_a_line_drawn_level_gives_what_a_level_ceiling_gives(solid):
    level = Wall("w", "r", "W", LENGTH, HEIGHT)
    drawn = under([(0, HEIGHT), (LENGTH, HEIGHT)])
    flat = set(free_rectangles(level, BOUNDS, solid, 152.4))
    found = free_rectangles(drawn, BOUNDS, solid, 152.4)
    assert flat <= set(found)
    assert all(any(box(one).buffer(1e-6).contains(box(other)) for one in flat) for other in found)


def test_the_ceiling_over_a_stretch_is_its_highest_point_there():
    assert ceiling_over(GABLE, 0, 1000) == pytest.approx(1900)
    assert ceiling_over(GABLE, 500, 3000) == 2600
    assert ceiling_over(Wall("w", "r", "W", LENGTH, HEIGHT), 0, 100) == HEIGHT
