"""What one wall takes to hang, against sums worked by hand; the figures are common practice, no source."""

from __future__ import annotations

import dataclasses
from decimal import Decimal

import pytest

from placements.contexts.money import to_hang
from placements.estimating.lines import one_wall
from placements.estimating.pieces import Piece
from placements.estimating.prices import Prices

PIECE = Piece(1, "Bay", "Hall", "North", 762.0, 508.0, 6.0, "wire", 2, 0, 1800.0, "drywall", 1)
PRICES = Prices("USD", rates={name: Decimal(rate) for name, rate in (("hanger", "60"), ("wire", "4"), ("fixing", "2"))})


def test_a_piece_on_wire_takes_its_own_minutes_and_the_walls():
    """10 to 18 minutes of the piece and 8 to 15 of the wall, in the middle 25.5 at 60 an hour; wire and two hooks."""
    wall = one_wall([PIECE], PRICES)
    assert (wall.hours.low * 60, wall.hours.high * 60) == pytest.approx((18, 33))
    # Hours are charged to a thousandth of an hour, each line by itself: 0.233 and 0.192.
    assert wall.amount == Decimal("4") + 2 * Decimal("2") + Decimal("0.425") * 60
    assert to_hang(wall).startswith("USD 33.50, ½")


def test_what_does_not_depend_on_the_way_is_left_out():
    dear = {"travel": Decimal(900), "visit_least": Decimal(9), "design_hours": Decimal(9), "tax_work": Decimal(50)}
    assert one_wall([PIECE], PRICES) == one_wall([PIECE], Prices("USD", rates={**PRICES.rates, **dear}))
    assert one_wall([], PRICES).amount == 0


def test_the_second_way_is_told_by_what_it_takes_more_or_less():
    """Brick takes 1.6 times the 14 minutes in the middle: 8.4 more."""
    plain, brick = (one_wall([dataclasses.replace(PIECE, build=build)], PRICES) for build in ("drywall", "brick"))
    assert ": USD 8.40 more, about 8 min longer." in to_hang(brick, plain)
    assert ": USD 8.40 less, about 8 min shorter." in to_hang(plain, brick)
    assert to_hang(plain, plain).endswith(": the same.")
    assert to_hang(one_wall([], PRICES)) == "Nothing."
