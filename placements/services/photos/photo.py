"""Photographs that measure: taking them in, and what people say of them. See `measuring` and `marks`."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any

from django.core.files.base import ContentFile
from django.core.files.storage import Storage
from django.db import transaction
from django.db.models import Q

from placements import access
from placements.models import Photo, PhotoPurpose, Placement
from placements.photogrammetry.level import by_card
from studio.errors import Invalid
from studio.models import User, Wall
from studio.reader import units_for, units_of
from studio.services.pictures import photograph_clean

from .checks import (
    MOST_SIZE_MM,
    Corners,
    checked_corners,
    checked_points,
    expect_measured,
    expect_ruler,
    expect_size,
    require,
    words_for,
)
from .measuring import PHOTOGRAPHS, measure_again


@transaction.atomic
def photo_add(*, by: User, wall: Wall, purpose: str, content: bytes, ruler_mm: float | None = None) -> Photo:
    """Store a photograph of a wall, without its metadata, and queue its measuring.

    Raises:
        Invalid: not a photograph, or a purpose or ruler that makes no sense.
    """
    access.require(by=by, studio=wall.room.project.client.studio, roles=access.EVERYONE, to="add a photograph")
    if purpose not in PhotoPurpose.values:
        raise Invalid(f"A photograph is for one of: {', '.join(PhotoPurpose.values)}.")
    expect_ruler(ruler_mm, units_for(by, wall.room.project))
    return _stored(wall, content, purpose=purpose, ruler_mm=ruler_mm, taken_by=by)


def _stored(wall: Wall, content: bytes, **fields: Any) -> Photo:
    """The row with its cleaned file, its measuring queued."""
    clean = photograph_clean(content)
    photo = Photo(wall=wall, width_px=clean.width, height_px=clean.height, focal_ratio=clean.focal_ratio, **fields)
    photo.picture.save(clean.name, ContentFile(clean.jpeg), save=False)
    PHOTOGRAPHS.queue(photo)
    return photo


@transaction.atomic
def photo_of_piece(
    *, placement: Placement, content: bytes, left_mm: float, bottom_mm: float, ruler_mm: float | None = None
) -> Photo:
    """A hanger's photograph of a piece as it hangs, the card beside it at a taped place: measured against the plan.

    Whoever takes it says by it that the piece hangs there: its frame, found where it is planned, needs no other yes.

    Raises:
        Invalid: not a photograph to measure in.
    """
    expect_ruler(ruler_mm, units_of(placement.wall.room.project))
    level = by_card(left_mm, bottom_mm)
    return _stored(
        placement.wall,
        content,
        purpose=PhotoPurpose.AS_HUNG,
        placement=placement,
        ruler_mm=ruler_mm,
        level={"left_mm": left_mm, "bottom_mm": bottom_mm, "x": level.x, "y": level.y, "turn": level.turn},
    )


@transaction.atomic
def photo_delete(*, by: User, photo: Photo) -> None:
    """Delete a photograph, its marks and its files."""
    require(by, photo, "delete a photograph")
    names = [(field.storage, field.name) for field in (photo.picture, photo.shown) if field.name]
    photo.delete()
    for storage, name in names:
        transaction.on_commit(partial(_forget, storage, name))


@transaction.atomic
def photo_reference(*, by: User, photo: Photo, corners_px: Corners, width_mm: float, height_mm: float) -> Photo:
    """Measure from a rectangle of known size instead of a card: a door, a sheet of paper, a piece."""
    require(by, photo, "set what a photograph is measured from")
    corners = checked_corners(photo, corners_px)
    words = words_for(by, photo)
    expect_size("width_mm", width_mm, words)
    expect_size("height_mm", height_mm, words)
    photo.reference = {"corners": corners, "width": width_mm, "height": height_mm}
    PHOTOGRAPHS.queue(photo)
    return photo


@transaction.atomic
def photo_ruler(*, by: User, photo: Photo, ruler_mm: float | None) -> Photo:
    """What the card's 100 mm ruler measures on the print; everything is measured anew by it."""
    require(by, photo, "set the card's ruler")
    expect_ruler(ruler_mm, words_for(by, photo))
    photo.ruler_mm = ruler_mm
    PHOTOGRAPHS.queue(photo)
    return photo


@transaction.atomic
def photo_level(*, by: User, photo: Photo, left_px: Sequence[float], right_px: Sequence[float]) -> Photo:
    """Where the wall is in the picture: its lower left corner at the floor, and its lower right one.

    With the two corners the plane is level, its origin is the wall's, and the wall's surveyed length is one more taped
    length to measure by.
    """
    require(by, photo, "set where the wall is")
    expect_measured(photo)
    left, right = checked_points(photo, [left_px, right_px]).tolist()
    return _set_level(photo, {"left_px": left, "right_px": right}, by)


@transaction.atomic
def photo_level_by_card(*, by: User, photo: Photo, left_mm: float, bottom_mm: float) -> Photo:
    """Where the card's lower left corner is on the wall, as taped; the card itself hangs as level as a level says."""
    require(by, photo, "set where the wall is")
    expect_measured(photo)
    if not photo.cards:
        raise Invalid("There is no card in this photograph. Mark the wall's two lower corners instead.")
    for where, value in (("left_mm", left_mm), ("bottom_mm", bottom_mm)):
        if not abs(value) <= MOST_SIZE_MM:
            far = words_for(by, photo).length(MOST_SIZE_MM)
            raise Invalid(
                f"The card is within {far} of the wall's end.", faults=[{"where": where, "detail": "too far"}]
            )
    return _set_level(photo, {"left_mm": float(left_mm), "bottom_mm": float(bottom_mm)}, by)


def _set_level(photo: Photo, how: dict[str, Any], by: User) -> Photo:
    photo.level = how
    measure_again(photo, words_for(by, photo))
    return photo


def _forget(storage: Storage, name: str) -> None:
    if not Photo.objects.filter(Q(picture=name) | Q(shown=name)).exists():
        storage.delete(name)
