"""Objects that stand: which of what a wall holds stands and does not hang, and where those go that a plan leaves over.

Common practice, no source, for what is worth standing where.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import linear_sum_assignment

from .bands import HANGING_MM
from .geometry import grown, holds, stretches
from .house import House, Item, Rect, Wall, Work
from .limits import INCH
from .names import small
from .results import Arrangement, Finding, Hanging, Stand, StandKind, Words
from .spaces.stands import LEAST_WIDTH, find_stands, may_stand, takes, wall_stands

#: Forms that a plan stands where it finds a place; others may stand, and hang as well.
STOOD = frozenset({"object"})
#: What standing there is worth, 0-1, less what a height takes that is far from the best share of the place's.
WORTH: dict[StandKind, float] = {"niche": 1.0, "mantel": 0.8, "shelf": 0.8, "furniture": 0.6}
#: Furniture that is dressed with an object; on others it is in the way.
DRESSED = frozenset({"console", "sideboard", "dresser", "chest"})
BEST_SHARE, OFF_SHARE = 0.6, 0.3
#: Items that hold things inside, on shelves that no survey tells.
HOLDS_INSIDE = frozenset({"bookcase", "cabinet"})
#: What an object keeps from the pictures beside it [mm].
CLEAR = 2 * INCH
#: The score of what stands as it should, and what a fault leaves of it.
SCORE, FAULTY = 100.0, 60.0


@dataclass(frozen=True, slots=True)
class Standing:
    """A piece that stands at a stand."""

    piece: Hanging
    work: Work
    stand: Stand

    @property
    def rect(self) -> Rect:
        return Rect(self.piece.left, self.piece.bottom, self.work.width, self.work.height)


def only_stands(work: Work) -> bool:
    """Whether a work is not to be hung: an object without any hardware to hang by, unless the designer fixed it."""
    return work.form in STOOD and work.hang is None and work.locked is None


def standing(house: House, hangings: Iterable[Hanging]) -> tuple[Standing, ...]:
    """Those of the pieces that stand, in the order given: works that may, with their foot on a stand's floor."""
    stands: dict[str, tuple[Stand, ...]] = {}
    found = []
    for piece in hangings:
        work = house.work_by_id.get(piece.work)
        if work is None or not may_stand(work):
            continue
        wall = house.wall_by_id[piece.wall]
        if wall.id not in stands:
            stands[wall.id] = wall_stands(wall)
        at = _stand_of(wall, stands[wall.id], piece, work)
        if at is not None:
            found.append(Standing(piece, work, at))
    return tuple(found)


def _stand_of(wall: Wall, stands: Sequence[Stand], piece: Hanging, work: Work) -> Stand | None:
    rect = Rect(piece.left, piece.bottom, work.width, work.height)
    for stand in stands:
        place = grown(stand.rect, HANGING_MM)
        level = abs(rect.bottom - stand.rect.bottom) <= HANGING_MM
        if level and place.left <= rect.left and rect.right <= place.right and rect.top <= place.top:
            return stand
    for item in wall.items:
        if item.kind in HOLDS_INSIDE and holds(grown(item.rect, HANGING_MM), rect):
            name = f"In the {small(item.name)}"
            return Stand(f"{wall.id}:{item.id}:stand", wall.room, wall.id, "shelf", item.id, rect, item.depth, name)
    return None


def dressed(house: House, those: Sequence[Standing]) -> House:
    """The house with what stands among its walls' items, so that pictures keep clear of it."""
    if not those:
        return house
    by_wall: dict[str, list[Item]] = {}
    for standing in those:
        rect, name = standing.rect, standing.work.title
        thing = Item(
            f"standing-{standing.work.id}",
            "ornament",
            rect.left,
            rect.bottom,
            rect.width,
            rect.height,
            standing.work.depth,
        )
        by_wall.setdefault(standing.stand.wall, []).append(dataclasses.replace(thing, label=name))
    rooms = tuple(
        dataclasses.replace(
            room,
            walls=tuple(
                dataclasses.replace(wall, items=(*wall.items, *by_wall.get(wall.id, ()))) for wall in room.walls
            ),
        )
        for room in house.rooms
    )
    return dataclasses.replace(house, rooms=rooms)


