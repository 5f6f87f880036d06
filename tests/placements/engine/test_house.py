"""What a survey may say of ceilings, doors and the order of walls, and what follows for each wall."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.engine.errors import InvalidHouse
from placements.engine.house import House, Room, Swing, Wall, ceiling_fault
from studio.services import rooms
from tests.scenes import INCH, item, wall


def box(around: bool = True, bearings: bool = False, **items) -> Room:
    """Four walls given clockwise: north looks south, east looks west, and so on."""
    named = {"n": 180.0, "e": 270.0, "s": 0.0, "w": 90.0}
    walls = (wall(*items.get(one, ()), id=one, faces_deg=turn if bearings else None) for one, turn in named.items())
    return Room("r", "Room", walls=tuple(walls), around=around)


@pytest.mark.parametrize(
    "told", [{"around": True}, {"around": False, "bearings": True}], ids=["by order", "by bearing"]
)
def test_neighbours_are_told_by_the_order_of_the_walls_or_by_their_bearings(told):
    room = box(**told)
    north, east, south, west = room.walls
    assert (room.beside(north, "right"), room.beside(north, "left")) == (east, west)
    assert (room.beside(west, "right"), room.beside(east, "left")) == (north, north)
    assert room.opposite(east) == west
    assert room.opposite(south) == north


def test_nothing_is_said_of_neighbours_where_the_survey_does_not_tell():
    room = box(around=False)
    assert room.beside(room.walls[0], "left") is None
    assert room.opposite(room.walls[0]) is None


def test_the_wall_opposite_a_door_is_seen_first():
    assert [one.id for one in box(s=(item("door", 10, 0, 36, 84),)).first_seen()] == ["n"]
    assert box().first_seen() == ()


def leaf_of(swing: Swing, left: float = 0.0) -> dict[str, tuple[float, ...]]:
    """Wall id -> [left, bottom, width, height] in inches of the leaf of a door of 36 x 84 in on the north wall."""
    house = House((box(n=(item("door", left, 0, 36, 84, swing=swing),)),))
    return {
        one.id: tuple(round(mm / INCH, 3) for mm in (thing.left, thing.bottom, thing.width, thing.height))
        for _, one in house.walls()
        for thing in one.items
        if thing.kind == "door_leaf"
    }


def test_a_leaf_that_opens_back_covers_its_own_wall_beside_the_hinges():
    # 36 in of door with a leaf of 30 in: 3 in of casing on either side and above.
    assert leaf_of(Swing("left", 30 * INCH, "this_wall"), left=60) == {"n": (33, 0, 30, 81)}
    assert leaf_of(Swing("right", 30 * INCH, "this_wall"), left=60) == {"n": (93, 0, 30, 81)}


def test_a_leaf_that_opens_into_the_corner_covers_the_wall_that_meets_it():
    # On the left of the north wall stands the west wall, whose right end (168 in) is that corner.
    assert leaf_of(Swing("left", 30 * INCH, "next_wall")) == {"w": (138, 0, 30, 81)}
    assert leaf_of(Swing("right", 30 * INCH, "next_wall"), left=132) == {"e": (0, 0, 30, 81)}


@pytest.mark.parametrize("opens", ["square", "out"])
def test_a_leaf_that_stands_against_nothing_covers_nothing(opens):
    assert leaf_of(Swing("left", 30 * INCH, opens)) == {}


def test_a_house_keeps_its_walls_as_surveyed_beside_the_leaves():
    room = box(n=(item("door", 60, 0, 36, 84, swing=Swing("left", 762.0, "this_wall")),))
    house = House((room,))
    assert [item.kind for item in house.wall_by_id["n"].items] == ["door", "door_leaf"]
    assert [item.kind for item in house.rooms[0].walls[0].items] == ["door"]
    house.validate()


def test_the_low_end_of_a_ceiling_is_a_knee_wall():
    sloped = wall(ceiling=((0.0, 48 * INCH), (60 * INCH, 108 * INCH), (168 * INCH, 108 * INCH)))
    assert sloped.knee == 48 * INCH
    assert wall().knee is None
    House((Room("r", "Room", walls=(sloped,)),)).validate()


def test_a_ceiling_that_does_not_fit_its_wall_is_named():
    wrong = Wall("a", "r", "A", 4000.0, 2500.0, ceiling=((0.0, 2500.0), (3000.0, 2000.0)))
    with pytest.raises(InvalidHouse, match="the ceiling of wall 'a' is wrong: the line begins"):
        House((Room("r", "Room", walls=(wrong,)),)).validate()


@given(st.lists(st.tuples(st.sampled_from([0, 1, 2, 4]), st.sampled_from([0, 1, 2, 3])), max_size=6))
def test_what_is_stored_and_what_is_read_are_checked_alike(points):
    assert ceiling_fault(tuple(points), 4, 3) == rooms.ceiling_fault([list(point) for point in points], 4, 3)
