"""The strongest work hangs where one looks on coming in. Common practice, no source."""

from __future__ import annotations

import dataclasses

from placements.engine.facade import propose
from placements.engine.house import House, Item, Room, Wall, Work
from placements.engine.rule import INCH


def house(*, around: bool, reverse: bool) -> House:
    """A square room with its door in one wall; two equal walls beside it bare, the third opposite the door."""
    door = Item("door", "door", 20 * INCH, 0, 36 * INCH, 82 * INCH)
    window = Item("window", "window", 30 * INCH, 30 * INCH, 84 * INCH, 50 * INCH)
    walls = (
        Wall("entry", "r", "entry", 144 * INCH, 100 * INCH, items=(door,), keep_bare=True),
        Wall("left", "r", "left", 144 * INCH, 100 * INCH),
        Wall("far", "r", "far", 144 * INCH, 100 * INCH),
        Wall("right", "r", "right", 144 * INCH, 100 * INCH, items=(window,), keep_bare=True),
    )
    works = (
        Work("bold", "Bold", 76 * INCH, 46 * INCH, form="painting"),
        Work("faint", "Faint", 76 * INCH, 46 * INCH, form="drawing"),
    )
    return House((Room("r", "Room", "living", walls=walls, around=around),), works[::-1] if reverse else works)


def wall_of(work: str, planned: House) -> str:
    return next(one.wall for one in propose(planned).plan if any(piece.work == work for piece in one.pieces))


def test_the_bold_one_faces_the_door_whatever_the_order_of_the_list() -> None:
    for reverse in (False, True):
        assert wall_of("bold", house(around=True, reverse=reverse)) == "far"
        assert wall_of("faint", house(around=True, reverse=reverse)) == "left"


def test_a_focal_wall_counts_more_than_the_one_seen_first() -> None:
    here = house(around=True, reverse=False)
    (room,) = here.rooms
    walls = tuple(dataclasses.replace(one, importance="focal") if one.id == "left" else one for one in room.walls)
    assert wall_of("bold", dataclasses.replace(here, rooms=(dataclasses.replace(room, walls=walls),))) == "left"
