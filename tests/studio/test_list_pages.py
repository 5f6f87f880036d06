import io
import re

import pytest
from django.urls import reverse
from openpyxl import Workbook, load_workbook

from studio.imports import lists
from studio.models import ArtList, Artwork
from tests.factories import ArtworkFactory

pytestmark = pytest.mark.django_db


LIST = """Inventory number;Title;Artist;Medium;Dimensions;Weight (kg);Glazed;Location
A 1;Slack water;Maren Okoro-Lind;oil on canvas;support: 762 x 1118 mm;9,5;no;Rack 4
A 2;"Dunes; four";Casimir Dowlish;gelatin silver print;24 x 30 in.;;yes;Rack 5
"""


def send_list(browser, text, **more):
    """The answer to a list that was sent, once a worker has read it."""
    file = io.BytesIO(text if isinstance(text, bytes) else text.encode())
    file.name = "list.csv"
    answer = browser.post(reverse("works_import"), {"file": file, "unit": "in", "order": "height_first", **more})
    lists.LISTS.work(lists.read)
    return answer


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


FAULTY = (
    "Inventory number;Title;Artist;Medium;Dimensions;Weight (kg);Glazed;Location;Hardware\n"
    "A 1;Slack water;Maren Okoro-Lind;oil on canvas;30 x 40 in;9,5;no;Rack 4;wire\n"
    "A 2;Marram;Ruta Okonjo;oil on canvas;20 x 24 in;heavy;no;Rack 4;hung somehow\n"
    "A 3;;Ruta Okonjo;oil on canvas;20 x 24 in;2;no;Rack 4;hung somehow\n"
)


def test_faulty_rows_are_mended_on_the_page_alike_ones_at_once(designer):
    preview = previewed(designer, FAULTY)
    refused = designer.post(preview, {"do": "save"})
    assert refused.status_code == 422
    page = refused.content.decode()
    assert "Nothing was saved" in page
    assert "“hung somehow” in 2 rows" in page
    assert not Artwork.objects.exists()
    alike = {"alike-0-name": "hang_kind", "alike-0-was": "hung somehow", "alike-0-is": "French cleat"}
    designer.post(preview, {"do": "check", "mend-4-title": "Two dunes", **alike})
    page = designer.get(preview).content.decode()
    assert 'value="heavy"' in page
    assert "1 to correct" in page
    assert (
        designer.post(preview, {"do": "save", "mend-3-weight_kg": "3 kg", "mend-3-no_such_field": "x"}).status_code
        == 422
    )
    assert designer.post(preview, {"do": "save", "mend-3-weight_kg": "3 kg"}).url == reverse("works")
    assert dict(Artwork.objects.values_list("title", "weight_kg")) == {
        "Slack water": 9.5,
        "Marram": 3.0,
        "Two dunes": 2.0,
    }
    assert Artwork.objects.get(title="Marram").facts["Hardware, in words"] == "French cleat"
    assert not ArtList.objects.exists()


def test_the_good_ones_go_in_first_and_the_rest_waits(designer):
    preview = previewed(designer, FAULTY)
    assert designer.post(preview, {"do": "good"}).url == preview
    assert Artwork.objects.get().title == "Slack water"
    assert "2 rows, 2 to correct" in designer.get(preview).content.decode()
    designer.post(preview, {"do": "save", "leave": ["3", "4"]})
    assert Artwork.objects.count() == 1


def test_a_list_sent_again_updates_by_number_and_never_doubles(designer, client_row):
    import_all(designer, LIST, client_row)
    water = Artwork.objects.get(code="a-1")
    Artwork.objects.filter(pk=water.pk).update(frame="oak")
    import_all(designer, LIST.replace("Rack 4", "Rack 9").replace("oil on canvas", ""), client_row)
    water.refresh_from_db()
    assert Artwork.objects.count() == 2
    assert (water.storage, water.frame, water.form, water.version) == ("Rack 9", "oak", "painting", 2)
    assert water.history.first().history_change_reason == "imported again"
    assert Artwork.objects.get(code="a-2").version == 1  # nothing new was said of it


