"""What the client sees: each wall as in a printed catalogue: photograph, elevation, and a sentence."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from placements.drawings import SCREEN, Elevation, Manner, draw_elevation
from placements.engine.house import Wall as DrawnWall
from placements.engine.rulebook import Rulebook
from placements.models import ClientAnswer, Photo, Placement
from studio.models import Room, Wall
from studio.units import Units

from .drawn import PictureUrl, drawn_piece, drawn_wall
from .plainly import Reach, arrangements

#: The drawing as a client looks at it: no strings, no flags, little margin.
CATALOGUE: Manner = dataclasses.replace(SCREEN, name="catalogue", strings=False, left=12, right=12, top=8, bottom=16)


@dataclass(frozen=True, slots=True)
class Caption:
    number: str
    title: str
    maker: str
    size: str


@dataclass(frozen=True, slots=True)
class Group:
    """What hangs as one, and why it hangs there, in words without measures."""

    captions: tuple[Caption, ...]
    why: str


#: Where a photograph is: it, `taken` or `shown`, and a size.
PhotoUrl = Callable[[Photo, str, str], str]


@dataclass(frozen=True, slots=True)
class ShownPhoto:
    """The client's own photograph and the same with the works in it: where they are, in two sizes and in full."""

    width: int
    height: int
    taken_page: str
    taken_large: str
    shown_page: str
    shown_large: str
    shown_whole: str

    @classmethod
    def of(cls, photo: Photo, url: PhotoUrl) -> ShownPhoto:
        sizes = {f"taken_{alias}": url(photo, "taken", alias) for alias in ("page", "large")}
        sizes |= {f"shown_{alias}": url(photo, "shown", alias) for alias in ("page", "large", "whole")}
        return cls(photo.width_px, photo.height_px, **sizes)


@dataclass(frozen=True, slots=True)
class CatalogueWall:
    wall: Wall
    drawing: SafeString
    groups: tuple[Group, ...]
    bare: tuple[str, ...]
    photo: ShownPhoto | None
    said: tuple[ClientAnswer, ...]

    @property
    def approved(self) -> bool | None:
        """What the client said last, leaving mere remarks aside."""
        return next((answer.approved for answer in self.said if answer.approved is not None), None)


@dataclass(frozen=True, slots=True)
class CatalogueRoom:
    room: Room
    walls: tuple[CatalogueWall, ...]


@dataclass(frozen=True, slots=True)
class Shown:
    """What a presentation is made of: see `placements.selectors.clients`. By wall, `said` the newest first."""

    walls: Sequence[Wall]
    hanging: Mapping[int, Sequence[Placement]]
    bares: Mapping[int, Sequence[str]]
    photos: Mapping[int, Photo]
    said: Mapping[int, Sequence[ClientAnswer]]


def catalogue(
    shown: Shown, units: Units, rulebook: Rulebook, picture_url: PictureUrl, photo_url: PhotoUrl
) -> list[CatalogueRoom]:
    """The rooms in order; walls where something hangs or is left bare on purpose."""
    reach = Reach.of(rulebook)
    rooms: dict[int, tuple[Room, list[CatalogueWall]]] = {}
    for wall in shown.walls:
        hung = list(shown.hanging.get(wall.pk, ()))
        bare = tuple(shown.bares.get(wall.pk, ()))
        if hung or bare:
            drawn = drawn_wall(wall)
            found = CatalogueWall(
                wall,
                _drawing(wall, drawn, hung, units, picture_url),
                _groups(drawn, hung, reach, units),
                bare,
                ShownPhoto.of(shown.photos[wall.pk], photo_url) if wall.pk in shown.photos else None,
                tuple(shown.said.get(wall.pk, ())),
            )
            rooms.setdefault(wall.room_id, (wall.room, []))[1].append(found)
    return [CatalogueRoom(room, tuple(found)) for room, found in rooms.values()]


def _numbers(hung: Sequence[Placement]) -> dict[int, str]:
    """By placement; a piece alone on its wall needs none."""
    return {placement.pk: str(number) if len(hung) > 1 else "" for number, placement in enumerate(hung, 1)}


def _drawing(
    wall: Wall, drawn: DrawnWall, hung: Sequence[Placement], units: Units, picture_url: PictureUrl
) -> SafeString:
    numbers = _numbers(hung)
    pieces = tuple(
        drawn_piece(
            placement.artwork,
            placement.left_mm,
            placement.bottom_mm,
            picture=picture_url(placement.artwork, "page"),
            number=numbers[placement.pk],
            described=units.size(placement.artwork.width_mm, placement.artwork.height_mm),
        )
        for placement in hung
    )
    given = Elevation(drawn, pieces, title=f"{wall.room.name}, {wall.name}")
    # Every text in the drawing is escaped by `placements.drawings`.
    return mark_safe(draw_elevation(given, manner=CATALOGUE, words=units, width=1100, height=720))


def _groups(drawn: DrawnWall, hung: Sequence[Placement], reach: Reach, units: Units) -> tuple[Group, ...]:
    numbers = _numbers(hung)
    return tuple(
        Group(
            tuple(
                Caption(
                    number=numbers[placement.pk],
                    title=placement.artwork.title,
                    maker=placement.artwork.maker,
                    size=units.size(placement.artwork.width_mm, placement.artwork.height_mm),
                )
                for placement in found.placements
            ),
            found.why,
        )
        for found in arrangements(drawn, hung, reach)
    )
