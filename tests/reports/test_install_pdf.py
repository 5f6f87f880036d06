"""The install sheets as a PDF: what is written, where it stands, and that it is tagged."""

from __future__ import annotations

import io
import re
from types import SimpleNamespace
from typing import Any

import pypdf
import pytest
from django.db import transaction
from easy_thumbnails.files import get_thumbnailer

from reports import pdf
from reports.models import Report, ReportState
from reports.producing import produce
from reports.rendering import SHEETS, draw
from reports.services.sheets import report_request
from studio.models import Artwork, Client, Project, Wall
from tests.factories import INCH, make_cast
from tests.reports import signing
from tests.reports.signing import signed_house

#: Fits every field.
TYPED = "<img src=http://127.0.0.1:1/a><script>f()</script><style>@import 'file:///etc/passwd'</style>"
MM_PT = 72 / 25.4  # PDF user space: 72 units an inch


def sheets_of(cast, **asked) -> pypdf.PdfReader:
    house = signed_house(cast)
    report = report_request(by=cast.designer, revision=house.revision, **asked)
    return pypdf.PdfReader(io.BytesIO(produce(report).content))


@pytest.fixture(scope="module")
def sheets(test_settings: None, django_db_setup: None, django_db_blocker: Any) -> SimpleNamespace:
    """A signed plan's sheets as they are asked for without a wish, drawn once: the reader, its house and people."""
    with django_db_blocker.unblock(), transaction.atomic():
        cast = make_cast()
        house = signed_house(cast)
        report = report_request(by=cast.designer, revision=house.revision)
        reader = pypdf.PdfReader(io.BytesIO(produce(report).content))
        transaction.set_rollback(True)
    return SimpleNamespace(reader=reader, pages=reader.pages, house=house, cast=cast)


def text_of(reader: pypdf.PdfReader) -> str:
    return "\n".join(page.extract_text() for page in reader.pages)


def test_cover_states_project_revision_hash_and_signer(sheets):
    cover = sheets.pages[0].extract_text()
    assert "Marlow house" in cover
    assert "Side gate; ring twice." in cover
    assert sheets.house.revision.sha256 in cover.replace("\n", "")
    assert f"3, signed by {sheets.cast.principal.name} on 25 Nov 2026" in cover


def test_one_wall_a_page_after_the_cover(sheets):
    pages = [page.extract_text() for page in sheets.pages]
    north = [number for number, text in enumerate(pages) if "Sitting room, North wall" in text and "Scale" in text]
    east = [number for number, text in enumerate(pages) if "Sitting room, East wall" in text and "Scale" in text]
    assert north
    assert east
    assert not set(north) & set(east)
    assert f"Page {1} of {len(pages)}" in pages[0]


def test_hook_points_are_those_worked_by_hand(sheets):
    # Slack water: 56 in wide at 56 in, top at 42 + 34 = 76 in. Rings 50 in apart, wire 54 in, two hooks 25 in apart:
    # rise = sqrt(14.5^2 - 12.5^2) = 7.348 in, so the drop is 9 - 7.348 = 1.652 in and the hooks bear at 74.348 in.
    # Middle 84 in, so hooks at 71 1/2 and 96 1/2 in; 74.348 - 34 = 40.348 in above the sofa.
    text = text_of(sheets.reader)
    for measure in ("5′ 11½″", "8′ 0½″", "6′ 2⅜″", "3′ 4⅜″", "2′ 1″"):
        assert measure in text


def test_unmeasured_hardware_is_measured_before_drilling(sheets):
    assert "Measure before drilling" in text_of(sheets.reader)


def test_pick_list_and_load_list_cover_the_whole_job(sheets):
    text = text_of(sheets.reader)
    assert "To load: Studio store, rack 4" in text
    assert "To load: The framer" in text
    assert "Place not recorded" in text
    assert "picture hook" in text


def test_what_was_typed_stays_text_on_paper_and_fetches_nothing(cast, monkeypatch):
    """Markup in the fields of works, walls and people: printed as it was typed, nothing asked for, no program in it."""
    asked, fetch, signs = [], pdf._Fetcher.fetch, signing.sign

    def type_and_sign(revision, cast):
        Artwork.objects.update(title=TYPED, maker=TYPED, storage=TYPED)
        Wall.objects.update(name=TYPED)
        Client.objects.update(name=TYPED)
        Project.objects.update(address_note=TYPED)
        signs(revision, cast)

    def noting(self, url, headers=None):
        asked.append(url)
        return fetch(self, url, headers)

    monkeypatch.setattr(signing, "sign", type_and_sign)
    monkeypatch.setattr(pdf._Fetcher, "fetch", noting)
    reader = sheets_of(cast)
    assert "img src=http" in text_of(reader)
    assert asked
    assert [url for url in asked if not url.startswith((pdf.PICTURE, pdf.STATIC))] == []
    assert not {"/OpenAction", "/AA", "/AcroForm"} & set(reader.trailer["/Root"])
    links = [note.get_object() for page in reader.pages for note in page.get("/Annots", ())]
    assert "127.0.0.1:1" not in str(links)


