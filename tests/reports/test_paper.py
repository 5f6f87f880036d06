"""What stands on the paper, measured on the rendered page; drawn from plain data, without a database."""

from __future__ import annotations

import io
import itertools
import re

import pypdf
import pytest

from reports.contexts.detail import details
from reports.contexts.drawing import FOOT_MM, MARGIN_MM, Place, draw_wall, placed
from reports.contexts.scales import IMPERIAL, METRIC
from reports.contexts.sheet import PAPERS, above_text, edges_text, from_level
from reports.contexts.template import CLEAR_MM, OVERLAP_MM, _laid
from studio.units import Units
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


@pytest.mark.parametrize("made", [sheets.stair, sheets.salon, sheets.corridor])
@pytest.mark.parametrize(("style", "paper"), [("cm", "a4"), ("ft_in", "letter")])
def test_a_wall_is_drawn_as_large_as_its_page_leaves_room_for(made, style, paper):
    house, _ = made()
    (_, wall), pieces, units = next(house.walls()), sheets.pieces_of(made(), style), Units(style)
    size, depth = PAPERS[paper], 180.0

    def draw(scale):
        return draw_wall(wall, pieces, units, scale, {})

    scale, page, svg = placed(wall, Place(depth, None), size, units, draw)
    head = size[1] - MARGIN_MM - FOOT_MM - depth
    own = (size[0] - 2 * MARGIN_MM, depth)
    room = (size[1] - 2 * MARGIN_MM, size[0] - MARGIN_MM - FOOT_MM - head) if page == "wide" else own
    wide, high = (float(one) for one in re.findall(r' (?:width|height)="([0-9.]+)mm"', svg)[:2])
    assert wide <= room[0]
    assert high <= room[1]
    scales = METRIC if units.metric else IMPERIAL
    larger = scales[scales.index(scale) - 1]
    wide, high = (float(one) for one in re.findall(r' (?:width|height)="([0-9.]+)mm"', draw(larger))[:2])
    assert wide > room[0] or high > room[1]


def test_a_group_has_a_detail_in_which_every_number_stands_apart():
    # ISO 5455: 1 : 10, 1 : 20; 1 : 25 on triangular scale rules.
    for made, count in ((sheets.salon, 24), (sheets.stair, 9)):
        (found,) = details(sheets.pieces_of(made(), "cm"), Units("cm"), PAPERS["a4"])
        assert int(found.scale.partition(":")[2]) <= 25
        assert found.name == f"Pieces 1 to {count}"
        numbers = re.findall(r'<text x="([0-9.]+)" y="([0-9.]+)" font-size="4.2"[^>]*>(\d+)<', found.svg)
        assert sorted(int(number) for *_, number in numbers) == list(range(1, count + 1))
        at = [(float(x), float(y)) for x, y, _ in numbers]
        assert all(abs(a[0] - b[0]) > 5 or abs(a[1] - b[1]) > 5 for a, b in itertools.combinations(at, 2))
    assert details(sheets.pieces_of(sheets.corridor(), "cm"), Units("cm"), PAPERS["a4"]) == ()


def test_each_piece_has_its_edges_gap_level_and_nail():
    rows = sheets.pieces_of(sheets.salon(), "cm")
    # The second of the lowest row: 300 wide after 900 + 420 + 60; 420 high from 880; the gap is 6 cm.
    assert edges_text(rows[1], Units("cm")) == (
        "Left edge 138 cm, middle 153 cm; top 130 cm, middle 109 cm from the floor; gap 6 cm to 1"
    )
    hook = rows[1].points[0]
    assert (hook.floor_mm, hook.nail_mm) == (1240, 1265)  # rings 60 below the top; a nail about 25 above its seat
    assert from_level(hook.floor_mm, Units("cm")) == "−26 cm"
    assert from_level(1600, Units("cm")) == "+10 cm"


