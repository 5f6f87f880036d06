"""A work's best places as a page shows them: the wall drawn with the work in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString

from placements.drawings import STRIP
from placements.pieces import Piece
from placements.selectors.best import BestPlace
from studio.models import Artwork, Project, Wall
from studio.units import Units

from .drawn import small_elevation, studio_picture
from .wall import rank_words

SCALE = 0.07


@dataclass(frozen=True, slots=True)
class PlaceNote:
    project: Project
    wall: Wall
    space: str
    space_name: str
    drawing: SafeString
    score: int
    exceptions: int
    why: str
    taken_by: tuple[str, ...]
    left_mm: float
    bottom_mm: float


def place_notes(work: Artwork, places: Sequence[BestPlace], units: Units) -> list[PlaceNote]:
    notes = []
    for number, place in enumerate(places):
        rest = [p for p in place.hanging if p.space != place.pairing.space and p.artwork_id != work.pk]
        here = Piece(work, place.pairing.left, place.pairing.bottom)
        notes.append(
            PlaceNote(
                project=place.project,
                wall=place.wall,
                space=place.pairing.space,
                space_name=place.space_name,
                drawing=small_elevation(
                    place.wall,
                    [*rest, here],
                    scale=SCALE,
                    manner=STRIP,
                    picture_url=studio_picture,
                    key=f"best-{number}",
                ),
                score=round(place.pairing.score),
                exceptions=place.pairing.exceptions,
                why=rank_words(place.pairing, most=2),
                taken_by=place.taken_by,
                left_mm=place.pairing.left,
                bottom_mm=place.pairing.bottom,
            )
        )
    return notes
