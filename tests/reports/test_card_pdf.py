"""The printed reference card: rasterised as a printer would, its markers stand where they are measured to be."""

from __future__ import annotations

import io
import shutil
import subprocess

import cv2
import numpy as np
import pypdf
import pytest
from django.urls import reverse

from placements.photogrammetry.card import CARDS_A_PAPER, PAPERS, Card, find_cards
from tests.conftest import cannot_run

pytestmark = pytest.mark.django_db

MM_PT = 72 / 25.4  # PDF user space: 72 units an inch
DPI = 150


@pytest.fixture
def fetch(cast, client_of):
    def one(**asked) -> bytes:
        answer = client_of(cast.designer).get(reverse("photo_card"), asked)
        assert answer.status_code == 200, answer.content
        assert answer["Content-Type"] == "application/pdf"
        return answer.content

    return one


def rasterised(content: bytes, folder, page: int = 1) -> np.ndarray:
    if shutil.which("pdftoppm") is None:
        cannot_run("no pdftoppm on PATH (Debian: apt-get install poppler-utils)")
    source = folder / "card.pdf"
    source.write_bytes(content)
    command = ["pdftoppm", "-png", "-r", str(DPI), "-f", str(page), "-singlefile", source, folder / "card"]
    subprocess.run(command, check=True)
    return cv2.imread(str(folder / "card.png"))


@pytest.mark.parametrize("paper", list(PAPERS))
def test_six_cards_each_the_size_of_its_paper(fetch, paper):
    reader = pypdf.PdfReader(io.BytesIO(fetch(paper=paper)))
    assert len(reader.pages) == CARDS_A_PAPER
    for number, page in enumerate(reader.pages, 1):
        size = float(page.mediabox.width) / MM_PT, float(page.mediabox.height) / MM_PT
        assert size == pytest.approx(PAPERS[paper], abs=0.05)
        text = "".join(page.extract_text().split())  # letters drawn one by one carry no spaces
        assert f"Referencecard{number}" in text
        assert "Printatactualsize" in text
        assert "0to100mustbe100mm" in text


@pytest.mark.parametrize(("paper", "number"), [("letter", 1), ("a4", 6)])
def test_markers_are_read_at_their_millimetres(fetch, tmp_path, paper, number):
    picture = rasterised(fetch(paper=paper, number=number), tmp_path)
    card = Card(paper, number)
    (seen,) = find_cards(picture)
    assert seen.card == card
    assert seen.places == (0, 1, 2, 3)
    px_a_mm = DPI / 25.4
    millimetres = (seen.pixels + 0.5) / px_a_mm
    millimetres[..., 1] = picture.shape[0] / px_a_mm - millimetres[..., 1]
    # The page is rounded up to whole dots; a tenth of a millimetre is six tenths of a dot.
    assert np.abs(millimetres - card.marker_corners()).max() < 0.12


def test_ruler_is_a_hundred_millimetres_long(fetch, tmp_path):
    picture = cv2.cvtColor(rasterised(fetch(paper="letter", number=2), tmp_path), cv2.COLOR_BGR2GRAY)
    dark = (picture < 128).sum(axis=1) * 25.4 / DPI
    middle = slice(round(len(dark) * 0.4), round(len(dark) * 0.6))
    row = np.argmax(dark[middle]) + middle.start
    columns = np.nonzero(picture[row] < 128)[0]
    assert (columns.max() - columns.min() + 1) * 25.4 / DPI == pytest.approx(100.0, abs=0.4)


@pytest.mark.parametrize("asked", [{"paper": "a3"}, {"number": "7"}, {"number": "x"}])
def test_other_papers_and_numbers_are_refused(cast, client_of, asked):
    assert client_of(cast.designer).get(reverse("photo_card"), asked).status_code == 422
