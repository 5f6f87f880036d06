"""What the engine is told: a house of rooms, walls and items, and the works that may hang there.

Everything is frozen, in millimetres and kilograms, with ids as the survey file or the database gives them.
`House` is checked by whoever builds it (`placements.survey` for files, `placements.scenes` for the database);
`House.validate()` is the last line of defence.
"""

from __future__ import annotations

import dataclasses
import hashlib
import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from .errors import InvalidHouse

#: What an item does to the wall behind or above it, by its kind.
ACTS: Mapping[str, str] = {
    **dict.fromkeys(
        (
            "sofa",
            "bed",
            "console",
            "sideboard",
            "dresser",
            "chest",
            "nightstand",
            "end_table",
            "desk",
            "bench",
            "piano",
            "mantel",
        ),
        "bearer",
    ),
    **dict.fromkeys(
        (
            "window",
            "door",
            "opening",
            "bookcase",
            "cabinet",
            "floor_lamp",
            "tall_plant",
            "sconce",
            "television",
            "niche",
            "shelf",
            "radiator",
            "door_leaf",
        ),
        "bound",
    ),
    "panel": "panel",
    **dict.fromkeys(("wainscot", "chair_rail", "picture_rail"), "line"),
    **dict.fromkeys(("outlet", "switch", "thermostat", "vent", "sprinkler", "alarm"), "service"),
    "statement_light": "statement_light",
    **dict.fromkeys(("table_lamp", "ornament"), "stands"),
}
ITEM_KINDS = (*ACTS, "custom")
#: Two walls meet at a right angle, or look at each other, within this many degrees.
SQUARE_DEG = 15.0
CUSTOM_ACTS = ("bearer", "bound", "service", "ignore")
BUILDS = ("drywall", "plaster", "brick", "concrete", "tile", "timber")
FINISHES = ("paint", "plain_wallpaper", "patterned_wallpaper", "brick", "stone", "tile", "panel_moulding")
FORMS = (
    "painting",
    "print",
    "drawing",
    "photograph",
    "textile",
    "mirror",
    "relief",
    "basket",
    "clock",
    "object",
)
#: How much a wall counts in its room.
IMPORTANCES = ("focal", "secondary", "ordinary")
#: Where a door's hinges are, seen facing its wall; both for a pair of leaves.
HINGES = ("left", "right", "both")
#: Where its leaf stands open: back against its own wall, against the wall that meets it on the side of the hinges,
#: square into the room and against nothing, or out of the room.
OPENS = ("this_wall", "next_wall", "square", "out")
LIGHT_CLASSES = ("robust", "moderate", "sensitive")
ROOM_USES = (
    "living",
    "dining",
    "bedroom",
    "nursery",
    "kitchen",
    "bath",
    "hall",
    "stair",
    "study",
    "media",
    "public_corridor",
    "lobby",
    "office",
    "other",
)


#: Measures nearer than this are the same [mm].
SAME_MM = 0.01
#: Along the wall and above the floor [mm].
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Rect:
    """An upright rectangle in wall coordinates [mm]."""

    left: float
    bottom: float
    width: float
    height: float

    @property
    def right(self) -> float:
        return self.left + self.width

    @property
    def top(self) -> float:
        return self.bottom + self.height

    @property
    def centre_x(self) -> float:
        return self.left + self.width / 2

    @property
    def centre_y(self) -> float:
        return self.bottom + self.height / 2


@dataclass(frozen=True, slots=True)
class Swing:
    """How a door opens: its hinges (`HINGES`), the width of one leaf [mm], and where it stands open (`OPENS`)."""

    hinge: str
    leaf: float
    opens: str


@dataclass(frozen=True, slots=True)
class Item:
    """Something on or against a wall; `left` and `bottom` go to its own lower left corner [mm]."""

    id: str
    kind: str
    left: float
    bottom: float
    width: float
    height: float
    depth: float = 0.0
    view: bool = False
    custom_acts: str | None = None
    label: str = ""
    swing: Swing | None = None

    @property
    def acts(self) -> str:
        """bearer, bound, line, panel, service, statement_light, stands or ignore."""
        return self.custom_acts or "ignore" if self.kind == "custom" else ACTS[self.kind]

    @property
    def rect(self) -> Rect:
        return Rect(self.left, self.bottom, self.width, self.height)

    @property
    def name(self) -> str:
        """What people call it: its label, else its kind."""
        return self.label or self.kind.replace("_", " ")


@dataclass(frozen=True, slots=True)
class Rail:
    """A stair's handrail line on the wall, from one end to the other [mm]."""

    from_x: float
    from_y: float
    to_x: float
    to_y: float


@dataclass(frozen=True, slots=True)
class Studs:
    """Centres of the studs: the first from the wall's left end, then every `spacing` [mm]."""

    first: float
    spacing: float


