"""Measuring photographs in the background, and anew whenever something is corrected.

How a photograph is claimed, held, tried again and given up is in `studio.background`. Nothing that was found counts
before somebody said yes to it.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import cv2
import numpy as np
from django.db import transaction

from placements import scenes
from placements.engine.results import Words
from placements.models import MarkState, Photo, PhotoMark
from placements.photogrammetry.depth import Relief, corners_of, on_plane
from placements.photogrammetry.errors import PhotoError
from placements.photogrammetry.level import by_card, by_corners, stated_by_card, stated_by_corners
from placements.photogrammetry.matching import match, picture_palette
from placements.photogrammetry.reading import Reading, read_photo
from placements.photogrammetry.solve import Fit, plus_minus
from placements.selectors.photos.measured import (
    depths_of_rivals,
    known_of,
    pixels_of,
    relief_of,
    resolved,
    shared_depth,
)
from studio.background import Failure, Failures, Hold, Impossible, WorkKind
from studio.errors import Invalid

from .hung import match_to_plan, tell_designers

_ANOTHER = "Add it again, or take another; if that fails too, tell whoever runs the site."
PHOTOGRAPHS = WorkKind(
    Photo,
    wake="placements.tasks.photo_wake",
    lease="RUN_LEASE_SECONDS",
    related=("wall__room__project__client__studio",),
    failures=Failures(
        full_disk=Failure("The disk for photographs is full.", "Free some space, then add it again."),
        no_storage=Failure("The file store for photographs did not answer.", "Add it again in a while."),
        broken=Failure("Something went wrong while measuring this photograph.", _ANOTHER),
        slow=Failure("Measuring this photograph took too long, so it was stopped.", _ANOTHER),
        died=Failure("The worker stopped {count} times while measuring this photograph.", _ANOTHER),
    ),
)


def photo_work(*, photo_id: int | None = None) -> Photo | None:
    """Measure this photograph, or the one that is due next; None when none is due, or it was taken away meanwhile."""
    return PHOTOGRAPHS.work(measure, photo_id)


def measure(photo: Photo, hold: Hold[Photo]) -> None:
    """Measure a claimed photograph and store what it offers.

    Raises:
        Impossible: nothing can be measured in it; says why. Lost: another worker has it.
    """
    try:
        reading, marks = _measured(photo, hold)
        _store(photo, hold, reading, marks)
    except PhotoError as refusal:
        raise Impossible(refusal.kept()) from refusal


def _measured(photo: Photo, hold: Hold[Photo]) -> tuple[Reading, list[PhotoMark]]:
    pixels = pixels_of(photo)
    reading = read_photo(
        pixels,
        focal_ratio=photo.focal_ratio,
        ruler_mm=photo.ruler_mm,
        known=known_of(photo),
        progress=lambda share: hold.progress(round(0.9 * share, 2)),
    )
    scene = scenes.scene_of(photo.wall.room.project)
    palettes = [picture_palette(pixels, reading.fit, candidate) for candidate in reading.candidates]
    matched = {one.candidate: one for one in match(reading.candidates, scene.house.works, palettes)}
    marks = []
    lab = np.asarray(cv2.cvtColor(pixels, cv2.COLOR_BGR2LAB), np.uint8)
    for index, candidate in enumerate(reading.candidates):
        found = matched.get(index)
        which = (found.work, *found.rivals) if found else ()
        depth_mm = shared_depth([scene.house.work_by_id[one].depth for one in which]) if which else 0.0
        if depth_mm > 0:
            candidate = candidate.in_relief(lab, reading.fit, depth_mm)
        marks.append(
            PhotoMark(
                photo=photo,
                corners_px=np.round(candidate.pixels, 3).tolist(),
                corners_mm=np.round(candidate.plane, 3).tolist(),
                error_mm=round(float(plus_minus(candidate.covariance).max()), 3),
                sigma_px=candidate.sigma_px,
                relief=asdict(candidate.relief),
                artwork_id=scene.work_pk[found.work] if found else None,
                rivals=[scene.work_pk[rival] for rival in found.rivals] if found else [],
                found=True,
            )
        )
    return reading, marks


@transaction.atomic
def _store(photo: Photo, hold: Hold[Photo], reading: Reading, marks: list[PhotoMark]) -> None:
    """The reading and its offers, if the row is still this worker's; what people drew or answered stays."""
    fit = reading.fit
    hold.finish(
        camera=fit.camera.tolist(),
        covariance=fit.covariance.tolist(),
        misfit_px=fit.misfit_px,
        cards=[
            {
                "paper": card.card.paper,
                "number": card.card.number,
                "places": list(card.places),
                "pixels": card.pixels.tolist(),
            }
            for card in reading.cards
        ],
    )
    photo.refresh_from_db()
    photo.marks.filter(found=True, state=MarkState.OFFERED).delete()
    answered = [np.array(mark.corners_px).mean(axis=0) for mark in photo.marks.all()]
    fresh = [
        mark
        for mark in marks
        if all(np.hypot(*(np.array(mark.corners_px).mean(axis=0) - middle)) > 20 for middle in answered)
    ]
    PhotoMark.objects.bulk_create(fresh)
    _measure_again(photo)
    if photo.placement is not None:
        match_to_plan(photo, photo.placement)
        tell_designers(photo, photo.placement)


