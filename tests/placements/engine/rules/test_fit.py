"""A piece lies wholly inside the free space."""

from __future__ import annotations

import pytest

from placements.engine.house import Rail
from tests import scenes
from tests.scenes import INCH, hang, judged, level, open_wall, said, work


@pytest.mark.parametrize(
    ("left", "bottom", "expected"),
    [
        (24, 43, None),
        (144 - 40, 43, None),
        (24, 6, None),
        (24, 96 - 40, None),
        (23, 43, "stop"),
        (105, 43, "stop"),
        (24, 5, "stop"),
        (24, 57, "stop"),
    ],
)
def test_every_side_counts(left: float, bottom: float, expected: str | None) -> None:
    piece = work("a", 40, 40)
    assert level(judged(open_wall(piece), hang(piece, left, bottom)), "fit") == expected


def test_the_sentence_says_what_is_free_and_by_how_much_it_sticks_out() -> None:
    piece = work("a", 130, 40)
    finding = said(judged(open_wall(piece), hang(piece, 20, 43)), "fit")
    assert finding is not None
    assert finding.text == "130 × 40 in is 10 in too large for the free 120 × 90 in"
    moved = work("a", 40, 40)
    finding = said(judged(open_wall(moved), hang(moved, 21, 43)), "fit")
    assert finding is not None
    assert finding.text == "40 × 40 in sticks out of the free 120 × 90 in by 3 in; move it inside"


def test_in_a_group_only_the_piece_that_sticks_out_is_named() -> None:
    works = [work(name, 20, 20, frame="black") for name in "ab"]
    found = scenes.group(open_wall(*works), (22, 53), (44.5, 53))
    finding = said(found, "fit")
    assert finding is not None
    assert finding.works == ("a",)


def test_on_a_stair_a_corner_must_not_cross_the_rail() -> None:
    # Rail 0.75 up for 1 across, at 79 in under x = 60; a piece of 20 in has its uphill corner over 86.5 in, and 4 in
    # stay clear for the hand.
    rail = Rail(0, 34 * INCH, 96 * INCH, 106 * INCH)
    piece = work("a", 20, 24)
    house = scenes.house(piece, walls=(scenes.wall(rail=rail, height=160),))
    where = house, scenes.space("stair", scenes.rect(0, 40, 120, 110))
    assert level(judged(where, hang(piece, 50, 91)), "fit") is None
    finding = said(judged(where, hang(piece, 50, 90)), "fit")
    assert finding is not None
    assert finding.level == "stop"
    assert "0.5 in into the wall that the handrail keeps clear" in finding.text
    assert level(judged(where, hang(piece, 50, 88), margins={"rail": 1 * INCH}), "fit") is None


def test_what_stands_within_the_space_keeps_its_margin() -> None:
    piece = work("a", 20, 24)
    sconce = scenes.item("sconce", 60, 58, 5, 12)
    house = scenes.house(piece, walls=(scenes.wall(sconce),))
    where = house, scenes.space("open_wall", scenes.rect(4, 12, 160, 90))  # as a group goes around the sconce
    assert level(judged(where, hang(piece, 35.5, 51)), "fit") is None  # ends 4.5 in beside it
    finding = said(judged(where, hang(piece, 37, 51)), "fit")
    assert finding is not None
    assert finding.level == "stop"
    assert "1 in into the wall that what stands there keeps clear" in finding.text
