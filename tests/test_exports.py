"""No export gives a spreadsheet a cell that it would run (OWASP, CSV Injection): every address, in every form."""

from __future__ import annotations

import csv
import io
import zipfile

import pytest
from openpyxl import load_workbook

from placements.services.archive import studio_archive
from studio.models import User
from tests.e2e import test_hostile_text
from tests.test_every_address import ADDRESSES
from tests.world import PK, make_world, scoped_models

pytestmark = pytest.mark.django_db
FORMULA = '=HYPERLINK("http://127.0.0.1/","x")'
STARTS = ("=", "+", "-", "@", "\t", "\r")
FORMS = ("csv", "xlsx")


@pytest.fixture
def world(cast):
    made = make_world(cast)
    for model in scoped_models():
        for name in test_hostile_text.typed_into(model):
            if model._meta.get_field(name).max_length is None or model._meta.get_field(name).max_length >= len(FORMULA):
                model._default_manager.filter(pk=PK).update(**{name: FORMULA})
    return made


def live(cells) -> list[str]:
    return [cell for cell in cells if isinstance(cell, str) and cell.startswith(STARTS)]


def test_no_export_holds_a_formula(world, client_of):
    client, seen = client_of(world.cast.principal), []
    for address in [one for one in ADDRESSES if "get" in one.methods and not one.by_link]:
        for form in FORMS:
            answer = client.get(address.url(), {"as": form})
            kind = answer.get("Content-Type", "")
            content = b"".join(answer.streaming_content) if answer.streaming else answer.content
            if kind.startswith("text/csv"):
                cells = [cell for row in csv.reader(io.StringIO(content.decode())) for cell in row]
            elif "spreadsheetml" in kind:
                sheet = load_workbook(io.BytesIO(content)).active
                assert not [cell for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]
                cells = [cell for row in sheet.iter_rows(values_only=True) for cell in row]
            else:
                continue
            assert any(isinstance(cell, str) and "HYPERLINK" in cell for cell in cells), address.route
            assert live(cells) == [], address.route
            seen.append((address.name, form))
    assert {("works_export", "csv"), ("works_export", "xlsx"), ("audit_trail", "csv")} <= set(seen)


def test_no_list_in_the_archive_holds_a_formula(world):
    User.objects.update(name=FORMULA)
    archive = zipfile.ZipFile(io.BytesIO(b"".join(studio_archive(studio=world.cast.studio, by=world.cast.principal))))
    lists = [name for name in archive.namelist() if name.endswith(".csv")]
    assert lists
    for name in lists:
        cells = [cell for row in csv.reader(io.StringIO(archive.read(name).decode())) for cell in row]
        assert any("HYPERLINK" in cell for cell in cells)
        assert live(cells) == [], name
