import io
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook

from studio.errors import Invalid
from studio.imports import tables
from studio.imports.columns import check_mapping, guess, light_of, unit_of_heading
from studio.imports.tables import guarded, read_sheets, unguarded


def workbook(*rows):
    book = Workbook()
    for row in rows:
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def rows_of(content):
    (sheet,) = read_sheets(content)
    return sheet.rows


@pytest.mark.parametrize("comma", [",", ";", "\t"])
@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "cp1252"])
def test_csv_is_read_with_its_own_comma_and_letters(comma, coding):
    text = f"Title{comma}Maker\n\nÉtude{comma}Ruta Okonjo\n"
    assert rows_of(text.encode(coding)) == (("Title", "Maker"), (), ("Étude", "Ruta Okonjo"))


def test_a_workbook_gives_numbers_and_dates_as_text():
    rows = rows_of(workbook(["Title", "Width", "When"], ["Marram", 101.6, None], ["Two", 40.0, "1990"]))
    assert rows[1:] == (("Marram", "101.6"), ("Two", "40", "1990"))


def test_a_formula_is_not_run_and_what_guards_a_cell_is_taken_off():
    assert rows_of(workbook(["Title"], ["=1+1"], ["x"]))[-1] == ("x",)
    assert rows_of(b"Title\n'=1+1\n")[1] == ("=1+1",)
    assert guarded("=1") == "'=1"
    assert unguarded(guarded("@x")) == "@x"
    assert (guarded("plain"), guarded(3.5), unguarded("'tis")) == ("plain", 3.5, "'tis")


def test_a_workbook_that_unpacks_to_far_too_much_is_refused(monkeypatch):
    monkeypatch.setattr(tables, "MAX_UNPACKED", 1000)
    with pytest.raises(Invalid, match="unpacks to far more"):
        read_sheets(workbook(["Title"], ["x"]))


def test_a_zip_that_is_no_workbook_is_refused():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("a.txt", "hello")
    with pytest.raises(Invalid, match="cannot be read"):
        read_sheets(out.getvalue())


@given(st.binary(max_size=300))
def test_any_bytes_are_a_table_or_are_refused(content):
    try:
        table = read_sheets(content)
    except Invalid:
        return
    assert all(sum(map(any, sheet.rows)) > 1 for sheet in table)


@given(st.binary(max_size=200))
def test_any_damaged_workbook_is_read_or_refused(noise):
    whole = bytearray(workbook(["Title", "Width"], ["Marram", 3]))
    at = len(noise) * 7 % len(whole)
    whole[at : at + len(noise)] = noise
    try:
        read_sheets(bytes(whole))
    except Invalid:
        return


def test_headings_are_recognised():
    headings = (
        "Object number",
        "Title",
        "Artist",
        "Framed width (cm)",
        "Height in",
        "Weight_lb",
        "Colour of the sky",
        "",
    )
    assert guess(headings) == {0: "code", 1: "title", 2: "maker", 3: "width_mm", 4: "height_mm", 5: "weight_kg"}
    assert (unit_of_heading("Width (cm)"), unit_of_heading("Height in"), unit_of_heading("Weight (kg)")) == (
        "cm",
        "in",
        None,
    )


def test_the_same_column_twice_and_none_at_all_are_refused():
    with pytest.raises(Invalid) as caught:
        check_mapping({0: "title", 1: "title"}, 2)
    assert {fault["where"] for fault in caught.value.faults} == {"Title", "Size"}
    with pytest.raises(Invalid):
        check_mapping({0: "title", 9: "size"}, 2)
    with pytest.raises(Invalid):
        check_mapping({0: "title", 1: "secret"}, 2)
    check_mapping({0: "title", 1: "size"}, 2)


# CIE 157:2004 as museums apply it: works on paper, photographs and textiles are the most sensitive (from memory).
@pytest.mark.parametrize(
    ("medium", "light"),
    [
        ("watercolour on paper", "sensitive"),
        ("gelatin silver print", "sensitive"),
        ("wool tapestry", "sensitive"),
        ("oil on canvas", "moderate"),
    ],
)
def test_media_say_what_light_they_bear(medium, light):
    assert light_of(medium) == light
