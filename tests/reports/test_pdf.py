"""The PDF renderer reads our own files only."""

from __future__ import annotations

import pytest

from reports import pdf
from tests.pictures import jpeg

PAGE = '<html lang="en"><head><title>t</title>{head}</head><body>{body}</body></html>'


def test_pictures_handed_over_are_shown():
    made = pdf.render(PAGE.format(head="", body='<img src="picture:a" alt="a">'), {"a": jpeg()})
    assert made.pages == 1
    assert b"/DCTDecode" in made.content


@pytest.mark.parametrize(
    "address",
    [
        pytest.param("http://127.0.0.1:1/a.png", id="network"),
        pytest.param("https://example.test/a.png", id="secure network"),
        pytest.param("file:///etc/passwd", id="file"),
        pytest.param("static:../../etc/passwd", id="out of the static files"),
        pytest.param("static:reports/no-such-file.png", id="no such file"),
        pytest.param("picture:another", id="a picture of somebody else"),
        pytest.param("ftp://127.0.0.1/a.png", id="ftp"),
        pytest.param("data:image/svg+xml,%3Csvg/%3E", id="data"),
    ],
)
def test_every_other_address_is_refused(address):
    with pytest.raises(pdf.Refused):
        pdf.render(PAGE.format(head="", body=f'<img src="{address}" alt="x">'))


def test_a_stylesheet_from_elsewhere_is_refused():
    link = '<link rel="stylesheet" href="http://127.0.0.1:1/a.css">'
    with pytest.raises(pdf.Refused):
        pdf.render(PAGE.format(head=link, body="x"))


def test_the_print_stylesheet_is_parsed_once():
    assert pdf._style() is pdf._style()
