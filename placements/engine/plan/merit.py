"""What a cast is worth beside how well it sits: its strength, its wholeness, its form, whom it belongs with."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from ..colour import palette_distance
from ..groups.boxes import Floats, Ints
from ..groups.unity import PALETTE_FAR, PALETTE_NEAR
from ..house import House, Room, Work
from ..rule import INCH, Array
from .casts import Cast
from .places import Place

#: What the strength of a work adds in the places that count most [points]; on a focal wall half as much again, and a
#: little less on one that is seen first on coming in.
STRENGTH, FOCAL_STRENGTH, FIRST_SEEN_STRENGTH = 14.0, 1.5, 1.3
#: What a whole set, or all works of a size, count for, and each work that hangs [points].
WHOLE, EACH = 7.0, 0.8
#: Pieces of one composition beyond these add nothing by their number.
COUNTED = 8
#: What it costs to hang equal works without the rest of their size, each that is left over more, and at most [points].
LEFT_OVER, EACH_LEFT, LEFT_MOST = 6.0, 2.0, 18.0
#: What it costs to hang one of equal works by itself, and to leave a work out of a salon, each and at most [points].
SPLIT, LEFT_OUT, LEFT_OUT_MOST = 16.0, 1.5, 18.0
#: What a group of works with nothing in common loses [points], and a salon wall of many.
LOOSE, LOOSE_MANY, MANY = 30.0, 20.0, 9
#: How strongly each form of work speaks at one size. Common practice, no source.
FORM_STRENGTH = {
    "painting": 1.0,
    "relief": 0.9,
    "textile": 0.85,
    "photograph": 0.8,
    "print": 0.75,
    "drawing": 0.7,
    "mirror": 0.6,
    "object": 0.4,
    "basket": 0.35,
    "clock": 0.15,
}
#: A work of this area speaks with full strength [mm²]: 40 x 60 in.
FULL_AREA = 2400 * INCH * INCH
#: What a form of work costs over furniture, and elsewhere, where pictures belong [points]. Common practice, no source.
FORM_COST = {"mirror": (6.0, 4.0), "clock": (60.0, 12.0), "object": (80.0, 60.0), "basket": (20.0, 10.0)}
#: Where a mirror is at home [points]: over this furniture it gains, the more in these rooms.
MIRROR_OVER = frozenset({"console", "dresser", "mantel", "chest"})
MIRROR_ROOMS = frozenset({"hall", "bath", "bedroom"})
#: What a theme that belongs in a room, and a palette that goes with its colours, are worth [points]; the themes' words.
#: Common practice, no source.
THEME = 4.0
COLOUR = 6.0
THEMES_OF_USE = {
    "bedroom": frozenset({"calm", "quiet", "pale", "soft", "sleep", "night", "rest"}),
    "nursery": frozenset({"animals", "beasts", "children", "toys", "soft"}),
    "kitchen": frozenset({"food", "kitchen", "herbs", "fruit", "plants", "still-life", "vegetables"}),
    "dining": frozenset({"food", "fruit", "still-life", "wine"}),
    "bath": frozenset({"water", "shells", "coast", "sea"}),
    "study": frozenset({"books", "maps", "map", "ships", "letters"}),
}


#: What loud works take from a room to sleep in, by the share of them that are loud [points]; the themes' words.
#: Common practice, no source.
LOUD = 40.0
LOUD_THEMES = frozenset({"busy", "loud", "bright", "crowd", "crowded", "pop", "battle", "storm", "masks", "staring"})
SLEPT_IN = frozenset({"bedroom", "nursery"})


def merits(house: House, casts: Sequence[Cast], places: Sequence[Place], worth: Floats) -> Array:
    """(C, P) points beside the fit. worth : (P,) what each place counts for"""
    weight = STRENGTH * worth * looked_at(house, places)
    # Rooms of one use and one palette are one to a cast.
    room_of, rooms = _alike([house.room_by_id[one.wall.room] for one in places])
    costs = {form: np.array([form_cost(form, house, place) for place in places]) for form in FORM_COST}
    found = np.zeros((len(casts), len(places)))
    for c, cast in enumerate(casts):
        works = works_of(cast)
        found[c] = weight * strength_of(works) + lasting(cast, worth)
        if rooms:
            here = np.array([theme_worth(works, room) + colour_worth(works, room) for room in rooms])[room_of]
            found[c] += here * np.minimum(worth, 1.0)
        for form in {work.form for work in works} & FORM_COST.keys():
            if cast.centre is None or cast.kinds[cast.centre].work.form != form:
                found[c] -= costs[form]
    return found


def looked_at(house: House, places: Sequence[Place]) -> Array:
    """(P,) how many times over the strength of a work counts where the room looks: at a focal wall, at a hearth, and
    at the wall opposite the door."""
    first = {wall.id for room in house.rooms for wall in room.first_seen()}
    seen = np.where([place.wall.id in first for place in places], FIRST_SEEN_STRENGTH, 1.0)
    found: Array = np.where([place.wall.focal or place.is_hearth for place in places], FOCAL_STRENGTH, seen)
    return found


def _alike(rooms: Sequence[Room]) -> tuple[Ints, list[Room]]:
    """Which of the rooms told apart by use and palette each is, and one of each."""
    kinds: dict[tuple[object, ...], int] = {}
    first: list[Room] = []
    index = []
    for room in rooms:
        key = room.use, room.colours
        if key not in kinds:
            kinds[key] = len(first)
            first.append(room)
        index.append(kinds[key])
    return np.array(index, dtype=np.intp), first


def works_of(cast: Cast) -> list[Work]:
    """One work for each piece of a cast."""
    return [cast.kinds[kind].work for kind in cast.slots]


def strength_of(works: Iterable[Work]) -> float:
    """How strongly works speak, 0-1: by area and form; of several, half by the strongest."""
    works = tuple(works)
    speaks = [FORM_STRENGTH.get(one.form, 0.7) for one in works]
    areas = [one.width * one.height for one in works]
    each = [form * math.sqrt(min(1.0, area / FULL_AREA)) for form, area in zip(speaks, areas, strict=True)]
    if len(works) == 1:
        return each[0]
    whole = sum(areas)
    form = sum(one * area for one, area in zip(speaks, areas, strict=True)) / whole
    return 0.5 * max(each) + 0.45 * form * math.sqrt(min(1.0, whole / FULL_AREA))


def wholeness(cast: Cast) -> float:
    """Points for a set, or for all works of a size or of a kind, less what is left over."""
    if cast.salon and not cast.set_name:
        loose = (LOOSE_MANY if cast.count >= MANY else LOOSE) * cast.loose
        return (0.0 if cast.left_over else WHOLE / 2) - loose - min(LEFT_OUT * cast.left_over, LEFT_OUT_MOST)
    if cast.stack:
        return 0.0
    if cast.loose:
        return -LOOSE
    if cast.set_name:
        return WHOLE
    if cast.count == 1:
        return 0.0 if cast.whole else -SPLIT
    if cast.whole and cast.count >= 3:
        return WHOLE / 2
    return 0.0 if cast.whole else -min(LEFT_OVER + EACH_LEFT * max(cast.left_over - 1, 0), LEFT_MOST)


def lasting(cast: Cast, worth: Floats | float) -> Floats:
    """Points for how many works hang and for their wholeness, where places count so much: what speaks for a cast
    speaks less where little is worth hanging, what speaks against it does so everywhere."""
    whole = wholeness(cast)
    speaks = EACH * min(cast.count, COUNTED) + max(whole, 0.0)
    found: Floats = speaks * np.minimum(worth, 1.0) + min(whole, 0.0)
    return found


def theme_worth(works: Sequence[Work], room: Room) -> float:
    """Points for themes that belong in a room, less for those too loud for it, by the share of the works with one."""
    themes = [{theme.lower() for theme in work.themes} for work in works]
    wanted = THEMES_OF_USE.get(room.use, frozenset())
    points = THEME * sum(bool(wanted & one) for one in themes)
    if room.use in SLEPT_IN:
        points -= LOUD * sum(bool(LOUD_THEMES & one) and not wanted & one for one in themes)
    return points / len(works)


def colour_worth(works: Sequence[Work], room: Room) -> float:
    """Points for palettes that go with a room's colours, where both are known; none for one that does not."""
    if not room.colours:
        return 0.0
    wanted = [colour.lab for colour in room.colours]
    far = [one for work in works if (one := palette_distance(wanted, work.palette_lab)) is not None]
    if not far:
        return 0.0
    return COLOUR * min(1.0, max(0.0, (PALETTE_FAR - sum(far) / len(far)) / (PALETTE_FAR - PALETTE_NEAR)))


def form_cost(form: str, house: House, place: Place) -> float:
    """What a mirror, a clock or an object costs in a place that a picture would serve."""
    over, elsewhere = FORM_COST[form]
    if form == "mirror" and place.bearer is not None and place.bearer.kind in MIRROR_OVER:
        at_home = house.room_by_id[place.wall.room].use in MIRROR_ROOMS or place.bearer.kind == "dresser"
        return -4.0 if at_home else 2.0
    return over if place.bearer is not None else elsewhere
