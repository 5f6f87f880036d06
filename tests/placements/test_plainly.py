"""Why a piece hangs where it does, said to a client without a number: common practice, no source."""

from __future__ import annotations

import re

import pytest

from placements.contexts.plainly import Reach, arrangements
from placements.engine.house import Item, Rail, Wall
from placements.engine.rulebook import Rulebook
from placements.models import Placement
from studio.models import Artwork

INCH = 25.4
SOFA = Item("sofa", "sofa", 42 * INCH, 0, 84 * INCH, 34 * INCH)


def wall(*items, rail=None):
    return Wall("w", "r", "North wall", 168 * INCH, 108 * INCH, items=items, rail=rail)


def hung(left, bottom, width, height, group="", why="", pk=[0]):  # noqa: B006
    pk[0] += 1
    work = Artwork(width_mm=width * INCH, height_mm=height * INCH)
    return Placement(pk=pk[0], artwork=work, left_mm=left * INCH, bottom_mm=bottom * INCH, group=group, why=why)


def said(on, *pieces):
    return [arrangement.why for arrangement in arrangements(on, pieces, Reach.of(Rulebook()))]


def test_two_thirds_of_the_sofa_close_above_it_at_eye_level():
    assert said(wall(SOFA), hung(56, 42, 56, 40)) == [
        "It is about two-thirds as wide as the sofa and hangs close above it, so that the two read as one. "
        "Its middle is at eye level."
    ]


@pytest.mark.parametrize(
    ("piece", "words"),
    [
        ((56, 50, 56, 20), "about two-thirds as wide as the sofa below"),  # 16 in above: not close
        ((52, 42, 65, 40), "about three-quarters as wide as the sofa"),
        ((74, 42, 20, 20), "It hangs close above the sofa"),  # far from two-thirds: nothing is claimed of its width
        ((70, 70, 28, 10), "Centred on the wall."),  # 36 in above: the sofa has nothing to do with it
    ],
)
def test_no_more_is_claimed_than_is_so(piece, words):
    (found,) = said(wall(SOFA), hung(*piece))
    assert words in found
    assert ("two read as one" in found) == (piece == (52, 42, 65, 40))


def test_a_group_is_one_sentence_for_all():
    row = [hung(left, 51, 20, 24, group="g") for left in (52, 74, 96)]
    single = hung(5, 54, 20, 20)
    found = arrangements(wall(), [*row, single], Reach.of(Rulebook()))
    assert [len(one.placements) for one in found] == [3, 1]
    assert found[0].why == "The three hang as one, in a straight line. Centred on the wall, their middle at eye level."
    assert found[1].why == "Its middle is at eye level."


def test_staggered_pieces_are_not_called_a_line():
    found = said(wall(), hung(52, 50, 20, 24, group="g"), hung(74, 56, 20, 30, group="g"))
    assert found[0].startswith("The two hang as one.")


def test_on_a_stair_they_follow_the_rail():
    rail = Rail(0, 900, 3000, 2400)
    assert said(wall(rail=rail), hung(20, 60, 20, 20)) == ["It follows the line of the handrail."]


def test_what_says_nothing_in_plain_words_falls_back_on_words_without_measures():
    low = (5, 20, 20, 20)
    assert said(wall(), hung(*low, why="As laid out on the floor.")) == ["As laid out on the floor."]
    assert said(wall(), hung(*low, why="Centre is 2′ 6″ above the floor")) == [""]


def test_no_sentence_has_a_number():
    for piece in ((56, 42, 56, 40), (52, 42, 65, 40), (70, 70, 28, 10)):
        assert not re.search(r"\d", said(wall(SOFA), hung(*piece, why="67% of it"))[0])