def test_on_a_stair_heights_are_above_the_nosings_and_distances_along_the_slope():
    piece = sheets.pieces_of(sheets.stair(), "cm")[0]
    hook = piece.points[0]
    # The rail climbs 14 x 180 over 14 x 260 from (400, 914); the nosings are 36 in (914.4 mm) below it. At 604 mm they
    # are 914 + 204 x 180/260 - 914.4 = 140.8 mm up, 1701 below the hook; along the slope 204 x 316.2/260 = 248 mm.
    assert (hook.datum_mm, hook.floor_mm) == (604, 1842)
    # 14 risers of 180 are 2520 mm: by risers of 7 in there are 14. The nearest nosing is the first, at 660 mm and
    # 914 + 180 - 914.4 = 179.6 mm up: 56 mm left of it, 1662 mm above it.
    assert above_text(hook, piece.wall, Units("mm")) == "1701 mm; 248 mm along; nosing 1: 56 mm left, 1662 mm up"
    text = re.sub(r"\s+", " ", text_of(pypdf.PdfReader(io.BytesIO(sheets.sheets_pdf(sheets.stair())))))
    assert "from a platform that stands level over the treads" in text
    assert "a second person holds" in text


def pages_mm(content: bytes) -> list[tuple[float, float]]:
    pages = pypdf.PdfReader(io.BytesIO(content)).pages
    return [(float(page.mediabox.width) / MM_PT, float(page.mediabox.height) / MM_PT) for page in pages]


def test_a_group_goes_on_a_roll_at_full_size():
    pieces = sheets.pieces_of(sheets.salon(), "cm")
    content = sheets.wall_template_pdf(pieces, "roll")
    # As long as the widest row with 37 mm round it; rows lie clear of where strips of 36 in are laid together.
    left, right = min(p.rect.left for p in pieces), max(p.rect.right for p in pieces)
    assert [wide for wide, _ in pages_mm(content)] == pytest.approx(
        [right - left + 74] * len(pages_mm(content)), abs=0.2
    )
    assert {round(high) for _, high in pages_mm(content)} == {914}
    text = re.sub(r"\s", "", text_of(pypdf.PdfReader(io.BytesIO(content))))
    assert all(f"Salonpiece{number}," in text for number in range(1, 25))
    outlines = [box for page in pypdf.PdfReader(io.BytesIO(content)).pages for box in boxes_mm(page)]
    for piece in pieces:  # each at its own size
        assert any(
            abs(wide - piece.rect.width) < 0.1 and abs(high - piece.rect.height) < 0.1 for wide, high in outlines
        ), piece.number


def test_a_piece_goes_on_a_roll_or_on_tiles():
    piece = sheets.pieces_of(sheets.corridor(), "cm")[1]
    ((wide, high),) = pages_mm(sheets.template_pdf(piece, paper="roll"))
    # Its rings are 420 mm apart and 60 mm below the top edge: with 37 mm round them 494 by 200, the least.
    assert (wide, high) == (pytest.approx(494, abs=0.2), pytest.approx(200, abs=0.2))
    tiles = pages_mm(sheets.template_pdf(piece, paper="a4"))
    assert len(tiles) > 1
    assert tiles[0] == (pytest.approx(210, abs=0.1), pytest.approx(297, abs=0.1))


def test_the_cover_counts_spares_and_tells_the_order_of_loading():
    text = re.sub(r"\s+", " ", text_of(pypdf.PdfReader(io.BytesIO(sheets.sheets_pdf(sheets.stair())))))
    # Nine pieces on two rings: 18 hooks and two spare, two bumpers each, a pair of rings for up to ten.
    assert "18 2 " in text
    assert "18 felt bumpers, 2 rings with their screws" in text
    assert "what hangs last goes in first" in text
    assert text.index("Landing 9") < text.index("Landing 1 ")
    assert "Hours on site" in text
    top = max(piece.rect.top for piece in sheets.pieces_of(sheets.stair(), "cm"))
    assert f"stand {Units('cm').length(top - 2000)} up or more" in text
