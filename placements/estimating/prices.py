"""A studio's price list: what is charged for, in what unit, and what the list says of it.

The figures that a new list starts with are ours, round, and to be replaced: they are nobody's prices.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Any, Literal

Group = Literal["Framing", "Hardware", "Work", "Travel", "Tax"]
FramedBy = Literal["united_inch", "metre"]

#: The largest rate and the places that one may have.
MOST, PLACES = Decimal(1_000_000), 4
#: The most mouldings of a list, and how long a name of one is.
MOST_MOULDINGS, LONGEST_NAME = 60, 80


@dataclass(frozen=True, slots=True)
class Rate:
    """One thing that is charged for. `unit` as people say it; `start` is ours, to be replaced."""

    id: str
    name: str
    group: Group
    unit: str
    start: Decimal


def _rates(*rows: tuple[str, str, Group, str, str]) -> tuple[Rate, ...]:
    return tuple(Rate(id, name, group, unit, Decimal(start)) for id, name, group, unit, start in rows)


#: By the outline of a frame: its width and height together in inches, or its four sides in metres.
OUTLINE = "outline"
RATES: tuple[Rate, ...] = _rates(
    ("mat", "Mat", "Framing", OUTLINE, "0.60"),
    ("glazing", "Glazing", "Framing", OUTLINE, "0.90"),
    ("backing", "Backing and fitting", "Framing", OUTLINE, "0.40"),
    ("frame_least", "Least price of a frame", "Framing", "a frame", "60"),
    ("wire", "Wire and its rings", "Hardware", "a piece", "4"),
    ("two_rings", "Two rings", "Hardware", "a piece", "3"),
    ("sawtooth", "Sawtooth hanger", "Hardware", "a piece", "2"),
    ("keyholes", "Keyhole plates", "Hardware", "a piece", "4"),
    ("cleat", "Cleat", "Hardware", "a piece", "18"),
    ("unknown", "Hardware not measured", "Hardware", "a piece", "5"),
    ("fixing", "Hook or screw in the wall", "Hardware", "a point", "2"),
    ("fixing_heavy", "Anchor, toggle or structural screw", "Hardware", "a point", "6"),
    ("design", "Designer", "Work", "an hour", "90"),
    ("hanger", "Hanger", "Work", "an hour", "70"),
    ("second", "Second person", "Work", "an hour", "45"),
    ("visit_least", "Least hours of a visit", "Work", "hours", "2"),
    ("design_hours", "Designer's hours for a plan", "Work", "hours", "3"),
    ("pace", "Hours against what is reckoned", "Work", "times", "1"),
    ("travel", "Travel", "Travel", "a visit", "40"),
    ("tax_goods", "Tax on goods", "Tax", "per cent", "0"),
    ("tax_work", "Tax on work and travel", "Tax", "per cent", "0"),
)
BY_ID: Mapping[str, Rate] = {one.id: one for one in RATES}
#: Upper bounds of what is no amount of money.
BOUNDS = {"tax_goods": Decimal(60), "tax_work": Decimal(60), "pace": Decimal(5), "visit_least": Decimal(24)}
START_MOULDING = ("Plain moulding", Decimal("2.20"))


@dataclass(frozen=True)
class Prices:
    """A price list as it was at one moment. mouldings : name -> rate by the outline."""

    currency: str
    framed_by: FramedBy = "united_inch"
    rates: Mapping[str, Decimal] = field(default_factory=dict)
    mouldings: Mapping[str, Decimal] = field(default_factory=lambda: dict([START_MOULDING]))

    def rate(self, name: str) -> Decimal:
        """What the list says, else what we start with."""
        return self.rates.get(name, BY_ID[name].start)

    def as_json(self) -> dict[str, Any]:
        """Amounts as text, so that no figure passes through a float."""
        return {
            "currency": self.currency,
            "framed_by": self.framed_by,
            "rates": {one.id: str(self.rate(one.id)) for one in RATES},
            "mouldings": {name: str(rate) for name, rate in self.mouldings.items()},
        }

    @classmethod
    def of_json(cls, told: Mapping[str, Any]) -> Prices:
        return cls(
            told["currency"],
            told["framed_by"],
            {name: Decimal(rate) for name, rate in told["rates"].items() if name in BY_ID},
            {name: Decimal(rate) for name, rate in told["mouldings"].items()},
        )


def read_amount(text: str, most: Decimal = MOST) -> Decimal:
    """An amount as people type it: "12.5", "12,50", "1 200".

    Raises:
        ValueError: with what is wrong, in words.
    """
    said = text.replace("\u00a0", "").replace("\u202f", "").replace(" ", "").replace("’", "")
    if "," in said and "." in said:
        said = said.replace("," if said.rfind(".") > said.rfind(",") else ".", "")
    said = said.replace(",", ".")
    try:
        amount = Decimal(said)
    except InvalidOperation as unread:
        raise ValueError(f"“{text[:40]}” is no amount: write it like 12.50.") from unread
    if not amount.is_finite() or not 0 <= amount <= most:
        raise ValueError(f"Between 0 and {most}.")
    if -int(amount.as_tuple().exponent) > PLACES:
        raise ValueError(f"At most {PLACES} places behind the point.")
    return amount
