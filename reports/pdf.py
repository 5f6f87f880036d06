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
