"""A spreadsheet file as plain rows of text; nothing in it is believed but its cells."""

from __future__ import annotations

import csv
import io
import zipfile
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from openpyxl import load_workbook

from studio.errors import Invalid

MAX_BYTES = 8 * 2**20
MAX_UNPACKED = 120 * 2**20
MAX_ROWS = 5_000
MAX_COLUMNS = 80
MAX_CELL = 2_000
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True, slots=True)
class Table:
    """Headings, and rows of as many cells. `first_row` is the number that a spreadsheet shows for the first row."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    first_row: int = 2


def read_table(content: bytes) -> Table:
    """Read CSV (commas, semicolons or tabs) or the first sheet of an XLSX workbook, by its content.

    Raises:
        Invalid: neither, too large, or without headings.
    """
    if len(content) > MAX_BYTES:
        raise Invalid(f"This file has {len(content) / 2**20:.1f} MB; a list may have {MAX_BYTES // 2**20} MB.")
    cells = _workbook(content) if content[:4] == b"PK\x03\x04" else _text(content)
    filled = [(number, row) for number, row in enumerate(cells, 1) if any(cell for cell in row)]
    if len(filled) < 2:
        raise Invalid("This list is empty: it needs a row of headings and at least one piece below.")
    (number, headings), *rest = filled
    width = max(index + 1 for index, cell in enumerate(headings) if cell)
    if width > MAX_COLUMNS:
        raise Invalid(
            f"This list has {width} columns; {MAX_COLUMNS} are read. Leave out those that say nothing of art."
        )
    if len(rest) > MAX_ROWS:
        raise Invalid(f"This list has {len(rest):,} rows; {MAX_ROWS:,} are read at once. Import it in parts.")
    rows = tuple(tuple((row + [""] * width)[:width]) for _, row in rest)
    return Table(tuple(headings[:width]), rows, first_row=rest[0][0] if rest else number + 1)


def unguarded(text: str) -> str:
    """A cell without the apostrophe that keeps a spreadsheet from taking it for a formula."""
    return text[1:] if text[:1] == "'" and text[1:2] in _FORMULA_STARTS else text


def guarded(value: Any) -> Any:
    """A cell that no spreadsheet takes for a formula."""
    return f"'{value}" if isinstance(value, str) and value.startswith(_FORMULA_STARTS) else value


def _text(content: bytes) -> list[list[str]]:
    if b"\x00" in content:
        raise Invalid("This is neither a CSV file nor an XLSX workbook. Save the list as one of those.")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", "replace")
    first = text.lstrip().splitlines()[0] if text.strip() else ""
    comma = max((",", ";", "\t"), key=first.count)
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=comma, strict=False))
    except csv.Error as error:
        raise Invalid(f"This CSV file cannot be read: {error}.") from error
    return [[_cell(cell) for cell in row[: MAX_COLUMNS + 1]] for row in rows[: MAX_ROWS + 100]]


def _workbook(content: bytes) -> list[list[str]]:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            if sum(entry.file_size for entry in archive.infolist()) > MAX_UNPACKED:
                raise Invalid("This workbook unpacks to far more than a list of art needs. Save the list as CSV.")
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=True, keep_links=False)
        try:
            sheet = book.worksheets[0]
            rows = sheet.iter_rows(max_row=MAX_ROWS + 100, max_col=MAX_COLUMNS + 1, values_only=True)
            return [[_cell(cell) for cell in row] for row in rows]
        finally:
            book.close()
    except Invalid:
        raise
    except Exception as error:  # a damaged archive can break anywhere: zip, XML, styles, numbers
        raise Invalid("This workbook cannot be read. Save the list as XLSX or CSV again.") from error


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    if isinstance(value, datetime | date):
        value = value.isoformat()
    text = "".join(char for char in str(value) if char in "\n\t" or ord(char) >= 32)
    return unguarded(text.strip())[:MAX_CELL]
