"""Studs, services and cautions at the hook points."""

import pytest

from placements.engine.hanging.cautions import cautions, sheet_cautions
from placements.engine.hanging.fasten import fasten, near_services
from placements.engine.hanging.points import hook_points
from placements.engine.hanging.studs import best_shift, centres, even_apart, holds, stud_offset
from placements.engine.house import BUILDS, Hardware, Item, Rect, Room, Studs, Wall, Work

IN = 25.4
# Studs 16 in on centre: International Residential Code, Table R602.3(5).
WALL = Wall("w", "r", "North", 168 * IN, 108 * IN, studs=Studs(8 * IN, 16 * IN))
ROOM = Room("r", "Sitting room", "living", walls=(WALL,))


def test_studs_run_the_length_of_the_wall():
    found = centres(WALL.studs, WALL.length)
    assert found[0] == pytest.approx(8 * IN)
    assert found[-1] == pytest.approx(168 * IN)
    assert len(found) == 11
    assert centres(Studs(40 * IN, 16 * IN), WALL.length)[0] == pytest.approx(8 * IN)


def test_offset_points_to_the_nearest_stud():
    assert stud_offset(WALL, 25 * IN) == pytest.approx(-1 * IN)
    assert stud_offset(Wall("w", "r", "x", 100, 100), 5) is None


def test_a_screw_holds_within_half_an_inch():
    assert holds(WALL, 24.5 * IN)
    assert not holds(WALL, 24.5625 * IN)


def test_the_smallest_shift_that_hits_a_stud_is_offered():
    shift = best_shift(WALL, (25 * IN,))
    assert shift.by == pytest.approx(-0.5 * IN)
    assert shift.hits == 1
    assert best_shift(WALL, (24 * IN,)) is None  # already there
    assert best_shift(WALL, (32 * IN,)) is None  # mid-bay, too far


def test_two_points_prefer_two_studs():
    assert best_shift(WALL, (24.9 * IN, 40.9 * IN)).hits == 2


def test_even_apart_needs_studs_on_both_sides():
    assert even_apart(WALL, 32 * IN, 10 * IN, 40 * IN, 20 * IN) == pytest.approx(16 * IN)
    assert even_apart(WALL, 30 * IN, 10 * IN, 30 * IN, 20 * IN) is None


def test_services_in_line_are_found():
    outlet = Item("o", "outlet", 20 * IN, 12 * IN, 3 * IN, 5 * IN)
    wall = Wall("w", "r", "North", 168 * IN, 108 * IN, items=(outlet,))
    assert near_services(wall, 22 * IN, 60 * IN) == (outlet,)
    assert near_services(wall, 22 * IN + 9 * IN, 60 * IN) == ()
    assert near_services(wall, 100 * IN, 14 * IN) == (outlet,)


def test_a_point_on_a_stud_gets_the_stud_fixing():
    work = Work("a", "Marram", 20 * IN, 16 * IN, weight_kg=9, hang=Hardware("sawtooth", below_top=1 * IN))
    on = fasten(ROOM, WALL, Rect(14 * IN, 50 * IN, 20 * IN, 16 * IN), hook_points(work, 14 * IN, 50 * IN)).points[0]
    off = fasten(ROOM, WALL, Rect(6 * IN, 50 * IN, 20 * IN, 16 * IN), hook_points(work, 6 * IN, 50 * IN)).points[0]
    assert on.on_stud
    assert on.choice.fixing.id == "stud-screw"
    assert not off.on_stud
    assert off.choice.allowed_n >= off.choice.load_n


def caution_codes(work, room=ROOM, wall=WALL, bottom=50 * IN):
    place = Rect(50 * IN, bottom, work.width, work.height)
    fastening = fasten(room, wall, place, hook_points(work, place.left, place.bottom))
    return {caution.code for caution in cautions(work, room, wall, place, fastening)}


def test_light_plain_piece_asks_for_nothing_special():
    work = Work("a", "Marram", 20 * IN, 14 * IN, weight_kg=3, hang=Hardware("sawtooth", below_top=25))
    assert caution_codes(work) == set()


