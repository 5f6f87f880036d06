"""An estimate: lines by room, wall and piece, sums by kind, taxes and total."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from . import hours
from .money import parted, rounded
from .pieces import INCH, Piece
from .prices import FramedBy, Prices

Kind = Literal["framing", "purchase", "hardware", "hanging", "design", "travel"]
GOODS: tuple[Kind, ...] = ("framing", "purchase", "hardware")
KINDS: Mapping[Kind, str] = {
    "framing": "Framing",
    "purchase": "Purchases",
    "hardware": "Hardware",
    "hanging": "Hanging",
    "design": "Design",
    "travel": "Travel",
}


@dataclass(frozen=True, slots=True)
class Framed:
    """What a piece gets: a moulding of the list, and what else."""

    moulding: str
    mat: bool = False
    glazing: bool = True


@dataclass(frozen=True, slots=True)
class Purchase:
    """Something to buy, at what it is expected to cost."""

    text: str
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Line:
    """One line. `amount` is exact, `shown` is rounded so that all lines add up to the sum."""

    kind: Kind
    room: str
    wall: str
    piece: int | None
    text: str
    quantity: Decimal
    unit: str
    amount: Decimal
    shown: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class Estimate:
    """Lines with the sums: by kind, before tax, taxes by what they are on, and the total; hours low and high."""

    currency: str
    lines: tuple[Line, ...]
    by_kind: Mapping[Kind, Decimal]
    net: Decimal
    tax_goods: Decimal
    tax_work: Decimal
    total: Decimal
    hours: hours.Hours
    visits: int

    def as_json(self) -> dict[str, Any]:
        """Amounts as text; `hours` as numbers."""
        return {
            "currency": self.currency,
            "lines": [
                {
                    "kind": one.kind,
                    "room": one.room,
                    "wall": one.wall,
                    "piece": one.piece,
                    "text": one.text,
                    "quantity": str(one.quantity),
                    "unit": one.unit,
                    "amount": str(one.shown),
                }
                for one in self.lines
            ],
            "by_kind": {kind: str(amount) for kind, amount in self.by_kind.items()},
            "net": str(self.net),
            "tax_goods": str(self.tax_goods),
            "tax_work": str(self.tax_work),
            "total": str(self.total),
            "hours": {"low": round(self.hours.low, 2), "high": round(self.hours.high, 2)},
            "second": {"low": round(self.hours.second_low, 2), "high": round(self.hours.second_high, 2)},
            "visits": self.visits,
        }


def estimate(
    pieces: Sequence[Piece],
    prices: Prices,
    *,
    framed: Mapping[int, Framed] | None = None,
    purchases: Sequence[Purchase] = (),
    visits: int = 1,
) -> Estimate:
    """What pieces at their places cost by a price list.

    Args:
        framed: piece -> what it gets; a piece that is not named keeps its frame.
        visits: how often the hanger comes; travel and setting up are counted as often.

    Raises:
        KeyError: a moulding that the list does not have.
    """
    lines = [
        *_framing(pieces, prices, framed or {}),
        *(_line("purchase", None, one.text, Decimal(1), "", one.amount) for one in purchases),
        *_hardware(pieces, prices),
        *_hanging(pieces, prices, visits),
        *_rest(pieces, prices, visits),
    ]
    shown = parted([one.amount for one in lines], prices.currency)
    lines = [_shown(one, amount) for one, amount in zip(lines, shown, strict=True)]
    net = rounded(sum((one.amount for one in lines), Decimal(0)), prices.currency)
    goods = sum((one.amount for one in lines if one.kind in GOODS), Decimal(0))
    work = sum((one.amount for one in lines if one.kind not in GOODS), Decimal(0))
    taxes = [
        rounded(amount * prices.rate(rate) / 100, prices.currency)
        for amount, rate in ((goods, "tax_goods"), (work, "tax_work"))
    ]
    by_kind: dict[Kind, Decimal] = {}
    for one in lines:
        by_kind[one.kind] = by_kind.get(one.kind, Decimal(0)) + one.shown
    taken = hours.of_all(pieces, visits).times(float(prices.rate("pace")))
    return Estimate(prices.currency, tuple(lines), by_kind, net, taxes[0], taxes[1], net + sum(taxes), taken, visits)


@dataclass(frozen=True, slots=True)
class OneWall:
    """What one wall costs to hang: hardware and work, without visits, design, frames or tax."""

    currency: str
    amount: Decimal
    hours: hours.Hours


def one_wall(pieces: Sequence[Piece], prices: Prices) -> OneWall:
    """To compare two ways to hang a wall: what does not depend on them is left out."""
    lines = (*_hardware(pieces, prices), *_hanging(pieces, prices, 0))
    amount = rounded(sum((one.amount for one in lines), Decimal(0)), prices.currency)
    return OneWall(prices.currency, amount, hours.of_all(pieces, 0).times(float(prices.rate("pace"))))


def outline(piece: Piece, framed_by: FramedBy) -> Decimal:
    """What framing is charged by: width and height together [in], or the four sides [m], to a hundredth."""
    length = (
        (piece.width + piece.height) / INCH if framed_by == "united_inch" else 2 * (piece.width + piece.height) / 1000
    )
    return Decimal(str(round(length, 2)))


def _line(
    kind: Kind,
    piece: Piece | None,
    text: str,
    quantity: Decimal,
    unit: str,
    amount: Decimal,
    wall: tuple[str, str] = ("", ""),
) -> Line:
    room, on = (piece.room, piece.wall) if piece else wall
    return Line(kind, room, on, piece.id if piece else None, text, quantity, unit, amount)


def _shown(line: Line, amount: Decimal) -> Line:
    return Line(line.kind, line.room, line.wall, line.piece, line.text, line.quantity, line.unit, line.amount, amount)


def _framing(pieces: Sequence[Piece], prices: Prices, framed: Mapping[int, Framed]) -> Iterator[Line]:
    unit = "united in" if prices.framed_by == "united_inch" else "m"
    for piece in pieces:
        what = framed.get(piece.id)
        if what is None:
            continue
        long = outline(piece, prices.framed_by)
        rate = prices.mouldings[what.moulding] + prices.rate("backing")
        rate += prices.rate("mat") * what.mat + prices.rate("glazing") * what.glazing
        parts = [what.moulding, *(["mat"] if what.mat else []), *(["glazing"] if what.glazing else []), "backing"]
        amount = max(long * rate, prices.rate("frame_least"))
        yield _line("framing", piece, f"{piece.title}: {', '.join(parts)}", long, unit, amount)


def _hardware(pieces: Sequence[Piece], prices: Prices) -> Iterator[Line]:
    for piece in pieces:
        if not piece.hardware:
            continue
        usual = piece.points - piece.heavy
        amount = prices.rate(piece.hardware if piece.hardware in prices.as_json()["rates"] else "unknown")
        amount += usual * prices.rate("fixing") + piece.heavy * prices.rate("fixing_heavy")
        points = f"{piece.points} point{'' if piece.points == 1 else 's'}"
        yield _line(
            "hardware",
            piece,
            f"{piece.title}: {piece.hardware.replace('_', ' ')}",
            Decimal(piece.points),
            points,
            amount,
        )


def _hanging(pieces: Sequence[Piece], prices: Prices, visits: int) -> Iterator[Line]:
    """One line a piece, one for the walls and visits, and one for what a visit lasts at the least."""
    pace = prices.rate("pace")
    charged = Decimal(0)
    for piece in pieces:
        taken = hours.of_piece(piece)
        first, second = (Decimal(str(round(one, 3))) * pace for one in (taken.middle, taken.second))
        charged += first
        text = f"{piece.title}{', two people' if second else ''}"
        yield _line("hanging", piece, text, first, "h", first * prices.rate("hanger") + second * prices.rate("second"))
    for (room, wall), _ in sorted(Counter((piece.room, piece.wall) for piece in pieces).items()):
        setting = Decimal(str(round(hours.of_wall().middle, 3))) * pace
        charged += setting
        yield _line(
            "hanging", None, "Levels and protection", setting, "h", setting * prices.rate("hanger"), (room, wall)
        )
    if pieces:
        coming = visits * Decimal(str(round(hours.of_visit().middle, 3))) * pace
        charged += coming
        yield _line("hanging", None, "Setting up and leaving", coming, "h", coming * prices.rate("hanger"))
        short = visits * prices.rate("visit_least") - charged
        if short > 0:
            yield _line("hanging", None, "Up to the least hours of a visit", short, "h", short * prices.rate("hanger"))


def _rest(pieces: Sequence[Piece], prices: Prices, visits: int) -> Iterator[Line]:
    if not pieces:
        return
    design = prices.rate("design_hours")
    if design:
        yield _line("design", None, "Plan", design, "h", design * prices.rate("design"))
    if prices.rate("travel") and visits:
        yield _line(
            "travel",
            None,
            "Travel",
            Decimal(visits),
            "visit" if visits == 1 else "visits",
            visits * prices.rate("travel"),
        )
