"""Which column of a list says what: our fields, the headings that they go by, and how a cell is read."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from studio.errors import Invalid
from studio.models import Form, HangKind, LightClass
from studio.units import parse_length, parse_weight

Read = Callable[[str, str], Any]


@dataclass(frozen=True, slots=True)
class Column:
    """One of our fields: what it is called on the page, the headings that it goes by, how its cells are read."""

    name: str
    label: str
    headings: tuple[str, ...]
    read: Read


def _text(longest: int) -> Read:
    def read(cell: str, unit: str) -> str:
        if len(cell) > longest:
            raise ValueError(f"has {len(cell)} characters; at most {longest} are kept")
        return cell

    return read


def _length(*, zero: bool = False) -> Read:
    return lambda cell, unit: parse_length(cell, unit, zero=zero) if cell else None


def _weight(cell: str, unit: str) -> float | None:
    return parse_weight(cell, "lb" if unit == "in" else "kg") if cell else None


def _flag(cell: str, unit: str) -> bool:
    said = cell.strip().lower()
    if said in ("", "no", "n", "false", "0", "none", "-", "unglazed"):
        return False
    if said in ("yes", "y", "true", "1", "x", "✓", "glass", "acrylic", "glazed", "plexiglass", "museum glass"):
        return True
    raise ValueError(f"found “{cell}”, expected yes or no")


def _words(cell: str, unit: str) -> list[str]:
    return list(dict.fromkeys(word.strip() for word in re.split(r"[,;|]", cell) if word.strip()))


def _choice(choices: Mapping[str, str]) -> Read:
    def read(cell: str, unit: str) -> str | None:
        if not cell:
            return None
        said = cell.strip().lower().replace("_", " ")
        for value, label in choices.items():
            if said in (value.replace("_", " "), label.lower()):
                return value
        raise ValueError(f"found “{cell}”, expected one of " + ", ".join(label.lower() for label in choices.values()))

    return read


#: Words of a medium, the first that is found decides. Common practice, no source.
MEDIA: tuple[tuple[str, str], ...] = (
    (r"mirror|looking.?glass", Form.MIRROR),
    (r"clock", Form.CLOCK),
    (r"basket", Form.BASKET),
    (r"photo|gelatin silver|c-?print|inkjet|daguerreotype|albumen|cyanotype|chromogenic", Form.PHOTOGRAPH),
    (
        r"etching|engrav|litho|screen.?print|serigraph|woodcut|linocut|aquatint|mezzotint|giclee|poster|print",
        Form.PRINT,
    ),
    (r"tapestry|textile|woven|wool|silk|quilt|embroider|linen thread|batik", Form.TEXTILE),
    (r"charcoal|pencil|graphite|chalk|pastel|ink|drawing|conte|crayon", Form.DRAWING),
    (r"oil|acrylic|tempera|gouache|watercolou?r|encaustic|enamel|painting|canvas", Form.PAINTING),
    (r"relief|plaster|carved", Form.RELIEF),
    (r"sculpture|bronze|ceramic|object|metal|wood", Form.OBJECT),
)
_PAPER = re.compile(r"paper|watercolou?r|gouache|photo|gelatin|textile|wool|silk|tapestry|print|pastel|ink\b")


def _form(cell: str, unit: str) -> str | None:
    said = cell.strip().lower()
    if not said:
        return None
    if said in Form.values:
        return said
    for words, form in MEDIA:
        if re.search(words, said):
            return form
    raise ValueError(
        f"found “{cell}”, expected a form or a medium such as oil on canvas, etching, gelatin silver print"
    )


def light_of(medium: str) -> str:
    """What light a medium bears: works on paper, photographs and textiles are sensitive."""
    return LightClass.SENSITIVE if _PAPER.search(medium.lower()) else LightClass.MODERATE


COLUMNS: tuple[Column, ...] = (
    Column(
        "code",
        "Inventory number",
        ("code", "id", "inventory", "inventory number", "number", "object number"),
        _text(60),
    ),
    Column("title", "Title", ("title", "name", "work", "piece", "artwork", "description"), _text(200)),
    Column("maker", "Maker", ("maker", "artist", "author", "creator", "by", "photographer", "made by"), _text(120)),
    Column(
        "form", "Form or medium", ("form", "medium", "type", "kind", "technique", "classification", "category"), _form
    ),
    Column(
        "size",
        "Size, in one cell",
        ("size", "dimensions", "dimension", "measurements", "framed size", "h x w"),
        _text(2000),
    ),
    Column("width_mm", "Width", ("width", "w", "wide", "framed width", "overall width"), _length()),
    Column("height_mm", "Height", ("height", "h", "high", "framed height", "overall height"), _length()),
    Column("depth_mm", "Depth", ("depth", "d", "deep", "thickness"), _length(zero=True)),
    Column("weight_kg", "Weight", ("weight", "mass"), _weight),
    Column("frame", "Frame", ("frame", "frame colour", "frame color", "framing"), _text(40)),
    Column("frame_width_mm", "Width of the frame", ("frame width", "moulding width", "frame face"), _length()),
    Column("mat_width_mm", "Width of the mat", ("mat", "mat width", "mount", "mount width"), _length()),
    Column("glazed", "Behind glass", ("glazed", "glass", "glazing", "behind glass"), _flag),
    Column("light", "In light", ("light", "light class", "light sensitivity"), _choice(dict(LightClass.choices))),
    Column("themes", "Themes", ("themes", "theme", "subject", "subjects", "tags", "keywords"), _words),
    Column("set_name", "Set", ("set", "series", "pair", "group"), _text(60)),
    Column("storage", "Kept", ("storage", "kept", "location", "where", "store"), _text(120)),
    Column(
        "hang_kind", "Hangs by", ("hardware", "hangs by", "hanging hardware", "hang"), _choice(dict(HangKind.choices))
    ),
    Column(
        "hang_below_top_mm",
        "Below the top edge",
        ("below top", "below the top edge", "drop", "wire drop"),
        _length(zero=True),
    ),
    Column("hang_inset_mm", "In from each side", ("inset", "ring inset", "in from each side"), _length(zero=True)),
    Column("hang_length_mm", "Length of the wire", ("wire length", "length of the wire", "wire"), _length()),
    Column("hang_spacing_mm", "Between the points", ("spacing", "ring spacing", "between the points"), _length()),
)
BY_NAME: Mapping[str, Column] = {column.name: column for column in COLUMNS}
_UNIT_IN_HEADING = re.compile(r"[\[(_ ](in|inches|cm|mm|lb|lbs|kg)[\])]?\.?$")


def guess(headings: Sequence[str]) -> dict[int, str]:
    """Column number -> our field, for headings that say plainly what they are; each field once."""
    chosen: dict[int, str] = {}
    for close in (1.0, 0.8):
        for index, heading in enumerate(headings):
            said = _UNIT_IN_HEADING.sub("", heading.strip().lower()).replace("_", " ").strip(" .:")
            if index in chosen or not said:
                continue
            for column in COLUMNS:
                if column.name in chosen.values():
                    continue
                if difflib.get_close_matches(said, column.headings, n=1, cutoff=close):
                    chosen[index] = column.name
                    break
    return chosen


def unit_of_heading(heading: str) -> str | None:
    """in, cm or mm where a heading names it: `Width (cm)`."""
    match = _UNIT_IN_HEADING.search(heading.strip().lower())
    if match is None or match[1] in ("lb", "lbs", "kg"):
        return None
    return "in" if match[1] == "inches" else match[1]


def weight_unit_of_heading(heading: str) -> str | None:
    match = _UNIT_IN_HEADING.search(heading.strip().lower())
    return None if match is None else {"lb": "lb", "lbs": "lb", "kg": "kg"}.get(match[1])


def check_mapping(mapping: Mapping[int, str], columns: int) -> None:
    """Refuse a mapping that cannot make pieces of rows.

    Raises:
        Invalid: with what is missing or said twice.
    """
    names = [name for name in mapping.values() if name]
    faults = []
    for name in sorted({name for name in names if names.count(name) > 1}):
        faults.append(
            {"where": BY_NAME[name].label if name in BY_NAME else name, "detail": "is chosen for two columns"}
        )
    if any(name not in BY_NAME for name in names) or any(not 0 <= index < columns for index in mapping):
        faults.append({"where": "", "detail": "there is no such column"})
    if "title" not in names:
        faults.append({"where": "Title", "detail": "choose the column that says it"})
    if "size" not in names and not {"width_mm", "height_mm"} <= set(names):
        faults.append({"where": "Size", "detail": "choose one column for the size, or one each for width and height"})
    if faults:
        raise Invalid("Some columns still need a choice.", faults=faults)