def test_cautions_follow_from_the_piece_and_the_wall():
    sofa = Item("s", "sofa", 42 * IN, 0, 84 * IN, 34 * IN)
    outlet = Item("o", "outlet", 58 * IN, 12 * IN, 3 * IN, 5 * IN, label="outlet")
    wall = Wall("w", "r", "North", 168 * IN, 108 * IN, items=(sofa, outlet))
    work = Work("a", "Quarry", 50 * IN, 30 * IN, glazed=True, hang=Hardware("two_rings", below_top=75, spacing=30 * IN))
    room = Room("r", "Corridor", "public_corridor", walls=(wall,))
    assert caution_codes(work, room, wall) >= {
        "two-persons", "weight-estimated", "glass", "over-seat", "services", "security", "ladder",
    }  # fmt: skip


def test_over_fifty_pounds_asks_for_professional_help():
    # Earthquake Country Alliance: over 50 lb, get professional help.
    hang = Hardware("two_rings", below_top=75, spacing=300)
    assert "professional" not in caution_codes(Work("a", "A", 500, 300, weight_kg=22.6, hang=hang))
    assert "professional" in caution_codes(Work("a", "A", 500, 300, weight_kg=22.8, hang=hang))


@pytest.mark.parametrize("build", BUILDS)
def test_every_sheet_defers_to_codes_and_names_the_ladder(build):
    codes = [caution.code for caution in sheet_cautions(build)]
    assert {"ladders", "rating", "defer", "earthquake"} <= set(codes)
    assert ("masonry-dust" in codes) == (build in ("brick", "concrete", "tile"))


# --- Where a figure turns ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("inches", "near"), [(150 / IN, True), (151 / IN, False)])
@pytest.mark.parametrize("side", ["left", "right", "below", "above"])
def test_a_fitting_is_in_line_up_to_150_mm(inches, near, side):
    # Prescribed zones of BS 7671:2018, 522.6.202: within 150 mm of the top of a wall, of an angle, or of an accessory.
    outlet = Item("o", "outlet", 60 * IN, 40 * IN, 3 * IN, 5 * IN)
    wall = Wall("w", "r", "North", 168 * IN, 108 * IN, items=(outlet,))
    at = {
        "left": (60 - inches, 90),
        "right": (63 + inches, 90),
        "below": (100, 40 - inches),
        "above": (100, 45 + inches),
    }
    x, y = at[side]
    assert near_services(wall, x * IN, y * IN) == ((outlet,) if near else ())


def test_only_fittings_are_in_line():
    sofa = Item("s", "sofa", 42 * IN, 0, 84 * IN, 34 * IN)
    assert near_services(Wall("w", "r", "North", 168 * IN, 108 * IN, items=(sofa,)), 60 * IN, 60 * IN) == ()


def test_a_shift_is_at_most_an_inch():
    # Common practice, no source. A screw holds within 1/2 in of the stud's centre.
    assert best_shift(WALL, (25.5 * IN,)).by == pytest.approx(-1 * IN)
    assert best_shift(WALL, (25.51 * IN,)) is None
    assert best_shift(WALL, (22.5 * IN,)).by == pytest.approx(1 * IN)


def test_a_shift_that_gains_two_studs_goes_before_a_smaller_one():
    studs = Wall("w", "r", "North", 168 * IN, 108 * IN, studs=Studs(8 * IN, 16 * IN))
    shift = best_shift(studs, (24.6 * IN, 41.2 * IN))
    assert shift.hits == 2
    assert shift.by == pytest.approx(-0.7 * IN)


