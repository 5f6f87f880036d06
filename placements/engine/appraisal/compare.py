"""What is better about one way of hanging a wall than about another, in words."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence

from ..house import House
from ..results import Hanging, Words
from .appraise import appraise

#: What speaks for a way that gains by these marks. The first names what weighs most where several say the same.
SPEAKS: Mapping[str, tuple[str, ...]] = {
    "Breaks no rule that stops": ("stop",),
    "Kept better from light, heat, damp and falling": ("care",),
    "Sets stay whole and together": ("set", "order"),
    "Nothing hangs where the wall is better bare": ("unwanted",),
    "Both sides answer each other": ("one-sided", "unlike", "answer"),
    "Nearer to its best height": ("height", "level"),
    "On the axis of what it belongs to": ("axis",),
    "Its width suits what it hangs over, or the wall": ("width",),
    "The pieces of a group hang better together": ("group", "clump"),
    "Its weight lies nearer to the middle": ("balance",),
    "Fills more of the places that count": ("place", "number"),
    "The stronger work where the room looks": ("strength",),
    "Works of a kind are kept together": ("whole", "parted", "makers"),
    "Walls that look at each other answer": ("facing", "balance"),
    "Suits the room's use and colours": ("theme", "palettes"),
    "Its shape and kind suit the place": ("shape", "form"),
    "Objects stand where they belong": ("stands",),
}
#: What gains less is not told [points], and how many are.
LEAST, MOST = 3.0, 3


def better(
    house: House, wall_id: str, first: Sequence[Hanging], second: Sequence[Hanging], words: Words | None = None
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What speaks for the first of two ways of hanging a wall, and what for the second, each the weightiest first.

    Args:
        first, second: every piece of the house in that way; those in other rooms are passed over.

    Raises:
        InvalidHouse: an unknown work. KeyError: an unknown wall.
    """
    room = house.room_by_id[house.wall_by_id[wall_id].room]
    here = dataclasses.replace(house, rooms=(room,))
    walls = {wall.id for wall in room.walls}
    gains: dict[str, float] = {}
    for sign, hangings in ((1, first), (-1, second)):
        for mark in appraise(here, [hanging for hanging in hangings if hanging.wall in walls], words).marks:
            gains[mark.name] = gains.get(mark.name, 0.0) + sign * mark.points
    told = {text: sum(gains.get(name, 0.0) for name in names) for text, names in SPEAKS.items()}
    by_weight = sorted(told, key=lambda text: -abs(told[text]))
    one = [text for text in by_weight if told[text] >= LEAST][:MOST]
    two = [text for text in by_weight if told[text] <= -LEAST][:MOST]
    return tuple(one), tuple(two)
