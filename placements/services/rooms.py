"""Rooms and walls of a project set in order, deleted with all that hangs there, and brought back."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain
from typing import Any

from django.apps import apps
from django.core import serializers
from django.core.serializers.json import DjangoJSONEncoder
from django.db import IntegrityError, connection, models, transaction
from django.db.models.deletion import Collector

from placements import access
from placements.models import EDITABLE_STATES, Photo, Placement, Removal, RevisionState
from studio.errors import Conflict, WrongState
from studio.models import Artwork, Project, Room, User, Wall
from studio.services.checks import save
from studio.services.rooms import room_create, wall_copy

_TO = "change a survey"
#: So many deletions of a project can be undone; older ones are forgotten.
KEPT = 20


@dataclass(frozen=True, slots=True)
class RoomOrder:
    """A room's walls in order, by their numbers."""

    room: int
    walls: tuple[int, ...]


Order = tuple[RoomOrder, ...]


@dataclass(frozen=True, slots=True)
class Hanging:
    """What would go with a wall or a room: works planned there, works that hang there today, and what else."""

    planned: tuple[Placement, ...]
    today: tuple[Artwork, ...]
    photos: int

    def __bool__(self) -> bool:
        return bool(self.planned or self.today or self.photos)


def order_of(project: Project) -> Order:
    """The project's rooms with their walls, in order."""
    walls: dict[int, list[int]] = {
        pk: [] for pk in project.rooms.order_by("position", "pk").values_list("pk", flat=True)
    }
    found = Wall.objects.filter(room__project=project).order_by("position", "pk")
    for room, wall in found.values_list("room", "pk"):
        walls[room].append(wall)
    return tuple(RoomOrder(room, tuple(each)) for room, each in walls.items())


@transaction.atomic
def rooms_arrange(*, by: User, project: Project, order: Order) -> None:
    """Set the rooms in this order, and each wall in its room at its place.

    Raises:
        Conflict: the project has other rooms or walls by now.
    """
    access.require(by=by, studio=access.studio_of(project), roles=access.DESIGN, to=_TO)
    rooms = {room.pk: room for room in project.rooms.select_for_update()}
    walls = {wall.pk: wall for wall in Wall.objects.select_for_update(of=("self",)).filter(room__project=project)}
    named = [pk for each in order for pk in each.walls]
    if sorted(rooms) != sorted(each.room for each in order) or sorted(walls) != sorted(named):
        raise Conflict("Somebody added or deleted rooms or walls meanwhile. Look at the page again, then move it.")
    for position, each in enumerate(order):
        room = rooms[each.room]
        if room.position != position:
            room.position = position
            save(room, by, "This room")
        for place, pk in enumerate(each.walls):
            wall = walls[pk]
            if (wall.room_id, wall.position) != (room.pk, place):
                wall.version += wall.room_id != room.pk
                wall.room, wall.position = room, place
                save(wall, by, "This wall")


@transaction.atomic
def room_copy(*, by: User, room: Room, name: str) -> Room:
    """A new room of the same kind behind this one, with copies of its walls and their items; nothing hangs there."""
    same = {one: getattr(room, one) for one in ("use", "style", "colours", "clear_width_mm", "around")}
    copy = room_create(by=by, project=room.project, name=name, **same)
    for wall in room.walls.order_by("position", "pk"):
        wall_copy(by=by, wall=wall, name=wall.name, room=copy)
    return copy


def what_hangs(*walls: Wall) -> Hanging:
    """What a deletion of these walls would take down, the newest revision first."""
    planned = Placement.objects.filter(wall__in=walls).select_related("artwork", "wall", "revision")
    return Hanging(
        tuple(planned.order_by("-revision__number", "wall", "order", "pk")),
        tuple(Artwork.objects.filter(hung_wall__in=walls).order_by("title", "pk")),
        Photo.objects.filter(wall__in=walls).count(),
    )


