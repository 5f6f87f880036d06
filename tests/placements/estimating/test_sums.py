"""Sums of random plans against fractions reckoned apart; rounding by the sum; what amounts people type.

The smallest units of currencies are those of ISO 4217:2015 (quoted from memory): none of the yen, a thousandth of the
Kuwaiti dinar, a hundredth of most. The parts beside a sum follow the method of largest remainders (Hare and Niemeyer).
What things cost, and how long they take, is common practice, no source.
"""

from __future__ import annotations

import dataclasses
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.estimating import hours
from placements.estimating.lines import Framed, Purchase, estimate
from placements.estimating.money import parted, rounded, unit_of
from placements.estimating.pieces import Piece
from placements.estimating.prices import RATES, Prices, read_amount

pieces = st.builds(
    Piece,
    id=st.integers(1, 10**6),
    title=st.just("Work"),
    room=st.sampled_from(["Hall", "Study"]),
    wall=st.sampled_from(["North", "South"]),
    width=st.floats(100, 2400),
    height=st.floats(100, 2400),
    weight_kg=st.none() | st.floats(0.1, 90),
    hardware=st.sampled_from(["wire", "two_rings", "sawtooth", "cleat", "keyholes", "unknown", ""]),
    points=st.integers(0, 4),
    heavy=st.just(0),
    top_mm=st.floats(800, 4500),
    build=st.sampled_from(["drywall", "plaster", "brick", "concrete", "lath"]),
    group=st.integers(1, 9),
)
PIECE = Piece(1, "Bay", "Hall", "North", 762.0, 508.0, 6.0, "wire", 2, 0, 1800.0, "drywall", 1)
amounts = st.decimals(0, 5000, places=4)


@given(st.lists(amounts, max_size=40), st.sampled_from(["USD", "JPY", "KWD"]))
def test_parts_add_up_to_the_rounded_sum_and_each_is_within_one_unit(exact: list[Decimal], currency: str) -> None:
    shown, unit = parted(exact, currency), unit_of(currency)
    assert sum(shown, Decimal(0)) == rounded(sum(exact, Decimal(0)), currency)
    assert all(abs(one - two) < unit for one, two in zip(shown, exact, strict=True))
    assert all(one == one.quantize(unit) for one in shown)


def test_the_smallest_units_of_currencies() -> None:
    assert (unit_of("JPY"), unit_of("KWD"), unit_of("EUR")) == (Decimal(1), Decimal("0.001"), Decimal("0.01"))
    assert rounded(Decimal("2.675"), "EUR") == Decimal("2.68")
    # Three thirds of 100: 33.34 and twice 33.33, not 99.99.
    assert parted([Decimal(100) / 3] * 3, "EUR") == (Decimal("33.34"), Decimal("33.33"), Decimal("33.33"))


