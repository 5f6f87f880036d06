"""Rooms in plan, against what surveying says of traverses and what can be reckoned by hand.

The compass rule is by its authors' own claim the adjustment of least squares where the error of a leg grows with its
length (Bowditch, The Analyst, 1808, quoted from memory), so it is held against a least-squares solution reckoned apart.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.drawings.floor import OnWall, draw_plan
from placements.engine.house import Item, Room, Swing, Wall
from placements.plans.outline import outline

M = 1000.0


def wall(name: str, length: float, faces: float | None = None, *items: Item) -> Wall:
    return Wall(name, "r", name.title(), length, 2600.0, faces_deg=faces, items=items)


def room(*walls: Wall, around: bool = True) -> Room:
    return Room("r", "Room", "living", walls=walls, around=around)


OBLONG = room(wall("north", 5 * M), wall("east", 4 * M), wall("south", 5 * M), wall("west", 4 * M))


def test_four_walls_around_make_an_oblong_with_its_area_and_no_misfit() -> None:
    told = outline(OBLONG)
    assert told is not None
    assert told.closed
    assert told.misfit_mm < 1e-6
    assert told.area_mm2 == pytest.approx(20e6)
    assert told.bounds == pytest.approx((0, -4 * M, 5 * M, 0), abs=1e-6)
    # Facing the first wall its right end is to the right; the room lies below it, the next wall at the right.
    assert told.legs[0].inward == pytest.approx((0, -1), abs=1e-9)
    assert told.legs[1].inward == pytest.approx((-1, 0), abs=1e-9)


def test_bearings_turn_the_plan_and_put_walls_in_order() -> None:
    """A wall on the north side looks south (180 degrees); given in any order."""
    walls = [wall("south", 5 * M, 0), wall("north", 5 * M, 180), wall("west", 4 * M, 90), wall("east", 4 * M, 270)]
    told = outline(room(*walls, around=False))
    assert told is not None
    assert told.north
    assert told.closed
    at = {leg.wall.id: leg for leg in told.legs}
    assert at["north"].inward == pytest.approx((0, -1), abs=1e-9)
    assert at["west"].inward == pytest.approx((1, 0), abs=1e-9)
    assert at["north"].start[1] > at["south"].start[1]
    assert at["east"].start[0] > at["west"].start[0]


def test_a_bay_with_two_splays_closes_by_its_angles() -> None:
    """A bay: 3 m wide and 1 m deep with sides at 45 degrees; the splays are each sqrt(2) m, its front 1 m."""
    side = math.sqrt(2) * M
    walls = [
        wall("splay-left", side, 135), wall("front", 1 * M, 180), wall("splay-right", side, 225),
        wall("east", 3 * M, 270), wall("south", 3 * M, 0), wall("west", 3 * M, 90),
    ]  # fmt: skip
    told = outline(room(*walls))
    assert told is not None
    assert told.closed
    assert told.misfit_mm < 1e-6
    assert told.area_mm2 == pytest.approx((9 + (3 + 1) / 2) * 1e6)


lengths = st.floats(2000, 8000)


@given(lengths, lengths, st.tuples(*[st.floats(-40, 40)] * 4))
def test_the_misfit_is_shared_as_least_squares_does(long: float, short: float, slips: tuple[float, ...]) -> None:
    true = [long, short, long, short]
    walls = [wall(f"w{k}", one + slip) for k, (one, slip) in enumerate(zip(true, slips, strict=True))]
    measured, closed = outline(room(*walls)), outline(room(*walls), shared=True)
    assert measured is not None
    assert closed is not None
    assert measured.misfit == pytest.approx((slips[2] - slips[0], slips[1] - slips[3]), abs=1e-6)
    assert closed.legs[-1].end == pytest.approx(closed.legs[0].start, abs=1e-6)
    # Least sum of squared corrections over lengths that closes, as one system with its multiplier.
    legs = np.array([(leg.end[0] - leg.start[0], leg.end[1] - leg.start[1]) for leg in measured.legs])
    weights = np.array([one.length for one in walls])
    for axis in (0, 1):
        system = np.block([[np.diag(2 / weights), np.ones((4, 1))], [np.ones((1, 4)), np.zeros((1, 1))]])
        solved = np.linalg.solve(system, np.array([0, 0, 0, 0, -legs[:, axis].sum()]))[:4]
        found = [leg.end[axis] - leg.start[axis] for leg in closed.legs]
        assert found == pytest.approx((legs[:, axis] + solved).tolist(), abs=1e-6)


def test_three_walls_leave_a_side_open_and_one_stands_alone() -> None:
    told = outline(room(*OBLONG.walls[:3]))
    assert told is not None
    assert not told.closed
    assert told.area_mm2 == 0
    assert told.bounds == pytest.approx((0, -4 * M, 5 * M, 0), abs=1e-6)
    alone = outline(room(OBLONG.walls[0]))
    assert alone is not None
    assert not alone.closed
    assert outline(room()) is None


def test_two_walls_that_look_at_each_other_stand_on_facing_sides_whatever_is_missing_between() -> None:
    told = outline(room(wall("south", 5 * M, 0), wall("north", 3 * M, 180), around=False))
    assert told is not None
    assert not told.closed
    at = {leg.wall.id: leg for leg in told.legs}
    assert at["north"].start[1] - at["south"].start[1] == pytest.approx(0.75 * 5 * M)
    assert at["north"].inward == pytest.approx((0, -1), abs=1e-9)
    assert at["south"].inward == pytest.approx((0, 1), abs=1e-9)
    west = outline(room(wall("north", 5 * M, 180), wall("west", 4 * M, 90), around=False))
    assert west is not None
    assert {leg.wall.id: leg for leg in west.legs}["west"].start[0] == pytest.approx(0, abs=1e-6)


def test_furniture_stands_before_its_wall_by_its_depth() -> None:
    sofa = Item("sofa", "sofa", 1000.0, 0.0, 2000.0, 850.0, depth=900.0)
    told = outline(room(wall("north", 5 * M, None, sofa), *OBLONG.walls[1:]))
    assert told is not None
    corners = told.legs[0].before(sofa)
    assert np.array(corners) == pytest.approx(np.array([(1000, 0), (3000, 0), (3000, -900), (1000, -900)]), abs=1e-6)


def test_the_drawing_cuts_doors_out_and_tells_what_is_where() -> None:
    door = Item("door", "door", 500.0, 0.0, 900.0, 2050.0, swing=Swing("right", 900.0, "this_wall"))
    window = Item("window", "window", 1000.0, 900.0, 1500.0, 1200.0)
    told = outline(room(wall("north", 5 * M, None, door), wall("east", 4 * M, None, window), *OBLONG.walls[2:]))
    assert told is not None
    art = [OnWall("south", 1500.0, 1400.0, 40.0, "Slack water")]
    svg = draw_plan(told, art, {}, title="Room in plan", width=560, height=460, text=12)
    assert svg.count('class="sweep"') == 1
    cut = svg.split('class="cut"')[1].split("</g>")[0]
    assert cut.count("<path") == 6  # two walls with an opening in two parts, two whole
    assert "South: “Slack water”." in svg
    assert "North: Door." in svg
    assert "Room in plan" in svg
