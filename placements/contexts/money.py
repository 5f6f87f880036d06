"""Money as pages, documents and files show it."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Font

from placements.estimating.lines import KINDS, OneWall
from placements.estimating.money import unit_of
from placements.models import Estimate
from studio.imports.tables import guarded

COLUMNS = ("Kind", "Room", "Wall", "What", "Quantity", "Unit", "Amount")


def money(amount: Decimal | str, currency: str) -> str:
    """An amount with its currency: "USD 1,234.50"; a minus stands before the figure."""
    places = -int(unit_of(currency).as_tuple().exponent)
    return f"{currency} {Decimal(amount):,.{places}f}"


@dataclass(frozen=True, slots=True)
class Row:
    """A line as it is shown."""

    text: str
    quantity: str
    amount: str


@dataclass(frozen=True, slots=True)
class Part:
    """The lines of one wall, or of the whole plan, with their sum."""

    room: str
    wall: str
    rows: tuple[Row, ...]
    amount: str


@dataclass(frozen=True, slots=True)
class Shown:
    """An estimate as a page and a document show it."""

    parts: tuple[Part, ...]
    kinds: tuple[tuple[str, str], ...]
    net: str
    taxes: tuple[tuple[str, str], ...]
    total: str
    hours: str
    second: str
    visits: int


def shown(told: dict[str, Any]) -> Shown:
    """What an estimate's content says, by room and wall."""
    currency: str = told["currency"]
    by_place: dict[tuple[str, str], list[dict[str, Any]]] = {}
    for line in told["lines"]:
        by_place.setdefault((line["room"], line["wall"]), []).append(line)
    parts = [
        Part(
            room,
            wall,
            tuple(Row(_what(line), _quantity(line), money(line["amount"], currency)) for line in lines),
            money(sum((Decimal(line["amount"]) for line in lines), Decimal(0)), currency),
        )
        for (room, wall), lines in sorted(by_place.items(), key=lambda one: (one[0] == ("", ""), ""))
    ]
    taxes = [("Tax on goods", told["tax_goods"]), ("Tax on work and travel", told["tax_work"])]
    return Shown(
        parts=tuple(parts),
        kinds=tuple((KINDS[kind], money(told["by_kind"][kind], currency)) for kind in KINDS if kind in told["by_kind"]),
        net=money(told["net"], currency),
        taxes=tuple((name, money(amount, currency)) for name, amount in taxes if Decimal(amount)),
        total=money(told["total"], currency),
        hours=span(told["hours"]),
        second=span(told["second"]) if told["second"]["high"] else "",
        visits=told["visits"],
    )


def _what(line: dict[str, Any]) -> str:
    """Its kind and what it is; once where both say the same."""
    kind = KINDS[line["kind"]]
    return kind if line["text"] == kind else f"{kind}: {line['text']}"


def _quantity(line: dict[str, Any]) -> str:
    quantity, unit = Decimal(line["quantity"]), str(line["unit"])
    if not unit or line["kind"] == "hardware":
        return unit
    return f"{quantity.quantize(Decimal('0.1')).normalize():f} {unit}"


def span(hours: dict[str, float]) -> str:
    """ "4½ to 7 hours", to the half hour."""
    low, high = (_halves(hours[end]) for end in ("low", "high"))
    unit = "hour" if hours["high"] <= 1.25 else "hours"
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"


def _halves(hours: float) -> str:
    halves = max(1, round(2 * hours))
    whole = str(halves // 2) if halves > 1 else ""
    return f"{whole}{'½' if halves % 2 else ''}"


def against(told: dict[str, Any], now: dict[str, Any]) -> str:
    """What a later state of the plan does to the money, in words; empty where nothing."""
    if told["currency"] != now["currency"]:
        return f"The price list counts in {now['currency']} now, so the two cannot be compared."
    more = Decimal(now["total"]) - Decimal(told["total"])
    if not more:
        return ""
    said = f"{money(abs(more), told['currency'])} {'more' if more > 0 else 'less'}"
    return f"As the plan and the prices stand today it would be {said}."


def to_hang(way: OneWall, other: OneWall | None = None) -> str:
    """What hanging a wall in one way takes, and how that differs from another way."""
    hours = span({"low": way.hours.low, "high": way.hours.high})
    said = f"{money(way.amount, way.currency)}, {hours}" if way.hours.high else "Nothing"
    if other is None:
        return f"{said}."
    more = way.amount - other.amount
    longer = round((way.hours.middle - other.hours.middle) * 60)
    parts = []
    if more:
        parts.append(f"{money(abs(more), way.currency)} {'more' if more > 0 else 'less'}")
    if longer:
        parts.append(f"about {abs(longer)} min {'longer' if longer > 0 else 'shorter'}")
    return f"{said}: {', '.join(parts) or 'the same'}."


def as_csv(estimate: Estimate) -> str:
    """The lines as a spreadsheet reads them, amounts with a point; UTF-8 with a mark in front."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow((*COLUMNS, estimate.currency))
    for row in _table(estimate):
        writer.writerow([guarded(str(cell)) for cell in row])
    return "\ufeff" + out.getvalue()


def as_xlsx(estimate: Estimate) -> bytes:
    """The lines as a workbook, amounts as numbers."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = f"Estimate {estimate.version}"
    sheet.append([*COLUMNS[:-1], f"Amount [{estimate.currency}]"])
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    for row in _table(estimate):
        sheet.append([guarded(one) if isinstance(one, str) else one for one in row])
    for letter, width in zip("ABCDEFG", (12, 18, 18, 44, 10, 12, 14), strict=True):
        sheet.column_dimensions[letter].width = width
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def as_json(estimate: Estimate) -> str:
    """What was frozen, with its hash; amounts are text."""
    told = {"version": estimate.version, "sha256": estimate.sha256, "estimate": estimate.told}
    return json.dumps(told, ensure_ascii=False, indent=1)


def _table(estimate: Estimate) -> list[list[str | Decimal]]:
    told = estimate.told
    rows: list[list[str | Decimal]] = [
        [
            KINDS[line["kind"]], line["room"], line["wall"], line["text"],
            Decimal(line["quantity"]), line["unit"], Decimal(line["amount"]),
        ]
        for line in told["lines"]
    ]  # fmt: skip
    for name, amount in (("Tax on goods", "tax_goods"), ("Tax on work and travel", "tax_work"), ("Total", "total")):
        rows.append([name, "", "", "", "", "", Decimal(told[amount])])
    return [*rows, ["Note", "", "", estimate.note, "", "", ""]] if estimate.note else rows