def test_a_list_without_numbers_does_not_double_either(designer, client_row):
    text = "Title,Artist,Size\nBrook,A. Ferro,30 x 40\nBrook,B. Imrie,20 x 20\n"
    import_all(designer, text, client_row)
    import_all(designer, text.replace("30 x 40", "31 x 40"), client_row)
    assert sorted(Artwork.objects.values_list("maker", flat=True)) == ["A. Ferro", "B. Imrie"]


def test_a_number_twice_in_one_list_is_a_fault(designer):
    page = designer.get(previewed(designer, LIST.replace("A 2", "A 1"))).content.decode()
    assert "stands in row 2, too" in page


def previewed(designer, text, **more):
    """The address of the preview of a list that was sent, its columns as guessed."""
    answer = send_list(designer, text, **more)
    return designer.post(answer.url, columns_of(designer, answer.url)).url


def import_all(designer, text, client_row):
    answer = designer.post(previewed(designer, text, client=client_row.pk), {"do": "save"})
    assert answer.status_code == 302, answer.content.decode()


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
        (b"Title,W,H\n" + b"x,1,1\n" * 5101, "rows"),
        (("," * 100 + "x\n" + "1," * 100).encode(), "columns"),
    ],
)
def test_files_that_are_no_list_are_refused(designer, content, message):
    answer = send_list(designer, content)
    page = answer if answer.status_code != 302 else designer.get(answer.url)
    assert message in page.content.decode()


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
    assert designer.get(reverse("works_import_preview", args=[9999])).status_code == 404


def test_a_list_that_waits_says_so_and_comes_by_itself(designer):
    file = io.BytesIO(LIST.encode())
    file.name = "list.csv"
    address = designer.post(reverse("works_import"), {"file": file, "unit": "in", "order": "height_first"}).url
    assert "Waiting to be read" in designer.get(address).content.decode()
    assert designer.get(address.replace("columns", "preview")).status_code == 404
    lists.LISTS.work(lists.read)
    assert designer.get(address, headers={"HX-Request": "true"}).headers["HX-Redirect"] == address
    assert "list.csv" in designer.get(reverse("works_import")).content.decode()


def test_an_export_read_back_gives_the_same_pieces(designer, client_row):
    piece = ArtworkFactory(
        client=client_row, title="=1+1", maker="Ruta Okonjo", themes=["coast", "dusk"], frame="oak",
        medium="oil on linen", facts={"Owner": "I. Marlow", "Crate": "7"},
    )  # fmt: skip
    content = b"".join(designer.get(reverse("works_export")).streaming_content)
    assert b"'=1+1" in content
    Artwork.objects.all().delete()
    answer = send_list(designer, content, client=client_row.pk)
    answer = designer.post(answer.url, columns_of(designer, answer.url))
    assert designer.post(answer.url).status_code == 302, designer.get(answer.url).content.decode()
    again = Artwork.objects.get()
    for name in (
        *("title", "maker", "form", "width_mm", "height_mm", "depth_mm", "themes", "frame", "hang_kind"),
        *("hang_below_top_mm", "hang_inset_mm", "hang_length_mm", "light", "glazed", "medium"),
    ):
        was = getattr(piece, name)
        assert getattr(again, name) == (pytest.approx(was) if isinstance(was, float) else was), name
    assert again.facts | piece.facts == again.facts
    assert again.weight_kg == pytest.approx(piece.weight_kg, abs=1e-4)


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t"])
def test_no_spreadsheet_takes_a_title_for_a_formula(designer, client_row, start):
    ArtworkFactory(client=client_row, title=f"{start}HYPERLINK(1)")
    cells = b"".join(designer.get(reverse("works_export")).streaming_content).decode().splitlines()[1]
    assert f"'{start}HYPERLINK" in cells
    sheet = load_workbook(io.BytesIO(designer.get(reverse("works_export"), {"as": "xlsx"}).content)).active
    assert sheet["B2"].data_type == "s"
    assert sheet["B2"].value.startswith("'")