@transaction.atomic
def rooms_remove(*, by: User, row: Room | Wall) -> Removal:
    """Delete a room or a wall with everything on it, so that it can be brought back as it was.

    Raises:
        WrongState: a revision that is signed shows it: that record must stay whole.
    """
    project = row.project if isinstance(row, Room) else row.room.project
    access.require(by=by, studio=access.studio_of(project), roles=access.DESIGN, to=_TO)
    walls = list(row.walls.all()) if isinstance(row, Room) else [row]
    hanging = what_hangs(*walls)
    signed = next((one.revision for one in hanging.planned if one.revision.state not in EDITABLE_STATES), None)
    if signed is not None:
        raise WrongState(
            f"“{row}” stays: {signed} is {RevisionState(signed.state).label.lower()} and shows pieces there. "
            "Mark the wall “keep bare” if nothing is to hang there any more."
        )
    label = str(row) if isinstance(row, Room) else f"{row} in {row.room}"
    goes, emptied = _what_goes(row)
    removal = Removal.objects.create(
        project=project,
        label=label[:250],
        removed_by=by,
        rows=json.loads(serializers.serialize("json", goes, cls=_Exact)),
        emptied=emptied,
    )
    row._history_user = by
    row.delete()
    old = list(project.removals.values_list("pk", flat=True)[KEPT:])
    Removal.objects.filter(pk__in=old).delete()
    return removal


class _Exact(DjangoJSONEncoder):
    """Moments to the microsecond."""

    def default(self, o: Any) -> Any:
        return o.isoformat() if isinstance(o, dt.datetime) else super().default(o)


class _Everything(Collector):
    """Collects every row that a deletion takes, one by one."""

    def can_fast_delete(self, *args: Any, **kwargs: Any) -> bool:
        return False


def _what_goes(row: Room | Wall) -> tuple[list[models.Model], list[dict[str, Any]]]:
    collector = _Everything(using=row._state.db or "default", origin=row)
    collector.collect([row])
    goes = [one for rows in collector.data.values() for one in rows]
    going = {(type(one), one.pk) for one in goes}
    updates: dict[Any, list[Any]] = collector.field_updates  # querysets or lists, unlike their declared type
    emptied = [
        {"model": one._meta.label_lower, "pk": one.pk, "field": field.name, "value": getattr(one, field.attname)}
        for (field, _), batches in updates.items()
        for one in chain.from_iterable(batches)
        if (type(one), one.pk) not in going
    ]
    return goes, emptied


@transaction.atomic
def removal_undo(*, by: User, removal: Removal) -> None:
    """Bring back what was deleted, with all that was on it.

    Raises:
        Conflict: something new stands in its place: a work hangs elsewhere by now, or a new wall took its id.
    """
    access.require(by=by, studio=access.studio_of(removal.project), roles=access.DESIGN, to=_TO)
    rows = [one.object for one in serializers.deserialize("python", removal.rows)]
    try:
        with transaction.atomic():
            for row in rows:
                models.Model.save_base(row, raw=True)
            _history(rows, by)
            _refill(removal.emptied)
            connection.check_constraints()  # now, not at the end of the transaction
    except IntegrityError:
        raise Conflict(
            f"“{removal}” cannot be brought back: something new stands in its place, a room or a wall of that name, "
            "or a piece that hangs elsewhere in the plan by now."
        ) from None
    removal.delete()


def _history(rows: Iterable[models.Model], by: User) -> None:
    for row in rows:
        history = getattr(type(row), "history", None)
        if history is not None:
            history.bulk_history_create([row], default_user=by, default_change_reason="brought back")


def _refill(emptied: Iterable[dict[str, Any]]) -> None:
    """Links of rows that stayed point again where they pointed, unless they point elsewhere by now."""
    for one in emptied:
        model = apps.get_model(one["model"])
        model._default_manager.filter(pk=one["pk"], **{f"{one['field']}__isnull": True}).update(
            **{one["field"]: one["value"]}
        )
