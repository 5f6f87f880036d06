"""The ledger of projects and one project's room-by-room page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString

from placements.drawings import STRIP
from placements.models import Placement, RevisionState
from placements.selectors.projects import Standing
from studio.models import Artwork, Room, Wall

from .drawn import PictureUrl, small_elevation, studio_picture, tone_of

#: Drawing units a millimetre: every wall of every project to one scale, so that they compare.
LEDGER_SCALE = 0.02
ROOM_SCALE = 0.055

#: Who has to move next, by the state of the newest revision.
WAITS = {
    None: "the designer: nothing proposed yet",
    RevisionState.DRAFT: "the designer",
    RevisionState.IN_REVIEW: "the principal",
    RevisionState.SIGNED: "the coordinator, to issue it",
    RevisionState.ISSUED: "the hanger",
    RevisionState.HUNG: "the coordinator, to close it",
    RevisionState.CLOSED: "nobody",
}


@dataclass(frozen=True, slots=True)
class WallStrip:
    """A wall in small, with what its caption says."""

    wall: Wall
    drawing: SafeString
    pieces: int
    exceptions: int = 0
    bare: bool = False
    hung: tuple[Placement, ...] = ()


@dataclass(frozen=True, slots=True)
class StandingLine:
    """How far a project is, and whom it waits for."""

    row: Standing
    waits: str


@dataclass(frozen=True, slots=True)
class RoomStrip:
    room: Room
    walls: tuple[WallStrip, ...]


@dataclass(frozen=True, slots=True)
class ShelfWork:
    """A work that hangs nowhere, on the shelf at the same scale as the others there."""

    work: Artwork
    picture: str
    tone: str
    width: int
    height: int


MOST_STRIPS = 10


def standing_line(row: Standing) -> StandingLine:
    return StandingLine(row, waits_for(row))


def ledger_strips(walls: Iterable[Wall], hanging: Mapping[int, Sequence[Placement]]) -> list[WallStrip]:
    """Walls in small, for one line of the ledger."""
    return [
        WallStrip(
            wall, small_elevation(wall, hanging.get(wall.pk, ()), scale=LEDGER_SCALE), len(hanging.get(wall.pk, ()))
        )
        for wall in walls
    ]


def waits_for(row: Standing) -> str:
    return WAITS[RevisionState(row.revision.state) if row.revision else None]


def room_strips(
    rooms: Iterable[tuple[Room, Sequence[Wall]]],
    hanging: dict[int, list[Placement]],
    *,
    asking: dict[int, int] | None = None,
    bare: frozenset[int] = frozenset(),
    picture_url: PictureUrl = studio_picture,
    scale: float = ROOM_SCALE,
) -> list[RoomStrip]:
    """Every room unrolled along its floor line; all walls of the project at one scale."""
    return [
        RoomStrip(
            room,
            tuple(
                WallStrip(
                    wall,
                    small_elevation(wall, hanging.get(wall.pk, ()), scale=scale, manner=STRIP, picture_url=picture_url),
                    len(hanging.get(wall.pk, ())),
                    (asking or {}).get(wall.pk, 0),
                    wall.pk in bare,
                    tuple(hanging.get(wall.pk, ())),
                )
                for wall in walls
            ),
        )
        for room, walls in rooms
    ]


def shelf(works: Sequence[Artwork], *, highest: int = 110) -> list[ShelfWork]:
    """The unplaced works at one scale, standing on a shelf."""
    tallest = max((work.height_mm for work in works), default=1.0)
    scale = highest / tallest
    return [
        ShelfWork(
            work,
            studio_picture(work, "strip"),
            tone_of(work),
            max(round(work.width_mm * scale), 8),
            max(round(work.height_mm * scale), 8),
        )
        for work in works
    ]
