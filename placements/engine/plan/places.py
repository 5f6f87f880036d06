"""Where compositions go: every free space of the house as a place, with its axis, its box and what it counts for.

A place by itself takes one composition. Places that answer one another (either side of a door, equal panels in a row,
equal furniture on facing walls) are told as `Answer`s: they take equal works, one each, or none.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from ..geometry import common, grown, maximal_empty_rectangles, overlap_across
from ..groups.around import AROUND
from ..house import House, Item, Rect, Wall
from ..results import Space
from ..rule import INCH
from ..rulebook import Rulebook
from ..scene import axis_of

Role = Literal["anchor", "panel", "open", "side", "small", "stair", "around"]
Bond = Literal["flank", "bays", "facing", "round"]

#: What a place counts for before its size is looked at. Common practice, no source.
ROLE_WORTH: dict[Role, float] = {
    "anchor": 1.0,
    "panel": 0.85,
    "stair": 0.9,
    "open": 0.9,
    "side": 0.3,
    "small": 0.15,
    "around": 0.95,
}
#: The same for places that answer one another, by what lies between them.
FLANK_WORTH = {
    "door": 0.6,
    "opening": 0.6,
    "window": 0.12,
    "television": 0.3,
    "bookcase": 0.5,
    "cabinet": 0.5,
    "niche": 0.55,
    "panel": 0.8,
    "anchor": 0.85,
    "mantel": 0.5,
}
#: Either side of a hearth a group hangs from this width on [mm].
BESIDE_A_HEARTH = 48 * INCH
#: One of two places that answer one another, filled alone, counts for this share; over equal furniture for more.
HALF_OF_A_PAIR, HALF_OF_TWO_BAYS = 0.15, 0.6
#: Furniture shorter than this carries no composition of its own [mm].
SMALL = 30 * INCH
#: A stretch beside furniture counts as wall of its own from this width on [mm].
OWN_STRETCH = 96 * INCH
#: A stretch narrower than this, and than this share of the widest on its wall, is what is left beside it [mm].
REST_WIDTH, REST_SHARE = 36 * INCH, 0.35
#: An open stretch narrower than this is a sliver, and one so wide counts in full [mm].
SLIVER, FULL_STRETCH = 20 * INCH, 60 * INCH
#: What a focal wall, and a secondary one, do to what a place counts for.
IMPORTANCE = {"focal": 1.3, "ordinary": 1.0, "secondary": 0.75}
#: What advice that a piece is optional, and a wall that is a picture by itself, leave of what a place counts for.
OPTIONAL, RESTLESS = 0.75, 0.3
#: What is left where nothing over furniture can reach the eye line, on a wall that a screen governs, beside a window.
TOO_LOW, BESIDE_A_SCREEN, LEFT_BY_A_SCREEN, BESIDE_A_WINDOW = 0.3, 0.65, 0.35, 0.3
PATTERNED = ("patterned_wallpaper",)
#: A series goes round a room of at least so many walls, one a wall.
ROUND_FROM = 3
#: How far art keeps from a lamp or an object on furniture [mm], and the share of the furniture that must be free
#: between two of them for a piece to hang there.
LAMP_MARGIN, BETWEEN_LAMPS = 2 * INCH, 0.36
#: The same beside a lamp at one end.
BESIDE_A_LAMP = 0.6
#: What reaches less far into a place leaves it free [mm].
TOUCH_MM = 1.0
#: Two places are alike within this [mm], 1 in, or this share of their size.
ALIKE_MM, ALIKE_SHARE = INCH, 0.1


@dataclass(frozen=True, slots=True)
class Place:
    """One place.

    index : of its space among the house's spaces
    box : where pieces may be [mm]
    axis : x on which a composition is centred [mm]
    basis : the length that a share of the width is taken of [mm]
    bearer : what stands below, None where nothing does
    worth : what it counts for, about 0 to 1.5; 0 where nothing is to hang
    """

    index: int
    space: Space
    wall: Wall
    role: Role
    box: Rect
    axis: float
    basis: float
    bearer: Item | None
    worth: float

    @property
    def is_hearth(self) -> bool:
        """Whether it is over a mantel, to which a room turns."""
        return self.bearer is not None and self.bearer.kind == "mantel"


@dataclass(frozen=True, slots=True)
class Answer:
    """Places that take equal works, one each or none.

    places : indices into the list of places
    worth : what each counts for when all are filled
    about : x of the axis between the two of a pair [mm], None for bays and facing places
    level : height of the line that what they flank sets [mm], None where nothing does
    """

    bond: Bond
    places: tuple[int, ...]
    worth: float
    level: float | None = None


def places_of(house: House, spaces: Sequence[Space], rulebook: Rulebook) -> tuple[Place, ...]:
    """Every space as a place, in the order given."""
    by_wall: dict[str, list[Space]] = defaultdict(list)
    for space in spaces:
        by_wall[space.wall].append(space)
    return tuple(_place(house, index, space, by_wall[space.wall], rulebook) for index, space in enumerate(spaces))


def _place(house: House, index: int, space: Space, others: Sequence[Space], rulebook: Rulebook) -> Place:
    wall = house.wall_by_id[space.wall]
    bearer = wall.item(space.over)
    role = _role(space, wall, others)
    axis = axis_of(space, bearer) if role != "open" and role != "side" else _middle(space, wall)
    return Place(
        index,
        space,
        wall,
        role,
        _box(space, wall, role, rulebook),
        axis,
        space.width_basis,
        bearer,
        _worth(space, wall, role),
    )


def _box(space: Space, wall: Wall, role: Role, rulebook: Rulebook) -> Rect:
    """The free rectangle; above something long and low that bounds it, with the gap that art keeps over furniture."""
    rect = space.rect
    if role not in ("open", "side"):
        return _clear_of_lamps(space, wall)
    gap = rulebook.limits("clearance").low
    tops = [
        item.rect.top
        for item in wall.items
        if item.acts == "bound" and item.rect.top <= rect.bottom and overlap_across(item.rect, rect) > 0.5 * rect.width
    ]
    lift = max([0.0, *(top + gap - rect.bottom for top in tops)])
    return Rect(rect.left, rect.bottom + lift, rect.width, rect.height - lift) if 0 < lift < rect.height else rect


def _clear_of_lamps(space: Space, wall: Wall) -> Rect:
    """Where art may hang over furniture, clear of the lamps and objects on it: between them where there is room, else
    above them."""
    bearer = wall.item(space.over)
    standing = [item.rect for item in wall.items if item.acts == "stands" and common(item.rect, space.reach)]
    if bearer is None or not standing:
        return space.reach
    axis = axis_of(space, bearer)
    free = maximal_empty_rectangles(space.reach, [grown(one, LAMP_MARGIN) for one in standing])
    about = [one for one in free if one.left < axis < one.right]
    between = [one for one in about if one.bottom <= space.reach.bottom + 1]
    wide = max(between, key=lambda one: min(axis - one.left, one.right - axis), default=None)
    if wide is not None and 2 * min(axis - wide.left, wide.right - axis) >= BETWEEN_LAMPS * space.width_basis:
        return wide
    over = [one for one in free if overlap_across(one, bearer.rect) >= BESIDE_A_LAMP * space.width_basis]
    beside = [one for one in over if one.bottom <= space.reach.bottom + 1]
    return max(beside or about, key=lambda one: one.width * one.height, default=space.reach)


def _role(space: Space, wall: Wall, others: Sequence[Space]) -> Role:
    if space.id.endswith(AROUND):
        return "around"
    if space.kind == "stair":
        return "stair"
    if space.kind == "panel":
        return "panel"
    if space.kind == "over_furniture":
        return "anchor" if space.width_basis >= SMALL else "small"
    anchored = any(one.kind == "over_furniture" and one.width_basis >= SMALL for one in others)
    widest = max(one.rect.width for one in others if one.kind == "open_wall")
    rest = space.rect.width < REST_WIDTH and space.rect.width < REST_SHARE * widest
    return "side" if anchored or rest else "open"


def _middle(space: Space, wall: Wall) -> float:
    """The middle between what bounds an open stretch, the things themselves and not their margins."""
    rect = space.rect
    left, right = 0.0, wall.length
    for item in wall.items:
        if item.acts in ("ignore", "service", "stands") or item.rect.top <= rect.bottom or item.bottom >= rect.top:
            continue
        if item.rect.right <= rect.left + 1:
            left = max(left, item.rect.right)
        elif item.left >= rect.right - 1:
            right = min(right, item.left)
    middle = (left + right) / 2
    return min(max(middle, rect.left), rect.right)


def _worth(space: Space, wall: Wall, role: Role) -> float:
    if space.advice == "leave_bare" or wall.keep_bare:
        return 0.0
    worth = ROLE_WORTH[role] * IMPORTANCE[wall.importance]
    width = space.rect.width
    if role == "anchor":
        worth *= min(1.0, (space.width_basis / (60 * INCH)) ** 0.25)
        if space.over is not None and (item := wall.item(space.over)) is not None and item.kind == "mantel":
            worth *= 1.1
    elif role == "open":
        worth *= 0.2 if width < SLIVER else min(1.0, width / FULL_STRETCH) ** 1.5
    elif role == "side":
        worth *= 1.0 if width >= OWN_STRETCH else 0.0
    elif role == "small":
        worth = 0.0
    if space.advice == "optional":
        worth *= OPTIONAL
    if any(one.rule == "eye-line" for one in space.reasons):
        worth *= TOO_LOW
    if role == "open" and _beside_a_window(space, wall):
        worth *= BESIDE_A_WINDOW
    if role == "open" and any(item.kind == "television" for item in wall.items):
        worth *= BESIDE_A_SCREEN if width >= OWN_STRETCH else LEFT_BY_A_SCREEN
    if wall.accent or wall.finish in PATTERNED:
        worth *= RESTLESS
    return worth


def _beside_a_window(space: Space, wall: Wall) -> bool:
    """Whether a window bounds an open stretch that is narrower than the rest of its wall."""
    near = 12 * INCH
    return space.rect.width < wall.length / 2 and any(
        item.kind == "window"
        and (abs(item.rect.right - space.rect.left) <= near or abs(item.left - space.rect.right) <= near)
        for item in wall.items
    )


def answers_of(house: House, places: Sequence[Place]) -> tuple[Answer, ...]:
    """Every group of places that answer one another."""
    found: list[Answer] = []
    for _, wall in house.walls():
        here = [one for one in places if one.wall.id == wall.id]
        found += _flanks(wall, here)
        found += _bays(here)
    found += _facing(house, places)
    found += _round(house, places)
    return tuple(found)


def _flanks(wall: Wall, here: Sequence[Place]) -> Iterator[Answer]:
    """Two places of one kind and size, mirrored about an item or a place that lies in the middle between them."""
    for one, other in combinations(here, 2):
        if one.role != other.role or not _equal(one, other) or one.space.advice == "leave_bare":
            continue
        left, right = sorted((one, other), key=lambda place: place.space.rect.left)
        middle = (left.space.rect.left + right.space.rect.right) / 2
        between = _between(wall, here, left, right, middle)
        if between is not None:
            what, level = between
            worth = FLANK_WORTH[what] * IMPORTANCE[wall.importance]
            if left.space.rect.width < SLIVER and what != "panel":
                worth *= 0.5
            yield Answer("flank", (left.index, right.index), worth, level)


def _between(
    wall: Wall, here: Sequence[Place], left: Place, right: Place, middle: float
) -> tuple[str, float | None] | None:
    """What two places flank, and the height of its middle where it is something to look at."""
    items = [
        item
        for item in wall.items
        if item.left >= left.space.rect.right - ALIKE_MM
        and item.rect.right <= right.space.rect.left + ALIKE_MM
        and abs(item.rect.centre_x - middle) <= 2 * ALIKE_MM
    ]
    inside = [
        place
        for place in here
        if place not in (left, right)
        and abs(place.space.rect.centre_x - middle) <= 2 * ALIKE_MM
        and place.space.rect.left >= left.space.rect.right - ALIKE_MM
        and place.space.rect.right <= right.space.rect.left + ALIKE_MM
    ]
    for item in items:
        if item.kind == "television":
            return "television", item.rect.centre_y
    for place in inside:
        if place.role == "panel":
            return "panel", None
        if place.is_hearth and left.role == "side" and left.space.rect.width >= BESIDE_A_HEARTH:
            return "mantel", None
        if place.role == "anchor":
            flanked = "niche" if left.role == "panel" else "anchor"
            return (flanked, None) if left.role == "panel" or _differ(place, left) else None
    for item in items:
        kind = item.kind if item.kind in FLANK_WORTH else "cabinet" if item.acts in ("bearer", "bound") else ""
        if kind:
            return kind, None
    return None


def _differ(one: Place, other: Place) -> bool:
    """Whether two places are anchors over furniture of different kinds."""
    return (
        one.role == other.role == "anchor"
        and one.bearer is not None
        and (other.bearer is not None and one.bearer.kind != other.bearer.kind)
    )


def _equal(one: Place, other: Place) -> bool:
    a, b = one.space.rect, other.space.rect
    alike = max(ALIKE_MM, ALIKE_SHARE * min(a.width, b.width))
    return abs(a.width - b.width) <= alike and max(abs(a.height - b.height), abs(a.bottom - b.bottom)) <= ALIKE_MM


def _bays(here: Sequence[Place]) -> Iterator[Answer]:
    """Three or more equal places in a row: panels, piers, stretches over equal furniture."""
    groups: dict[tuple[str, int], list[Place]] = defaultdict(list)
    for place in here:
        if place.role in ("panel", "open", "anchor") and place.space.advice != "leave_bare":
            groups[place.role, round(place.basis / (4 * INCH))].append(place)
    for (role, _), members in sorted(groups.items()):
        if len(members) > 2 or (len(members) == 2 and role == "anchor"):
            worth = sum(ROLE_WORTH[one.role] for one in members) / len(members)
            yield Answer(
                "bays", tuple(one.index for one in sorted(members, key=lambda one: one.space.rect.left)), worth
            )


def _facing(house: House, places: Sequence[Place]) -> Iterator[Answer]:
    """Equal furniture on two walls of one room: what hangs over the one answers what hangs over the other."""
    for one, other in combinations([place for place in places if place.role == "anchor" and place.worth > 0], 2):
        alike = one.bearer is not None and other.bearer is not None and one.bearer.kind == other.bearer.kind
        if (
            alike
            and one.space.room == other.space.room
            and one.wall.id != other.wall.id
            and abs(one.basis - other.basis) <= ALIKE_MM
        ):
            yield Answer("facing", (one.index, other.index), (one.worth + other.worth) / 2)


def _round(house: House, places: Sequence[Place]) -> Iterator[Answer]:
    """The place that counts most on each wall of a room of three walls or more, for a series of one a wall."""
    for room in house.rooms:
        best: dict[str, Place] = {}
        for place in places:
            if place.wall.room == room.id and place.worth > 0 and place.role in ("anchor", "open", "panel"):
                other = best.get(place.wall.id)
                if other is None or place.worth > other.worth:
                    best[place.wall.id] = place
        if len(best) >= ROUND_FROM:
            worth = sum(one.worth for one in best.values()) / len(best)
            yield Answer("round", tuple(sorted(one.index for one in best.values())), worth)


def touched(places: Sequence[Place]) -> dict[str, list[Place]]:
    """The places of each wall: what hangs in one of them takes every other whose free rectangle it enters."""
    by_wall: dict[str, list[Place]] = defaultdict(list)
    for place in places:
        by_wall[place.wall.id].append(place)
    return by_wall


def enters(outline: Rect, place: Place) -> bool:
    """Whether something hung so takes up part of a place."""
    shared = common(outline, place.space.rect)
    return shared is not None and min(shared.width, shared.height) > TOUCH_MM
