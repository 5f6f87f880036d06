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
from placements.contexts.shelf import shelf_of_kinds
from placements.contexts.shorthand import BadWord, Put, read_line
from placements.contexts.typical import TYPICAL
from placements.drawings import SCREEN, Elevation, draw_elevation
from placements.forms.survey import CopyForm, EditForm, ItemForm, LineForm, SeveralForm, WallForm
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
        first = ItemForm.initial_of(item) if item else {"kind": "sofa", "bottom": 0.0}
        form = ItemForm(initial=first, wall=wall, item=item)
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
        "shelf": shelf_of_kinds(),
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
    extra = {
        name: shown.pop(name) for name in ("problem", "said", "line", "line_fault", "several_fault") if name in shown
    }
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
    form = ItemForm(request.POST, wall=wall, item=item, initial=ItemForm.initial_of(item) if item else None)
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


def _there(wall: Wall) -> list[Put]:
    """What is on the wall, in the order in which it came."""
    return [
        Put(one.kind, one.left_mm, one.bottom_mm, one.width_mm, one.height_mm, one.depth_mm, one.label)
        for one in sorted(wall.items.all(), key=lambda item: item.pk)
    ]


@login_required
@require_POST
def survey_line(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    """What a line of shorthand would put on the wall, or putting it there."""
    project, wall = _wall(request, pk, wall_pk)
    asked = given(LineForm(request.POST))
    units = units_for(request.user, project)
    line = asked["line"]
    try:
        put = read_line(line, length=wall.length_mm, height=wall.height_mm, there=_there(wall), units=units)
    except BadWord as word:
        fault = {"detail": word.detail, "before": line[: word.start], "word": line[word.start : word.end],
                 "after": line[word.end :]}  # fmt: skip
        if not asked["add"]:
            return render(request, "placements/_survey_line.html", {"fault": fault})
        return _answer(request, project, wall_pk, line=line, line_fault=fault, status=422)
    if not asked["add"] or not put:
        return render(request, "placements/_survey_line.html", {"put": put, "units": units, "wall": wall})
    items = [
        {"kind": one.kind, "label": one.label, "left_mm": one.left, "bottom_mm": one.bottom, "width_mm": one.width,
         "height_mm": one.height, "depth_mm": one.depth}
        for one in put
    ]  # fmt: skip
    try:
        # What comes beside what is there overwrites nothing: no version is asked for, so quick hands lose nothing.
        services.items_create(by=request.user, wall=wall, version=None, items=items)
    except Invalid as fault:
        said = {"detail": " ".join(one["detail"] for one in fault.faults) or fault.detail, "before": line}
        return _answer(request, project, wall_pk, line=line, line_fault=said, status=422)
    return _answer(request, project, wall_pk, said=", ".join(one.called for one in put) + " on the wall.")


@login_required
@require_POST
def items_change(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    """Several things at once: moved, mirrored, put there again, taken off."""
    project, wall = _wall(request, pk, wall_pk)
    form = SeveralForm(request.POST)
    use_units(form, units_for(request.user, project))
    asked = given(form)
    rows = [one for one in wall.items.all() if one.pk in set(asked["chosen"])]
    if not rows:
        return _answer(request, project, wall_pk, several_fault="Choose something in the list first.", status=422)
    item = rows[0] if len(rows) == 1 and asked["do"] != "delete" else None
    try:
        if asked["do"] in ("mirror", "again"):
            services.items_create(
                by=request.user, wall=wall, version=asked["version"],
                items=[_another(one, wall, mirrored=asked["do"] == "mirror", after=rows[-1]) for one in rows],
            )  # fmt: skip
        else:
            services.items_change(by=request.user, wall=wall, version=asked["version"], changes=_changes(rows, asked))
    except Invalid as fault:
        said = " ".join(one["detail"] for one in fault.faults) or fault.detail
        return _answer(request, project, wall_pk, item=item, several_fault=said, status=422)
    except Conflict as conflict:
        return _answer(request, project, wall_pk, item=item, problem=conflict, status=409)
    wall = walls.wall_in(project, wall_pk)
    return _answer(request, project, wall_pk, item=_item(wall, item.pk) if item else None, said="Done.")


def _changes(rows: list[WallItem], asked: dict[str, Any]) -> dict[int, dict[str, float] | None]:
    """The places of things that are moved; None for those that are taken off."""
    if asked["do"] == "delete":
        return {one.pk: None for one in rows}
    across, up = asked["across"] or 0.0, asked["up"] or 0.0
    return {one.pk: {"left_mm": one.left_mm + across, "bottom_mm": one.bottom_mm + up} for one in rows}


def _another(item: WallItem, wall: Wall, *, mirrored: bool, after: WallItem) -> dict[str, Any]:
    """The same once more: as far from the other end of the wall, or beside the last of those that are chosen."""
    same = {name: getattr(item, name) for name in services.ITEM_FIELDS}
    if mirrored:
        turned = {"left": "right", "right": "left"}
        same["swing_hinge"] = turned.get(item.swing_hinge, item.swing_hinge)
        return same | {"left_mm": wall.length_mm - item.left_mm - item.width_mm}
    return same | {"left_mm": item.left_mm + after.width_mm}


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
    form = WallForm(request.POST, rooms=list(project.rooms.all()), initial=WallForm.initial_of(wall))
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