def test_paper_is_what_was_asked_for(sheets, cast):
    # Letter 8.5 x 11 in; A4 210 x 297 mm (ISO 216).
    for reader, width, height in ((sheets.reader, 612, 792), (sheets_of(cast, paper="a4"), 595.28, 841.89)):
        box = reader.pages[0].mediabox
        assert float(box.width) == pytest.approx(width, abs=0.5)
        assert float(box.height) == pytest.approx(height, abs=0.5)


def test_pdf_is_tagged_for_ua_1(sheets):
    reader = sheets.reader
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    # XMP identification of PDF/UA-1: ISO 14289-1, clause 5 (from memory).
    metadata = root["/Metadata"].get_data().decode()
    assert "http://www.aiim.org/pdfua/ns/id/" in metadata
    assert re.search(r"pdfuaid:part[^>]*(=\"1\"|>1<)|:part[^>]*>1<", metadata), metadata
    assert reader.metadata.title.startswith("Install sheets: Marlow house")


def test_elevation_stands_to_its_stated_scale(sheets):
    # 14 ft at 3/8 in to the foot (1:32) is 5 1/4 in: the ground line of the drawing is at least that long on paper.
    reader = sheets.reader
    page = next(page for page in reader.pages if "North wall" in page.extract_text() and "⅜″" in page.extract_text())
    assert wall_width_pt(page) == pytest.approx(168 * INCH / 32 * MM_PT, rel=0.002)


def wall_width_pt(page: pypdf.PageObject) -> float:
    """The width of the painted rectangle that comes nearest to the wall's own."""
    found: list[float] = []

    def visit(operator, operands, cm, _tm):
        if operator == b"re":
            w, h = (float(one) for one in operands[2:])
            found.append((abs(w * cm[0]), abs(h * cm[3])))

    page.extract_text(visitor_operand_before=visit)
    expected = (168 * INCH / 32 * MM_PT, 108 * INCH / 32 * MM_PT)
    return min(found, key=lambda box: abs(box[0] - expected[0]) + abs(box[1] - expected[1]))[0]


@pytest.mark.django_db(transaction=True)
def test_corrupted_picture_leaves_its_place_and_says_so(cast):
    house = signed_house(cast)
    with house.works[1].picture.open("wb") as file:
        file.write(b"\xff\xd8\xff\xe0 not a picture")
    get_thumbnailer(house.works[1].picture).delete_thumbnails()
    report_request(by=cast.designer, revision=house.revision)
    report = SHEETS.claim()
    assert SHEETS.carry_out(report, draw)
    report.refresh_from_db()
    assert report.state == ReportState.READY
    with report.file.open("rb") as file:
        text = text_of(pypdf.PdfReader(file))
    assert "Its picture cannot be read: go by title and size." in text.replace("\n", " ")


def test_template_prints_hooks_at_full_size(cast):
    house = signed_house(cast)
    report = report_request(by=cast.designer, revision=house.revision, kind="template", artwork=house.works[1])
    reader = pypdf.PdfReader(io.BytesIO(produce(report).content))
    text = text_of(reader).replace(" ", "")  # the reader drops the spaces of lettering in drawings
    assert "Thisbarmustmeasure4in" in text
    assert "hook2a" in text
    assert "hook2b" in text
    # 12 in between hooks and 25 mm around them do not fit on one Letter page across: 354.8 mm over 191.9 mm.
    assert len(reader.pages) == 2
    bars = line_lengths_pt(reader.pages[0])
    assert any(length == pytest.approx(4 * 72, abs=0.1) for length in bars)


def line_lengths_pt(page: pypdf.PageObject) -> list[float]:
    found: list[float] = []
    start: list[float] = []

    def visit(operator, operands, cm, _tm):
        nonlocal start
        if operator == b"m":
            start = [float(one) for one in operands]
        elif operator == b"l" and start:
            x, y = (float(one) for one in operands)
            found.append(((abs(x - start[0]) * abs(cm[0])) ** 2 + (abs(y - start[1]) * abs(cm[3])) ** 2) ** 0.5)

    page.extract_text(visitor_operand_before=visit)
    return found


def test_a_sheet_of_one_wall_leaves_the_others_out(cast):
    house = signed_house(cast)
    report = report_request(by=cast.designer, revision=house.revision, wall=house.walls[1])
    text = text_of(pypdf.PdfReader(io.BytesIO(produce(report).content)))
    assert "Marram" in text
    assert "Slack water" not in text


@pytest.mark.django_db(transaction=True)
def test_a_changed_record_prints_nothing(cast):
    house = signed_house(cast)
    report_request(by=cast.designer, revision=house.revision)
    house.revision.snapshot = house.revision.snapshot.replace("Marlow", "Morlow")
    house.revision.save()
    report = SHEETS.claim()
    assert not SHEETS.carry_out(report, draw)
    failed = Report.objects.get(pk=report.pk)
    assert failed.state == ReportState.FAILED
    assert "not what was signed" in failed.error
