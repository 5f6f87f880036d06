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
    for number, one in enumerate(places):
        rest = [p for p in one.hanging if p.space != one.pairing.space and p.artwork_id != work.pk]
        here = Piece(work, one.pairing.left, one.pairing.bottom)
        notes.append(
            PlaceNote(
                project=one.project,
                wall=one.wall,
                space=one.pairing.space,
                space_name=one.space_name,
                drawing=small_elevation(
                    one.wall,
                    [*rest, here],
                    scale=SCALE,
                    manner=STRIP,
                    picture_url=studio_picture,
                    key=f"best-{number}",
                ),
                score=round(one.pairing.score),
                exceptions=one.pairing.exceptions,
                why=rank_words(one.pairing, most=2),
                taken_by=one.taken_by,
                left_mm=one.pairing.left,
                bottom_mm=one.pairing.bottom,
            )
        )
    return notes
