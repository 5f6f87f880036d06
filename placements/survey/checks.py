"""What one part of a survey says of another: ids used once, items on their walls, art on walls that exist."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from placements.engine.house import SAME_MM, Room, Wall, Work
from studio.units import MM_PER_UNIT

from .reader import Reader, nearest, shown


def check_ids(r: Reader, rooms: Sequence[Room], works: Sequence[Work]) -> None:
    """Room ids, wall ids and art ids are each used once in the file, item ids once on their wall."""
    _once(r, [(room.id, f"rooms[{i}].id") for i, room in enumerate(rooms)], "room")
    walls = [
        (wall.id, f"rooms[{i}].walls[{j}].id") for i, room in enumerate(rooms) for j, wall in enumerate(room.walls)
    ]
    _once(r, walls, "wall")
    for i, room in enumerate(rooms):
        for j, wall in enumerate(room.walls):
            _once(r, [(item.id, f"rooms[{i}].walls[{j}].items[{k}].id") for k, item in enumerate(wall.items)], "item")
    _once(r, [(work.id, f"art[{i}].id") for i, work in enumerate(works)], "piece")


def _once(r: Reader, ids: Sequence[tuple[str, str]], what: str) -> None:
    first: dict[str, str] = {}
    for one, path in ids:
        if one and one in first:
            r.fault(path, f"“{one}” again", f"an id of its own: {first[one]} is the same {what} id")
        first.setdefault(one, path)


def check_walls(r: Reader, rooms: Sequence[Room]) -> None:
    """No item is wholly beyond its wall, and no door's leaf is wider than the door."""
    for i, room in enumerate(rooms):
        for j, wall in enumerate(room.walls):
            for k, item in enumerate(wall.items):
                if item.left >= wall.length or item.bottom >= wall.height:
                    where = f"rooms[{i}].walls[{j}].items[{k}]"
                    r.fault(where, f"“{item.id}” wholly off its wall", _within(r, wall))
                leaves = 2 if item.swing is not None and item.swing.hinge == "both" else 1
                if item.swing is not None and item.swing.leaf * leaves > item.width + SAME_MM:
                    where = f"rooms[{i}].walls[{j}].items[{k}].swing.leaf"
                    r.fault(where, "leaves wider than the door", "no more than the door is wide")


def check_art(r: Reader, rooms: Sequence[Room], works: Sequence[Work]) -> None:
    """What a piece says of walls and rooms is of this house."""
    walls = {wall.id: wall for room in rooms for wall in room.walls}
    places = {*walls, *(room.id for room in rooms)}
    for i, work in enumerate(works):
        if work.hung:
            wall = walls.get(work.hung.wall)
            if wall is None:
                unknown(r, f"art[{i}].hung.wall", work.hung.wall, walls, "wall")
            elif work.hung.left >= wall.length or work.hung.bottom >= wall.height:
                r.fault(f"art[{i}].hung", f"“{work.id}” wholly off wall “{wall.id}”", _within(r, wall))
        if work.locked and work.locked not in places and not _is_space_of(work.locked, walls):
            unknown(r, f"art[{i}].locked", work.locked, places, "wall or room")


def _is_space_of(place: str, walls: Iterable[str]) -> bool:
    """Whether `place` reads as the id of a space: a wall's id and, after a colon, what defines the space."""
    return place.partition(":")[0] in walls and ":" in place


def unknown(r: Reader, path: str, found: Any, known: Iterable[str], what: str) -> None:
    """Note an id that nothing in the file has, with the one that is most like it."""
    ids = sorted(one for one in known if one)
    guess = nearest(found, ids) if isinstance(found, str) else ""
    hint = f" (did you mean “{guess}”?)" if guess else ""
    few = ", ".join(ids[:8]) + (" …" if len(ids) > 8 else "")
    r.fault(path, shown(found), f"the id of a {what} in this file{hint}: {few}" if ids else f"a {what} in this file")


def _within(r: Reader, wall: Wall) -> str:
    long, high = (f"{mm / float(MM_PER_UNIT[r.unit]):g} {r.unit}" for mm in (wall.length, wall.height))
    return f"a left below {long} and a bottom below {high}, the size of wall “{wall.id}”"
