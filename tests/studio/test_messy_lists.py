"""Lists as clients keep them are read as a person reads them."""

from __future__ import annotations

import io
import time
import tracemalloc
import zipfile

import pytest
from openpyxl import Workbook

from studio.errors import Invalid
from studio.imports.lists import _promise, choice_of
from studio.imports.preview import Plan, preview
from studio.imports.tables import MAX_SECONDS, read_sheets
from tests.factories import INCH, ArtworkFactory, StudioFactory
from tests.studio import messy

pytestmark = pytest.mark.django_db


def as_read(content, unit="in", **more):
    """What the list becomes without any choice of its reader's."""
    sheets = [{"name": sheet.name, "rows": sheet.rows} for sheet in read_sheets(content)]
    best = max(range(len(sheets)), key=lambda number: _promise(sheets[number]["rows"]))
    choice = choice_of(sheets, best)
    plan = Plan(
        studio=more.pop("studio", None) or StudioFactory(), rows=sheets[choice["sheet"]]["rows"], unit=unit,
        heading=choice["heading"], mapping={int(index): name for index, name in choice["mapping"].items()}, **more,
    )  # fmt: skip
    return preview(plan)


def test_an_insurers_schedule_is_read_under_its_groups():
    found = as_read(messy.insurers_schedule())
    assert not [fault for row in found.rows for fault in row.faults]
    grid, low, saddle, fold = (row.artwork for row in found.rows)
    assert (grid.title, grid.maker, grid.code, grid.form) == ("Tidal Grid", "Orla Venn", "hl-001", "painting")
    assert (grid.width_mm, grid.height_mm) == pytest.approx((42.5 * INCH, 32.5 * INCH))  # the framed size
    assert (low.width_mm, low.height_mm) == pytest.approx((8.25 * INCH, 10 * INCH))  # only the image is known
    assert any("without frame" in note for note in found.rows[1].notes)
    assert grid.facts == {
        "Insured value": "$ 4500",
        "Part of the list": "ENTRY HALL",
        "Hardware, in words": "D-rings & wire",
    }
    assert saddle.facts["Part of the list"] == "DINING ROOM"
    assert saddle.facts["Hardware, in words"] == "rod pocket"
    assert (fold.medium, fold.form) == ("salvaged rope and wax", "painting")
    assert any("its form is not known" in note for note in found.rows[3].notes)
    assert [(one.number, one.why) for one in found.passed] == [
        (6, "part"), (9, "total"), (11, "part"), (14, "total"), (16, "note"),
    ]  # fmt: skip


@pytest.mark.parametrize("language", ["fr", "de", "es", "it"])
def test_a_familys_list_is_read_in_its_own_language(language):
    found = as_read(messy.familys_list(language), unit="cm")
    assert not [fault for row in found.rows for fault in row.faults]
    first, second, third = (row.artwork for row in found.rows)
    border = 100.0 if language == "fr" else 0.0  # the French list gives sizes without the frame: the mat comes on top
    assert (first.width_mm, first.height_mm) == (910.0 + border, 610.0 + border)
    assert (second.width_mm, second.height_mm) == (240.0 + border, 300.0 + border)
    assert (third.width_mm, third.height_mm) == (400.0, 400.0)
    assert (first.form, second.form, second.light) == ("painting", "print", "sensitive")
    assert (first.weight_kg, first.mat_width_mm, first.facts["Owner"]) == (4.5, 50.0, "M. H.")
    assert first.storage
    assert [row.artwork.facts.get("Hardware, in words") is not None for row in found.rows] == [True, True, False]
    assert [one.why for one in found.passed] == ["headings", "total"]


def test_a_framers_list_is_read_by_what_stands_in_its_columns():
    found = as_read(messy.framers_list())
    marram, slack, mirror, headland = found.rows
    assert (marram.artwork.width_mm, marram.artwork.height_mm) == pytest.approx((36 * INCH, 24 * INCH))
    assert marram.artwork.glazed
    assert not slack.artwork.glazed
    assert any("without frame" in note for note in slack.notes)
    assert mirror.artwork.width_mm == mirror.artwork.height_mm == 400.0
    assert marram.artwork.facts["Ready?"] == "yes"
    assert {(fault.name, fault.cell) for fault in headland.faults} == {("size", "tbc"), ("hang_kind", "hung somehow")}
    assert [(one.text, one.why) for one in found.passed] == [("4 pieces", "total")]


def test_a_list_read_again_finds_its_pieces_by_number():
    studio = StudioFactory()
    ArtworkFactory(client=None, studio=studio, code="hl-001", frame="oak", facts={"Crate": "7"})
    first = as_read(messy.insurers_schedule(), studio=studio).rows[0]
    assert first.there
    assert "title" in first.changes
    assert (first.artwork.frame, first.artwork.facts["Crate"]) == ("oak", "7")


def _workbook_with(name: str, content: bytes) -> bytes:
    """A small list whose part `name` is another: well compressed, large when unpacked."""
    book = Workbook()
    book.active.append(["Title", "Size"])
    book.active.append(["x", "3 x 4"])
    plain, out = io.BytesIO(), io.BytesIO()
    book.save(plain)
    with zipfile.ZipFile(plain) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for part in sorted({*old.namelist(), name}):
            new.writestr(part, content if part == name else old.read(part))
    return out.getvalue()


SHEET = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>%s</sheetData></worksheet>'
STRINGS = b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">%s</sst>'
STYLES = (
    b'<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><cellXfs>%s</cellXfs></styleSheet>'
)


@pytest.mark.parametrize(
    ("part", "content"),
    [
        ("xl/worksheets/sheet1.xml", SHEET % (b"<row>" + b"<c><v>1</v></c>" * 300_000 + b"</row>")),
        ("xl/worksheets/sheet1.xml", SHEET % (b"<row><c><v>1</v></c></row>" * 400_000)),
        ("xl/sharedStrings.xml", STRINGS % (b"<si><t>a</t></si>" * 500_000)),
        ("xl/styles.xml", STYLES % (b'<xf numFmtId="1"/>' * 400_000)),
        ("xl/worksheets/sheet1.xml", SHEET % (b" " * 20_000_000)),
        ("xl/workbook.xml", b"<!DOCTYPE a [<!ENTITY b 'c'>]><workbook/>"),
    ],
    ids=["a wide row", "many rows", "many texts", "many formats", "blanks", "entities"],
)
def test_a_small_file_cannot_hold_a_reader(part, content):
    file = _workbook_with(part, content)
    assert len(file) < 100_000
    tracemalloc.start()
    began = time.process_time()
    with pytest.raises(Invalid):
        read_sheets(file)
    spent, (_, peak) = time.process_time() - began, tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert spent < MAX_SECONDS
    assert peak < 64 * 2**20
