"""What hangers' photographs tell of the pieces of a plan, newest first."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Prefetch

from placements.engine.results import Words
from placements.engine.tolerances import Tolerances
from placements.models import MarkState, Photo, PhotoMark, Placement, Revision, RunState
from placements.photogrammetry.errors import reworded
from placements.snapshots import tolerances_of

from .measured import compared_marks, measured

NOT_SEEN = "its frame was not found in the photograph: take it again, with all of the piece and the card in view"


@dataclass(frozen=True, slots=True)
class HungReading:
    """A piece by a photograph. `conclusive` is False where the photograph is too coarse, or not measured yet."""

    placement: int
    photo: int
    text: str
    conclusive: bool = False
    off: bool = False
    waiting: bool = False


def hung_readings(revision: Revision, words: Words) -> dict[int, HungReading]:
    """The newest reading of each piece that was photographed as hung, by placement: three queries."""
    marks = PhotoMark.objects.select_related("artwork")
    photos = (
        Photo.objects.filter(placement__revision=revision)
        .select_related("placement")
        .prefetch_related(Prefetch("marks", queryset=marks))
        .order_by("pk")
    )
    if not photos:
        return {}
    planned = list(revision.placements.select_related("artwork"))
    tolerances = tolerances_of(revision)
    found: dict[int, HungReading] = {}
    for photo in photos:
        here = [plan for plan in planned if plan.wall_id == photo.wall_id]
        for reading in readings_of(photo, words, here, tolerances):
            found[reading.placement] = reading
    return found


def readings_of(
    photo: Photo, words: Words, planned: list[Placement] | None = None, tolerances: Tolerances | None = None
) -> list[HungReading]:
    """What a hanger's photograph says of the piece that it was taken of, and of others that are surely in it."""
    taken_of = photo.placement
    if taken_of is None:
        return []
    if photo.state in (RunState.QUEUED, RunState.RUNNING):
        return [HungReading(taken_of.pk, photo.pk, "being measured", waiting=True)]
    if photo.state == RunState.FAILED:
        return [HungReading(taken_of.pk, photo.pk, f"not measured. {reworded(photo.error, words)}")]
    if planned is None:
        planned = list(taken_of.revision.placements.filter(wall=photo.wall_id).select_related("artwork"))
    accepted = [measured(photo, mark) for mark in photo.marks.all() if mark.state == MarkState.ACCEPTED]
    readings = [
        HungReading(
            mark.placement.pk, photo.pk, mark.text, mark.conclusive, mark.conclusive and not mark.compared.within
        )
        for mark in compared_marks(accepted, planned, words, tolerances or tolerances_of(taken_of.revision))
    ]
    if taken_of.pk not in {reading.placement for reading in readings}:
        readings.append(HungReading(taken_of.pk, photo.pk, NOT_SEEN))
    return readings
