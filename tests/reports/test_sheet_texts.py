"""What the sheets and the phone say of a piece agrees with what is to be brought and put into the wall."""

from __future__ import annotations

import itertools

import pytest

from placements.engine.house import BUILDS, Hardware, House, Item, Rect, Room, Studs, Wall, Work
from placements.engine.results import Hanging
from reports.contexts.pieces import HARDWARE, JobPiece, job_pieces
from reports.contexts.sheet import order_line, pick_list, piece_notes, tools
from reports.contexts.template import RESTS
from studio.units import Units

UNITS = Units("cm")
KINDS = [kind for kind in HARDWARE if kind != "unknown"]
APART = ("two_rings", "keyholes", "straps", "security", "rods")


def hung(kind: str, build: str = "drywall", *, use: str = "living", seat: bool = False, left: float = 1000) -> JobPiece:
    """A piece of 600 by 400 mm and 3 kg with this hardware, alone on its wall, over a sofa where wanted."""
    hang = Hardware(kind, below_top=60, spacing=400 if kind in APART else None,
                    inset=50 if kind == "wire" else None, length=550 if kind == "wire" else None)  # fmt: skip
    items = (Item("s", "sofa", 500, 0, 2000, 800),) if seat else ()
    items += (Item("p", "picture_rail", 0, 2100, 4000, 40),) if kind == "rods" else ()
    studs = Studs(200, 400) if build in ("drywall", "plaster") else None
    wall = Wall("w", "r", "North", 4000, 2600, build=build, items=items, studs=studs)
    house = House((Room("r", "Room", use, walls=(wall,)),), (Work("a", "Marram", 600, 400, weight_kg=3, hang=hang),))
    (piece,) = job_pieces(house, [Hanging("a", "w", left, 1200, 1)], UNITS)
    return piece


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("build", BUILDS)
def test_what_a_caution_asks_for_is_in_the_table_and_in_the_list(kind, build):
    for use, seat in itertools.product(("living", "public_corridor"), (False, True)):
        piece = hung(kind, build, use=use, seat=seat)
        said = " ".join(caution.text for caution in piece.cautions)
        names = [hook.fastened.choice.name for hook in piece.points]
        brought = " ".join(name for _, name, _ in pick_list([piece]))
        assert names
        assert all(name in brought for name in names)
        assert ("over-seat" in {caution.code for caution in piece.cautions}) == seat
        for asked, found in (
            ("closed hooks", "with closed hook"),
            ("security hangers", "with locking security hanger"),
        ):
            if seat or use == "public_corridor":
                assert all((found in name) == (asked in said) for name in names), (said, names)
        for extra in ("lock at the lower edge", "security bracket", "holds for the lower corners"):
            assert (extra in brought) == (extra in " ".join(piece_notes(piece, UNITS)))
            assert extra in brought or extra not in said
            assert extra in said or extra not in brought or not (seat or use == "public_corridor")
        if seat or use == "public_corridor":
            assert not any("picture hook" in name for name in names)
            assert "closed hooks" in said or "hangers" in said or "bracket" in said or "corners" in said


@pytest.mark.parametrize("kind", ["cleat", "batten"])
def test_a_cleat_or_batten_is_screwed_into_what_the_wall_has(kind):
    assert any("into studs along it" in note for note in piece_notes(hung(kind), UNITS))
    for build in ("brick", "concrete"):
        assert any(
            "into plugs along it, no farther apart than 30 cm" in note for note in piece_notes(hung(kind, build), UNITS)
        )


def test_a_cleat_of_known_length_has_its_outer_screws_near_its_ends():
    hang = Hardware("cleat", below_top=60, length=500)
    wall = Wall("w", "r", "North", 4000, 2600, build="brick")
    house = House(
        (Room("r", "Room", "living", walls=(wall,)),), (Work("a", "Marram", 600, 400, weight_kg=3, hang=hang),)
    )
    (piece,) = job_pieces(house, [Hanging("a", "w", 1000, 1200, 1)], UNITS)
    # The cleat's middle is at 1300: from 1050 to 1550, less 50 at each end.
    assert [hook.datum_mm for hook in piece.points] == [1100, 1500]
    (note,) = piece_notes(piece, UNITS)
    assert note.startswith("The cleat's half on the wall, 50 cm long: its upper, bevelled edge is level")


