"""A work at its place: its JSON, and when two places are one."""

from __future__ import annotations

import pytest

from placements.pieces import SAME_MM, Piece, moved, same_place, same_places, step_between, step_in_words
from studio.models import Artwork
from studio.units import Units

INCH = 25.4


def work(pk: int = 7) -> Artwork:
    return Artwork(pk=pk, title=f"Work {pk}", width_mm=500.0, height_mm=400.0)


def test_a_piece_comes_back_from_its_json_as_it_was():
    one = work()
    piece = Piece(one, 100.25, 1200.0, 3, space="north:open", group="g", locked=True, why="It suits.", placement=9)
    data = piece.as_data()
    assert data == {
        "artwork": 7, "left_mm": 100.25, "bottom_mm": 1200.0, "order": 3, "space": "north:open", "group": "g",
        "locked": True, "why": "It suits.",
    }  # fmt: skip
    assert Piece.read(data | {"title": "not a piece's own"}, {7: one}) == piece


def test_what_the_json_leaves_out_is_as_by_default():
    assert Piece.read({"artwork": 7, "left_mm": 1.0, "bottom_mm": 2.0}, {7: work()}) == Piece(work(), 1.0, 2.0)


def test_a_piece_of_an_unknown_work_is_no_piece():
    with pytest.raises(KeyError):
        Piece.read({"artwork": 8, "left_mm": 1.0, "bottom_mm": 2.0}, {7: work()})


@pytest.mark.parametrize(("right", "up", "same"), [(SAME_MM, -SAME_MM, True), (0.41, 0.0, False), (0.0, -0.41, False)])
def test_places_less_than_a_tape_shows_apart_are_one(right, up, same):
    # A sixty-fourth of an inch is 25.4 / 64 = 0.396875 mm.
    assert pytest.approx(25.4 / 64, abs=0.005) == SAME_MM
    here, there = Piece(work(), 0.0, 0.0), Piece(work(), right, up)
    assert same_place(here, there) is same
    assert same_places([here], [there]) is same
    assert not same_places([here], [Piece(work(8), 0.0, 0.0)])


def test_a_step_is_said_by_how_far_and_which_way():
    step = step_between(Piece(work(), 0.0, 0.0), Piece(work(), 3 * INCH, -0.5 * INCH))
    assert step_in_words(*step, Units("ft_in")) == "3″ right and ½″ down"
    assert step_in_words(-20.0, 0.3, Units("mm")) == "20 mm left"
    assert step_in_words(0.3, 0.3, Units("mm")) == ""


def test_moving_keeps_the_others_and_hangs_what_did_not_hang():
    first, second = Piece(work(1), 0.0, 0.0, 1), Piece(work(2), 900.0, 0.0, 2)
    assert moved((first, second), first.artwork, 5.0, 6.0) == (Piece(work(1), 5.0, 6.0, 1), second)
    assert moved((first,), work(3), 5.0, 6.0) == (first, Piece(work(3), 5.0, 6.0, 2))
