"""Rounding: a total from exact amounts, once, and parts that add up to it."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal

#: Decimal places of currencies that have other than two, by ISO 4217:2015 (its list of codes, quoted from memory).
PLACES = {
    "BIF": 0, "CLP": 0, "DJF": 0, "GNF": 0, "ISK": 0, "JPY": 0, "KMF": 0, "KRW": 0, "PYG": 0, "RWF": 0, "UGX": 0,
    "UYI": 0, "VND": 0, "VUV": 0, "XAF": 0, "XOF": 0, "XPF": 0,
    "BHD": 3, "IQD": 3, "JOD": 3, "KWD": 3, "LYD": 3, "OMR": 3, "TND": 3,
}  # fmt: skip


def unit_of(currency: str) -> Decimal:
    """The smallest amount of a currency: 0.01 of most."""
    return Decimal(1).scaleb(-PLACES.get(currency, 2))


def rounded(amount: Decimal, currency: str) -> Decimal:
    """An amount to the currency's smallest unit, halves away from zero, as on an invoice."""
    return amount.quantize(unit_of(currency), ROUND_HALF_UP)


def parted(amounts: Sequence[Decimal], currency: str) -> tuple[Decimal, ...]:
    """Amounts as they are shown: each within one smallest unit of what it is, together the rounded sum.

    By largest remainders (the method of Hare and Niemeyer): all are rounded down, and the units that are missing go
    to those that lost most, the earlier first.
    """
    unit = unit_of(currency)
    down = [amount.quantize(unit, ROUND_FLOOR) for amount in amounts]
    missing = int((rounded(sum(amounts, Decimal(0)), currency) - sum(down, Decimal(0))) / unit)
    lost = sorted(range(len(amounts)), key=lambda at: (down[at] - amounts[at], at))
    more = set(lost[:missing])
    return tuple(one + unit if at in more else one for at, one in enumerate(down))
