"""Where art can hang: the free spaces of every wall, with their shape, ideal sizes and advice."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence

from ..geometry import common
from ..house import House, Rect, Wall
from ..results import PlainWords, Space, Words
from ..rulebook import Rulebook
from .advice import advised
from .furniture import over_furniture
from .open_wall import open_wall
from .outline import Found
from .panel import panels
from .stair import stair
from .stands import find_stands

__all__ = ["find_spaces", "find_stands", "overlap", "wall_spaces"]


def find_spaces(house: House, rulebook: Rulebook | None = None, words: Words | None = None) -> tuple[Space, ...]:
    """Every space of the house, wall by wall, from left to right.

    rulebook : the house's rules, made from it when not given; words : how reasons are set, millimetres when not given

    Raises:
        UnknownRule: a house rule that does not exist or lies outside its range.
    """
    rulebook = rulebook or Rulebook.for_house(house)
    return tuple(space for _, wall in house.walls() for space in wall_spaces(house, wall, rulebook, words))


def wall_spaces(house: House, wall: Wall, rulebook: Rulebook, words: Words | None = None) -> tuple[Space, ...]:
    """The spaces of one wall, from left to right; ids are unique on it."""
    found: list[Found] = [*over_furniture(wall, rulebook), *panels(wall, rulebook), *stair(wall, rulebook)]
    found += open_wall(wall, rulebook)
    found.sort(key=lambda one: (one.rect.left, one.rect.bottom, one.id))
    spaces = _unique(found)
    return tuple(advised(house, wall, spaces, rulebook, words or PlainWords()))


def overlap(space: Space, other: Space) -> Rect | None:
    """The stretch of wall that art in either of two spaces might take [mm]; None where they share none.

    Spaces that overlap are alternatives as far as they do: over a low console on a wide wall there is one space above
    the console that reaches to the corners, and one on either side of it; a plan hangs a wide group over the console,
    or one piece in each of the three. Where what hangs over the console keeps within its `rect`, all three are free.
    """
    return common(space.reach, other.reach) if space.wall == other.wall and space.id != other.id else None


def _unique(found: Sequence[Found]) -> Iterable[Found]:
    """A number behind an id that has come before."""
    seen: dict[str, int] = {}
    for one in found:
        seen[one.id] = seen.get(one.id, 0) + 1
        count = seen[one.id]
        yield one if count == 1 else dataclasses.replace(one, id=f"{one.id}:{count}")
