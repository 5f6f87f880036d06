"""What a hanger's photograph shows by itself: which pieces are in it, and who is notified of one that is off."""

from __future__ import annotations

import numpy as np
from django.urls import reverse
from scipy.optimize import linear_sum_assignment

from placements.models import MarkState, Photo, Placement
from placements.photogrammetry.matching import RECORDED_MM, TOO_FAR
from placements.selectors.photos.hung import readings_of
from placements.selectors.photos.measured import Measured, measured_marks
from studio.models import Role
from studio.reader import units_of

from ..notices import notice_send, people_with

#: A frame farther than this from where a piece is planned is another piece, or hangs elsewhere [mm].
REACH_MM = 250.0


def match_to_plan(photo: Photo, taken_of: Placement) -> None:
    """Frames that wait for a yes are what the plan hangs there, by place and size.

    The frame of the piece that the photograph was taken of is accepted: its hanger said so. The others still wait.
    """
    answered = set(photo.marks.exclude(state=MarkState.OFFERED).values_list("artwork_id", flat=True))
    planned = [
        placement
        for placement in taken_of.revision.placements.filter(wall=photo.wall).select_related("artwork")
        if placement.artwork_id not in answered
    ]
    waiting = [
        measured for measured in measured_marks(photo, accepted=False) if measured.mark.state == MarkState.OFFERED
    ]
    for measured in waiting:
        measured.mark.artwork, measured.mark.rivals = None, []
    if waiting and planned:
        away = np.array([[_away(measured, plan) for plan in planned] for measured in waiting])
        for row, column in zip(*linear_sum_assignment(np.minimum(away, 10 * REACH_MM)), strict=True):
            if away[row, column] <= REACH_MM:
                mark, plan = waiting[row].mark, planned[column]
                mark.artwork = plan.artwork
                if plan.pk == taken_of.pk:
                    mark.state = MarkState.ACCEPTED
    for one in waiting:
        one.mark.save(update_fields=["artwork", "rivals", "state", "updated_at"])


def _away(measured: Measured, plan: Placement) -> float:
    """How far a frame's middle is from a piece's planned one [mm]; infinite where it has another size."""
    work = plan.artwork
    sd = float(np.hypot((measured.mark.error_mm or 0.0) / 2.5 * np.sqrt(2), RECORDED_MM))
    if max(abs(measured.rect.width - work.width_mm), abs(measured.rect.height - work.height_mm)) > TOO_FAR * sd:
        return float("inf")
    across = measured.rect.centre_x - (plan.left_mm + work.width_mm / 2)
    return float(np.hypot(across, measured.rect.centre_y - (plan.bottom_mm + work.height_mm / 2)))


def tell_designers(photo: Photo, taken_of: Placement) -> None:
    """A line in the designer's inbox when the piece surely hangs off its plan."""
    project = photo.wall.room.project
    own = next((reading for reading in readings_of(photo, units_of(project)) if reading.placement == taken_of.pk), None)
    if own is None or not own.off:
        return
    studio = project.client.studio
    people = [project.designer] if project.designer else people_with(studio=studio, roles=[Role.DESIGNER])
    text = f"{project}: {taken_of.artwork.title} hangs off its plan by photograph: {own.text}"
    notice_send(studio=studio, to=people, text=text, url=reverse("photo", args=[photo.pk]))
