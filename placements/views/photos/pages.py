"""Photographs of a wall: taking them in, watching them being measured, marking them, and what they are good for."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST, require_safe

from placements import access
from placements.contexts.photo import STEPS, busy, level_words, mark_notes, scale_words, typed_before
from placements.forms.photos import MarkQuery, PhotoEditForm, PhotoForm
from placements.models import MarkState, Photo, PhotoPurpose
from placements.photogrammetry.errors import reworded
from placements.scenes import works_for
from placements.selectors import projects as select
from placements.selectors import walls
from placements.selectors.photos import uses
from placements.services.photos import photo as services
from studio.access import SignedRequest
from studio.errors import Conflict, Invalid, Missing, NotAllowed, WrongState
from studio.formfields import use_units
from studio.forms import given
from studio.models import ItemKind, Project, Wall
from studio.reader import units_for
from studio.units import Units
from studio.views.pictures import sized

from . import edits

_PHOTOS = Photo.objects.select_related("wall__room__project__client__studio", "wall__room__project__designer")


@login_required
@require_http_methods(["GET", "POST"])
def photos(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    """A wall's photographs, and adding one."""
    project = access.get(request.user, select.projects_of(request.user), pk)
    wall = walls.wall_in(project, wall_pk)
    units, fault = units_for(request.user, project), ""
    if request.method == "POST":
        try:
            return redirect("photo", _add(request, wall, units).pk)
        except Invalid as refused:
            fault = refused.detail
    context = {
        "here": "projects",
        "project": project,
        "wall": wall,
        "units": units,
        "photos": list(wall.photos.select_related("taken_by")),
        "purposes": PhotoPurpose.choices,
        "purpose": request.POST.get("purpose") or request.GET.get("purpose") or PhotoPurpose.SURVEY,
        "ruler": request.POST.get("ruler", ""),
        "fault": fault,
    }
    return render(request, "placements/photos.html", context, status=422 if fault else 200)


def _add(request: SignedRequest, wall: Wall, units: Units) -> Photo:
    new = given(PhotoForm(request.POST, request.FILES))
    return services.photo_add(
        by=request.user,
        wall=wall,
        purpose=new["purpose"],
        content=new["picture"].read(),
        ruler_mm=edits.ruler_of(new["ruler"], units),
    )


@login_required
@require_GET
def photo(request: SignedRequest, pk: int) -> HttpResponse:
    """One photograph with its marks; while it is being measured, its progress."""
    row = access.get(request.user, _PHOTOS, pk)
    template = "placements/_photo.html" if request.htmx else "placements/photo.html"
    return render(request, template, page_context(request, row))


def page_context(request: SignedRequest, row: Photo, **more: Any) -> dict[str, Any]:
    project: Project = row.wall.room.project
    units = units_for(request.user, project)
    chosen = more.pop("selected", None)
    if chosen is None:
        query = MarkQuery(request.GET if request.method == "GET" else request.POST)
        chosen = query.cleaned_data["mark"] if query.is_valid() else None
    notes = mark_notes(row, units, chosen)
    picked = next((note for note in notes if note.selected), None)
    role = access.role_in(user=request.user, studio=project.client.studio)
    return {
        "here": "projects",
        "project": project,
        "wall": row.wall,
        "photo": row,
        "units": units,
        "busy": busy(row),
        "error": reworded(row.error, units),
        "ready": row.camera is not None and not busy(row),
        "marks": notes,
        "chosen": picked,
        "typed": typed_before(row, picked.mark if picked else None, units),
        "waiting": sum(note.offered for note in notes),
        "accepted": sum(note.mark.state == MarkState.ACCEPTED for note in notes),
        "steps": STEPS[row.purpose],
        "level_words": level_words(row, units),
        "scale_words": scale_words(row, units),
        "works": list(works_for(project).order_by("title", "pk")),
        "kinds": [("work", "A work"), *ItemKind.choices],
        "may_plan": role in access.DESIGN,
        "handle_px": max(row.width_px, row.height_px) / 60,
        **uses.offered(row, units),
        **more,
    }


@login_required
@require_POST
def photo_edit(request: SignedRequest, pk: int, action: str) -> HttpResponse:
    """One change of a photograph or its marks, or taking it over to the wall."""
    row = access.get(request.user, _PHOTOS, pk)
    if action not in edits.ACTIONS:
        raise Missing("There is no such change of a photograph.")
    units = units_for(request.user, row.wall.room.project)
    try:
        form = PhotoEditForm(request.POST)
        use_units(form, units)
        done = edits.ACTIONS[action](request.user, row, given(form), units)
    except (Invalid, WrongState, Conflict, NotAllowed) as refused:
        row = access.get(request.user, _PHOTOS, pk)
        return _answer(request, row, status=refused.status, problem=refused)
    if done.onward:
        messages.success(request, done.said)
        return _onward(request, done.onward)
    row = access.get(request.user, _PHOTOS, pk)
    return _answer(request, row, said=done.said, selected=done.selected)


def _answer(request: SignedRequest, row: Photo, *, status: int = 200, **more: Any) -> HttpResponse:
    if request.htmx:
        return render(request, "placements/_photo.html", page_context(request, row, **more), status=status)
    if status == 200:
        return redirect("photo", row.pk)
    return render(request, "placements/photo.html", page_context(request, row, **more), status=status)


def _onward(request: SignedRequest, where: str) -> HttpResponse:
    if request.htmx:
        response = HttpResponse()
        response["HX-Redirect"] = where
        return response
    return redirect(where)


@login_required
@require_safe
def photo_picture(request: SignedRequest, pk: int, of: str, alias: str) -> FileResponse:
    """The photograph (`taken`) or the one with works in it (`shown`), in a size that the settings name or `whole`."""
    row = access.get(request.user, Photo, pk)
    return photo_response(request, row, of, alias, f"{row.wall.code}-{of}.jpg")


def photo_response(request: HttpRequest, row: Photo, of: str, alias: str, name: str) -> FileResponse:
    """One of a photograph's two files, as a file to keep under that name where `fetch` is asked.

    Raises:
        Missing: it has no such file, or there is no such size.
    """
    file = {"taken": row.picture, "shown": row.shown}.get(of)
    if not file:
        raise Missing("There is no such picture.")
    opened = file if alias == "whole" else _sized(file, alias)
    opened.open("rb")
    response = FileResponse(opened, content_type="image/jpeg", as_attachment="fetch" in request.GET, filename=name)
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, max-age=300"
    return response


def _sized(file: Any, alias: str) -> Any:
    try:
        return sized(file, alias)
    except KeyError:
        raise Missing("There is no such picture.") from None
