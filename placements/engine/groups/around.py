"""A wider space that takes in the sconces, lamps and plants that bound the usual one, to hang a group around them."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable

from ..geometry import common
from ..house import House, Wall
from ..results import Space, Words
from ..rulebook import Rulebook
from ..spaces import wall_spaces

#: What a group may go around; windows, doors and tall furniture end it. Common practice, no source.
STANDS_WITHIN = ("sconce", "floor_lamp", "tall_plant")
#: Behind a wider space's id.
AROUND = ":around"


def around(house: House, space: Space, rulebook: Rulebook, words: Words) -> Space | None:
    """The space as it would be if no sconce, lamp or plant bounded it; None where that changes nothing.

    Compose there with `Site.on(wall, wider, rulebook)`, whose obstacles are then what was left out here.
    """
    return wider_spaces(house, house.wall_by_id[space.wall], (space,), rulebook, words).get(space.id)


def wider_spaces(
    house: House, wall: Wall, spaces: Iterable[Space], rulebook: Rulebook, words: Words
) -> dict[str, Space]:
    """The wider space of each of a wall's spaces that has one, by the space's id; several may share one."""
    cleared = dataclasses.replace(wall, items=tuple(item for item in wall.items if item.kind not in STANDS_WITHIN))
    if len(cleared.items) == len(wall.items):
        return {}
    free = wall_spaces(house, cleared, rulebook, words)
    named = {one: dataclasses.replace(one, id=f"{one.id}{AROUND}") for one in free}
    found = {}
    for space in spaces:
        shared = {one: common(one.rect, space.rect) for one in free if (one.kind, one.over) == (space.kind, space.over)}
        areas = {one: rect.width * rect.height for one, rect in shared.items() if rect is not None}
        wider = max(areas, key=lambda one: areas[one], default=None)
        if wider is not None and wider.rect != space.rect:
            found[space.id] = named[wider]
    return found
