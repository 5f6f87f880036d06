"""Where objects stand. Facts of the trade: common practice, no source. Lengths in inches."""

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from placements.engine.house import House
from placements.engine.spaces import find_spaces
from placements.engine.spaces.stands import find_stands, stood, takes
from tests.scenes import INCH, house, item, wall, work

NICHE = item("niche", 20, 40, 30, 40, 8)
CONSOLE = item("console", 70, 0, 60, 30, 14)
MANTEL = item("mantel", 50, 0, 60, 52, 9)


def stands(*items, **more):
    return find_stands(house(walls=(wall(*items, **more),)))


def inches(rect):
    return [round(mm / INCH, 3) for mm in (rect.left, rect.bottom, rect.right, rect.top)]


def test_a_niche_takes_what_fits_into_its_width_height_and_depth():
    (niche,) = stands(NICHE)
    assert (niche.id, niche.kind, niche.on, niche.name) == ("w:niche:stand", "niche", "niche", "In the niche")
    assert inches(niche.rect) == [21, 40, 49, 80]
    assert niche.depth == 8 * INCH
    vase = {"form": "object", "depth": 7}
    assert takes(niche, work("a", 12, 30, **vase))
    assert not takes(niche, work("a", 12, 41, **vase))
    assert not takes(niche, work("a", 29, 30, **vase))
    assert not takes(niche, work("a", 12, 30, form="object", depth=9))
    assert not takes(niche, work("a", 12, 30, form="painting"))


def test_an_object_stands_in_the_middle_of_its_niche_on_its_floor():
    vase = work("a", 12, 30, form="object", depth=7)
    (niche,) = stands(NICHE)
    placed = stood(niche, vase)
    assert (placed.left, placed.bottom) == pytest.approx(((35 - 6) * INCH, 40 * INCH))
    with pytest.raises(ValueError, match="does not stand"):
        stood(niche, work("b", 60, 30, form="object"))


def test_on_a_console_what_stands_there_already_leaves_the_rest():
    lamp = item("table_lamp", 72, 30, 14, 26)
    (rest,) = stands(CONSOLE, lamp)
    assert inches(rest.rect) == [87, 30, 129, 108]  # an inch from the lamp and from the end
    bowl = item("ornament", 95, 30, 10, 6)
    assert [inches(one.rect)[::2] for one in stands(CONSOLE, lamp, bowl)] == [[87, 94], [106, 129]]


def test_under_a_shelf_a_top_is_as_high_as_the_shelf_leaves_and_the_shelf_is_a_stand_of_its_own():
    shelf = item("shelf", 70, 54, 36, 1.5, 10)
    top, on = sorted(stands(CONSOLE, shelf), key=lambda one: one.rect.bottom)
    assert inches(top.rect) == [71, 30, 129, 54]
    assert (on.kind, inches(on.rect)) == ("shelf", [71, 55.5, 105, 108])


def test_the_fires_opening_below_a_mantel_is_no_niche():
    fire = item("niche", 62, 0, 36, 30)
    (mantel,) = stands(MANTEL, fire)
    assert (mantel.kind, inches(mantel.rect)) == ("mantel", [51, 52, 109, 108])


@pytest.mark.parametrize("kind", ["sofa", "bed", "bench", "window", "radiator"])
def test_nothing_stands_on_a_seat_a_bed_or_a_sill(kind):
    assert stands(item(kind, 40, 0, 60, 30)) == ()


def test_stands_are_no_spaces_until_a_plan_asks_for_them():
    on = house(walls=(wall(NICHE, CONSOLE),))
    assert not {space.id for space in find_spaces(on)} & {one.id for one in find_stands(on)}


def test_under_a_slope_the_lowest_of_the_ceiling_counts():
    low = wall(CONSOLE, ceiling=((0.0, 108 * INCH), (60 * INCH, 108 * INCH), (168 * INCH, 48 * INCH)))
    (top,) = find_stands(House(house(walls=(low,)).rooms))
    # At 130 in the ceiling is 108 - (130 - 60) / 108 * 60 in high.
    assert inches(top.rect)[3] == pytest.approx(108 - 70 * 60 / 108, abs=1e-3)


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(st.integers(60, 140), st.integers(2, 20), st.integers(2, 30)), max_size=4))
def test_a_stand_is_free_of_what_stands_there_and_lies_on_its_furniture(things):
    """Shapely judges."""
    before = [item("ornament", left, 30, width, high, id=f"o{i}") for i, (left, width, high) in enumerate(things)]
    there = shapely.union_all([shapely.box(o.left, o.bottom, o.rect.right, o.rect.top) for o in before])
    own = shapely.box(CONSOLE.left, CONSOLE.rect.top, CONSOLE.rect.right, 108 * INCH)
    for one in stands(CONSOLE, *before):
        place = shapely.box(one.rect.left, one.rect.bottom, one.rect.right, one.rect.top)
        assert own.contains(place)
        assert there.distance(place) >= INCH - 1e-6 or there.is_empty
