"""What the engine answers: spaces, pairings, arrangements, findings and remedies, all frozen, all in mm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, Protocol

from .house import Rect

Level = Literal["note", "exception", "stop"]
SpaceKind = Literal["over_furniture", "open_wall", "panel", "stair"]
StandKind = Literal["niche", "shelf", "mantel", "furniture"]
Shape = Literal["landscape", "portrait", "square"]
Advice = Literal["hang", "optional", "leave_bare"]
ArrangementKind = Literal["single", "group", "bare"]
RemedyKind = Literal["stack", "lean", "replace", "reframe", "move", "group", "leave_bare"]


class Words(Protocol):
    """Sets quantities in the reader's units. `studio.units.Units` is the real one; `PlainWords` the engine's own."""

    def length(self, mm: float) -> str: ...

    def band(self, low_mm: float, high_mm: float) -> str: ...

    def size(self, width_mm: float, height_mm: float) -> str: ...

    def weight(self, kg: float) -> str: ...


@dataclass(frozen=True, slots=True)
class PlainWords:
    """Millimetres and kilograms, for tests and tools."""

    def length(self, mm: float) -> str:
        return f"{mm:.0f} mm"

    def band(self, low_mm: float, high_mm: float) -> str:
        return f"{low_mm:.0f}–{high_mm:.0f} mm"

    def size(self, width_mm: float, height_mm: float) -> str:
        return f"{width_mm:.0f} × {height_mm:.0f} mm"

    def weight(self, kg: float) -> str:
        return f"{kg:.1f} kg"


@dataclass(frozen=True, slots=True)
class Reason:
    rule: str
    text: str


@dataclass(frozen=True, slots=True)
class Ideal:
    """The size a piece would need in a space [mm], lowest to highest."""

    width: tuple[float, float]
    height: tuple[float, float]
    shape: Shape


@dataclass(frozen=True, slots=True)
class Space:
    """A free stretch of wall where art can hang.

    `id` is stable: it is made of the wall's id and what defines the space (its bearer, its panel, or its place),
    so that a small edit elsewhere on the wall keeps it.
    `width_basis` [mm] is what the two-thirds rule measures against: the bearer's length, or the free stretch where
    bounds cut it.
    `beyond` is the free rectangle of an over-furniture space where the wall beside the furniture is open: `rect`,
    the stretch over the furniture, spread sideways as far as art may hang. None where it ends with `rect`.

    Two spaces may share wall: the wall beside a console is a stretch of its own, and what hangs over the console may
    reach into it. `spaces.overlap` tells what two spaces share. A plan fills each stretch of wall once: it may hang
    in both only if what hangs in the one stays out of the other's `rect`.
    """

    id: str
    room: str
    wall: str
    kind: SpaceKind
    over: str | None
    rect: Rect
    shape: Shape
    advice: Advice
    reasons: tuple[Reason, ...]
    ideal: Ideal
    width_basis: float
    name: str = ""
    beyond: Rect | None = None

    @property
    def reach(self) -> Rect:
        """Where art may hang: the free rectangle with what lies beyond the furniture."""
        return self.beyond or self.rect


@dataclass(frozen=True, slots=True)
class Stand:
    """A place where a thing stands: in a niche, on a shelf, a mantel or a piece of furniture.

    `rect` [mm] is the free place, seen facing the wall; a thing stands on its lower edge. `depth` [mm] is how far what
    it stands on reaches into the room (or the wall), 0 where that is not known. `on` is the item's id.
    """

    id: str
    room: str
    wall: str
    kind: StandKind
    on: str
    rect: Rect
    depth: float
    name: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule's remark on what hangs (or would hang) at a place.

    `measured`, `low` and `high` are in `unit` ("mm", "ratio", "kg", "N", "lux_h", "deg", "count"), None where the
    rule measures nothing. `where` is the part of the wall that a flag should point to. `limit` names the number of the
    rule that is missed, "" where no single number would allow it.
    """

    rule: str
    level: Level
    text: str
    wall: str
    works: tuple[str, ...] = ()
    space: str | None = None
    measured: float | None = None
    low: float | None = None
    high: float | None = None
    unit: str = ""
    where: Rect | None = None
    limit: str = ""


