"""What sloped ceilings, open doors, knee walls, wainscots and rails do to the free spaces. Lengths in inches."""

import pytest
import shapely

from placements.engine.house import House, Rail, Room, Swing
from placements.engine.spaces import find_spaces
from tests.scenes import INCH, SOFA, house, item, wall

#: A dormer wall: a knee wall of 4 ft on the left, rising to 9 ft over 5 ft. Common practice, no source.
KNEE = ((0.0, 48 * INCH), (60 * INCH, 108 * INCH), (168 * INCH, 108 * INCH))


def spaces(*items, use: str = "living", **more):
    return find_spaces(house(walls=(wall(*items, **more),), use=use))


def inches(rect) -> tuple[float, ...]:
    return tuple(round(mm / INCH, 3) for mm in (rect.left, rect.bottom, rect.right, rect.top))


def test_free_spaces_keep_the_ceiling_margin_square_to_a_slope():
    found = spaces(ceiling=KNEE)
    line = shapely.LineString(KNEE)
    assert found
    for one in found:
        area = shapely.box(one.rect.left, one.rect.bottom, one.rect.right, one.rect.top)
        assert line.distance(area) >= 6 * INCH - 1e-6
        assert shapely.Polygon([(0, 0), (168 * INCH, 0), *reversed(KNEE)]).contains(area)


def test_over_a_sofa_under_a_slope_the_free_wall_ends_at_the_slope():
    under = spaces(SOFA, ceiling=KNEE)
    level = spaces(SOFA)
    over = {kind: next(one for one in found if one.over == "sofa") for kind, found in (("s", under), ("l", level))}
    assert over["s"].rect.width * over["s"].rect.height < over["l"].rect.width * over["l"].rect.height
    assert over["s"].rect.right == over["l"].rect.right
    assert over["s"].width_basis == SOFA.width


def test_a_wall_no_higher_than_a_knee_wall_takes_nothing_at_the_eye_line():
    assert spaces(length=120, height=42) == ()


def test_an_open_door_keeps_art_clear_of_the_wall_that_its_leaf_covers():
    door = item("door", 60, 0, 36, 84, swing=Swing("left", 30 * INCH, "this_wall"))
    shut = item("door", 60, 0, 36, 84)
    left_of = {space.rect.right for space in spaces(shut) if space.rect.right < 60 * INCH}
    assert left_of == {57 * INCH}  # 3 in from the casing
    freed = [space for space in spaces(door) if space.rect.right < 60 * INCH]
    assert {round(one.rect.right / INCH, 3) for one in freed} == {30.0}  # the leaf covers 33 to 63 in, less 3 in


def test_a_door_that_opens_against_the_next_wall_keeps_art_clear_there():
    door = item("door", 0, 0, 36, 84, swing=Swing("left", 30 * INCH, "next_wall"))
    north, east, south, west = (wall(*items, id=one) for one, items in zip("nesw", ((door,), (), (), ()), strict=True))
    found = find_spaces(House((Room("r", "Room", walls=(north, east, south, west), around=True),)))
    free = {one: max(s.rect.right for s in found if s.wall == one) / INCH for one in "esw"}
    assert free == pytest.approx({"e": 164, "s": 164, "w": 135})  # 168 less the leaf's 30 in and 3 in


def test_art_hangs_above_a_chair_rail_and_never_across_it():
    rail = item("chair_rail", 0, 32, 168, 3)
    (free,) = spaces(rail)
    assert inches(free.rect) == (4, 38, 164, 102)  # 3 in above the rail


def test_over_a_sofa_before_a_chair_rail_the_free_wall_begins_above_the_rail():
    rail = item("chair_rail", 0, 36, 168, 3)
    over = next(space for space in spaces(rail, SOFA) if space.over == "sofa")
    assert inches(over.rect)[1] == 42
    assert over.width_basis == SOFA.width


def test_above_a_bench_far_below_a_chair_rail_the_wall_leads():
    bench, rail = item("bench", 60, 0, 48, 18), item("chair_rail", 0, 36, 168, 3)
    (free,) = spaces(bench, rail)
    assert (free.kind, inches(free.rect)) == ("open_wall", (4, 42, 164, 102))


@pytest.mark.parametrize("high", [36, 72])
def test_art_hangs_above_a_wainscot_or_wholly_within_it(high):
    edge = item("wainscot", 0, 0, 168, high)
    found = spaces(edge, height=144)
    assert found
    for one in found:
        low, top = one.rect.bottom / INCH, one.rect.top / INCH
        assert low >= high + 3 - 1e-9 or top <= high - 3 + 1e-9


def test_art_hangs_below_a_picture_rail():
    rail = item("picture_rail", 0, 84, 168, 2)
    (free,) = spaces(rail)
    assert inches(free.rect) == (4, 12, 164, 81)
    assert inches(next(space for space in spaces(rail, SOFA) if space.over == "sofa").rect)[3] == 81


def test_along_a_stair_under_a_sloping_ceiling_the_band_lies_under_it():
    rail = {"from_x": 10.0, "from_y": 34.0, "to_x": 150.0, "to_y": 134.0}
    climb = ((0.0, 100 * INCH), (160 * INCH, 220 * INCH), (168 * INCH, 220 * INCH))
    along = wall(height=220, rail=Rail(*(mm * INCH for mm in rail.values())), ceiling=climb)
    level = wall(height=220, rail=Rail(*(mm * INCH for mm in rail.values())))
    for on, line in ((along, shapely.LineString(climb)), (level, shapely.LineString([(0, 5588), (5000, 5588)]))):
        (free,) = (space for space in find_spaces(house(walls=(on,), use="stair")) if space.kind == "stair")
        area = shapely.box(free.rect.left, free.rect.bottom, free.rect.right, free.rect.top)
        assert line.distance(area) >= 6 * INCH - 1e-6
        assert free.rect.width > 24 * INCH
