"""Rows of a list as pieces, each with its faults and remarks, before anything is stored."""

from __future__ import annotations

import copy
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils.text import slugify

from studio.errors import Invalid
from studio.models import Artwork, Client, Project, Studio
from studio.services.art import FIELDS, HANG_MEASURES, artwork_build, artwork_check, same_owner
from studio.services.checks import set_fields
from studio.units import BadMeasure, parse_weight

from .columns import BY_NAME, KEEP, KEPT_WORDS, form_of, light_of, unit_of_heading, weight_unit_of_heading
from .headings import Line, Passed, headings_of, pieces
from .sizes import Order, Size, parse_size

#: Under which words of a list are kept that none of our fields holds.
HARDWARE_WORDS, PART_WORDS = "Hardware, in words", "Part of the list"


@dataclass(frozen=True, slots=True)
class Plan:
    """How a list is to be read, and whose pieces they become. `mended` are cells by row and field."""

    studio: Studio
    rows: Sequence[Sequence[str]]
    heading: int
    mapping: Mapping[int, str]
    unit: str = "in"
    order: Order = "height_first"
    client: Client | None = None
    project: Project | None = None
    mended: Mapping[int, Mapping[str, str]] = field(default_factory=dict)
    taken: frozenset[int] = frozenset()
    done: frozenset[int] = frozenset()

    @property
    def headings(self) -> tuple[str, ...]:
        return headings_of(self.rows, self.heading)


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong in a row: in which of our fields (empty for none), what its cell says, what is expected."""

    name: str
    cell: str
    detail: str

    @property
    def label(self) -> str:
        return BY_NAME[self.name].label if self.name in BY_NAME else ""

    @property
    def choices(self) -> tuple[str, ...]:
        return BY_NAME[self.name].choices if self.name in BY_NAME else ()


@dataclass(slots=True)
class Row:
    """One row of the list: its number in the file, the piece where it makes one, and what is wrong or odd.

    `there`: the inventory has the piece by its number; `changes` are the fields in which the list says something else.
    """

    number: int
    title: str
    artwork: Artwork | None = None
    faults: list[Fault] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    there: bool = False
    changes: tuple[str, ...] = ()

    @property
    def shape_px(self) -> tuple[int, int]:
        """A little rectangle of the piece's shape, so that one turned on its side is seen."""
        if self.artwork is None:
            return 0, 0
        longest = max(self.artwork.width_mm, self.artwork.height_mm)
        width, height = (max(round(mm / longest * 28), 2) for mm in (self.artwork.width_mm, self.artwork.height_mm))
        return width, height


@dataclass(frozen=True, slots=True)
class Alike:
    """The same fault in several rows, mended at once."""

    fault: Fault
    count: int


@dataclass(slots=True)
class Preview:
    """Every row of a list that is not done yet, what was passed over, and, after storing, what was stored."""

    rows: list[Row]
    passed: list[Passed]
    stored: list[Row] = field(default_factory=list)

    @property
    def alike(self) -> list[Alike]:
        """Faults that several rows share, the most frequent first."""
        counted = Counter(
            (fault.name, fault.cell) for row in self.rows for fault in row.faults if fault.name and fault.cell
        )
        first = {(fault.name, fault.cell): fault for row in self.rows for fault in reversed(row.faults)}
        return [Alike(first[key], count) for key, count in counted.most_common(20) if count > 1]


def preview(plan: Plan, *, lock: bool = False) -> Preview:
    """Every row as it would be stored. Nothing is stored; with `lock` the pieces that are there are locked."""
    there = same_owner(Artwork(studio=plan.studio, client=plan.client, project=plan.project))
    there = there.select_related("studio", "client", "project")
    if lock:
        there = there.select_for_update(of=("self",))
    reading = _Reading(plan, {artwork.code: artwork for artwork in there})
    lines, passed = pieces(plan.rows, plan.heading, plan.mapping, plan.taken)
    return Preview([row for line in lines if (row := reading.row(line)).number not in plan.done], passed)


