"""The piece's shape and the space's: common practice, no source."""

from __future__ import annotations

import dataclasses

import pytest

from tests import scenes
from tests.scenes import hang, judged, level, open_wall, over_sofa, said, work


@pytest.mark.parametrize(
    ("width", "height", "shape", "expected"),
    [
        (60, 40, "landscape", None),
        (40, 60, "portrait", None),
        (44, 40, "square", None),
        (40, 60, "landscape", "exception"),
        (60, 40, "portrait", "exception"),
        (60, 40, "square", "exception"),
        pytest.param(48, 40, "square", None, id="1.2 to 1 still counts as square"),
        pytest.param(48, 40, "landscape", None, id="1.2 to 1 counts as landscape too"),
        pytest.param(100, 20, "landscape", "exception", id="a strip of 5 to 1"),
    ],
)
def test_shapes_match(width: float, height: float, shape: str, expected: str | None) -> None:
    piece = work("a", width, height)
    house, space = open_wall(piece)
    where = house, dataclasses.replace(space, shape=shape)
    assert level(judged(where, hang(piece, 84 - width / 2, 63 - height / 2)), "shape") == expected


def test_a_strip_suits_a_space_that_is_one() -> None:
    """A row on a long gable, two prints stacked on a pier: common practice, no source."""
    piece = work("a", 125, 30)
    house = scenes.house(piece, walls=(scenes.wall(length=220),))
    space = scenes.space("open_wall", scenes.rect(10, 30, 180, 60))
    assert level(judged((house, space), hang(piece, 40, 45)), "shape") is None


def test_two_thirds_forgives_a_shape() -> None:
    square = work("a", 56, 50)
    assert level(judged(over_sofa(square), hang(square, 56, 40)), "shape") == "note"
    narrow = work("a", 30, 34)
    assert level(judged(over_sofa(narrow), hang(narrow, 69, 43)), "shape") == "exception"


def test_the_sentence_says_both_shapes_and_proportions() -> None:
    piece = work("a", 30, 40)
    finding = said(judged(open_wall(piece), hang(piece, 69, 43)), "shape")
    assert finding is not None
    assert finding.text.startswith(
        "A portrait piece (30 × 40 in, proportion 0.75) in a landscape space, which asks for"
    )


def test_a_strip_does_not_suit_an_upright_space_either() -> None:
    piece = work("a", 12, 60)
    house, space = open_wall(piece)
    where = house, dataclasses.replace(space, shape="portrait")
    assert level(judged(where, hang(piece, 78, 33)), "shape") == "exception"
