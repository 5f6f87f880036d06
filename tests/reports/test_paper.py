"""What stands on the paper, measured on the rendered page; drawn from plain data, without a database."""

from __future__ import annotations

import io
import re

import pypdf
import pytest

from reports.contexts.template import CLEAR_MM, OVERLAP_MM, _laid
from tests.reports import sheets
from tests.reports.test_install_pdf import MM_PT, text_of


@pytest.fixture(scope="module")
def corridor() -> bytes:
    return sheets.sheets_pdf(sheets.corridor())


def boxes_mm(page: pypdf.PageObject) -> list[tuple[float, float]]:
    """Width and height of every rectangle that is painted or clipped to [mm]."""
    found: list[tuple[float, float]] = []

    def visit(operator, operands, cm, _tm):
        if operator == b"re":
            w, h = (abs(float(one)) for one in operands[2:])
            found.append((w * abs(cm[0]) / MM_PT, h * abs(cm[3]) / MM_PT))

    page.extract_text(visitor_operand_before=visit)
    return found


def test_every_figure_of_a_sheet_says_what_it_shows(corridor):
    # ISO 14289-1 (PDF/UA-1), clause 7.3: figures carry an alternative text (from memory).
    figures = [element for kind, element in sheets.structure(corridor) if kind == "/Figure"]
    assert len(figures) >= 3
    said = [str(figure.get("/Alt", "")) for figure in figures]
    assert all(said), said
    assert sum("QR code that opens the job on a phone" in one for one in said) == 2
    assert any("elevation" in one for one in said)


@pytest.mark.parametrize(("style", "paper", "length"), [("cm", "a4", 100.0), ("ft_in", "letter", 101.6)])
def test_the_check_bar_measures_what_it_says_by_its_borders(style, paper, length):
    cover = pypdf.PdfReader(io.BytesIO(sheets.sheets_pdf(sheets.corridor(), style, paper))).pages[0]
    widths = [wide for wide, _ in boxes_mm(cover) if abs(wide - length) < 3]
    assert widths
    assert max(widths) == pytest.approx(length, abs=0.05)


@pytest.mark.parametrize("size", [191.9, 186.0])
@pytest.mark.parametrize("apart", [0, 120, 180, 240, 360, 540, 900])
def test_no_mark_of_a_template_lies_where_tiles_are_laid_together(size, apart):
    marks = [1000.0 - apart / 2, 1000.0, 1000.0 + apart / 2]
    count, start = _laid(marks, size)
    step = size - OVERLAP_MM
    for index in range(1, count):
        strip = start + index * step
        assert not any(strip - CLEAR_MM < mark < strip + OVERLAP_MM + CLEAR_MM for mark in marks), (strip, marks)
    assert start <= min(marks) - CLEAR_MM
    assert start + (count - 1) * step + size >= max(marks) + CLEAR_MM


def test_the_template_says_where_its_marks_are_on_the_wall():
    piece = sheets.pieces_of(sheets.corridor(), "cm")[1]
    reader = pypdf.PdfReader(io.BytesIO(sheets.template_pdf(piece)))
    text = re.sub(r"\s", "", text_of(reader))
    # 700 wide at 2800 mm: middle 3150 mm; 900 high at 1050 mm: top edge 1950 mm; rings 420 mm apart, 60 mm below it.
    for said in (
        "middle:315cmfromthewall",
        "topedgeofthepiece:195cmfromthefloor",
        "294cmfromtheleftend,189cmfrom",
        "336cm",
    ):
        assert said in text, said
    assert len(reader.pages) > 1
    assert "laytileA2tothisline" in text