def test_rods_hang_from_the_picture_rail_and_nothing_is_drilled():
    piece = hung("rods", use="public_corridor")
    # The rail's top is at 2140, the points 60 below the top edge at 1600: 1540.
    assert any("cables of 60 cm from the top of the picture rail" in note for note in piece_notes(piece, UNITS))
    assert {name for _, name, _ in pick_list([piece])} == {
        "rail hook with rod or cable", "security bracket at the lower edge",
    }  # fmt: skip
    assert tools([piece]) == tools([])
    bare = Wall("w", "r", "North", 4000, 2600)
    work = Work("a", "Marram", 600, 400, weight_kg=3, hang=Hardware("rods", below_top=60, spacing=400))
    house = House((Room("r", "Room", "living", walls=(bare,)),), (work,))
    (without,) = job_pieces(house, [Hanging("a", "w", 1000, 1200, 1)], UNITS)
    assert any(note.startswith("There is no picture rail above this place") for note in piece_notes(without, UNITS))


@pytest.mark.parametrize(("kind", "held"), [("easel", "tie from the piece"), ("lean", "safety strap")])
def test_what_stands_by_itself_has_no_hook_and_is_kept_from_falling(kind, held):
    house = House(
        (Room("r", "Room", "living", walls=(Wall("w", "r", "North", 4000, 2600),)),),
        (Work("a", "Marram", 600, 400, weight_kg=3, hang=Hardware(kind)),),
    )
    (piece,) = job_pieces(house, [Hanging("a", "w", 1000, 900, 1)], UNITS)
    assert piece.points == ()
    assert piece.hardware.endswith("no hook")
    assert any(held in name for _, name, _ in pick_list([piece]))
    (caution,) = [one for one in piece.cautions if one.code == "topple"]
    assert held in caution.text


def test_the_paper_template_says_what_comes_to_its_marks():
    assert set(RESTS) == set(KINDS)
    assert "wire" not in RESTS["cleat"]
    assert "wire" in RESTS["wire"]


def test_a_shift_that_would_gain_a_stud_does_not_read_as_done():
    # The one hook of a sawtooth is at 1085 + 300 = 1385 mm, 15 mm left of the stud at 1400, which holds to 12.7 mm.
    piece = hung("sawtooth", left=1085)
    (note,) = piece_notes(piece, UNITS)
    assert piece.rect == Rect(1085, 1200, 600, 400)
    assert note.startswith("Not moved. 0.2 cm further right its hook would meet a stud")


def test_hooks_move_to_studs_within_tolerance_where_that_is_asked_for():
    # One hook at 1085 + 300 = 1385, the stud at 1400 holds from 1387.3: 2.3 mm right, within 6.35 mm.
    piece = hung("sawtooth", left=1085)
    house = House((piece.room,), (piece.work,))
    (moved,) = job_pieces(house, [Hanging("a", "w", 1085, 1200, 1)], UNITS, to_studs_mm=6.35)
    assert moved.moved_mm == pytest.approx(2.3)
    assert moved.points[0].fastened.on_stud
    assert moved.rect == piece.rect
    (note,) = piece_notes(moved, UNITS)
    assert (
        note
        == "Its hooks are moved 0.2 cm right to meet studs: its edges come as much off those given, within tolerance."
    )
    (far,) = job_pieces(house, [Hanging("a", "w", 1078, 1200, 1)], UNITS, to_studs_mm=6.35)  # 9.3 mm away
    assert far.moved_mm == 0.0


@pytest.mark.parametrize("hang", [None, Hardware("two_rings", below_top=40, spacing=60)])
def test_what_stands_in_a_niche_needs_no_fixing(hang):
    """A jar in a niche, with rings at its back or without: nothing is drilled for it, nothing is to be measured."""
    wall = Wall("w", "r", "North", 4000, 2600, items=(Item("n", "niche", 1000, 1200, 500, 600, 300),))
    vase = Work("a", "Jar", 200, 300, depth=150, form="object", weight_kg=4, hang=hang)
    house = House((Room("r", "Room", "living", walls=(wall,)),), (vase,))
    (piece,) = job_pieces(house, [Hanging("a", "w", 1150, 1200, 1)], UNITS)
    assert piece.hardware == "stands in the niche, no fixing"
    assert order_line(piece, UNITS) == "1, Jar: stands in the niche, its left edge 115 cm from the left end; no fixing."
    assert (piece.points, pick_list([piece]), piece_notes(piece, UNITS)) == ((), (), ())
    assert tools([piece]) == tools([])
    assert piece.cautions == ()
    (nailed,) = job_pieces(house, [Hanging("a", "w", 2500, 1200, 1)], UNITS)
    assert nailed.stands == ""
    assert bool(nailed.points) is (hang is not None)
