"""HTML to PDF: the only module that imports WeasyPrint. It reads our own files only, never the network."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from django.contrib.staticfiles import finders
from django.contrib.staticfiles.storage import staticfiles_storage
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

#: The addresses that a sheet may name: a picture handed over with it, or one of our static files.
PICTURE = "picture:"
STATIC = "static:"
STYLE = "reports/sheet.css"
#: Pango's fonts are shared by all renderings of a process; one at a time.
_ONE = threading.Lock()
#: A CSS pixel is 1/96 in.
PX_MM = 25.4 / 96


class Refused(FatalURLFetchingError):  # type: ignore[misc]
    """The sheet names something that is not our own file."""


@dataclass(frozen=True, slots=True)
class Pdf:
    content: bytes
    pages: int


def render(html: str, pictures: Mapping[str, bytes] | None = None) -> Pdf:
    """Render a sheet as PDF/UA-1.

    Args:
        html: a whole document with language and title
        pictures: JPEG bytes by key; the document shows them as `picture:<key>`
    Raises:
        Refused: the document names an address other than `picture:` or `static:`.
    """
    shelf = dict(pictures or {})
    with _ONE:
        style, fonts = _style()
        document = HTML(string=html, base_url=None, url_fetcher=_Fetcher(shelf)).render(
            stylesheets=[style], font_config=fonts, optimize_images=False
        )
        content = document.write_pdf(pdf_variant="pdf/ua-1")
    return Pdf(content, len(document.pages))


@dataclass(frozen=True, slots=True)
class Room:
    """The room on paper for one drawing [mm]: `depth` to the end of its own page, and what of that is `free` where
    all that follows it is to stay on the page; None where it does not.
    """

    depth: float
    free: float | None


def rooms(html: str, pictures: Mapping[str, bytes] | None = None) -> dict[str, Room]:
    """How much room a laid-out document leaves for each of its drawings, by its name.

    A drawing is an empty element with `data-drawing`; where all that goes with it ends stands one with `data-end`.
    """
    begins: dict[str, tuple[int, float, float]] = {}
    found: dict[str, Room] = {}
    with _ONE:
        style, fonts = _style()
        document = HTML(string=html, base_url=None, url_fetcher=_Fetcher(dict(pictures or {}))).render(
            stylesheets=[style], font_config=fonts, optimize_images=False
        )
        for number, page in enumerate(document.pages):
            sheet = page._page_box
            end = sheet.content_box_y() + sheet.height
            for part in sheet.descendants():
                given = part.element.attrib if part.element is not None else {}
                if (name := given.get("data-drawing")) and name not in begins:
                    begins[name] = number, (end - part.position_y) * PX_MM, part.height * PX_MM
                elif name := given.get("data-end"):
                    on, depth, held = begins[name]
                    left = (end - part.position_y) * PX_MM + held
                    found[name] = Room(depth, left if on == number else None)
    return found


@lru_cache(maxsize=1)
def _style() -> tuple[CSS, FontConfiguration]:
    """The one print stylesheet, parsed once a process, with its fonts."""
    fonts = FontConfiguration()
    text = static_bytes(STYLE).decode()
    return CSS(string=text, font_config=fonts, url_fetcher=_Fetcher({})), fonts


def static_bytes(name: str) -> bytes:
    """The content of one of our static files, collected or in its app.

    Raises:
        Refused: there is none of that name.
    """
    found = finders.find(name)
    if found:
        return Path(found).read_bytes()
    if staticfiles_storage.exists(name):
        with staticfiles_storage.open(name) as file:
            return bytes(file.read())
    raise Refused(f"There is no file of ours called {name!r}.")


class _Fetcher(URLFetcher):  # type: ignore[misc]
    """Answers WeasyPrint's requests for files: pictures handed over, and our static files."""

    def __init__(self, pictures: Mapping[str, bytes]) -> None:
        super().__init__(allowed_protocols=())
        self.pictures = pictures

    def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
        if url.startswith(PICTURE) and (key := url.removeprefix(PICTURE)) in self.pictures:
            return URLFetcherResponse(url, self.pictures[key], {"Content-Type": "image/jpeg"})
        if url.startswith(STATIC) and ".." not in (name := url.removeprefix(STATIC)).split("/"):
            return URLFetcherResponse(url, static_bytes(name))
        raise Refused(f"A sheet may not read {url[:80]!r}.")
