"""Rooms, walls and the items on them. A wall's version counts every change of the wall or of its items."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from math import isfinite
from typing import Any

from django.db import transaction
from django.db.models import Max
from simple_history.utils import bulk_create_with_history

from studio import access
from studio.colours import rgb_of
from studio.errors import Invalid, WrongState
from studio.models import Project, Room, User, Wall, WallItem

from .checks import expect_lengths, expect_version, free_code, refuse, save, set_fields

ROOM_FIELDS = ("name", "use", "style", "position", "colours", "clear_width_mm", "around")
WALL_FIELDS = (
    *("name", "position", "length_mm", "height_mm", "ceiling_mm", "faces_deg", "build", "stud_first_mm"),
    *("stud_spacing_mm", "finish", "accent", "importance", "keep_bare"),
    *("rail_from_x_mm", "rail_from_y_mm", "rail_to_x_mm", "rail_to_y_mm"),
)
SWING = ("swing_hinge", "swing_leaf_mm", "swing_opens")
ITEM_FIELDS = ("kind", "acts", "label", "left_mm", "bottom_mm", "width_mm", "height_mm", "depth_mm", "view", *SWING)
CUSTOM_ACTS = ("bearer", "bound", "service", "ignore")
#: Measures nearer than this are the same.
SAME_MM = 0.01
_TO = "change a survey"


@transaction.atomic
def room_create(*, by: User, project: Project, name: str, code: str = "", **fields: Any) -> Room:
    """A room at the end of the project."""
    access.require(by=by, studio=access.studio_of(project), roles=access.DESIGN, to=_TO)
    last = project.rooms.aggregate(last=Max("position"))["last"]
    room = Room(project=project, position=0 if last is None else last + 1)
    set_fields(room, {"name": name, **fields}, ROOM_FIELDS)
    _check_room(room)
    room.code = code or free_code(project.rooms.all(), name, "room")
    return save(room, by, "This room")


@transaction.atomic
def room_update(*, by: User, room: Room, **changes: Any) -> Room:
    access.require(by=by, studio=access.studio_of(room), roles=access.DESIGN, to=_TO)
    set_fields(room, changes, ROOM_FIELDS)
    _check_room(room)
    return save(room, by, "This room")


@transaction.atomic
def room_delete(*, by: User, room: Room) -> None:
    """Delete a room with its walls, unless pieces are planned there."""
    access.require(by=by, studio=access.studio_of(room), roles=access.DESIGN, to=_TO)
    for wall in room.walls.all():
        _expect_free(wall)
    room.delete()


@transaction.atomic
def wall_create(
    *, by: User, room: Room, name: str, length_mm: float, height_mm: float, code: str = "", **fields: Any
) -> Wall:
    """A wall at the end of its room."""
    access.require(by=by, studio=access.studio_of(room), roles=access.DESIGN, to=_TO)
    last = room.walls.aggregate(last=Max("position"))["last"]
    wall = Wall(room=room, position=0 if last is None else last + 1)
    set_fields(wall, {"name": name, "length_mm": length_mm, "height_mm": height_mm, **fields}, WALL_FIELDS)
    wall.code = code or free_code(Wall.objects.filter(room__project=room.project_id), f"{room.code}-{name}", "wall")
    if Wall.objects.filter(room__project=room.project_id, code=wall.code).exists():
        raise Invalid(f"The project has a wall “{wall.code}” already.", faults=[_fault("code", "choose another")])
    _check_wall(wall, [])
    return save(wall, by, "This wall")


@transaction.atomic
def wall_update(*, by: User, wall: Wall, version: int | None, **changes: Any) -> Wall:
    """Change a wall that is still at `version`."""
    with _wall_edit(by, wall, version) as locked:
        set_fields(locked, changes, WALL_FIELDS)
        _check_wall(locked, list(locked.items.all()))
    return locked


@transaction.atomic
def wall_delete(*, by: User, wall: Wall) -> None:
    """Delete a wall, unless pieces are planned on it."""
    access.require(by=by, studio=access.studio_of(wall), roles=access.DESIGN, to=_TO)
    _expect_free(wall)
    wall.delete()


@transaction.atomic
def wall_copy(*, by: User, wall: Wall, name: str, room: Room | None = None) -> Wall:
    """A new wall of the same size with the same things on it, in the same project."""
    room = room or wall.room
    if room.project_id != wall.room.project_id:
        raise Invalid("A wall is copied inside its project.", faults=[_fault("room", "choose a room of this project")])
    same = {name: getattr(wall, name) for name in WALL_FIELDS if name not in ("name", "position")}
    copy = wall_create(by=by, room=room, name=name, **same)
    items = [
        WallItem(wall=copy, code=item.code, **{name: getattr(item, name) for name in ITEM_FIELDS})
        for item in wall.items.order_by("pk")
    ]
    bulk_create_with_history(items, WallItem, default_user=by, default_change_reason=f"copied from {wall}")
    return copy


@transaction.atomic
def item_create(*, by: User, wall: Wall, version: int | None, code: str = "", **fields: Any) -> WallItem:
    """Put something on a wall that is still at `version`."""
    with _wall_edit(by, wall, version) as locked:
        item = WallItem(wall=locked)
        set_fields(item, fields, ITEM_FIELDS)
        item.code = code or free_code(locked.items.all(), item.label or item.kind, "item")
        _check_item(item)
        save(item, by, "This")
    return item


@transaction.atomic
def items_create(*, by: User, wall: Wall, version: int | None, items: Sequence[Mapping[str, Any]]) -> list[WallItem]:
    """Put several things on a wall that is still at `version`, all or none."""
    made = []
    with _wall_edit(by, wall, version) as locked:
        for fields in items:
            item = WallItem(wall=locked)
            set_fields(item, fields, ITEM_FIELDS)
            item.code = free_code(locked.items.all(), item.label or item.kind, "item")
            _check_item(item)
            made.append(save(item, by, "This"))
    return made


@transaction.atomic
def items_change(*, by: User, wall: Wall, version: int | None, changes: Mapping[int, Mapping[str, Any] | None]) -> None:
    """Change several things on a wall that is still at `version`, all or none; None takes one off.

    Raises:
        Invalid: one of them would lie off the wall, or is not there any more.
    """
    with _wall_edit(by, wall, version) as locked:
        rows = {item.pk: item for item in locked.items.filter(pk__in=changes)}
        if missing := changes.keys() - rows.keys():
            raise Invalid(f"{len(missing)} of these are not on this wall any more. Nothing was changed.")
        for pk, fields in changes.items():
            if fields is None:
                rows[pk].delete()
                continue
            set_fields(rows[pk], fields, ITEM_FIELDS)
            _check_item(rows[pk])
            save(rows[pk], by, "This")


@transaction.atomic
def item_update(*, by: User, item: WallItem, version: int | None, **changes: Any) -> WallItem:
    """Change something on a wall that is still at `version`."""
    with _wall_edit(by, item.wall, version) as locked:
        item = locked.items.get(pk=item.pk)
        set_fields(item, changes, ITEM_FIELDS)
        _check_item(item)
        save(item, by, "This")
    return item


@transaction.atomic
def item_delete(*, by: User, item: WallItem, version: int | None) -> None:
    """Take something off a wall that is still at `version`."""
    with _wall_edit(by, item.wall, version) as locked:
        locked.items.filter(pk=item.pk).first().delete()  # type: ignore[union-attr]


def wall_state(wall: Wall) -> dict[str, Any]:
    """A wall with its items as plain data: what the loser of a race compares with."""
    return {
        "version": wall.version,
        **{name: getattr(wall, name) for name in WALL_FIELDS},
        "items": [
            {"id": item.pk, "code": item.code, **{name: getattr(item, name) for name in ITEM_FIELDS}}
            for item in wall.items.all()
        ],
    }


@contextmanager
def _wall_edit(by: User, wall: Wall, version: int | None) -> Iterator[Wall]:
    """One edit of one wall, locked, checked against the version that the editor saw, and counted."""
    locked = (
        Wall.objects.select_for_update(of=("self",)).select_related("room__project__client__studio").get(pk=wall.pk)
    )
    access.require(by=by, studio=access.studio_of(locked), roles=access.DESIGN, to=_TO)
    expect_version(locked, version, wall_state(locked))
    yield locked
    locked.version += 1
    save(locked, by, "This wall")
    wall.version = locked.version


def _check_room(room: Room) -> None:
    faults = expect_lengths(vars(room), above_zero=("clear_width_mm",))
    colours = room.colours if isinstance(room.colours, list) else [room.colours]
    faults += [
        _fault("colours", f"“{str(colour)[:40]}” is no colour that is known: a name such as ivory, or #d8cfc0")
        for colour in colours
        if not isinstance(colour, str) or len(colour) > 40 or rgb_of(colour) is None
    ]
    refuse(faults, "This room")


def _check_wall(wall: Wall, items: Sequence[WallItem]) -> None:
    values = vars(wall)
    faults = expect_lengths(
        values,
        above_zero=("length_mm", "height_mm", "stud_spacing_mm"),
        from_zero=("stud_first_mm", "rail_from_x_mm", "rail_from_y_mm", "rail_to_x_mm", "rail_to_y_mm"),
    )
    faults += _halves(values, ("stud_first_mm", "stud_spacing_mm"), "give both, or neither")
    rail = ("rail_from_x_mm", "rail_from_y_mm", "rail_to_x_mm", "rail_to_y_mm")
    faults += _halves(values, rail, "give both ends of the handrail, or neither")
    if wall.rail_from_x_mm is not None and wall.rail_from_x_mm == wall.rail_to_x_mm:
        faults.append(_fault("rail_to_x_mm", "the two ends must lie apart along the wall"))
    if wall.faces_deg is not None and not 0 <= wall.faces_deg < 360:
        faults.append(_fault("faces_deg", "expected a compass bearing from 0 up to 360"))
    if not faults:
        faults += [
            _fault("length_mm", f"{item} would stand wholly off the wall: move or delete it first")
            for item in items
            if item.left_mm >= wall.length_mm or item.bottom_mm >= wall.height_mm
        ]
    if not faults and (wrong := ceiling_fault(wall.ceiling_mm, wall.length_mm, wall.height_mm)):
        faults.append(_fault("ceiling_mm", wrong))
    refuse(faults, "This wall")


def ceiling_fault(ceiling: Any, length_mm: float, height_mm: float) -> str:
    """What is wrong with a ceiling's line on a wall of this size, as what was expected; empty where nothing is."""
    if not isinstance(ceiling, list) or not all(_is_point(one) for one in ceiling):
        return "expected points: [[along the wall, above the floor], …] in millimetres"
    if not ceiling:
        return ""
    across = [x for x, _ in ceiling]
    if len(ceiling) < 2 or abs(across[0]) > SAME_MM or abs(across[-1] - length_mm) > SAME_MM:
        return "the line begins at the wall's left end, at 0, and ends at its right end, at the wall's length"
    if across != sorted(across):
        return "the points go from left to right"
    if any(across.count(x) > 2 for x in across):
        return "at most two points stand at one place along the wall: a step"
    if min(y for _, y in ceiling) <= 0:
        return "every height is above zero"
    if abs(max(y for _, y in ceiling) - height_mm) > SAME_MM:
        return "the highest point is the wall's height"
    return ""


