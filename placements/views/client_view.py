"""The client's presentation: by its link, without an account; and as the studio looks it over before sending it."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import FileResponse, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST, require_safe

from placements import access
from placements.contexts import money
from placements.contexts.client import PhotoUrl, Shown, catalogue
from placements.contexts.drawn import PictureUrl, studio_picture
from placements.engine.rulebook import Rulebook
from placements.forms.talk import AnswerForm
from placements.models import ClientLink, Photo
from placements.scenes import house_rules_of
from placements.selectors import clients as select
from placements.selectors import projects
from placements.selectors.estimates import estimate_shown
from placements.services import client_links as services
from studio.access import SignedRequest
from studio.errors import Invalid, Missing, TooMany
from studio.forms import given
from studio.models import Artwork, Project, Wall
from studio.reader import units_of, zone_of
from studio.views.pictures import picture_response

from .photos.pages import photo_response

ALIASES = ("strip", "page")
PHOTO_ALIASES = ("page", "large", "whole")


@never_cache
@require_GET
def client_view(request: HttpRequest, token: str) -> HttpResponse:
    """The presentation: photographs, elevations, a sentence, a quiet approve. No account."""
    return _shown(request, token, services.client_link_by_token(token))


def _shown(
    request: HttpRequest, token: str, link: ClientLink, fault: Invalid | TooMany | None = None, at: Wall | None = None
) -> HttpResponse:
    shown = Shown(
        select.shown_walls(link),
        select.shown_hanging(link),
        select.shown_bares(link),
        select.shown_photos(link),
        select.said_by_wall(link),
    )

    def picture(artwork: Artwork, alias: str) -> str:
        return reverse("client_picture", args=[token, artwork.pk, alias]) if artwork.picture else ""

    def photo(row: Photo, of: str, alias: str) -> str:
        return reverse(f"client_photo_{of}", args=[token, row.pk, alias])

    context = _context(link.project, shown, picture, photo) | {
        "link": link,
        "token": token,
        "fault": fault,
        "fault_at": at.pk if at else None,
        "typed": request.POST.get("text", ""),
        "logo": reverse("client_logo", args=[token]) if link.project.client.studio.logo else "",
    }
    estimate = estimate_shown(link.project)
    if estimate is not None:
        context |= {"estimate": estimate, "estimate_shown": money.shown(estimate.told)}
    answer = render(request, "placements/client_view.html", context, status=fault.status if fault else 200)
    if isinstance(fault, TooMany):
        answer["Retry-After"] = str(fault.wait_s)
    return answer


def _context(project: Project, shown: Shown, picture: PictureUrl, photo: PhotoUrl) -> dict[str, Any]:
    units = units_of(project)
    rooms = catalogue(shown, units, Rulebook(house_rules_of(project)), picture, photo)
    walls = [wall for room in rooms for wall in room.walls]
    counts = {
        "walls": len(walls),
        "works": sum(len(group.captions) for wall in walls for group in wall.groups),
        "approved": sum(wall.approved is True for wall in walls),
    }
    return {"project": project, "rooms": rooms, "counts": counts, "zone": zone_of(project)}


@login_required
@never_cache
@require_GET
def client_preview(request: SignedRequest, pk: int) -> HttpResponse:
    """The presentation of all rooms as a client would see it, for the studio's own people."""
    project = access.get(request.user, projects.projects_of(request.user), pk)
    walls = list(projects.walls_with_items(Wall.objects.filter(room__project=project)))
    hanging = projects.hanging_by_wall(projects.current_revision(project))
    shown = Shown(
        walls,
        hanging,
        select.bares_of(project),
        {
            composites.wall.pk: composites.shown
            for composites in select.composites_now(project)
            if composites.shown is not None
        },
        {},
    )

    def photo(row: Photo, of: str, alias: str) -> str:
        return reverse(f"photo_{of}", args=[row.pk, alias])

    context = _context(project, shown, studio_picture, photo) | {
        "logo": reverse("studio_logo_picture") if project.client.studio.logo else "",
        "preview": True,
    }
    return render(request, "placements/client_view.html", context)


@require_POST
def client_answer(request: HttpRequest, token: str, pk: int) -> HttpResponse:
    """The client approves a wall, asks for a change, or remarks."""
    link = services.client_link_by_token(token)
    wall = next((wall for wall in select.shown_walls(link) if wall.pk == pk), None)
    if wall is None:
        raise Missing("This wall is not part of what the link shows.")
    try:
        said = given(AnswerForm(request.POST))
        approved = {"approve": True, "change": False}.get(said["answer"])
        services.client_answer(link=link, wall=wall, approved=approved, text=said["text"])
    except (Invalid, TooMany) as fault:
        return _shown(request, token, link, fault, wall)
    return redirect(reverse("client_view", args=[token]) + f"#wall-{pk}")


@require_GET
def client_picture(request: HttpRequest, token: str, pk: int, alias: str) -> HttpResponseBase:
    """A picture of a work that hangs in one of the link's rooms."""
    link = services.client_link_by_token(token)
    work = select.shown_work(link, pk)
    if work is None or alias not in ALIASES:
        raise Missing("This link shows no such picture.")
    return picture_response(request, work, alias)


@require_safe
def client_photo(request: HttpRequest, token: str, pk: int, of: str, alias: str) -> FileResponse:
    """A photograph that the link shows, with the works in it (`shown`) or as it was `taken`; `whole` is full size."""
    link = services.client_link_by_token(token)
    photo = next((photo for photo in select.shown_photos(link).values() if photo.pk == pk), None)
    if photo is None or alias not in PHOTO_ALIASES:
        raise Missing("This link shows no such photograph.")
    return photo_response(request, photo, of, alias, _file_name(photo, of))


def _file_name(photo: Photo, of: str) -> str:
    """What a downloaded photograph is called: by its room and wall."""
    place = slugify(f"{photo.wall.room.name} {photo.wall.name}") or photo.wall.code
    return f"{place}-{'with-art' if of == 'shown' else 'today'}.jpg"


@require_safe
def client_logo(request: HttpRequest, token: str) -> FileResponse:
    """The studio's logo at the head of its presentation."""
    studio = services.client_link_by_token(token).project.client.studio
    if not studio.logo:
        raise Missing("This studio has no logo.")
    return FileResponse(studio.logo.open("rb"), content_type="image/jpeg")