@pytest.mark.parametrize(
    ("changes", "code", "applies"),
    [
        # 51 lb (23 kg), the load constant of the Revised NIOSH Lifting Equation (Publication 94-110, revised 2021).
        ({"kg": 23.0}, "two-persons", False),
        ({"kg": 23.1}, "two-persons", True),
        # Wider than 48 in; reached above 72 in: common practice, no source.
        ({"width": 1220}, "two-persons", False),
        ({"width": 1221}, "two-persons", True),
        ({"bottom": 1830 - 400}, "ladder", False),
        ({"bottom": 1831 - 400}, "ladder", True),
        ({"glazed": True}, "glass", True),
        ({"form": "mirror"}, "glass", True),
        ({"kg": None}, "weight-estimated", True),
    ],
)
def test_a_caution_begins_where_its_figure_says(changes, code, applies):
    given = {"kg": 3.0, "width": 500, "bottom": 1000.0, "glazed": False, "form": "painting"} | changes
    hang = Hardware("two_rings", below_top=75, spacing=300)
    work = Work(
        "a", "A", given["width"], 400, weight_kg=given["kg"], hang=hang, glazed=given["glazed"], form=given["form"]
    )
    assert (code in caution_codes(work, bottom=given["bottom"])) == applies


@pytest.mark.parametrize(
    ("left", "bottom", "over"),
    [
        pytest.param(100, 34, True, id="right above"),
        pytest.param(126.1, 34, False, id="beside it"),
        pytest.param(21.9, 34, False, id="beside it on the left"),
        pytest.param(22.1, 34, True, id="an edge above it"),
    ],
)
def test_only_what_stands_under_a_piece_is_under_it(left, bottom, over):
    sofa = Item("s", "sofa", 42 * IN, 0, 84 * IN, 34 * IN)
    wall = Wall("w", "r", "North", 168 * IN, 108 * IN, items=(sofa,))
    work = Work("a", "A", 20 * IN, 14 * IN, weight_kg=3, hang=Hardware("sawtooth", below_top=25))
    place = Rect(left * IN, bottom * IN, work.width, work.height)
    found = cautions(work, ROOM, wall, place, fasten(ROOM, wall, place, hook_points(work, place.left, place.bottom)))
    assert ("over-seat" in [one.code for one in found]) == over


@pytest.mark.parametrize(("kg", "glazed", "risky"), [(9.0, False, False), (9.1, False, True), (3.0, True, True)])
def test_glass_or_weight_over_a_seat_is_agreed(kg, glazed, risky):
    sofa = Item("s", "sofa", 42 * IN, 0, 84 * IN, 34 * IN)
    wall = Wall("w", "r", "North", 168 * IN, 108 * IN, items=(sofa,))
    work = Work("a", "A", 20 * IN, 14 * IN, weight_kg=kg, glazed=glazed, hang=Hardware("sawtooth", below_top=25))
    place = Rect(60 * IN, 50 * IN, work.width, work.height)
    found = cautions(work, ROOM, wall, place, fasten(ROOM, wall, place, hook_points(work, place.left, place.bottom)))
    (said,) = [one.text for one in found if one.code == "over-seat"]
    assert ("is wanted" in said) == risky


@pytest.mark.parametrize(
    ("use", "kinds", "code", "applies"),
    [
        ("bath", (), "pipes", True),
        ("kitchen", (), "pipes", True),
        ("living", (), "pipes", False),
        ("living", ("radiator",), "pipes", True),
        ("living", ("radiator",), "heat", True),
        ("living", ("mantel",), "heat", True),
        ("living", ("sofa",), "heat", False),
        ("lobby", (), "security", True),
        ("office", (), "security", True),
        ("living", (), "security", False),
    ],
)
def test_a_caution_follows_from_the_room_and_what_is_below(use, kinds, code, applies):
    items = tuple(Item(kind, kind, 40 * IN, 0, 84 * IN, 30 * IN) for kind in kinds)
    wall = Wall("w", "r", "North", 168 * IN, 108 * IN, items=items)
    work = Work("a", "A", 20 * IN, 14 * IN, weight_kg=3, hang=Hardware("sawtooth", below_top=25))
    assert (code in caution_codes(work, Room("r", "Room", use, walls=(wall,)), wall)) == applies


def test_one_stud_that_was_found_stands_alone():
    assert centres(Studs(40 * IN, 0), WALL.length) == (40 * IN,)
