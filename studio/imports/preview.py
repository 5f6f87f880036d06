"""Rows of a list as pieces, each with its faults and remarks, before anything is stored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.utils.text import slugify

from studio.errors import Invalid
from studio.models import Artwork, Client, Project, Studio
from studio.services.art import HANG_MEASURES, artwork_build, same_owner
from studio.units import BadMeasure, parse_weight

from .columns import BY_NAME, light_of, unit_of_heading, weight_unit_of_heading
from .sizes import Order, parse_size
from .tables import Table


@dataclass(frozen=True, slots=True)
class Plan:
    """How a list is to be read, and whose pieces they become."""

    studio: Studio
    mapping: Mapping[int, str]
    unit: str = "in"
    order: Order = "height_first"
    client: Client | None = None
    project: Project | None = None


@dataclass(slots=True)
class Row:
    """One row of the list: its number in the file, the piece where it makes one, and what is wrong or odd."""

    number: int
    title: str
    artwork: Artwork | None = None
    faults: list[dict[str, str]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    @property
    def shape_px(self) -> tuple[int, int]:
        """A little rectangle of the piece's shape, so that one turned on its side is seen."""
        if self.artwork is None:
            return 0, 0
        longest = max(self.artwork.width_mm, self.artwork.height_mm)
        width, height = (max(round(mm / longest * 28), 2) for mm in (self.artwork.width_mm, self.artwork.height_mm))
        return width, height


def preview(table: Table, plan: Plan) -> list[Row]:
    """Every row as it would be stored. Nothing is stored."""
    taken = set(
        same_owner(Artwork(studio=plan.studio, client=plan.client, project=plan.project)).values_list("code", flat=True)
    )
    return [
        _row(number, cells, table, plan, taken)
        for number, cells in enumerate(table.rows, table.first_row)
        if any(cells)
    ]


def _row(number: int, cells: tuple[str, ...], table: Table, plan: Plan, taken: set[str]) -> Row:
    said = {name: cells[index] for index, name in plan.mapping.items() if name}
    row = Row(number, said.get("title", "")[:200])
    values = _values(row, said, table, plan)
    _sizes(row, values, said, plan)
    kind = values.get("hang_kind") or ""
    if kind and any(values.get(name) is None for name in HANG_MEASURES[kind]):
        row.notes.append("its hardware is named but not measured: it stays “not measured yet”")
        kind = ""
    values["hang_kind"] = kind
    if row.faults:
        return row
    code = values.pop("code", "") or ""
    code = _code(row, code, taken)
    clean = {name: value for name, value in values.items() if value is not None}
    try:
        row.artwork = artwork_build(studio=plan.studio, client=plan.client, project=plan.project, code=code, **clean)
    except Invalid as error:
        row.faults += error.faults or [{"where": "", "detail": error.detail}]
        return row
    taken.add(code)
    return row


def _values(row: Row, said: Mapping[str, str], table: Table, plan: Plan) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for index, name in plan.mapping.items():
        if not name or name == "size":
            continue
        column, cell, heading = BY_NAME[name], said[name], table.headings[index]
        try:
            if name == "weight_kg":
                unit = weight_unit_of_heading(heading) or ("lb" if plan.unit == "in" else "kg")
                values[name] = parse_weight(cell, unit) if cell else None
            else:
                values[name] = column.read(cell, unit_of_heading(heading) or plan.unit)
        except (BadMeasure, ValueError) as error:
            row.faults.append({"where": column.label, "detail": str(error)})
    if "form" in said and not row.faults:
        values.setdefault("light", None)
        values["light"] = values["light"] or light_of(said["form"])
    if not said.get("title", "").strip():
        row.faults.append({"where": "Title", "detail": "is empty"})
    return values


def _sizes(row: Row, values: dict[str, Any], said: Mapping[str, str], plan: Plan) -> None:
    """Width, height, depth and weight from the size in one cell, unless columns of their own say them."""
    cell = said.get("size", "")
    if not cell:
        for name in ("width_mm", "height_mm"):
            if values.get(name) is None and not any(BY_NAME[name].label == fault["where"] for fault in row.faults):
                row.faults.append({"where": BY_NAME[name].label, "detail": "is empty"})
        return
    try:
        size = parse_size(cell, plan.unit, plan.order)
    except BadMeasure as error:
        if values.get("width_mm") is None or values.get("height_mm") is None:
            row.faults.append({"where": BY_NAME["size"].label, "detail": str(error)})
        return
    row.notes += size.notes
    width, height = values.get("width_mm"), values.get("height_mm")
    if (
        width is not None
        and height is not None
        and (width > height) != (size.width_mm > size.height_mm)
        and width != height
    ):
        row.notes.append("the size in one cell and the columns for width and height disagree on its shape: look at it")
    values["width_mm"], values["height_mm"] = width or size.width_mm, height or size.height_mm
    if values.get("depth_mm") is None:
        values["depth_mm"] = size.depth_mm
    if values.get("weight_kg") is None:
        values["weight_kg"] = size.weight_kg


def _code(row: Row, said: str, taken: set[str]) -> str:
    """The piece's id: its inventory number where the list has one, else made of its title; never one twice."""
    base = slugify(said or row.title)[:50] or "piece"
    if base not in taken:
        return base
    if said:
        row.notes.append(f"there is a piece with the number “{said}” already: this one gets another")
    return next(code for count in range(2, len(taken) + 3) if (code := f"{base}-{count}") not in taken)
