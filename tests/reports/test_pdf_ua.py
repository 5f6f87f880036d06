"""Sheets read as PDF/UA-1 (ISO 14289-1, clauses from memory): language, title, headings, tables, figures, content."""

from __future__ import annotations

import io
import itertools
from collections.abc import Iterator
from typing import Any

import pypdf
import pytest
from pypdf.generic import ContentStream

from tests.reports import sheets

MADE = {
    "a stair, A4, metric": lambda: sheets.sheets_pdf(sheets.stair(), "cm", "a4"),
    "a salon, Letter, inches": lambda: sheets.sheets_pdf(sheets.salon(), "ft_in", "letter"),
    "a corridor, A4, metric": lambda: sheets.sheets_pdf(sheets.corridor(), "mm", "a4"),
    "a wall's template, roll": lambda: sheets.wall_template_pdf(sheets.pieces_of(sheets.stair(), "cm"), "roll"),
}
SHOWS = (b"Tj", b"TJ", b"'", b'"', b"S", b"s", b"f", b"F", b"f*", b"B", b"B*", b"b", b"b*", b"Do", b"sh")


@pytest.fixture(scope="module", params=MADE)
def content(request) -> bytes:
    return MADE[request.param]()


def nodes(content: bytes, *kinds: str) -> list[Any]:
    return [node for kind, node in sheets.structure(content) if kind in kinds]


def children(node: Any) -> Iterator[Any]:
    inside = node.get("/K", [])
    for child in inside if isinstance(inside, list) else [inside]:
        one = child.get_object()
        if isinstance(one, pypdf.generic.DictionaryObject) and "/S" in one:
            yield one


def attribute(node: Any, name: str) -> Any:
    given = node.get("/A", [])
    for one in given if isinstance(given, list) else [given]:
        if name in (held := one.get_object()):
            return held[name]
    return None


def test_the_document_says_that_it_is_tagged_in_which_language_and_what_it_is_called(content):
    reader = pypdf.PdfReader(io.BytesIO(content))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]  # 7.1
    assert str(root["/Lang"]).startswith("en")  # 7.2
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]  # 7.1
    assert reader.metadata.title
    assert b"pdfuaid" in root["/Metadata"].get_object().get_data()  # 5


def test_headings_begin_with_the_first_and_leave_no_level_out(content):
    levels = [int(kind[2]) for kind, _ in sheets.structure(content) if kind in ("/H1", "/H2", "/H3", "/H4")]
    assert levels[:1] in ([], [1])  # 7.4.2
    assert all(after <= before + 1 for before, after in itertools.pairwise(levels))


def test_figures_have_alternatives(content):
    figures = nodes(content, "/Figure")
    assert figures
    assert all(str(one.get("/Alt", "")) for one in figures)  # 7.3


def test_tables_are_regular_and_each_cell_knows_its_headings(content):
    headings = {str(one["/ID"]) for one in nodes(content, "/TH") if "/ID" in one}
    for table in nodes(content, "/Table"):
        rows = [row for part in children(table) for row in ([part] if part["/S"] == "/TR" else children(part))]
        cells = [[cell for cell in children(row) if cell["/S"] in ("/TH", "/TD")] for row in rows if row["/S"] == "/TR"]
        wide = {sum(int(attribute(cell, "/ColSpan") or 1) for cell in row) for row in cells}
        assert len(wide) == 1, wide  # 7.2: regular, since no cell reaches down
        if any(cell["/S"] == "/TH" for row in cells for cell in row):
            for cell in itertools.chain(*cells):  # 7.5: by the headings that it names, or by a scope
                named = {str(one) for one in attribute(cell, "/Headers") or ()}
                assert cell["/S"] == "/TH" or named, cell
                assert named <= headings


def test_all_that_is_painted_is_content_or_an_artifact(content):
    reader = pypdf.PdfReader(io.BytesIO(content))
    for page in reader.pages:
        assert "/StructParents" in page
        depth = 0
        for operands, operator in ContentStream(page.get_contents(), reader).operations:
            if operator in (b"BDC", b"BMC"):
                depth += 1
            elif operator == b"EMC":
                depth -= 1
            elif operator in SHOWS:
                assert depth > 0, (operator, operands)  # 7.1: real content is tagged, all else an artifact
        assert depth == 0


def test_fonts_are_embedded(content):
    for page in pypdf.PdfReader(io.BytesIO(content)).pages:
        for font in page["/Resources"].get("/Font", {}).values():
            inner = font.get_object().get("/DescendantFonts", [font])[0].get_object()
            descriptor = inner["/FontDescriptor"].get_object()
            assert any(name in descriptor for name in ("/FontFile", "/FontFile2", "/FontFile3"))  # 7.21.4
