"""Lamps and objects on furniture before the wall. Facts of the trade: common practice, no source."""

from __future__ import annotations

import pytest

from placements.engine.spaces import find_spaces
from tests import scenes
from tests.scenes import INCH, hang, judged, level, said, work

CONSOLE = scenes.item("console", 54, 0, 60, 30, 14)
LAMP = scenes.item("table_lamp", 56, 30, 14, 26, 14)
VASE = scenes.item("ornament", 100, 30, 8, 14, 8)


def over_console(left: float, bottom: float, *items, width: float = 30, height: float = 24, **house_rules):
    piece = work("a", width, height)
    house = scenes.house(piece, walls=(scenes.wall(CONSOLE, *items),))
    where = house, next(space for space in find_spaces(house) if space.over == "console")
    return judged(where, hang(piece, left, bottom), **house_rules)


@pytest.mark.parametrize(
    ("left", "bottom", "expected"),
    [
        pytest.param(70, 38, None, id="beside the shade"),
        pytest.param(68, 38, "exception", id="2 in of it behind the shade"),
        pytest.param(56, 56, None, id="above the shade"),
        pytest.param(56, 38, "exception", id="behind the lamp"),
    ],
)
def test_a_lamps_shade_is_not_to_be_covered(left, bottom, expected) -> None:
    assert level(over_console(left, bottom, LAMP), "standing-clear") == expected


@pytest.mark.parametrize(("bottom", "expected"), [(40, None), (38, "exception")])
def test_an_object_may_stand_a_little_before_the_lower_edge(bottom, expected) -> None:
    """The vase's top is at 44 in: 4 in of it before the piece are taken as a console is dressed, 6 are too many."""
    assert level(over_console(80, bottom, VASE), "standing-clear") == expected


def test_nothing_before_the_wall_gives_the_rule_no_say() -> None:
    assert "standing-clear" not in over_console(70, 38).terms
    elsewhere = scenes.item("table_lamp", 56, 30, 14, 26, id="far")
    other = scenes.wall(elsewhere, id="o")
    house = scenes.house(work("a", 30, 24), walls=(scenes.wall(CONSOLE), other))
    space = next(space for space in find_spaces(house) if space.over == "console")
    assert "standing-clear" not in judged((house, space), hang(house.works[0], 70, 38)).terms


def test_the_words_name_what_hides_how_much_and_point_at_it() -> None:
    finding = said(over_console(60, 38, LAMP), "standing-clear")
    assert finding is not None
    assert finding.text == "The table lamp hides 10 in of it: hang it beside or above, or move the table lamp"
    assert finding.where == LAMP.rect


def test_the_farther_it_lies_behind_the_less_it_scores() -> None:
    terms = [over_console(left, 38, LAMP).terms["standing-clear"] for left in (72, 68, 66, 62)]
    assert terms[0] == 1
    assert terms == sorted(terms, reverse=True)
    assert len(set(terms)) == 4


def test_a_studio_may_let_a_lamp_stand_a_little_before_a_piece() -> None:
    own = {"lamp": 3 * INCH}
    assert level(over_console(68, 38, LAMP, standing_clear=own), "standing-clear") is None


def test_of_two_in_the_way_the_worse_is_named() -> None:
    vase = scenes.item("ornament", 84, 30, 8, 20)
    finding = said(over_console(69, 38, LAMP, vase), "standing-clear")
    assert finding is not None
    assert finding.text.startswith("The ornament hides 8 in of it")
