"""What a studio usually hangs shifts the ranking of a plan, and nothing else. Common practice, no source. Inches."""

from __future__ import annotations

import dataclasses
import random

import pytest

from placements.engine.facade import propose
from placements.engine.house import House, Rail, Room
from placements.engine.taste import NO_TASTE, OPEN_WALL, STAIR, Accepted, Taste, accepted_on, learn
from tests.scenes import INCH, SOFA, WORDS, item, rect, wall, work

#: Four fifths of them one print over a sofa, in five projects.
PRINTS = tuple(Accepted(f"p{i % 5}", "sofa", "living", ("print",), 0.66) for i in range(16)) + tuple(
    Accepted(f"p{i % 5}", "sofa", "living", ("painting",) * 2, 0.9) for i in range(4)
)


def home(*works, **more) -> House:
    return House((Room("r", "Room", "living", walls=(wall(SOFA, id="w", room="r"),)),), works, **more)


#: Two of one size: by itself the photograph speaks a little louder.
PHOTO, PRINT = work("photo", 56, 34, form="photograph"), work("print", 56, 34, form="print")


def hung(proposal) -> set[str]:
    return {piece.work for one in proposal.plan for piece in one.pieces}


def test_habits_are_what_most_cases_share():
    taste = learn(PRINTS)
    said = [habit.text for habit in taste.habits]
    assert "this studio usually hangs one piece over a sofa (16 of 20)" in said
    assert "this studio usually hangs prints over a sofa (16 of 20)" in said
    assert "this studio usually hangs prints in a living room (16 of 20)" in said
    assert "this studio usually fills about 66 % of the width over a sofa (16 of 20)" in said
    assert len(said) == 4


@pytest.mark.parametrize(
    "cases",
    [
        PRINTS[:4],  # too few
        [dataclasses.replace(case, project="one") for case in PRINTS],  # one project has no habits
        [dataclasses.replace(case, over=f"{i}", use=f"{i}") for i, case in enumerate(PRINTS)],  # nothing twice
        [*PRINTS[:3], *PRINTS[16:19]],  # as many so as otherwise
    ],
)
def test_a_case_or_two_is_no_habit(cases):
    assert learn(cases) == NO_TASTE


def test_habits_do_not_depend_on_the_order_of_the_cases():
    shuffled = list(PRINTS)
    random.Random(3).shuffle(shuffled)
    assert learn(shuffled) == learn(PRINTS)


def test_more_cases_make_a_stronger_habit():
    few, many = learn(PRINTS[:5]).habits[0], learn(PRINTS[:16]).habits[0]
    assert 0 < few.strength < many.strength < 1


def test_what_is_usual_decides_between_equals_and_is_told():
    before, after = propose(home(PHOTO, PRINT), WORDS), propose(home(PHOTO, PRINT), WORDS, taste=learn(PRINTS))
    over = {one.space: one for one in after.plan}["w:sofa"]
    assert hung(before) == {"photo"}
    assert [piece.work for piece in over.pieces] == ["print"]
    assert "this studio usually hangs prints over a sofa (16 of 20)" in over.usual
    assert over.usual[0] in over.why
    assert after.optimality.taste > 0
    assert after.optimality.gap == 0


def test_without_habits_nothing_changes():
    one, other = propose(home(PHOTO, PRINT), WORDS), propose(home(PHOTO, PRINT), WORDS, taste=Taste())
    assert one.plan == other.plan
    assert one.optimality.taste == other.optimality.taste == 0
    assert not any(arrangement.usual for arrangement in one.plan)


def test_what_the_rules_say_of_a_piece_stays_the_same():
    before, after = propose(home(PRINT), WORDS), propose(home(PRINT), WORDS, taste=learn(PRINTS))
    without = [dataclasses.replace(one, why="", usual=()) for one in before.plan]
    assert [dataclasses.replace(one, why="", usual=()) for one in after.plan] == without


def test_a_stop_stays_a_stop():
    """160 kg is more than drywall without studs holds: no habit hangs it."""
    heavy = dataclasses.replace(PRINT, weight_kg=160.0)
    proposal = propose(home(heavy), WORDS, taste=learn(PRINTS))
    assert hung(proposal) == set()
    assert propose(home(heavy), WORDS).unplaced == proposal.unplaced


def test_what_the_eye_cannot_stand_is_not_hung_because_it_is_usual():
    """A postcard over a sofa is worth less than the bare wall."""
    card = work("card", 6, 4, form="print")
    assert hung(propose(home(card), WORDS, taste=learn(PRINTS))) == set()


def test_the_order_of_the_inventory_does_not_change_the_plan():
    works = [PHOTO, PRINT, work("other", 50, 30, form="print"), work("small", 20, 24)]
    taste = learn(PRINTS)
    assert propose(home(*works), WORDS, taste=taste).plan == propose(home(*works[::-1]), WORDS, taste=taste).plan


def test_where_the_studio_leaves_walls_bare_other_places_come_first():
    bed = item("bed", 44, 0, 80, 44, 84)
    cases = [Accepted(f"p{i}", "bed", "bedroom", ()) for i in range(6)]
    walls = (wall(bed, id="b", room="r"), wall(SOFA, id="s", room="r"))
    house = House((Room("r", "Room", "bedroom", walls=walls),), (work("one", 56, 30),))
    proposal = propose(house, WORDS, taste=learn(cases))
    assert {piece.wall for one in proposal.plan for piece in one.pieces} == {"s"}
    bare = next(one for one in proposal.plan if one.space == "b:bed")
    assert bare.usual == ("this studio usually leaves the wall bare over a bed (6 of 6)",)


def test_a_signed_wall_is_read_as_compositions():
    """Two within reach of each other over the sofa, a clock apart on the open wall, a vase on the console."""
    console = item("console", 130, 0, 30, 32)
    here = wall(SOFA, console, id="w", length=260)
    edge = SOFA.left / INCH
    pieces = [
        (rect(edge, 44, 30, 30), "print"),
        (rect(edge + 33, 44, 30, 30), "print"),
        (rect(220, 55, 12, 12), "clock"),
        (rect(140, 32, 8, 12), "object"),
    ]
    found = list(accepted_on(here, project="p", use="living", pieces=pieces, bare=["w:console", "w:open:|..|"]))
    assert found == [
        Accepted("p", OPEN_WALL, "living", ("clock",)),
        Accepted("p", "sofa", "living", ("print", "print"), pytest.approx(63 * INCH / SOFA.width)),
        Accepted("p", "console", "living", ()),
        Accepted("p", OPEN_WALL, "living", ()),
    ]


def test_along_a_rail_everything_belongs_to_the_stair():
    stair = wall(id="w", rail=Rail(0, 900, 3000, 2400))
    (found,) = accepted_on(stair, project="p", use="stair", pieces=[(rect(20, 60, 10, 10), "print")])
    assert (found.over, found.width) == (STAIR, None)
