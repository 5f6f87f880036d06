"""The photograph under a wall's drawing: the picture itself, and how strong the reader last had it."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from placements import access
from placements.drawings import Under
from placements.models import Photo
from placements.photogrammetry.errors import NotMeasurable
from placements.selectors.photos import under as select
from studio.access import SignedRequest
from studio.errors import Missing
from studio.models import Wall

#: What the cookie of that name may say, and how a page calls it.
STRENGTHS = (("0", "Off"), ("1", "Faint"), ("2", "Half"), ("3", "Strong"))
COOKIE = "under"


@login_required
@require_safe
def photo_square(request: SignedRequest, pk: int) -> HttpResponse:
    """A measured photograph of a wall seen square on, exactly as large as the wall."""
    photo = access.get(request.user, Photo.objects.select_related("wall"), pk)
    etag = f'"{select.under_version(photo)}"'
    if request.headers.get("If-None-Match") == etag:
        response = HttpResponse(status=304)
    else:
        try:
            response = HttpResponse(select.square_view(photo), content_type="image/webp")
        except NotMeasurable as refusal:
            raise Missing(str(refusal)) from refusal
        response["X-Content-Type-Options"] = "nosniff"
    response["ETag"] = etag
    response["Cache-Control"] = "private, max-age=300"
    return response


def under_of(request: SignedRequest, wall: Wall) -> Under | None:
    """What may lie under the wall's drawing; asked for at once only where the reader has it on."""
    photo = select.photo_under(wall)
    if photo is None:
        return None
    source = f"{reverse('photo_square', args=[photo.pk])}?{select.under_version(photo)}"
    return Under(source, shown=strength(request) != "0")


def strength(request: SignedRequest) -> str:
    """As the reader last chose, on any wall."""
    chosen = request.COOKIES.get(COOKIE, "0")
    return chosen if chosen in dict(STRENGTHS) else "0"
