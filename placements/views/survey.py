"""Surveying: a wall's size and its items, typed or drawn, at a desk or on site with a phone."""

from __future__ import annotations

import dataclasses
import json
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from placements import access
from placements.contexts.drawn import drawn_wall, sheet_room
from placements.contexts.typical import TYPICAL
from placements.drawings import SCREEN, Elevation, draw_elevation
from placements.forms.survey import CopyForm, EditForm, ItemForm, WallForm
from placements.selectors import projects as select
from placements.selectors import walls
from studio.access import SignedRequest
from studio.errors import Conflict, Invalid, Missing
from studio.formfields import use_units
from studio.forms import given
from studio.models import Project, Room, Wall, WallItem
from studio.reader import units_for
from studio.services import rooms as services
from studio.units import Units

from .photos.under import STRENGTHS, strength, under_of

_TO = "change a survey"


def _project(request: SignedRequest, pk: int) -> Project:
    return access.get(request.user, select.projects_of(request.user), pk, roles=access.DESIGN, to=_TO)


def _wall(request: SignedRequest, pk: int, wall_pk: int) -> tuple[Project, Wall]:
    project = _project(request, pk)
    return project, walls.wall_in(project, wall_pk)


@login_required
@require_http_methods(["GET", "POST"])
def wall_new(request: SignedRequest, pk: int) -> HttpResponse:
    """A wall's first two numbers; its items come next."""
    project = _project(request, pk)
    units = units_for(request.user, project)
    rooms = list(project.rooms.order_by("position", "pk"))
    first = {"room": request.GET.get("room") or (str(rooms[-1].pk) if rooms else "")}
    form = WallForm(request.POST or None, rooms=rooms, initial=first)
    use_units(form, units)
    if request.method == "POST" and form.is_valid():
        try:
            wall = services.wall_create(by=request.user, room=_room(request, project, form), **form.values())
            return redirect("wall_survey", project.pk, wall.pk)
        except Invalid as fault:
            form.take_faults(fault.faults, fault.detail)
    status = 422 if request.method == "POST" else 200
    context = {"here": "projects", "project": project, "units": units, "form": form}
    return render(request, "placements/wall_new.html", context, status=status)


def _room(request: SignedRequest, project: Project, form: WallForm) -> Room:
    """What is typed wins: the room of that name, or a new one; else the room that is chosen."""
    name = form.cleaned_data["new_room"]
    if not name:
        return project.rooms.get(pk=form.cleaned_data["room"])
    if there := project.rooms.filter(name__iexact=name).order_by("position", "pk").first():
        return there
    return services.room_create(by=request.user, project=project, name=name, use=form.cleaned_data["use"] or "other")


