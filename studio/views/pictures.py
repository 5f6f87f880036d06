"""Pictures, streamed to whoever may see the piece: no file has an address of its own."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_required
from django.db.models.fields.files import FieldFile
from django.http import FileResponse, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.utils.http import http_date
from django.views.decorators.http import require_safe
from easy_thumbnails.exceptions import InvalidImageFormatError
from easy_thumbnails.files import get_thumbnailer

from studio import access
from studio.access import SignedRequest
from studio.errors import Missing
from studio.models import Artwork

#: A picture's address carries nothing of its content, so a browser asks again, cheaply, whether it changed.
CACHE = "private, max-age=300, stale-while-revalidate=86400"


def picture_response(
    request: HttpRequest, artwork: Artwork, alias: str, file: FieldFile | None = None
) -> HttpResponseBase:
    """A piece's picture (or another file of it) in a size that the settings name, or 304 where the browser has it.

    Raises:
        Missing: no picture, or no such size.
    """
    picture = artwork.picture if file is None else file
    if not picture or alias not in settings.THUMBNAIL_ALIASES[""]:
        raise Missing("This piece has no such picture.")
    name = str(picture.name)
    etag = f'"{name.rpartition("/")[2].partition(".")[0]}-{alias}"'
    if request.headers.get("If-None-Match") == etag:
        response: HttpResponseBase = HttpResponse(status=304)
    else:
        thumbnail = sized(picture, alias)
        thumbnail.open("rb")
        response = FileResponse(thumbnail, content_type="image/jpeg")
        response["Last-Modified"] = http_date(artwork.updated_at.timestamp())
        response["X-Content-Type-Options"] = "nosniff"
    response["ETag"] = etag
    response["Cache-Control"] = CACHE
    return response


def sized(picture: Any, alias: str) -> Any:
    """A picture in a size that the settings name, made when it is first asked for.

    Raises:
        StoreAway: the store does not answer. KeyError: there is no such size.
    """
    try:
        return get_thumbnailer(picture)[alias]
    except InvalidImageFormatError:
        picture.open("rb").close()  # whatever ails it is called that; the store says of itself what it is
        raise


@login_required
@require_safe
def work_picture(request: SignedRequest, pk: int, alias: str) -> HttpResponseBase:
    return picture_response(request, access.get(request.user, Artwork, pk), alias)


@login_required
@require_safe
def work_original(request: SignedRequest, pk: int) -> HttpResponseBase:
    """The photograph that a piece's picture is cut from, in as much detail as marking its corners needs."""
    piece = access.get(request.user, Artwork, pk)
    return picture_response(request, piece, "large", piece.original or piece.picture)
