"""Where a list's headings stand, and which of its rows are pieces: lists as they are kept, not as one would wish them.

Above the headings stand titles and merged names of groups; between the pieces stand names of rooms, blanks, totals and
headings again; below stand notes.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from .columns import KEEP, guess, plain_words

Cells = Sequence[str]
#: Rows among which the headings are looked for.
LOOKED_AT = 40
_TOTAL = re.compile(
    r"^(?:(?:sub|grand|sous|zwischen)[ -]?)?(?:totale?s?|sum|summe|gesamt(?:summe)?|somme|suma|somma|insgesamt)\b"
    r"|^\d+ (?:works?|pieces?|items?|oeuvres?|werke?|obras?|opere)\b"
)
#: What the name of a group of columns says about the columns below it.
_GROUPS = (
    (
        "unframed",
        r"unframed|image|sight|sheet|sans cadre|ohne rahmen|bild(?:mass)?|sin marco|imagen|senza cornice|immagine",
    ),
    (
        "framed",
        r"framed|frame|overall|outer|avec cadre|encadre|gerahmt|mit rahmen|aussen|enmarcad|con marco|con cornice",
    ),
)
_SIZE_NAMES = frozenset({"width_mm", "height_mm", "depth_mm", "size"})


@dataclass(frozen=True, slots=True)
class Passed:
    """A row that is no piece, with why: "part", "total", "headings" or "note"."""

    number: int
    text: str
    why: str


@dataclass(frozen=True, slots=True)
class Line:
    """A row that is a piece: its number in the file, its cells, and the part of the list that it stands in."""

    number: int
    cells: tuple[str, ...]
    part: str


def heading_at(rows: Sequence[Cells]) -> int:
    """The index of the row that looks most like headings: the most of our columns, then the most words; else the first
    row that is filled."""
    best, found = next((index for index, row in enumerate(rows) if any(row)), 0), (1, 0)
    for index, row in enumerate(rows[:LOOKED_AT]):
        known = sum(name != KEEP for name in guess(headings_of(rows, index), exact=True).values())
        words = sum(1 for cell in row if cell and not re.search(r"\d", cell) and len(cell) <= 40)
        if known > 1 and (known, words) > found:
            best, found = index, (known, words)
    return best


def headings_of(rows: Sequence[Cells], at: int) -> tuple[str, ...]:
    """The headings in row `at`, each under the name of its group where the row above has one: `framed: H`."""
    row = rows[at]
    above = rows[at - 1] if at else ()
    groups = [_group(cell) for cell in above]
    if not any(groups) or sum(map(bool, above)) >= sum(map(bool, row)):
        return tuple(row)
    width = max(len(row), len(above))
    named, group = [], ""
    for index in range(width):
        heading = row[index] if index < len(row) else ""
        if index < len(above) and above[index]:
            group = groups[index]
        sized = guess([heading], exact=True).get(0) in _SIZE_NAMES
        named.append(f"{group}: {heading}" if group and sized else heading)
    while named and not named[-1]:
        named.pop()
    return tuple(named)


def _group(cell: str) -> str:
    said = plain_words(cell)
    return next((name for name, words in _GROUPS if re.search(rf"\b(?:{words})", said)), "") if cell else ""


def pieces(
    rows: Sequence[Cells], at: int, mapping: Mapping[int, str], taken: frozenset[int] = frozenset()
) -> tuple[list[Line], list[Passed]]:
    """The rows below the headings in row `at`: those that are pieces, and those passed over with why.

    Args:
        mapping: column number -> our field.
        taken: numbers of rows that are pieces because somebody said so.
    """
    headings = tuple(map(plain_words, rows[at]))
    by_name = {name: index for index, name in mapping.items()}
    lines: list[Line] = []
    passed: list[Passed] = []
    part = ""
    for index in range(at + 1, len(rows)):
        row, number = rows[index], index + 1
        if not any(row):
            continue
        why = "" if number in taken else _why_passed(row, by_name, headings)
        if not why:
            lines.append(Line(number, tuple(row), part))
            continue
        text = " · ".join(cell for cell in row if cell)[:200]
        passed.append(Passed(number, text, why))
        if why == "part":
            part = text
    last = lines[-1].number if lines else 0
    return lines, [
        Passed(one.number, one.text, "note") if one.why == "part" and one.number > last else one for one in passed
    ]


def _why_passed(row: Cells, by_name: Mapping[str, int], headings: Sequence[str]) -> str:
    def said(name: str) -> str:
        index = by_name.get(name, -1)
        return row[index] if 0 <= index < len(row) else ""

    filled = [plain_words(cell) for cell in row if cell]
    if len(filled) > 1 and all(cell in headings for cell in filled):
        return "headings"
    sized = any(said(name) for name in ("size", "width_mm", "height_mm", "image_size", "image_width_mm"))
    if any(_TOTAL.search(cell) for cell in filled) and not (sized and said("title")):
        return "total"
    if len(filled) == 1 and not sized:
        return "part"
    return ""