def _is_point(value: Any) -> bool:
    two = isinstance(value, list | tuple) and len(value) == 2
    return two and all(isinstance(one, int | float) and not isinstance(one, bool) and isfinite(one) for one in value)


def _check_item(item: WallItem) -> None:
    faults = expect_lengths(
        vars(item), above_zero=("width_mm", "height_mm"), from_zero=("left_mm", "bottom_mm", "depth_mm")
    )
    faults += [
        _fault(name, "is needed")
        for name in ("left_mm", "bottom_mm", "width_mm", "height_mm")
        if getattr(item, name) is None
    ]
    if item.kind == "custom" and item.acts not in CUSTOM_ACTS:
        faults.append(_fault("acts", "say how it acts: " + ", ".join(CUSTOM_ACTS)))
    if item.kind != "custom" and item.acts:
        faults.append(_fault("acts", "only something else says how it acts"))
    faults += _swing_faults(item)
    if not faults and item.left_mm >= item.wall.length_mm:
        faults.append(_fault("left_mm", f"this is beyond the wall, which is {item.wall.length_mm:g} mm long"))
    if not faults and item.bottom_mm >= item.wall.height_mm:
        faults.append(_fault("bottom_mm", f"this is above the wall, which is {item.wall.height_mm:g} mm high"))
    refuse(faults, "This")


def _swing_faults(item: WallItem) -> list[dict[str, str]]:
    given = {name: getattr(item, name) or None for name in SWING}
    if not any(given.values()):
        return []
    if item.kind != "door":
        return [_fault("swing_opens", "only a door swings")]
    faults = expect_lengths(given, above_zero=("swing_leaf_mm",)) + _halves(given, SWING, "say all three, or none")
    leaves = 2 if item.swing_hinge == "both" else 1
    if not faults and item.swing_leaf_mm * leaves > item.width_mm + SAME_MM:
        faults.append(_fault("swing_leaf_mm", "this is wider than the door"))
    return faults


def _halves(values: Mapping[str, Any], names: Sequence[str], detail: str) -> list[dict[str, str]]:
    missing = [name for name in names if values.get(name) is None]
    return [_fault(name, detail) for name in missing] if len(missing) < len(names) else []


def _expect_free(wall: Wall) -> None:
    """Plans point at walls: one with pieces planned on it stays."""
    if wall.placements.exists():
        raise WrongState(f"Pieces are planned on “{wall}”, now or in an earlier revision: it cannot be deleted.")


def _fault(where: str, detail: str) -> dict[str, str]:
    return {"where": where, "detail": detail}
