"""Where things stand rather than hang: in a niche, on a shelf, on a mantel or a piece of furniture.

A stand is no space: the rules of hanging do not ask about it, and `find_spaces` does not list it. It only has to take
the thing whole.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..ceilings import kept_below
from ..geometry import from_edges, overlap_across, stretches
from ..house import House, Item, Rect, Wall, Work
from ..limits import INCH
from ..names import capital
from ..obstacles import item_name
from ..results import Hanging, Stand, StandKind

#: Works that stand as well as hang, or only stand.
STANDING_FORMS = ("object", "basket", "clock")
#: Furniture on which things stand; nobody stands them on a seat or a bed.
TOPS = ("console", "sideboard", "dresser", "chest", "nightstand", "end_table", "desk", "piano")
#: What ends the height over a top: things that stand out from the wall above it.
_ABOVE = ("shelf", "cabinet", "bookcase", "mantel", "television", "sconce")
#: The narrowest and lowest place worth calling one [mm]. Common practice, no source.
LEAST_WIDTH = 4 * INCH
LEAST_HEIGHT = 4 * INCH
#: What a thing keeps from its neighbours and from the end of what it stands on [mm]. Common practice, no source.
AIR = 1 * INCH


def find_stands(house: House) -> tuple[Stand, ...]:
    """Every stand of the house, wall by wall, from left to right; ids are unique and stable as those of spaces are."""
    return tuple(stand for _, wall in house.walls() for stand in wall_stands(wall))


def wall_stands(wall: Wall) -> tuple[Stand, ...]:
    """The stands of one wall, from left to right."""
    found = [stand for item in wall.items for stand in _of(wall, item)]
    return tuple(sorted(found, key=lambda stand: (stand.rect.left, stand.rect.bottom, stand.id)))


def may_stand(work: Work) -> bool:
    """Whether a work is one that stands."""
    return work.form in STANDING_FORMS


def takes(stand: Stand, work: Work) -> bool:
    """Whether a work may stand there: it is one that stands, and its width, height and, where both are known, its depth
    fit."""
    fits = work.width <= stand.rect.width and work.height <= stand.rect.height
    deep = not stand.depth or work.depth <= stand.depth
    return may_stand(work) and fits and deep


def stood(stand: Stand, work: Work, order: int = 1) -> Hanging:
    """A work in the middle of a stand, on its floor.

    Raises:
        ValueError: the stand does not take it.
    """
    if not takes(stand, work):
        raise ValueError(f"{work.id!r} does not stand at {stand.id!r}")
    return Hanging(work.id, stand.wall, stand.rect.centre_x - work.width / 2, stand.rect.bottom, order)


def _of(wall: Wall, item: Item) -> Iterator[Stand]:
    if item.kind == "niche" and not _is_hearth(wall, item):
        yield from _stands(wall, item, "niche", item.rect, "In")
    elif item.kind in ("shelf", "mantel", *TOPS):
        kind: StandKind = "furniture" if item.kind in TOPS else "shelf" if item.kind == "shelf" else "mantel"
        yield from _stands(wall, item, kind, _over(wall, item), "On")


def _over(wall: Wall, item: Item) -> Rect:
    """What is free over a top, up to what stands out above it or the ceiling."""
    above = [
        one.bottom
        for one in wall.items
        if one.kind in _ABOVE and one.bottom >= item.rect.top and overlap_across(one.rect, item.rect) > 0
    ]
    line = [segment for segment in kept_below(wall, 0.0) if segment.x1 > item.left and segment.x0 < item.rect.right]
    lowest = [segment.at(min(max(x, segment.x0), segment.x1)) for segment in line for x in (item.left, item.rect.right)]
    return from_edges(item.left, item.rect.top, item.rect.right, min([wall.height, *above, *lowest]))


def _stands(wall: Wall, item: Item, kind: StandKind, place: Rect, where: str) -> Iterator[Stand]:
    """A place less what stands there already, in as many stands as that leaves."""
    taken = [
        (item.left - AIR, item.rect.right + AIR)
        for item in wall.items
        if item.acts == "stands" and item.rect.top > place.bottom and item.bottom < place.top
    ]
    left, right = max(place.left, 0.0) + AIR, min(place.right, wall.length) - AIR
    free = [(a, b) for a, b in stretches(left, right, taken) if b - a >= LEAST_WIDTH]
    if place.height < LEAST_HEIGHT:
        return
    name = capital(f"{where.lower()} the {item_name(item, wall)}")
    for number, (start, end) in enumerate(free, start=1):
        yield Stand(
            id=f"{wall.id}:{item.id}:stand" + (f":{number}" if number > 1 else ""),
            room=wall.room,
            wall=wall.id,
            kind=kind,
            on=item.id,
            rect=from_edges(start, place.bottom, end, place.top),
            depth=item.depth,
            name=name if len(free) == 1 else f"{name}, place {number} from the left",
        )


def _is_hearth(wall: Wall, item: Item) -> bool:
    """Whether a niche is a fire's opening: a mantel runs over it."""
    return any(
        one.kind == "mantel" and one.rect.top >= item.rect.top and overlap_across(one.rect, item.rect) > 0
        for one in wall.items
    )
