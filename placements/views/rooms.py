"""The rooms and walls of a project: named, put in order, copied, deleted; the last change can be undone."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from placements import access
from placements.forms.rooms import RoomForm, RoomsEdit
from placements.models import Removal
from placements.selectors import projects as select
from placements.services import rooms as services
from placements.services.rooms import Order, RoomOrder
from studio.access import SignedRequest
from studio.errors import Invalid, Missing
from studio.formfields import use_units
from studio.forms import given
from studio.models import Project, Room, Wall
from studio.reader import units_for
from studio.services import rooms as surveys

_TO = "change a survey"
_UNDO = "rooms_undo"


def _project(request: SignedRequest, pk: int) -> Project:
    return access.get(request.user, select.projects_of(request.user), pk, roles=access.DESIGN, to=_TO)


@login_required
@require_GET
def rooms(request: SignedRequest, pk: int) -> HttpResponse:
    return _page(request, _project(request, pk))


def _page(
    request: SignedRequest, project: Project, *, wrong: RoomForm | None = None, at: int | None = None
) -> HttpResponse:
    units = units_for(request.user, project)
    hanging = select.hanging_by_wall(select.current_revision(project))
    lines = []
    for room, walls in select.rooms_with_walls(project):
        form = wrong if wrong is not None and room.pk == at else None
        form = form or RoomForm(initial=RoomForm.initial_of(room), auto_id=f"room-{room.pk}-%s")
        use_units(form, units)
        planned = [(wall, len(hanging.get(wall.pk, ()))) for wall in walls]
        lines.append({"room": room, "form": form, "walls": planned})
    undo = request.session.get(_UNDO, {})
    context = {
        "here": "projects", "project": project, "lines": lines, "units": units,
        "undo": undo if undo.get("project") == project.pk else None,
    }  # fmt: skip
    return render(request, "placements/rooms.html", context, status=422 if wrong else 200)


@login_required
@require_POST
def rooms_change(request: SignedRequest, pk: int) -> HttpResponse:
    """One change: to a wall where one is named, else to a room."""
    project = _project(request, pk)
    edit = given(RoomsEdit(request.POST))
    if edit["wall"]:
        wall = Wall.objects.select_related("room__project").filter(pk=edit["wall"], room__project=project).first()
        if wall is None:
            raise Missing("This wall is not in the project any more.")
        return _wall(request, project, wall, edit)
    room = project.rooms.filter(pk=edit["room"]).first()
    if room is None:
        raise Missing("This room is not in the project any more.")
    return _room(request, project, room, edit)


def _wall(request: SignedRequest, project: Project, wall: Wall, edit: dict[str, Any]) -> HttpResponse:
    do = edit["do"] or "save"
    if do == "delete":
        return _delete(request, project, wall, [wall], sure=edit["sure"])
    if do == "copy":
        copy = surveys.wall_copy(by=request.user, wall=wall, name=_copied(wall.name))
        return _done(request, project, f"“{wall}” is copied.", wall=copy.pk, removes=True)
    if do in ("earlier", "later"):
        return _ordered(request, project, f"“{wall}” is moved.", lambda order: _shift_wall(order, wall, do))
    return _save_wall(request, project, wall, edit)


def _save_wall(request: SignedRequest, project: Project, wall: Wall, edit: dict[str, Any]) -> HttpResponse:
    if not edit["name"]:
        raise Invalid("Give the wall a name.", faults=[{"where": "name", "detail": "Give the wall a name."}])
    before = wall.name
    if edit["name"] != before:
        surveys.wall_update(by=request.user, wall=wall, version=None, name=edit["name"])
    to = edit["to"] or wall.room_id
    if to != wall.room_id:
        said = f"“{edit['name']}” is moved."
        return _ordered(request, project, said, lambda order: _into(order, wall.pk, to), wall=wall.pk, name=before)
    return _done(request, project, f"“{edit['name']}” is saved.", wall=wall.pk, name=before)


def _room(request: SignedRequest, project: Project, room: Room, edit: dict[str, Any]) -> HttpResponse:
    do = edit["do"] or "save"
    if do == "delete":
        return _delete(request, project, room, list(room.walls.all()), sure=edit["sure"])
    if do == "copy":
        copy = services.room_copy(by=request.user, room=room, name=_copied(room.name))
        return _done(request, project, f"“{room}” is copied with its walls.", room=copy.pk, removes=True)
    if do in ("earlier", "later"):
        return _ordered(request, project, f"“{room}” is moved.", lambda order: _shift_room(order, room.pk, do))
    form = RoomForm(request.POST, initial=RoomForm.initial_of(room), auto_id=f"room-{room.pk}-%s")
    use_units(form, units_for(request.user, project))
    if not form.is_valid():
        return _page(request, project, wrong=form, at=room.pk)
    before = {name: getattr(room, name) for name in form.values()}
    try:
        surveys.room_update(by=request.user, room=room, **form.values())
    except Invalid as fault:
        form.take_faults(fault.faults, fault.detail)
        return _page(request, project, wrong=form, at=room.pk)
    return _done(request, project, f"“{room}” is saved.", room=room.pk, fields=before)


def _copied(name: str) -> str:
    return f"{name[:113]}, copy"


def _delete(
    request: SignedRequest, project: Project, row: Room | Wall, walls: list[Wall], *, sure: bool
) -> HttpResponse:
    """Delete it; where something hangs there, say what, and ask first."""
    hanging = services.what_hangs(*walls)
    if hanging and not sure:
        context = {"here": "projects", "project": project, "row": row, "is_wall": isinstance(row, Wall)}
        return render(request, "placements/rooms_delete.html", context | {"hanging": hanging})
    removal = services.rooms_remove(by=request.user, row=row)
    return _done(request, project, f"“{removal}” is deleted.", removal=removal.pk)


def _ordered(
    request: SignedRequest, project: Project, said: str, change: Callable[[Order], Order], **also: Any
) -> HttpResponse:
    before = services.order_of(project)
    services.rooms_arrange(by=request.user, project=project, order=change(before))
    return _done(request, project, said, order=[[one.room, list(one.walls)] for one in before], **also)


def _swapped(row: tuple[Any, ...], at: int, do: str) -> tuple[Any, ...]:
    other = at + (1 if do == "later" else -1)
    if not 0 <= other < len(row):
        return row
    changed = list(row)
    changed[at], changed[other] = changed[other], changed[at]
    return tuple(changed)


def _shift_room(order: Order, room: int, do: str) -> Order:
    return _swapped(order, [one.room for one in order].index(room), do)


def _shift_wall(order: Order, wall: Wall, do: str) -> Order:
    return tuple(
        RoomOrder(one.room, _swapped(one.walls, one.walls.index(wall.pk), do)) if wall.pk in one.walls else one
        for one in order
    )


def _into(order: Order, wall: int, room: int) -> Order:
    """The wall at the end of that room."""
    if room not in {one.room for one in order}:
        raise Missing("This room is not in the project any more.")
    return tuple(
        RoomOrder(one.room, (*(pk for pk in one.walls if pk != wall), *((wall,) if one.room == room else ())))
        for one in order
    )


def _done(request: SignedRequest, project: Project, said: str, **undo: Any) -> HttpResponse:
    """Back to the page, which says what was done and offers to undo it."""
    request.session[_UNDO] = {"project": project.pk, "said": said, **undo}
    return redirect("rooms", project.pk)


@login_required
@require_POST
def rooms_undo(request: SignedRequest, pk: int) -> HttpResponse:
    """Undo the reader's last change of this page."""
    project = _project(request, pk)
    undo = request.session.get(_UNDO, {})
    if undo.get("project") != project.pk:
        raise Missing("There is nothing to undo.")
    _undo(request, project, undo)
    request.session[_UNDO] = {"project": project.pk, "said": "Undone.", "undone": True}
    return redirect("rooms", project.pk)


def _undo(request: SignedRequest, project: Project, undo: dict[str, Any]) -> None:
    by = request.user
    wall = Wall.objects.filter(pk=undo.get("wall", 0), room__project=project).select_related("room__project").first()
    room = project.rooms.filter(pk=undo.get("room", 0)).first()
    if "removal" in undo:
        removal = Removal.objects.filter(pk=undo["removal"], project=project).first()
        if removal is None:
            raise Missing("This cannot be brought back any more.")
        services.removal_undo(by=by, removal=removal)
    elif undo.get("removes"):
        if wall or room:
            services.rooms_remove(by=by, row=wall or room)  # type: ignore[arg-type]
    else:
        if "order" in undo:
            order = tuple(RoomOrder(one, tuple(walls)) for one, walls in undo["order"])
            services.rooms_arrange(by=by, project=project, order=order)
        if wall:
            surveys.wall_update(by=by, wall=wall, version=None, name=undo["name"])
        if room:
            surveys.room_update(by=by, room=room, **undo["fields"])