@dataclass(frozen=True, slots=True)
class Wall:
    """One wall, seen facing it.

    `height` is the greatest from the floor to the ceiling. `ceiling` is the ceiling's line where it is not level:
    points (along the wall, above the floor) [mm] from the left end to the right, two at one place being a step.
    """

    id: str
    room: str
    name: str
    length: float
    height: float
    faces_deg: float | None = None
    build: str = "drywall"
    studs: Studs | None = None
    finish: str = "paint"
    accent: bool = False
    importance: str = "ordinary"
    keep_bare: bool = False
    rail: Rail | None = None
    items: tuple[Item, ...] = ()
    ceiling: tuple[Point, ...] = ()

    @property
    def focal(self) -> bool:
        """Whether the room looks at it."""
        return self.importance == "focal"

    @property
    def knee(self) -> float | None:
        """Height of the knee wall, the low end of a ceiling that is not level [mm]; None where both ends are full."""
        low = min((self.ceiling[0][1], self.ceiling[-1][1]), default=self.height) if self.ceiling else self.height
        return low if low < self.height else None

    def item(self, item_id: str | None) -> Item | None:
        """The item of that id; None where there is none."""
        return next((item for item in self.items if item.id == item_id), None)


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour of a room, as it was given (a name or #rrggbb) and as CIELAB (D65)."""

    name: str
    lab: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Room:
    """A room with its walls.

    `colours` are those of its walls and furnishings, the one that counts most first. `clear_width` is the width of
    the way between its walls, of a corridor [mm]. `around` says that the walls are given clockwise seen from above,
    so that each stands to the right of the one before and the last meets the first.
    """

    id: str
    name: str
    use: str = "other"
    style: str = ""
    walls: tuple[Wall, ...] = ()
    colours: tuple[Colour, ...] = ()
    clear_width: float | None = None
    around: bool = False

    def beside(self, wall: Wall, side: str) -> Wall | None:
        """The wall that meets a wall at its left or right end; None where the survey does not tell.

        By the order of the walls where they are given around the room, else by their bearings: the wall on the right
        looks a quarter turn further round.
        """
        step = 1 if side == "right" else -1
        if self.around and len(self.walls) > 2:
            at = [wall.id for wall in self.walls].index(wall.id)
            return self.walls[(at + step) % len(self.walls)]
        return self._looking(wall, 90.0 * step)

    def opposite(self, wall: Wall) -> Wall | None:
        """The wall that looks back at a wall; None where the survey does not tell: a room of four given around, or
        by bearings."""
        if self.around and len(self.walls) == 4:
            return self.walls[([wall.id for wall in self.walls].index(wall.id) + 2) % 4]
        return self._looking(wall, 180.0)

    def first_seen(self) -> tuple[Wall, ...]:
        """The walls opposite a door or an opening, each once: what is seen on coming in. Empty where not told."""
        entered = [wall for wall in self.walls if any(item.kind in ("door", "opening") for item in wall.items)]
        seen = {wall.id: wall for wall in map(self.opposite, entered) if wall is not None}
        return tuple(seen.values())

    def _looking(self, wall: Wall, turned: float) -> Wall | None:
        """The only wall that looks so many degrees further round than a wall."""
        if wall.faces_deg is None:
            return None
        known = [(one, one.faces_deg) for one in self.walls if one.id != wall.id and one.faces_deg is not None]
        found = [one for one, faces in known if abs((faces - wall.faces_deg - turned + 180) % 360 - 180) <= SQUARE_DEG]
        return found[0] if len(found) == 1 else None


@dataclass(frozen=True, slots=True)
class Hardware:
    """How a piece hangs. `inset`, `below_top`, `length`, `spacing` in mm; those that do not apply are None, and a piece
    that stands on an easel or leans has its top edge for `below_top`.
    """

    kind: str
    below_top: float = 0.0
    inset: float | None = None
    length: float | None = None
    spacing: float | None = None


@dataclass(frozen=True, slots=True)
class Hung:
    """Where a piece hangs today: the wall and the piece's lower left corner [mm]."""

    wall: str
    left: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Work:
    """A piece of art, by its outer size with frame [mm].

    `palette_lab` holds the dominant colours of its picture as CIELAB (D65) triples, the most frequent first,
    empty when there is no picture. `locked` is the id of the space, wall or room where the designer fixed it.
    """

    id: str
    title: str
    width: float
    height: float
    depth: float = 0.0
    maker: str = ""
    form: str = "painting"
    weight_kg: float | None = None
    frame: str = ""
    themes: tuple[str, ...] = ()
    glazed: bool = False
    light: str = "moderate"
    hang: Hardware | None = None
    set_name: str | None = None
    locked: str | None = None
    hung: Hung | None = None
    palette_lab: tuple[tuple[float, float, float], ...] = ()


@dataclass(frozen=True)
class House:
    """One project's walls and the works that may hang on them.

    `house_rules` maps rule name -> limit name -> value in the limit's own unit and holds only what differs from
    the defaults. `apart` lists pairs of work ids that must not share a room.
    """

    rooms: tuple[Room, ...]
    works: tuple[Work, ...] = ()
    house_rules: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    apart: tuple[tuple[str, str], ...] = ()
    latitude: float | None = None
    longitude: float | None = None
    time_zone: str | None = None

    @cached_property
    def fingerprint(self) -> str:
        """SHA-256 of all that it holds."""
        return hashlib.sha256(repr(self).encode()).hexdigest()

    def walls(self) -> Iterator[tuple[Room, Wall]]:
        """Every wall with its room, in room order, as art meets it: with the door leaves that stand open against it
        among its items. `rooms` holds the walls as surveyed."""
        for room in self.rooms:
            leaves = _leaves(room)
            for wall in room.walls:
                here = leaves.get(wall.id)
                yield room, dataclasses.replace(wall, items=(*wall.items, *here)) if here else wall

    @cached_property
    def wall_by_id(self) -> Mapping[str, Wall]:
        return {wall.id: wall for _, wall in self.walls()}

    @cached_property
    def room_by_id(self) -> Mapping[str, Room]:
        return {room.id: room for room in self.rooms}

    @cached_property
    def work_by_id(self) -> Mapping[str, Work]:
        return {work.id: work for work in self.works}

    def validate(self) -> None:
        """Check ids and sizes.

        Raises:
            InvalidHouse: listing every fault found, not only the first.
        """
        faults = []
        wall_ids = [wall.id for _, wall in self.walls()]
        for what, ids in (
            ("room", [room.id for room in self.rooms]),
            ("wall", wall_ids),
            ("work", [work.id for work in self.works]),
        ):
            faults += [f"{what} id {one!r} is used twice" for one in sorted({i for i in ids if ids.count(i) > 1})]
        for _, wall in self.walls():
            if not (wall.length > 0 and wall.height > 0):
                faults.append(f"wall {wall.id!r} needs a length and a height above zero")
            faults += [
                f"item {item.id!r} on wall {wall.id!r} needs a width and a height above zero"
                for item in wall.items
                if not (item.width > 0 and item.height > 0)
            ]
            fault = ceiling_fault(wall.ceiling, wall.length, wall.height)
            if fault:
                faults.append(f"the ceiling of wall {wall.id!r} is wrong: {fault}")
        for work in self.works:
            if not (work.width > 0 and work.height > 0):
                faults.append(f"work {work.id!r} needs a width and a height above zero")
            if work.hung and work.hung.wall not in wall_ids:
                faults.append(f"work {work.id!r} hangs on unknown wall {work.hung.wall!r}")
        if faults:
            raise InvalidHouse("; ".join(faults))


def ceiling_fault(ceiling: Sequence[Point], length: float, height: float) -> str:
    """What is wrong with a ceiling's line on a wall of this size [mm], as what was expected; empty where nothing is."""
    if not ceiling:
        return ""
    across = [x for x, _ in ceiling]
    if len(ceiling) < 2 or abs(across[0]) > SAME_MM or abs(across[-1] - length) > SAME_MM:
        return "the line begins at the wall's left end, at 0, and ends at its right end, at the wall's length"
    if any(after < before for before, after in itertools.pairwise(across)):
        return "the points go from left to right"
    if any(one == two == three for one, two, three in zip(across, across[1:], across[2:], strict=False)):
        return "at most two points stand at one place along the wall: a step"
    if min(y for _, y in ceiling) <= 0:
        return "every height is above zero"
    if abs(max(y for _, y in ceiling) - height) > SAME_MM:
        return "the highest point is the wall's height"
    return ""


def _leaves(room: Room) -> dict[str, list[Item]]:
    """Wall id -> the door leaves of the room that stand open against it, each as an item."""
    found: dict[str, list[Item]] = {}
    for wall in room.walls:
        for door in wall.items:
            swing = door.swing
            if swing is None or swing.opens not in ("this_wall", "next_wall"):
                continue
            for side in ("left", "right") if swing.hinge == "both" else (swing.hinge,):
                against = wall if swing.opens == "this_wall" else room.beside(wall, side)
                if against is not None:
                    found.setdefault(against.id, []).append(_leaf(wall, door, swing, side, against))
    return found


def _leaf(wall: Wall, door: Item, swing: Swing, side: str, against: Wall) -> Item:
    """A door's leaf where it stands open, hinged on one side.

    What the door is wider than its leaves is casing, equal on both sides and above.
    """
    casing = max(door.width - swing.leaf * (2 if swing.hinge == "both" else 1), 0.0) / 2
    if against is not wall:
        left = against.length - swing.leaf if side == "left" else 0.0
    else:
        left = door.left + casing - swing.leaf if side == "left" else door.rect.right - casing
    high = max(door.height - casing, 1.0)
    return Item(f"{wall.id}-{door.id}-{side}", "door_leaf", left, door.bottom, swing.leaf, high, label="open door")
