"""What an elevation is drawn from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from placements.engine.house import Rect, Wall
from placements.engine.results import Level, Space

GuideKind = Literal["eye_line", "span", "clearance", "centre"]


@dataclass(frozen=True, slots=True)
class DrawnPiece:
    """A piece at its place. `rect` is its outer edge with frame [mm].

    `picture` is what an `<image>` can show (an address, a data URI), empty where there is none. `frame` is the
    frame's colour or kind as people write it ("black", "oak", "gilt"); empty or "none" hangs unframed.
    `described` is what a screen reader says after the title: position and findings, in the reader's units.
    `tone` is the picture's leading colour ("#5b7380"), shown where the picture itself is not.
    """

    id: str
    title: str
    rect: Rect
    picture: str = ""
    form: str = "painting"
    frame: str = ""
    frame_mm: float | None = None
    mat_mm: float | None = None
    number: str = ""
    described: str = ""
    locked: bool = False
    tone: str = ""


@dataclass(frozen=True, slots=True)
class Flag:
    """A numbered flag on a leader line, pointing at a part of the wall."""

    number: str
    level: Level
    where: Rect
    text: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A hook point: a small cross with an optional label."""

    x: float
    y: float
    label: str = ""


@dataclass(frozen=True, slots=True)
class Guide:
    """A band to hang by: the eye line, the two-thirds span, the clearance above a bearer, a centre line."""

    kind: GuideKind
    rect: Rect
    label: str = ""


@dataclass(frozen=True, slots=True)
class Running:
    """Running dimensions from one datum: `at` [mm] along x from the wall's left end, or along y from the floor.

    `labels` go with `at`, already set in the reader's units. `edge` is where the string stands: along x "top" or
    "bottom", along y "left" or "right".
    """

    edge: Literal["top", "bottom", "left", "right"]
    at: tuple[float, ...]
    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Under:
    """A picture of the whole wall, square on, that may lie under the drawing. `shown`: it is wanted now."""

    href: str
    shown: bool = False


@dataclass(frozen=True, slots=True)
class Elevation:
    """One wall and what hangs on it.

    `measured` names the pieces that get dimension strings; `inked` the pieces drawn in ink while all else is in
    pencil (None: everything is inked); `selected` the piece, and
    `selected_item` the item, that the reader is working on. `studs` are the middles of studs behind the face [mm].
    """

    wall: Wall
    pieces: tuple[DrawnPiece, ...] = ()
    flags: tuple[Flag, ...] = ()
    spaces: tuple[Space, ...] = ()
    guides: tuple[Guide, ...] = ()
    marks: tuple[Mark, ...] = ()
    running: tuple[Running, ...] = ()
    measured: tuple[str, ...] = ()
    selected: str = ""
    selected_item: str = ""
    inked: frozenset[str] | None = None
    under: Under | None = None
    studs: tuple[float, ...] = ()
    title: str = ""
    described: str = ""