@given(
    st.lists(pieces, min_size=1, max_size=8, unique_by=lambda one: one.id),
    st.booleans(),
    st.integers(1, 3),
    st.fixed_dictionaries({one.id: st.decimals(0, 200, places=2) for one in RATES if one.id not in ("pace",)}),
    st.sampled_from(["united_inch", "metre"]),
)
def test_an_estimate_is_the_sum_that_fractions_give(hung, framing, visits, rates, framed_by) -> None:
    rates = {**rates, "tax_goods": rates["tax_goods"] / 10, "tax_work": rates["tax_work"] / 10}
    prices = Prices("EUR", framed_by, {**rates, "pace": Decimal(1)}, {"Plain": Decimal("2.5")})
    framed = {hung[0].id: Framed("Plain", mat=True, glazing=False)} if framing else {}
    found = estimate(hung, prices, framed=framed, purchases=[Purchase("A vase", Decimal("99.99"))], visits=visits)

    rate = {name: Fraction(amount) for name, amount in rates.items()}
    goods, work, at_work = Fraction("99.99"), Fraction(0), Fraction(0)
    if framing:
        one = hung[0]
        long = (one.width + one.height) / 25.4 if framed_by == "united_inch" else (one.width + one.height) / 500
        each = Fraction("2.5") + rate["mat"] + rate["backing"]
        goods += max(Fraction(str(round(long, 2))) * each, rate["frame_least"])
    for one in hung:
        if one.hardware:
            goods += rate[one.hardware] + one.points * rate["fixing"]
        taken = hours.of_piece(one)
        first, second = (Fraction(str(round(each, 3))) for each in (taken.middle, taken.second))
        work += first * rate["hanger"] + second * rate["second"]
        at_work += first
    walls = len({(one.room, one.wall) for one in hung})
    setting = walls * Fraction(str(round((8 + 15) / 120, 3))) + visits * Fraction(str(round((25 + 45) / 120, 3)))
    at_work += setting
    work += setting * rate["hanger"] + max(visits * rate["visit_least"] - at_work, 0) * rate["hanger"]
    work += rate["design_hours"] * rate["design"] + visits * rate["travel"]

    def cents(exact: Fraction) -> Decimal:
        return (Decimal(exact.numerator) / exact.denominator).quantize(Decimal("0.01"), ROUND_HALF_UP)

    assert found.net == cents(goods + work)
    assert found.tax_goods == cents(goods * rate["tax_goods"] / 100)
    assert found.tax_work == cents(work * rate["tax_work"] / 100)
    assert found.total == found.net + found.tax_goods + found.tax_work
    assert sum(one.shown for one in found.lines) == found.net == sum(found.by_kind.values())
    told = found.as_json()
    assert sum(Decimal(line["amount"]) for line in told["lines"]) == Decimal(told["net"])


@given(pieces, st.sampled_from(["weight_kg", "points", "top_mm"]))
def test_more_weight_points_or_height_never_takes_less_time(piece: Piece, name: str) -> None:
    more = {"weight_kg": 95.0, "points": piece.points + 2, "top_mm": 4600.0}[name]
    before, after = hours.of_piece(piece), hours.of_piece(dataclasses.replace(piece, **{name: more}))
    assert after.low >= before.low - 1e-9
    assert after.high >= before.high - 1e-9
    assert 0 < before.low <= before.high
    assert hours.people(dataclasses.replace(piece, **{name: more})) >= hours.people(piece)


def test_brick_takes_longer_than_board_and_a_heavy_piece_two_people() -> None:
    brick = dataclasses.replace(PIECE, build="brick")
    assert hours.of_piece(brick).low > hours.of_piece(PIECE).low
    assert hours.people(PIECE) == 1
    assert hours.people(dataclasses.replace(PIECE, weight_kg=30.0)) == 2
    assert hours.people(dataclasses.replace(PIECE, top_mm=3400.0)) == 2


@pytest.mark.parametrize(
    ("typed", "amount"),
    [
        ("12.5", "12.5"),
        ("12,50", "12.50"),
        ("1 200", "1200"),
        ("1,234.50", "1234.50"),
        ("1.234,50", "1234.50"),
        ("1\u202f234,5", "1234.5"),
        ("0", "0"),
    ],
)
def test_amounts_as_people_type_them(typed: str, amount: str) -> None:
    assert read_amount(typed) == Decimal(amount)


@pytest.mark.parametrize("typed", ["", "twelve", "-3", "1e9", "NaN", "Infinity", "0.00001", "12..5", "9" * 50])
def test_what_is_no_amount(typed: str) -> None:
    with pytest.raises(ValueError, match=r".+"):
        read_amount(typed)


def test_a_price_list_survives_its_json() -> None:
    told = Prices("GBP", "metre", {"wire": Decimal("4.10")}, {"Walnut": Decimal("31")})
    again = Prices.of_json(told.as_json())
    assert again.as_json() == told.as_json()
    assert again.rate("wire") == Decimal("4.10")