@login_required
@require_GET
def wall_survey(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    project, wall = _wall(request, pk, wall_pk)
    context = survey_context(request, project, wall, item=_item(wall, given(EditForm(request.GET))["item"]))
    template = "placements/_survey.html" if request.htmx else "placements/wall_survey.html"
    return render(request, template, context)


def survey_context(
    request: SignedRequest,
    project: Project,
    wall: Wall,
    *,
    item: WallItem | None = None,
    form: ItemForm | None = None,
    wall_form: WallForm | None = None,
) -> dict[str, Any]:
    units = units_for(request.user, project)
    if form is None:
        form = ItemForm(initial=ItemForm.initial_of(item) if item else {"kind": "sofa", "bottom": 0.0})
    if wall_form is None:
        wall_form = WallForm(rooms=list(project.rooms.all()), initial=WallForm.initial_of(wall))
    use_units(form, units)
    use_units(wall_form, units)
    room = sheet_room(request.COOKIES, lambda window: window - (74 if window < 992 else 450), high=580.0)
    # Nothing is measured beside the wall in the hand, so the wall may have the margins.
    manner = room.manner if room.manner is SCREEN else dataclasses.replace(room.manner, top=10, right=10)
    under = under_of(request, wall)
    given = Elevation(
        drawn_wall(wall), title=f"{wall.name}, survey", selected_item=str(item.pk) if item else "", under=under
    )
    return {
        "here": "projects",
        "under": under,
        "strengths": STRENGTHS,
        "strength": strength(request),
        "project": project,
        "wall": wall,
        "items": list(wall.items.all()),
        "item": item,
        "form": form,
        "wall_form": wall_form,
        "units": units,
        # Every text in the drawing is escaped by `placements.drawings`.
        "drawing": mark_safe(draw_elevation(given, manner=manner, words=units, width=room.width, height=room.height)),
        "typical": _typical(units),
    }


def _typical(units: Units) -> str:
    """The catalogue of usual sizes for the page's script: as typed in the reader's units."""
    return json.dumps(
        [
            {
                "kind": typical.kind,
                "name": f"{typical.name}, {units.size(typical.width, typical.height)}",
                "width": units.typed(typical.width),
                "height": units.typed(typical.height),
                "depth": units.typed(typical.depth),
                "bottom": units.typed(typical.bottom),
            }
            for typical in TYPICAL
        ]
    )


def _item(wall: Wall, pk: int | None) -> WallItem | None:
    return next((item for item in wall.items.all() if item.pk == pk), None) if pk else None


def _answer(request: SignedRequest, project: Project, wall_pk: int, **shown: Any) -> HttpResponse:
    """The page, or with a script only its changing part, after a change or a refusal."""
    status = shown.pop("status", 200)
    extra = {name: shown.pop(name) for name in ("problem", "said") if name in shown}
    if not request.htmx and status == 200:
        return redirect("wall_survey", project.pk, wall_pk)
    wall = walls.wall_in(project, wall_pk)
    template = "placements/_survey.html" if request.htmx else "placements/wall_survey.html"
    context = survey_context(request, project, wall, **shown) | extra
    return render(request, template, context, status=status)


@login_required
@require_POST
def item_save(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    """Put something on the wall, or change what is there."""
    project, wall = _wall(request, pk, wall_pk)
    edit = given(EditForm(request.POST))
    item = _item(wall, edit["item"])
    if edit["item"] and item is None:
        raise Missing("That is not on this wall any more.")
    form = ItemForm(request.POST)
    use_units(form, units_for(request.user, project))
    if not form.is_valid():
        return _answer(request, project, wall_pk, item=item, form=form, status=422)
    try:
        if item:
            services.item_update(by=request.user, item=item, version=edit["version"], **form.values())
        else:
            services.item_create(by=request.user, wall=wall, version=edit["version"], **form.values())
    except Invalid as fault:
        form.take_faults(fault.faults, fault.detail)
        return _answer(request, project, wall_pk, item=item, form=form, status=422)
    except Conflict as conflict:
        return _answer(request, project, wall_pk, item=item, form=form, problem=conflict, status=409)
    return _answer(request, project, wall_pk, said=f"{form.called} saved.")


@login_required
@require_POST
def item_delete(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    project, wall = _wall(request, pk, wall_pk)
    edit = given(EditForm(request.POST))
    item = _item(wall, edit["item"])
    if item is None:
        raise Missing("That is not on this wall any more.")
    try:
        services.item_delete(by=request.user, item=item, version=edit["version"])
    except Conflict as conflict:
        return _answer(request, project, wall_pk, item=item, problem=conflict, status=409)
    return _answer(request, project, wall_pk, said=f"{item} taken off the wall.")


@login_required
@require_POST
def wall_change(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    """The wall's own numbers and finish."""
    project, wall = _wall(request, pk, wall_pk)
    form = WallForm(request.POST, rooms=list(project.rooms.all()))
    use_units(form, units_for(request.user, project))
    if not form.is_valid():
        return _answer(request, project, wall_pk, wall_form=form, status=422)
    try:
        version = given(EditForm(request.POST))["version"]
        services.wall_update(by=request.user, wall=wall, version=version, **form.values())
    except Invalid as fault:
        form.take_faults(fault.faults, fault.detail)
        return _answer(request, project, wall_pk, wall_form=form, status=422)
    except Conflict as conflict:
        return _answer(request, project, wall_pk, wall_form=form, problem=conflict, status=409)
    return _answer(request, project, wall_pk, said="The wall is saved.")


@login_required
@require_POST
def wall_copy(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    project, wall = _wall(request, pk, wall_pk)
    name = given(CopyForm(request.POST))["name"] or f"{wall.name}, copy"[-120:]
    copy = services.wall_copy(by=request.user, wall=wall, name=name)
    return redirect("wall_survey", project.pk, copy.pk)
