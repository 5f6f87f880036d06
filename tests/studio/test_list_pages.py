import io
import re

import pytest
from django.urls import reverse
from openpyxl import Workbook, load_workbook

from studio.models import Artwork
from tests.factories import ArtworkFactory

pytestmark = pytest.mark.django_db


LIST = """Inventory number;Title;Artist;Medium;Dimensions;Weight (kg);Glazed;Location
A 1;Slack water;Maren Okoro-Lind;oil on canvas;support: 762 x 1118 mm;9,5;no;Rack 4
A 2;"Dunes; four";Casimir Dowlish;gelatin silver print;24 x 30 in.;;yes;Rack 5
"""


def send_list(browser, text, **more):
    file = io.BytesIO(text if isinstance(text, bytes) else text.encode())
    file.name = "list.csv"
    return browser.post(reverse("works_import"), {"file": file, "unit": "in", "order": "height_first", **more})


def columns_of(client, address):
    page = client.get(address).content.decode()
    return {
        name: (re.search(r'<option value="(\w*)" selected', body) or [None, ""])[1]
        for name, body in re.findall(r'name="(column-\d+)">(.*?)</select>', page, re.DOTALL)
    }


def test_a_list_becomes_pieces_only_at_the_last_step(designer, client_row):
    answer = send_list(designer, LIST, client=client_row.pk)
    chosen = columns_of(designer, answer.url)
    assert list(chosen.values()) == ["code", "title", "maker", "form", "size", "weight_kg", "glazed", "storage"]
    answer = designer.post(answer.url, chosen)
    page = designer.get(answer.url).content.decode()
    assert "2 rows" in page
    assert not Artwork.objects.exists()
    assert designer.post(answer.url).status_code == 302
    water, dunes = Artwork.objects.order_by("code")
    assert (water.width_mm, water.height_mm, water.weight_kg) == (1118.0, 762.0, 9.5)  # the text is height × width
    assert (water.client, water.code, water.storage, water.light) == (client_row, "a-1", "Rack 4", "moderate")
    assert (dunes.title, dunes.form, dunes.light, dunes.glazed) == ("Dunes; four", "photograph", "sensitive", True)
    assert dunes.width_mm == 762.0
    assert water.history.first().history_change_reason == "imported"


def test_one_faulty_row_holds_everything_back_until_it_is_mended_or_left_out(designer):
    text = LIST + "A 3;;Somebody;fresco of unknown kind;variable;heavy;perhaps;\n"
    answer = send_list(designer, text)
    answer = designer.post(answer.url, columns_of(designer, answer.url))
    page = designer.get(answer.url).content.decode()
    for fault in (
        "Title: is empty",
        "Size, in one cell: found “variable”",
        "Weight: found “heavy”",
        "expected yes or no",
    ):
        assert fault in page
    assert '<td class="num">4</td>' in page
    refused = designer.post(answer.url)
    assert refused.status_code == 422
    assert not Artwork.objects.exists()
    designer.post(answer.url, {"leave": "4"})
    assert Artwork.objects.count() == 2


def test_columns_that_contradict_the_cell_are_remarked_on(designer):
    # An open collection's data has width and height swapped against its text: the picture would lie on its side.
    text = "Title,Dimensions,Width (mm),Height (mm)\nBrook,support: 762 x 1118 mm,762,1118\n"
    answer = send_list(designer, text)
    answer = designer.post(answer.url, columns_of(designer, answer.url))
    assert "disagree on its shape" in designer.get(answer.url).content.decode()


def test_columns_must_make_a_piece(designer):
    answer = send_list(designer, "Title,Colour\nx,red\n")
    refused = designer.post(answer.url, {"column-0": "title", "column-1": "title"})
    assert refused.status_code == 422
    page = refused.content.decode()
    assert "is chosen for two columns" in page
    assert "choose one column for the size" in page
    assert designer.get(answer.url.replace("columns", "preview")).status_code == 302


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "empty"),
        (b"Title\n", "empty"),
        (b"\x00\x01\x02", "neither a CSV file"),
        (b"PK\x03\x04 broken", "cannot be read"),
        (b"Title,W,H\n" + b"x,1,1\n" * 5001, "rows"),
        (("," * 100 + "x\n" + "1," * 100).encode(), "columns"),
    ],
)
def test_files_that_are_no_list_are_refused(designer, content, message):
    answer = send_list(designer, content)
    assert answer.status_code in (200, 422)
    assert message in answer.content.decode()


def test_a_workbook_is_read(designer):
    book = Workbook()
    book.active.append(["Title", "Width (cm)", "Height (cm)", "Weight (lb)"])
    book.active.append(["Marram", 101.6, 76.2, 14])
    out = io.BytesIO()
    book.save(out)
    answer = send_list(designer, out.getvalue())
    answer = designer.post(answer.url, columns_of(designer, answer.url))
    designer.post(answer.url)
    piece = Artwork.objects.get()
    assert (piece.width_mm, piece.height_mm, piece.weight_kg) == (1016.0, 762.0, 6.35029318)


def test_an_import_is_its_senders_own(cast, client_of, designer):
    address = send_list(designer, LIST).url
    assert client_of(cast.principal).get(address).status_code == 404
    assert designer.get(reverse("works_import_preview", args=["nothing-like-this"])).status_code == 404


def test_an_export_read_back_gives_the_same_pieces(designer, client_row):
    piece = ArtworkFactory(client=client_row, title="=1+1", maker="Ruta Okonjo", themes=["coast", "dusk"], frame="oak")
    content = b"".join(designer.get(reverse("works_export")).streaming_content)
    assert b"'=1+1" in content
    Artwork.objects.all().delete()
    answer = send_list(designer, content, client=client_row.pk)
    answer = designer.post(answer.url, columns_of(designer, answer.url))
    assert designer.post(answer.url).status_code == 302, designer.get(answer.url).content.decode()
    again = Artwork.objects.get()
    for name in (
        *("title", "maker", "form", "width_mm", "height_mm", "depth_mm", "themes", "frame", "hang_kind"),
        *("hang_below_top_mm", "hang_inset_mm", "hang_length_mm", "light", "glazed"),
    ):
        was = getattr(piece, name)
        assert getattr(again, name) == (pytest.approx(was) if isinstance(was, float) else was), name
    assert again.weight_kg == pytest.approx(piece.weight_kg, abs=1e-4)


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t"])
def test_no_spreadsheet_takes_a_title_for_a_formula(designer, client_row, start):
    ArtworkFactory(client=client_row, title=f"{start}HYPERLINK(1)")
    cells = b"".join(designer.get(reverse("works_export")).streaming_content).decode().splitlines()[1]
    assert f"'{start}HYPERLINK" in cells
    sheet = load_workbook(io.BytesIO(designer.get(reverse("works_export"), {"as": "xlsx"}).content)).active
    assert sheet["B2"].data_type == "s"
    assert sheet["B2"].value.startswith("'")