def stand_up(house: House, hung: Sequence[Hanging], left_over: Iterable[str]) -> tuple[Standing, ...]:
    """Where objects that hang nowhere stand: one a place, two where a picture hangs between, as many as is worth most.

    hung : every piece that hangs; left_over : ids of works
    """
    left = set(left_over)
    objects = [one for one in sorted(house.works, key=lambda work: work.id) if one.id in left and one.form in STOOD]
    if not objects:
        return ()
    held = {one.stand.id for one in standing(house, hung)}
    slots = [slot for stand in find_stands(house) if stand.id not in held for slot in _slots(house, stand, hung)]
    if not slots:
        return ()
    worth = np.array([[_worth(work, slot) for slot in slots] for work in objects])
    rows, columns = linear_sum_assignment(worth, maximize=True)
    return tuple(
        Standing(_at(objects[i], slots[j]), objects[i], slots[j])
        for i, j in zip(rows.tolist(), columns.tolist(), strict=True)
        if worth[i, j] > 0
    )


def _slots(house: House, stand: Stand, hung: Sequence[Hanging]) -> list[Stand]:
    """The parts of a stand that pictures above it leave free, the two widest at most."""
    wall = house.wall_by_id[stand.wall]
    item = wall.item(stand.on)
    if wall.keep_bare or item is None or (stand.kind == "furniture" and item.kind not in DRESSED):
        return []
    place = stand.rect
    taken = []
    for hanging in hung:
        work = house.work_by_id[hanging.work]
        if hanging.wall == wall.id and hanging.bottom < place.top and hanging.bottom + work.height > place.bottom:
            taken.append((hanging.left - CLEAR, hanging.left + work.width + CLEAR))
    free = sorted(stretches(place.left, place.right, taken), key=lambda one: (one[0] - one[1], one[0]))[:2]
    parts = [(a, b) for a, b in free if b - a >= LEAST_WIDTH]
    return [dataclasses.replace(stand, rect=Rect(a, place.bottom, b - a, place.height)) for a, b in sorted(parts)]


def _worth(work: Work, slot: Stand) -> float:
    """What a work is worth in a slot, 0 where it may not stand there."""
    if not takes(slot, work) or work.locked not in (None, slot.wall, slot.room):
        return 0.0
    full = slot.rect.height if slot.kind in ("niche", "shelf") else 24 * INCH
    return WORTH[slot.kind] - OFF_SHARE * min(1.0, abs(work.height / full - BEST_SHARE))


def _at(work: Work, slot: Stand) -> Hanging:
    """In the middle of its slot, or that much from a picture's edge as from the end of what it stands on."""
    return Hanging(work.id, slot.wall, slot.rect.centre_x - work.width / 2, slot.rect.bottom)


def arrangement_of(standing: Standing, words: Words) -> Arrangement:
    """A standing piece as it is told: where it stands, and what is wrong with that."""
    stand, work = standing.stand, standing.work
    on = small(stand.name)
    findings: tuple[Finding, ...] = ()
    if stand.depth and work.depth > stand.depth + HANGING_MM:
        text = f"“{work.title}” is {words.length(work.depth)} deep and reaches over the edge: what it stands {on} is "
        text += f"{words.length(stand.depth)} deep"
        deep = work.depth, None, stand.depth, "mm", standing.rect
        findings = (Finding("fit", "exception", text, stand.wall, (work.id,), stand.id, *deep),)
    score = FAULTY if findings else SCORE
    why = f"Stands {on}" + (f"; but {small(findings[0].text)}" if findings else "")
    return Arrangement(stand.id, stand.wall, "single", (standing.piece,), score, {}, findings, (), why)
