"""A hanging as the eye takes it in: compositions in their places, as casts, each judged by the rules."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..explain import Judged
from ..grouping import house_as_hung
from ..groups.boxes import EVEN_ENDS_MM, Floats, boxes_hung, keeps_time, outline_of
from ..house import House, Rect, Work
from ..plan.board import PASSED
from ..plan.casts import SALON_FROM, Cast, bonded
from ..plan.kinds import SAME_SIZE_MM, Kind, kinds_of
from ..plan.places import Answer, Place, answers_of, places_of
from ..plan.rhythm import BETWEEN_GROUPS
from ..results import Hanging, Words
from ..rule import INCH
from ..rulebook import Rulebook
from ..scoring import judge
from ..standing import Standing, dressed, standing

#: How far a mirror image may miss [mm].
MIRROR_MM = 1.5 * INCH


@dataclass(frozen=True)
class Composition:
    """Works that hang as one arrangement in a place. cast : what they are; judged : what the rules say of them there"""

    place: Place
    pieces: tuple[Hanging, ...]
    works: tuple[Work, ...]
    cast: Cast
    judged: Judged
    boxes: Floats

    @cached_property
    def rect(self) -> Rect:
        """Its outline [mm]."""
        left, bottom, right, top = (float(one) for one in outline_of(self.boxes))
        return Rect(left, bottom, right - left, top - bottom)

    @cached_property
    def sizes(self) -> tuple[tuple[int, int], ...]:
        """The works' sizes, in order, to within what the eye sees."""
        return tuple(
            sorted((round(work.width / SAME_SIZE_MM), round(work.height / SAME_SIZE_MM)) for work in self.works)
        )


@dataclass(frozen=True, slots=True)
class Beat:
    """Works along a stretch. covered : the share of it; off : of their middle from its own [mm]; uneven : 0-1, how far
    the margins at the ends are from the intervals."""

    covered: float
    off: float
    uneven: float


@dataclass(frozen=True)
class Seen:
    """All of a house: its places, those that answer one another, and what hangs there, in the order of the walls."""

    house: House
    rulebook: Rulebook
    places: tuple[Place, ...]
    answers: tuple[Answer, ...]
    compositions: tuple[Composition, ...]
    homeless: tuple[Hanging, ...]
    upright: tuple[Standing, ...]

    @cached_property
    def hung(self) -> frozenset[str]:
        """Ids of the works that hang; what stands is told in `upright`."""
        return frozenset(work.id for composition in self.compositions for work in composition.works)

    def at(self, place: int) -> list[Composition]:
        """What hangs in a place."""
        return [composition for composition in self.compositions if composition.place.index == place]

    def beat(self, composition: Composition) -> Beat | None:
        """How it keeps time: with others along a stretch, as one of two groups with air between, or as a row along a
        way that one passes. None where it does not."""
        place = composition.place
        if place.role not in ("open", "side"):
            return None
        here = self.at(place.index)
        boxes = np.array([outline_of(other.boxes) for other in here]) if len(here) > 1 else composition.boxes
        boxes = boxes[np.argsort(boxes[:, 0])]
        ends = place.space.reach.left, place.space.reach.right
        off = abs(float(boxes[:, 0].min() + boxes[:, 2].max()) / 2 - place.axis)
        passed = self.house.room_by_id[place.wall.room].use in PASSED
        two = len(here) == 2 and min(len(other.works) for other in here) > 1 and off <= EVEN_ENDS_MM
        two = two and bool(boxes[1, 0] - boxes[0, 2] >= BETWEEN_GROUPS)
        if not (keeps_time(boxes, ends) or two or (passed and len(here) == 1 and _marches(boxes))):
            return None
        interval = float((boxes[1:, 0] - boxes[:-1, 2]).mean())
        margin = float(boxes[0, 0] - ends[0] + ends[1] - boxes[-1, 2]) / 2
        covered = float((boxes[:, 2] - boxes[:, 0]).sum()) / place.box.width
        return Beat(covered, off, min(1.0, abs(margin - interval) / interval))

    def mirror(self, composition: Composition) -> Composition | None:
        """The composition of like sizes that hangs as its mirror image about the wall's middle or an item."""
        wall = composition.place.wall
        axes = [wall.length / 2, *(item.rect.centre_x for item in wall.items if item.acts != "service")]
        for other in self.compositions:
            alike = other is not composition and other.place.wall.id == wall.id and other.sizes == composition.sizes
            if alike and abs(other.rect.centre_y - composition.rect.centre_y) <= MIRROR_MM:
                middle = (composition.rect.centre_x + other.rect.centre_x) / 2
                if any(abs(middle - axis) <= MIRROR_MM for axis in axes):
                    return other
        return None

    def flanks(self, composition: Composition) -> bool:
        """Whether it hangs with its mirror image either side of another composition, on that one's centre line."""
        mate = self.mirror(composition)
        if mate is None:
            return False
        middle = (composition.rect.centre_x + mate.rect.centre_x) / 2
        return any(
            abs(other.rect.centre_x - middle) <= MIRROR_MM
            and abs(other.rect.centre_y - composition.rect.centre_y) <= MIRROR_MM
            for other in self.compositions
            if other.place.wall.id == composition.place.wall.id and other is not composition and other is not mate
        )