@dataclass(frozen=True, slots=True)
class Hanging:
    """A piece at its place: `left` and `bottom` of its outer edge [mm], `order` of hanging from 1."""

    work: str
    wall: str
    left: float
    bottom: float
    order: int = 1


@dataclass(frozen=True, slots=True)
class Brief:
    """The piece to look for: its size range [mm], shape and character."""

    width: tuple[float, float]
    height: tuple[float, float]
    shape: Shape
    character: str
    text: str


@dataclass(frozen=True, slots=True)
class Remedy:
    """A concrete remedy for a finding, ready to apply.

    `hangings` is the whole resulting arrangement of the space where the remedy places pieces; `moves_to` the
    space to which the replaced or moved piece goes; `brief` the size to buy or frame where nothing in the
    inventory serves; `corrects` names the rules that are broken now and would then hold; `gain` the change in the
    plan's score that the remedy would bring (0–100 scale of one space).
    """

    kind: RemedyKind
    text: str
    work: str | None = None
    hangings: tuple[Hanging, ...] = ()
    moves_to: str | None = None
    brief: Brief | None = None
    gain: float = 0.0
    corrects: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Pairing:
    """One work in one space at its best position. `terms` maps each rule that applies to its score in 0–1."""

    space: str
    work: str
    fits: bool
    score: float
    terms: Mapping[str, float]
    left: float
    bottom: float
    centre_height: float
    clearance: float | None
    gave_way: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    why: str = ""

    @property
    def exceptions(self) -> int:
        """How many exceptions it would ask for: by these it may rank behind a lower score."""
        return sum(finding.level == "exception" for finding in self.findings)


@dataclass(frozen=True, slots=True)
class Arrangement:
    """What a plan hangs in one space (or leaves bare); `usual` says which of the studio's habits it follows there."""

    space: str
    wall: str
    kind: ArrangementKind
    pieces: tuple[Hanging, ...]
    score: float
    terms: Mapping[str, float] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    why: str = ""
    usual: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Mark:
    """One thing that a hanging gains or loses by, in points; `name` is what the eye sees, `text` says more of it.

    `wall` is empty for what lies between walls or rooms.
    """

    name: str
    points: float
    text: str
    wall: str
    works: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Appraisal:
    """What a hanging is worth, in points, and by which marks."""

    points: float
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Audit:
    """A piece that hangs today, judged as it hangs."""

    work: str
    wall: str
    score: float
    findings: tuple[Finding, ...]
    remedies: tuple[Remedy, ...]


@dataclass(frozen=True, slots=True)
class Unplaced:
    work: str
    why: str


@dataclass(frozen=True, slots=True)
class Optimality:
    """How far from the best possible plan this one can be at most: `gap` = (bound - objective) / |bound|.

    Both are over compositions each by itself, less what parting works of one look costs; what a plan then gives up so
    that its rooms hang better together, at most a point a work, is in neither. `taste` is what of both is the studio's
    taste, where a plan was ranked by it.
    """

    objective: float
    bound: float
    gap: float
    seconds: float
    taste: float = 0.0


@dataclass(frozen=True, slots=True)
class Proposal:
    spaces: tuple[Space, ...]
    pairings: tuple[Pairing, ...]
    plan: tuple[Arrangement, ...]
    audit: tuple[Audit, ...]
    unplaced: tuple[Unplaced, ...]
    optimality: Optimality
    briefs: Mapping[str, Brief] = field(default_factory=dict)
    alternatives: tuple[tuple[Arrangement, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Assessment:
    """A wall as it is in a plan: every arrangement on it judged, with the wall's findings in reading order.

    `stands` are those that hold something; an arrangement of what stands there has a stand's id for its space.
    """

    wall: str
    spaces: tuple[Space, ...]
    arrangements: tuple[Arrangement, ...]
    findings: tuple[Finding, ...]
    stands: tuple[Stand, ...] = ()
