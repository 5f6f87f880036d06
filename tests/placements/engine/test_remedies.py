"""Remedies for single pieces and groups. Facts of the trade: common practice, no source. Inches."""

from __future__ import annotations

import dataclasses

import pytest

from placements.engine.facade import assess_wall
from placements.engine.house import House, Room
from placements.engine.results import Hanging
from tests.scenes import INCH, WORDS, item, wall, work

CONSOLE = item("console", 54, 0, 60, 32, 16)


def home(*works, bearer=CONSOLE, others=()):
    walls = (wall(bearer), *others)
    return House((Room("r", "Room", "hall", walls=walls),), works)


def hang(one, left, bottom, on="w"):
    return Hanging(one.id, on, left * INCH, bottom * INCH)


def offered(house, *hangings, space="w:console"):
    found = assess_wall(house, "w", hangings, words=WORDS, with_remedies=True)
    return next(arrangement for arrangement in found.arrangements if arrangement.space == space).remedies


def of_kind(remedies, kind):
    return [remedy for remedy in remedies if remedy.kind == kind]


LOW = work("low", 40, 20)  # right width for 60 in, but its centre ends at 52 in


def test_right_width_but_too_low_stacks_a_second_piece_above():
    mate = work("mate", 40, 16)
    house = home(LOW, mate)
    (stack,) = of_kind(offered(house, hang(LOW, 64, 42)), "stack")
    lower, upper = stack.hangings
    assert (lower.work, upper.work) == ("low", "mate")
    assert upper.bottom - (lower.bottom + 20 * INCH) == pytest.approx(2.5 * INCH)
    middle = (lower.bottom + upper.bottom + 16 * INCH) / 2
    assert 60 * INCH <= middle <= 66 * INCH
    assert 6 * INCH <= lower.bottom - 32 * INCH <= 10 * INCH
    assert lower.left + 20 * INCH == pytest.approx(84 * INCH)  # on the console's middle
    assert "middle of the two" in stack.text
    assert stack.gain > 0


def test_no_stack_from_a_piece_of_another_width():
    assert of_kind(offered(home(LOW, work("mate", 20, 16)), hang(LOW, 64, 42)), "stack") == []


def test_leaning_needs_a_top_that_is_deep_enough():
    assert of_kind(offered(home(LOW), hang(LOW, 64, 42)), "lean")
    shallow = dataclasses.replace(CONSOLE, depth=4 * INCH)
    # 20 in at 6 degrees stand 2.1 in out; with 1.5 in of piece and 1 in free that is more than 4.
    assert of_kind(offered(home(LOW, bearer=shallow), hang(LOW, 64, 42)), "lean") == []


def test_nobody_leans_a_picture_on_a_sofa():
    sofa = item("sofa", 54, 0, 60, 32, 36, id="console")
    assert of_kind(offered(home(LOW, bearer=sofa), hang(LOW, 64, 42)), "lean") == []


def test_a_taller_piece_replaces_it_and_it_gets_a_better_home():
    tall = work("tall", 40, 42)
    shelf = wall(item("chest", 30, 0, 60, 44, 18), id="v")
    (replace,) = of_kind(offered(home(LOW, tall, others=(shelf,)), hang(LOW, 64, 42)), "replace")
    assert replace.work == "tall"
    assert replace.moves_to == "v:chest"
    assert "hang this one over the chest" in replace.text
    (hung,) = replace.hangings
    assert hung.bottom + 21 * INCH >= 60 * INCH


def test_without_a_taller_piece_the_size_to_look_for_is_told():
    (replace,) = of_kind(offered(home(LOW), hang(LOW, 64, 42)), "replace")
    assert replace.work is None
    assert replace.brief.height[0] == pytest.approx(36 * INCH)  # 2 x (60 - 32 - 10)
    assert "36–54 in high" in replace.text


def test_slightly_too_narrow_is_matted_out():
    narrow = work("narrow", 32, 38, form="print")
    (reframe,) = of_kind(offered(home(narrow), hang(narrow, 68, 40)), "reframe")
    # 60 % of 60 in is 36: 2 in more on every side.
    assert "36 × 42 in" in reframe.text
    assert "2 in more mat on every side" in reframe.text
    assert reframe.brief.width == pytest.approx((36 * INCH, 36 * INCH))


def test_far_too_narrow_is_not_matted_out():
    thin = work("thin", 12, 30, form="print")
    assert of_kind(offered(home(thin), hang(thin, 78, 40)), "reframe") == []


def test_too_narrow_gets_companions():
    one, *others = (work(f"leaf{n}", 18, 30, form="print", frame="oak") for n in range(3))
    (group,) = of_kind(offered(home(one, *others), hang(one, 75, 40)), "group")
    assert len(group.hangings) >= 2
    assert one.id in {hanging.work for hanging in group.hangings}


def test_too_high_is_lowered_first():
    right = work("right", 40, 42)
    first = offered(home(right), hang(right, 64, 50))[0]
    assert (first.kind, first.moves_to) == ("move", "w:console")
    assert first.text.startswith("Lower it by")
    assert 6 * INCH <= first.hangings[0].bottom - 32 * INCH <= 10 * INCH


def test_leaving_bare_is_always_the_last():
    assert offered(home(LOW), hang(LOW, 64, 42))[-1].kind == "leave_bare"


def test_a_good_piece_needs_no_remedy():
    right = work("right", 40, 42)
    assert offered(home(right), hang(right, 64, 40)) == ()


def test_a_group_with_wrong_gaps_is_laid_out_anew():
    pair = [work(f"p{n}", 19, 38, form="print", frame="oak") for n in range(2)]
    (group,) = of_kind(offered(home(*pair), hang(pair[0], 55, 40), hang(pair[1], 88, 40)), "group")
    first, second = sorted(group.hangings, key=lambda hanging: hanging.left)
    assert 2 * INCH <= second.left - first.left - 19 * INCH <= 5 * INCH


def test_remedies_draw_only_on_what_hangs_nowhere():
    mate, other = work("mate", 40, 16), wall(id="v")
    house = home(LOW, mate, others=(other,))
    taken = offered(house, hang(LOW, 64, 42), hang(mate, 60, 55, on="v"))
    assert of_kind(taken, "stack") == []


def test_each_remedy_names_the_rules_that_it_corrects():
    remedies = offered(home(LOW, work("mate", 40, 16)), hang(LOW, 64, 42))
    assert "eye-line" in of_kind(remedies, "stack")[0].corrects
    assert of_kind(remedies, "lean")[0].corrects == ("eye-line",)
    high = offered(home(work("right", 40, 42)), hang(work("right", 40, 42), 64, 50))
    assert "clearance" in high[0].corrects