def _marches(boxes: Floats) -> bool:
    """Whether four or more equal pieces hang in one row at one interval."""
    row = boxes[np.argsort(boxes[:, 0])]
    gaps, sizes = row[1:, 0] - row[:-1, 2], row[:, 2:] - row[:, :2]
    even = len(row) > 3 and np.ptp(row[:, 1]) <= SAME_SIZE_MM and bool((np.ptp(sizes, axis=0) <= SAME_SIZE_MM).all())
    return bool(even and np.ptp(gaps) <= SAME_SIZE_MM)


def seen(house: House, hangings: Sequence[Hanging], rulebook: Rulebook, words: Words) -> Seen:
    """A hanging as compositions.

    Raises:
        InvalidHouse: an unknown work.
    """
    upright = standing(house, hangings)
    stays = {standing.work.id for standing in upright}
    house, hangings = dressed(house, upright), [hanging for hanging in hangings if hanging.work not in stays]
    spaces, together = house_as_hung(house, hangings, rulebook, words)
    places = places_of(house, spaces, rulebook)
    by_id = {place.space.id: place for place in places}
    kinds = kinds_of(house)
    kind_of = {member: k for k, kind in enumerate(kinds) for member in kind.members}
    found = []
    for space, pieces in together:
        works = tuple(house.work_by_id[hanging.work] for hanging in pieces)
        found.append(
            Composition(
                by_id[space.id],
                pieces,
                works,
                _cast(house, works, kinds, [kind_of[work.id] for work in works]),
                judge(house, space, pieces, rulebook, words),
                boxes_hung(pieces, house.work_by_id),
            )
        )
    at_home = {hanging.work for _, pieces in together for hanging in pieces}
    homeless = tuple(hanging for hanging in hangings if hanging.work not in at_home)
    return Seen(house, rulebook, places, answers_of(house, places), tuple(found), homeless, upright)


def _cast(house: House, works: Sequence[Work], kinds: tuple[Kind, ...], slots: Sequence[int]) -> Cast:
    """Works that hang together, as a plan would have cast them."""
    uses = tuple(sorted(Counter(slots).items()))
    names = {work.set_name for work in works}
    name = next(iter(names)) if len(names) == 1 else None
    whole_set = name is not None and sum(work.set_name == name for work in house.works) == len(works)
    ids = {work.id for work in works}
    left = [work for work in house.works if work.id not in ids and any(_like(work, two) for two in works)]
    areas = np.array([work.width * work.height for work in works])
    largest = int(np.argmax(areas))
    centre = (
        slots[largest] if len(works) % 2 and len(works) > 2 and (areas > areas[largest] * 0.95).sum() == 1 else None
    )
    mixed = len(works) >= SALON_FROM and centre is None and bool(np.ptp(areas) > 0.2 * areas.max())
    return Cast(
        uses,
        kinds,
        set_name=name if whole_set and len(works) > 1 else None,
        whole=not left,
        centre=centre,
        salon=mixed,
        loose=mixed and not bonded(works),
        stack=False,
    )


def _like(work: Work, two: Work) -> bool:
    """Whether two works are of one size, form and frame, and no set."""
    same = abs(work.width - two.width) <= SAME_SIZE_MM and abs(work.height - two.height) <= SAME_SIZE_MM
    looks = (work.form, work.frame.strip().lower()) == (two.form, two.frame.strip().lower())
    return same and looks and not work.set_name and not two.set_name
