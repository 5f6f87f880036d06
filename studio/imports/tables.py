"""A spreadsheet file as plain rows of text, sheet by sheet; nothing in it is believed but its cells.

What a small file may cost is bounded before and while it is read: its unpacked size, its strings, formats and cells,
and the time.
"""

from __future__ import annotations

import csv
import io
import re
import time
import zipfile
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from openpyxl import load_workbook

from studio.errors import Invalid

MAX_BYTES = 8 * 2**20
MAX_UNPACKED = 10 * 2**20
MAX_ROWS = 5_000
MAX_COLUMNS = 80
MAX_CELL = 2_000
MAX_SHEETS = 20
#: Tags in all parts of a workbook, and in those that hold neither cells nor texts: formats, names, drawings.
MAX_TAGS, MAX_TAGS_ABOUT = 600_000, 40_000
MAX_SECONDS = 20.0
#: After so many empty rows a sheet counts as ended.
_ENDED = 1_000
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
_TOO_MUCH = "This workbook {what} than a list of art needs. Copy the list into a new workbook, or save it as CSV."
_CELLS = ("xl/worksheets/", "xl/sharedStrings")
_CURRENCY = re.compile(r"\[\$([^\]\-]{1,4})|([€£¥$])")

Progress = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: rows of text from the file's first on, empty ones too: row n of the file is `rows[n - 1]`."""

    name: str
    rows: tuple[tuple[str, ...], ...]


def read_sheets(content: bytes, progress: Progress = lambda _: None) -> list[Sheet]:
    """Read CSV (commas, semicolons or tabs) or every visible sheet of an XLSX workbook, by its content.

    Args:
        progress: is told how much is read, 0 to 1.

    Raises:
        Invalid: neither, too large in some way, or with nothing in it.
    """
    if len(content) > MAX_BYTES:
        raise Invalid(f"This file has {len(content) / 2**20:.1f} MB; a list may have {MAX_BYTES // 2**20} MB.")
    sheets = _workbook(content, progress) if content[:4] == b"PK\x03\x04" else [Sheet("", _text(content))]
    filled = [sheet for sheet in sheets if sum(any(row) for row in sheet.rows) > 1]
    if not filled:
        raise Invalid("This list is empty: it needs a row of headings and at least one piece below.")
    return filled


def unguarded(text: str) -> str:
    """A cell without the apostrophe that keeps a spreadsheet from taking it for a formula."""
    return text[1:] if text[:1] == "'" and text[1:2] in _FORMULA_STARTS else text


def guarded(value: Any) -> Any:
    """A cell that no spreadsheet takes for a formula."""
    return f"'{value}" if isinstance(value, str) and value.startswith(_FORMULA_STARTS) else value


def _text(content: bytes) -> tuple[tuple[str, ...], ...]:
    if b"\x00" in content:
        raise Invalid("This is neither a CSV file nor an XLSX workbook. Save the list as one of those.")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", "replace")
    lines = text.splitlines()[:50]
    comma = max((",", ";", "\t"), key=lambda one: sum(line.count(one) for line in lines))
    try:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=comma, strict=False)
        return _rows([_cell(cell) for cell in row[: MAX_COLUMNS + 1]] for row in reader)
    except csv.Error as error:
        raise Invalid(f"This CSV file cannot be read: {error}.") from error


def _workbook(content: bytes, progress: Progress) -> list[Sheet]:
    try:
        _expect_modest(content)
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=True, keep_links=False)
        try:
            until = time.monotonic() + MAX_SECONDS
            shown = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"][:MAX_SHEETS]
            sheets = []
            for number, sheet in enumerate(shown):
                sheet.reset_dimensions()  # what a file says of its own size need not be so
                sheets.append(Sheet(sheet.title, _rows(_timed(sheet.iter_rows(max_col=MAX_COLUMNS + 1), until))))
                progress((number + 1) / len(shown))
            return sheets
        finally:
            book.close()
    except Invalid:
        raise
    except Exception as error:  # a damaged archive can break anywhere: zip, XML, styles, numbers
        raise Invalid("This workbook cannot be read. Save the list as XLSX or CSV again.") from error


def _expect_modest(content: bytes) -> None:
    """Refuse what would cost far more to read than a list of art does, before any of it is parsed.

    A zip file's reader gives no more of a part than the archive says that it has.
    """
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        parts = archive.infolist()
        if len(parts) > 2_000 or sum(part.file_size for part in parts) > MAX_UNPACKED:
            raise Invalid(_TOO_MUCH.format(what="unpacks to far more"))
        tags = about = 0
        for part in parts:
            if not part.filename.lower().endswith((".xml", ".rels")):
                continue
            xml = archive.read(part)
            if b"\x00" in xml or re.search(rb"<!(?:DOCTYPE|ENTITY)", xml):
                raise Invalid("This workbook cannot be read. Save the list as XLSX or CSV again.")
            tags += xml.count(b"<")
            about += 0 if part.filename.startswith(_CELLS) else xml.count(b"<")
            if tags > MAX_TAGS or about > MAX_TAGS_ABOUT:
                raise Invalid(_TOO_MUCH.format(what="holds far more cells, texts or formats"))


def _timed(rows: Iterable[Iterable[Any]], until: float) -> Iterator[list[str]]:
    for row in rows:
        if time.monotonic() > until:
            raise Invalid(_TOO_MUCH.format(what="takes far longer to read"))
        yield [_formatted(cell) for cell in row]


def _rows(rows: Iterable[list[str]]) -> tuple[tuple[str, ...], ...]:
    """The rows without empty ends; a list that is too long or too wide is refused."""
    kept: list[tuple[str, ...]] = []
    filled = 0
    for row in rows:
        while row and not row[-1]:
            row.pop()
        if len(row) > MAX_COLUMNS:
            raise Invalid(f"This list has more than {MAX_COLUMNS} columns. Leave out those that say nothing of art.")
        filled += bool(row)
        if filled > MAX_ROWS + 100:
            raise Invalid(f"This list has more than {MAX_ROWS:,} rows. Import it in parts.")
        kept.append(tuple(row))
        if len(kept) > _ENDED and not any(kept[-_ENDED:]):
            break
    while kept and not kept[-1]:
        kept.pop()
    return tuple(kept)


def _formatted(cell: Any) -> str:
    """A workbook's cell as text; an amount of money keeps its currency."""
    text = _cell(cell.value)
    if isinstance(cell.value, int | float) and not isinstance(cell.value, bool):
        sign = _CURRENCY.search(cell.number_format or "")
        return f"{sign[1] or sign[2]} {text}" if sign else text
    return text


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        value = f"{value:.10g}" if abs(value) < 1e15 else value
    if isinstance(value, datetime) and not (value.hour or value.minute or value.second):
        value = value.date()
    if isinstance(value, datetime | date):
        value = value.isoformat()
    text = "".join(char for char in str(value) if char in "\n\t" or ord(char) >= 32)
    return unguarded(text.strip())[:MAX_CELL]
