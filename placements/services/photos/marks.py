"""Marks in a photograph: answering what was found, drawing what was not, correcting both."""

from __future__ import annotations

from django.db import transaction

from placements import scenes
from placements.models import MarkState, Photo, PhotoMark
from studio.errors import Invalid
from studio.models import Artwork, ItemKind, User

from .checks import Corners, checked_corners, expect_measured, expect_size, require, words_for
from .measuring import measure_again

MOST_MARKS = 200
MARK_KINDS = ("work", *ItemKind.values)


@transaction.atomic
def mark_draw(*, by: User, photo: Photo, kind: str, corners_px: Corners, artwork: Artwork | None = None) -> PhotoMark:
    """Draw a rectangle that was not found, or not looked for. Drawn is accepted."""
    require(by, photo, "mark a photograph")
    _expect_kind(kind)
    expect_measured(photo)
    if photo.marks.count() >= MOST_MARKS:
        raise Invalid(f"A photograph takes {MOST_MARKS} marks.")
    mark = PhotoMark(
        photo=photo,
        kind=kind,
        corners_px=checked_corners(photo, corners_px),
        artwork=_free_artwork(photo, artwork),
        state=MarkState.ACCEPTED,
    )
    mark.save()
    measure_again(photo, words_for(by, photo))
    mark.refresh_from_db()
    return mark


@transaction.atomic
def mark_change(
    *,
    by: User,
    mark: PhotoMark,
    kind: str | None = None,
    corners_px: Corners | None = None,
    taped_width_mm: float | None = None,
    taped_height_mm: float | None = None,
) -> PhotoMark:
    """Correct a mark: its corners, what it is, or what a tape says; a taped size measures the rest anew."""
    photo = mark.photo
    require(by, photo, "mark a photograph")
    if kind is not None:
        _expect_kind(kind)
        mark.kind = kind
        mark.artwork = mark.artwork if kind == "work" else None
    if corners_px is not None:
        mark.corners_px, mark.sigma_px = checked_corners(photo, corners_px), 1.5
    if (taped_width_mm is None) != (taped_height_mm is None):
        raise Invalid("Give both the taped width and the taped height, or neither.")
    if taped_width_mm is not None and taped_height_mm is not None:
        words = words_for(by, photo)
        expect_size("taped_width_mm", taped_width_mm, words)
        expect_size("taped_height_mm", taped_height_mm, words)
        mark.taped_width_mm, mark.taped_height_mm = taped_width_mm, taped_height_mm
    mark.state = MarkState.ACCEPTED
    mark.save()
    measure_again(photo, words_for(by, photo))
    mark.refresh_from_db()
    return mark


@transaction.atomic
def mark_answer(*, by: User, mark: PhotoMark, accept: bool, artwork: Artwork | None = None) -> PhotoMark:
    """Say yes or no to a mark, and which work it is."""
    require(by, mark.photo, "answer a mark")
    mark.state = MarkState.ACCEPTED if accept else MarkState.REFUSED
    if accept and mark.kind == "work":
        mark.artwork = _free_artwork(mark.photo, artwork, but=mark)
        mark.rivals = []
    mark.save(update_fields=["state", "artwork", "rivals", "updated_at"])
    return mark


@transaction.atomic
def marks_accept(*, by: User, photo: Photo) -> int:
    """Say yes to everything that was offered and matched; how many there were.

    A frame that no work was matched to, and one that two works would fit nearly as well, keep waiting: somebody must
    say which it is, or that it is none.
    """
    require(by, photo, "answer a mark")
    offered = [
        mark
        for mark in photo.marks.filter(state=MarkState.OFFERED).select_related("artwork")
        if not mark.rivals and (mark.artwork is not None or mark.kind != "work")
    ]
    for mark in offered:
        mark_answer(by=by, mark=mark, accept=True, artwork=mark.artwork)
    return len(offered)


def _expect_kind(kind: str) -> None:
    if kind not in MARK_KINDS:
        raise Invalid(f"A mark is one of: {', '.join(MARK_KINDS)}.")


def _free_artwork(photo: Photo, artwork: Artwork | None, but: PhotoMark | None = None) -> Artwork | None:
    """The work, if it is one of this project and no other accepted mark of the photo is it already."""
    if artwork is None:
        return None
    if not scenes.works_for(photo.wall.room.project).filter(pk=artwork.pk).exists():
        raise Invalid(f"{artwork} is not among this project's works.")
    taken = photo.marks.filter(artwork=artwork, state=MarkState.ACCEPTED)
    if but is not None:
        taken = taken.exclude(pk=but.pk)
    if taken.exists():
        raise Invalid(f"{artwork} is marked in this photograph already.")
    return artwork
