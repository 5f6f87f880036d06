"""Many photographs at once: which work a file's name names, and that each is saved by itself."""

from __future__ import annotations

import io

import pytest
from django.urls import reverse

from studio.imports.photographs import match
from tests.factories import ArtworkFactory
from tests.pictures import jpeg

WORKS = [(1, "hl-001", "Tidal Grid"), (2, "hl-002", "Low Water"), (3, "a-3", "Étude"), (4, "a-4", "Low")]


@pytest.mark.parametrize(
    ("name", "work"),
    [
        ("HL-001.jpg", 1),
        ("hl 002 detail.HEIC", 2),
        ("Tidal grid (framed).png", 1),
        ("etude.jpeg", 3),
        ("IMG_4711.jpg", None),
        ("low.jpg", None),  # too short a title to go by
        ("HL-0011.jpg", None),
    ],
)
def test_a_file_names_its_work_by_number_or_title(name, work):
    assert match([name], WORKS).get(name) == work


def test_two_files_of_one_work_are_left_to_the_reader():
    assert match(["HL-001 a.jpg", "HL-001 b.jpg", "Low Water.jpg"], WORKS) == {"Low Water.jpg": 2}
    assert match(["HL-001.jpg", "Tidal Grid.jpg"], WORKS) == {"HL-001.jpg": 1}


@pytest.mark.django_db
def test_each_is_saved_by_itself_and_a_broken_one_says_why(cast, designer, client_row, client_of):
    piece = ArtworkFactory(client=client_row, code="hl-001", title="Tidal Grid")
    assert "Tidal Grid" in designer.get(reverse("works_photographs")).content.decode()
    asked = designer.post(reverse("works_photographs_match"), {"names": "HL-001.jpg\nIMG_1.jpg"})
    assert asked.json() == {"matched": {"HL-001.jpg": piece.pk}}

    def save(client, content):
        file = io.BytesIO(content)
        file.name = "HL-001.jpg"
        return client.post(reverse("works_photographs_save"), {"work": piece.pk, "picture": file})

    refused = save(designer, b"no picture at all")
    assert refused.status_code == 422
    assert refused.json()["detail"]
    assert save(client_of(cast.stranger), jpeg(size=(60, 40))).status_code == 404
    saved = save(designer, jpeg(size=(60, 40)))
    assert saved.json() == {"corners": reverse("work_picture_edit", args=[piece.pk])}
    piece.refresh_from_db()
    assert piece.picture
