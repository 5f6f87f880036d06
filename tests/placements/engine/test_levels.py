"""Neighbours on one wall share a centre line where the rules' bands allow it; common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.engine.facade import propose
from placements.engine.house import House, Item, Room, Wall, Work
from placements.engine.plan.levels import LEAST, NEAR, Band, levelled
from placements.engine.rule import INCH


def band(centre: float, low: float, high: float, width: float = 30.0) -> Band:
    return Band(centre * INCH, low * INCH, high * INCH, width * INCH)


def test_two_that_may_share_a_line_meet_at_their_mean_by_width() -> None:
    assert levelled([band(60, 58, 64, 60), band(63, 60, 66, 30)]) == pytest.approx([61 * INCH] * 2)


def test_the_line_keeps_within_both_bands() -> None:
    assert levelled([band(60, 58, 61), band(64, 60.5, 66)]) == pytest.approx([61 * INCH] * 2)


def test_those_without_a_line_in_common_and_those_far_apart_stay() -> None:
    assert levelled([band(60, 58, 61), band(64, 62, 66)]) == [60 * INCH, 64 * INCH]
    assert levelled([band(60, 50, 90), band(75, 50, 90)]) == [60 * INCH, 75 * INCH]
    assert levelled([band(60, 58, 61)]) == [60 * INCH]


bands = st.lists(
    st.tuples(st.floats(50, 80), st.floats(0, 5), st.floats(0, 5), st.floats(8, 90)).map(
        lambda told: band(told[0], told[0] - told[1], told[0] + told[2], told[3])
    ),
    max_size=6,
)


@given(bands)
def test_nothing_leaves_its_band_and_the_order_of_the_list_does_not_matter(some: list[Band]) -> None:
    found = levelled(some)
    for one, centre in zip(some, found, strict=True):
        assert one.low - 1e-6 <= centre <= one.high + 1e-6
    assert levelled(some[::-1])[::-1] == pytest.approx(found)
    assert NEAR > LEAST > 0


def test_a_low_and_a_high_piece_over_equal_furniture_hang_on_one_line() -> None:
    """44 x 30 in and 44 x 33 in over two consoles of 60 x 32 in: both gaps stay between 6 and 10 in."""
    consoles = [Item(f"c{k}", "console", left * INCH, 0.0, 60 * INCH, 32 * INCH) for k, left in enumerate((20, 150))]
    wall = Wall("w", "r", "w", 230 * INCH, 104 * INCH, items=tuple(consoles))
    works = tuple(Work(f"p{high}", f"P {high}", 44 * INCH, high * INCH) for high in (30, 33))
    plan = propose(House((Room("r", "Room", "dining", walls=(wall,)),), works)).plan
    pieces = [piece for one in plan for piece in one.pieces]
    high = {work.id: work.height for work in works}
    assert len(pieces) == 2
    centres = [piece.bottom + high[piece.work] / 2 for piece in pieces]
    assert centres[0] == pytest.approx(centres[1], abs=LEAST)
    assert all(6 * INCH <= piece.bottom - 32 * INCH <= 10 * INCH for piece in pieces)