class _Reading:
    """A list being read: what is in the inventory by number, and which row of the list used a number first."""

    def __init__(self, plan: Plan, there: Mapping[str, Artwork]) -> None:
        self.plan, self.there = plan, there
        self.headings = plan.headings
        self.used: dict[str, int] = {}
        self.by_name: dict[tuple[str, str], list[Artwork]] = {}
        for artwork in there.values():
            self.by_name.setdefault((artwork.title, artwork.maker), []).append(artwork)

    def row(self, line: Line) -> Row:
        said = {name: line.cells[index] if index < len(line.cells) else "" for index, name in self.plan.mapping.items()}
        said = {name: text for name, text in said.items() if name != KEEP}
        said |= self.plan.mended.get(line.number, {})
        row = Row(line.number, said.get("title", "")[:200])
        values = self._values(row, said)
        _sizes(row, values, said, self.plan)
        values["facts"] = self._facts(line, said)
        self._hardware(row, values, said)
        if not row.faults:
            self._piece(row, {name: value for name, value in values.items() if value not in (None, "", [])}, said)
        return row

    def _values(self, row: Row, said: Mapping[str, str]) -> dict[str, Any]:
        values: dict[str, Any] = {}
        heading_of = {
            name: self.headings[index] for index, name in self.plan.mapping.items() if index < len(self.headings)
        }
        for name, cell in said.items():
            if name in KEPT_WORDS or name in ("size", "image_size", "form"):
                continue
            heading = heading_of.get(name, "")
            try:
                if name == "weight_kg":
                    unit = weight_unit_of_heading(heading) or ("lb" if self.plan.unit == "in" else "kg")
                    values[name] = parse_weight(cell, unit) if cell else None
                else:
                    values[name] = BY_NAME[name].read(cell, unit_of_heading(heading) or self.plan.unit)
            except (BadMeasure, ValueError) as error:
                row.faults.append(Fault(name, cell, str(error)))
        if "glazed" in said and not said["glazed"]:
            values.pop("glazed", None)
        if medium := said.get("form", ""):
            form = form_of(medium)
            values["medium"], values["form"] = values.get("medium") or ("" if medium == form else medium[:200]), form
            values["light"] = values.get("light") or light_of(medium)
            if form is None:
                row.notes.append(f"“{medium[:60]}” is kept as its medium in words; its form is not known from it")
        if not said.get("title", "").strip():
            row.faults.append(Fault("title", "", "is empty"))
        return values

    def _facts(self, line: Line, said: Mapping[str, str]) -> dict[str, str]:
        """What is kept in words: by our labels, and under the list's own headings."""
        facts = {BY_NAME[name].label: said[name] for name in KEPT_WORDS if said.get(name)}
        for index, name in self.plan.mapping.items():
            if name == KEEP and index < len(line.cells) and line.cells[index]:
                facts[(self.headings[index] if index < len(self.headings) else "")[:80] or f"Column {index + 1}"] = (
                    line.cells[index]
                )
        if line.part:
            facts[PART_WORDS] = line.part
        return facts

    def _hardware(self, row: Row, values: dict[str, Any], said: Mapping[str, str]) -> None:
        """Hardware that is named but not measured, or of another kind, is kept in words."""
        kind = values.get("hang_kind") or ""
        if kind and any(values.get(name) is None for name in HANG_MEASURES[kind]):
            row.notes.append(f"hangs by {kind.replace('_', ' ')}, not measured yet: it is kept in words")
            kind = ""
        if said.get("hang_kind") and not kind:
            values["facts"][HARDWARE_WORDS] = said["hang_kind"]
        values["hang_kind"] = kind

    def _piece(self, row: Row, values: dict[str, Any], said: Mapping[str, str]) -> None:
        code = slugify(values.pop("code", ""))[:50]
        if code in self.used:
            row.faults.append(Fault("code", said["code"], f"stands in row {self.used[code]}, too: give it another"))
            return
        there = self.there.get(code) if code else self._namesake(row.title, values.get("maker", ""))
        code = there.code if there else code or self._free(row.title)
        self.used[code] = row.number
        try:
            if there:
                self._renewed(row, there, values)
            else:
                owner = {"client": self.plan.client, "project": self.plan.project}
                row.artwork = artwork_build(studio=self.plan.studio, code=code, **owner, **values)  # type: ignore[arg-type]
        except Invalid as error:
            faults = error.faults or [{"where": "", "detail": error.detail}]
            row.faults += [
                Fault(one["where"] if one["where"] in said else "", said.get(one["where"], ""), one["detail"])
                for one in faults
            ]

    def _renewed(self, row: Row, there: Artwork, values: dict[str, Any]) -> None:
        """The piece that is there, with what the list says of it; what the list leaves blank stays."""
        artwork = copy.copy(there)
        values["facts"] = {**there.facts, **values.get("facts", {})}
        set_fields(artwork, values, FIELDS)
        artwork_check(artwork)
        row.there, row.artwork = True, artwork
        row.changes = tuple(name for name in values if not _same(getattr(there, name), getattr(artwork, name)))

    def _namesake(self, title: str, maker: str) -> Artwork | None:
        """The piece without a number of its own that an earlier reading of the list made."""
        same = self.by_name.get((title, maker), ())
        return next((artwork for artwork in same if artwork.code not in self.used), None)

    def _free(self, title: str) -> str:
        base = slugify(title)[:50] or "piece"
        taken = self.used.keys() | self.there.keys()
        if base not in taken:
            return base
        return next(code for count in range(2, len(taken) + 3) if (code := f"{base}-{count}") not in taken)


