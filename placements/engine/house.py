"""What the engine is told: a house of rooms, walls and items, and the works that may hang there.

Everything is frozen, in millimetres and kilograms, with ids as the survey file or the database gives them.
`House` is checked by whoever builds it (`placements.survey` for files, `placements.scenes` for the database);
`House.validate()` is the last line of defence.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
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
            "radiator",
        ),
        "bound",
    ),
    "panel": "panel",
    **dict.fromkeys(("outlet", "switch", "thermostat", "vent", "sprinkler", "alarm"), "service"),
    "statement_light": "statement_light",
    **dict.fromkeys(("table_lamp", "ornament"), "stands"),
}
ITEM_KINDS = (*ACTS, "custom")
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

    @property
    def acts(self) -> str:
        """bearer, bound, panel, service, statement_light, stands or ignore."""
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
    focal: bool = False
    keep_bare: bool = False
    rail: Rail | None = None
    items: tuple[Item, ...] = ()

    def item(self, item_id: str | None) -> Item | None:
        """The item of that id; None where there is none."""
        return next((one for one in self.items if one.id == item_id), None)


@dataclass(frozen=True, slots=True)
class Room:
    id: str
    name: str
    use: str = "other"
    style: str = ""
    walls: tuple[Wall, ...] = ()


@dataclass(frozen=True, slots=True)
class Hardware:
    """How a piece hangs. `inset`, `below_top`, `length`, `spacing` in mm; those that do not apply are None."""

    kind: str
    below_top: float
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

    def walls(self) -> Iterator[tuple[Room, Wall]]:
        """Every wall with its room, in room order."""
        for room in self.rooms:
            for wall in room.walls:
                yield room, wall

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
        for work in self.works:
            if not (work.width > 0 and work.height > 0):
                faults.append(f"work {work.id!r} needs a width and a height above zero")
            if work.hung and work.hung.wall not in wall_ids:
                faults.append(f"work {work.id!r} hangs on unknown wall {work.hung.wall!r}")
        if faults:
            raise InvalidHouse("; ".join(faults))