def measure_again(photo: Photo, words: Words) -> None:
    """Solve the photograph anew by everything that is known of it now, and measure every mark by that.

    Raises:
        Invalid: what was marked or taped contradicts the rest.
    """
    try:
        _measure_again(photo)
    except PhotoError as refusal:
        raise Invalid(refusal.worded(words)) from refusal


def _measure_again(photo: Photo) -> None:
    marks = list(photo.marks.select_related("artwork"))
    fit = resolved(photo, marks)
    photo.camera, photo.covariance = fit.camera.tolist(), fit.covariance.tolist()
    photo.misfit_px = fit.misfit_px
    photo.level = _levelled(photo, fit)
    photo.save(update_fields=["camera", "covariance", "misfit_px", "level", "updated_at"])
    depths = depths_of_rivals(marks)
    for mark in marks:
        _measure_mark(mark, fit, photo.level, relief_of(mark, depths))
    PhotoMark.objects.bulk_update(marks, ["corners_mm", "error_mm", "wall_error_mm", "middle_error_mm"])


def _levelled(photo: Photo, fit: Fit) -> dict[str, Any] | None:
    """Where the wall is in the plane now, by how it was marked; None where that no longer says."""
    how = photo.level
    if not how or ("left_mm" in how and not photo.cards):
        return None
    if "left_mm" in how:
        level = by_card(how["left_mm"], how["bottom_mm"])
        marked = {name: how[name] for name in ("left_mm", "bottom_mm")}
    else:
        level = by_corners(fit, np.array([how["left_px"], how["right_px"]], float))
        marked = {name: how[name] for name in ("left_px", "right_px")}
    return marked | {"x": level.x, "y": level.y, "turn": level.turn}


def _measure_mark(mark: PhotoMark, fit: Fit, level: dict[str, Any] | None, relief: Relief) -> None:
    pixels = np.array(mark.corners_px, float)
    seen, covariance = fit.measure(pixels, mark.sigma_px)
    plane, by_relief = on_plane(fit.camera, seen, relief)
    mark.corners_mm = np.round(plane, 3).tolist()
    mark.error_mm = round(float(plus_minus(covariance + corners_of(by_relief)).max()), 3)
    mark.wall_error_mm = mark.middle_error_mm = None
    if level is not None:
        if "left_px" in level:
            ends = np.array([level["left_px"], level["right_px"]], float)
            stated = stated_by_corners(fit, pixels, mark.sigma_px, ends, relief)
        else:
            stated = stated_by_card(fit, pixels, mark.sigma_px, relief)
        mark.wall_error_mm, mark.middle_error_mm = round(stated.corner, 3), round(stated.middle, 3)