def _same(before: Any, now: Any) -> bool:
    if isinstance(before, float) and isinstance(now, float):
        return abs(before - now) < 0.01
    return bool(before == now)


def _sizes(row: Row, values: dict[str, Any], said: Mapping[str, str], plan: Plan) -> None:
    """Outer width and height, depth and weight: from columns of their own, else from one cell, else from the size
    without the frame and what the mat and the frame add."""
    outer = _size_in(row, "size", said, plan)
    inner = _size_in(row, "image_size", said, plan)
    image = [values.pop(name, None) for name in ("image_width_mm", "image_height_mm")]
    _compare(row, outer or inner, values)
    if outer is not None and outer.inner:
        outer, inner = None, inner or outer
    if inner is not None:
        image = [image[0] or inner.width_mm, image[1] or inner.height_mm]
    given = [values.get("width_mm"), values.get("height_mm")]
    if outer is not None:
        given = [given[0] or outer.width_mm, given[1] or outer.height_mm]
    if None in given and None not in image:
        border = 2 * ((values.get("frame_width_mm") or 0.0) + (values.get("mat_width_mm") or 0.0))
        given = [own or side + border for own, side in zip(given, image, strict=True)]
        row.notes.append(
            "outer size worked out: the image, the mat and the frame" if border
            else "only the size without frame is known: it is taken for the outer size"
        )  # fmt: skip
    values["width_mm"], values["height_mm"] = given
    for size in (outer, inner):
        if size is not None:
            row.notes += size.notes
            values["depth_mm"] = size.depth_mm if values.get("depth_mm") is None else values["depth_mm"]
            values["weight_kg"] = size.weight_kg if values.get("weight_kg") is None else values["weight_kg"]
    if None in given and not any(fault.name in ("size", "image_size", "width_mm", "height_mm") for fault in row.faults):
        names = [name for name in ("size", "width_mm", "height_mm", "image_size") if name in said]
        missing = [names[0]] if names and names[0] == "size" else [name for name in names if not said[name]]
        row.faults += [Fault(name, said.get(name, ""), "is empty") for name in missing or ["size"]]


def _compare(row: Row, size: Size | None, values: Mapping[str, Any]) -> None:
    """Remark on a size in one cell that lies on its side against the columns for width and height."""
    width, height = values.get("width_mm"), values.get("height_mm")
    if size is None or not width or not height or width == height:
        return
    if (width > height) != (size.width_mm > size.height_mm):
        row.notes.append("the size in one cell and the columns for width and height disagree on its shape: look at it")


def _size_in(row: Row, name: str, said: Mapping[str, str], plan: Plan) -> Size | None:
    """The size in one cell; one that cannot be read is a fault where nothing else says the size."""
    cell = said.get(name, "")
    if not cell:
        return None
    try:
        return parse_size(cell, plan.unit, plan.order)
    except BadMeasure as error:
        others = ("width_mm", "height_mm") if name == "size" else ("size",)
        if not all(said.get(other) for other in others):
            row.faults.append(Fault(name, cell, str(error)))
        return None
