"""Hanging, moving and taking down pieces, and leaving walls bare: each an edit of one version of one wall."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db.models import Q
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from placements.models import Bare, Placement, Revision
from placements.pieces import STORED, Piece
from placements.selectors.walls import WallInHand, hanging_in, space_of
from studio.errors import Invalid, Missing
from studio.models import Artwork, Project, User, Wall
from studio.words import sentence

from .walls import Edit, bump, wall_edit

#: No wall is longer than 100 m (the survey's own limit), so no place on one is further out.
FURTHEST_MM = 100_000.0


def placement_place(
    *,
    edit: Edit,
    hand: WallInHand,
    artwork: Artwork,
    left_mm: float,
    bottom_mm: float,
    space: str = "",
    why: str = "",
) -> Placement:
    """Hang a work on the wall in hand; a work that hangs elsewhere in the revision moves here.

    Where no `space` is named, it is the one in which the engine sees the piece.
    """
    _expect_on_wall(hand.wall, artwork, left_mm, bottom_mm)
    with wall_edit(edit, hand) as revision:
        available_works(project=revision.plan.project, artwork_ids=[artwork.pk])
        _fetch_from_elsewhere([artwork.pk], hand=hand, revision=revision, by=edit.by)
        placement = hand.here.get(artwork.pk) or Placement(
            revision=revision, artwork=artwork, wall=hand.wall, order=_last_order(hand) + 1
        )
        placement.why, placement.group, placement.space = why, "", ""
        _set_at(placement, left_mm, bottom_mm, hand, edit.by, space)
    return placement


def work_hang(
    *,
    edit: Edit,
    hand: WallInHand,
    artwork: Artwork,
    left_mm: float,
    bottom_mm: float,
    space: str,
    why: str = "",
) -> None:
    """Hang a work in a space instead of what hangs there; the wall's other pieces stay."""
    stays = hand.besides({artwork.pk, *hanging_in(hand, {space})})
    new = Piece(artwork, left_mm, bottom_mm, len(stays) + 1, space=space, why=why)
    arrangement_replace(edit=edit, hand=hand, pieces=[*stays, new], bares=hand.bares_besides({space}).items())


def placement_move(
    *,
    edit: Edit,
    hand: WallInHand,
    placement: Placement,
    left_mm: float,
    bottom_mm: float,
) -> Placement:
    """Move a piece on its wall. One that leaves its space for another is no longer of its group."""
    _expect_on_wall(hand.wall, placement.artwork, left_mm, bottom_mm)
    with wall_edit(edit, hand):
        placement = hand.placement(placement.artwork_id, placement.pk)
        _set_at(placement, left_mm, bottom_mm, hand, edit.by)
    return placement


def placement_lock(*, edit: Edit, hand: WallInHand, placement: Placement, locked: bool) -> Placement:
    """Fix a piece where it hangs, so that no proposal moves it; or free it again."""
    with wall_edit(edit, hand):
        placement = hand.placement(placement.artwork_id, placement.pk)
        placement.locked = locked
        _save(placement, edit.by)
    return placement


def placement_remove(*, edit: Edit, hand: WallInHand, placement: Placement) -> None:
    """Take a piece down: it goes back among the unplaced."""
    with wall_edit(edit, hand):
        _take_down([hand.placement(placement.artwork_id, placement.pk)], edit.by)


def wall_leave_bare(*, edit: Edit, hand: WallInHand, reason: str, space: str = "") -> Bare:
    """Leave a space, or with no `space` the whole wall, bare on purpose; what hangs there comes down."""
    reason = reason.strip()
    if not reason:
        raise Invalid("Say why it stays bare: the client will ask.", faults=[{"where": "reason", "detail": "Say why."}])
    if len(reason) > 250:
        raise Invalid(
            f"The reason has {len(reason)} characters; at most 250 fit.",
            faults=[{"where": "reason", "detail": "At most 250 characters."}],
        )
    with wall_edit(edit, hand) as revision:
        goes = hanging_in(hand, {space}) if space else hand.here.keys()
        _take_down([placement for pk, placement in hand.here.items() if pk in goes], edit.by)
        bare, _ = Bare.objects.update_or_create(
            revision=revision, wall=hand.wall, space=space, defaults={"reason": reason, "chosen_by": edit.by}
        )
    return bare


def wall_unbare(*, edit: Edit, hand: WallInHand, space: str = "") -> None:
    """Let a space, or the whole wall, be hung again."""
    with wall_edit(edit, hand) as revision:
        if not Bare.objects.filter(revision=revision, wall=hand.wall, space=space).delete()[0]:
            raise Missing("Nothing was left bare there.")


def arrangement_replace(
    *,
    edit: Edit,
    hand: WallInHand,
    pieces: Sequence[Piece],
    bares: Iterable[tuple[str, str]] = (),
) -> None:
    """Make the wall in hand hang exactly `pieces` and leave exactly `bares` (space, reason) bare.

    Remedies, groups, undo and redo, and accepted proposals all come through here. A piece that hung on another
    wall comes over; a piece that is not named goes back among the unplaced.
    """
    ids = [piece.artwork.pk for piece in pieces]
    if twice := sorted({one for one in ids if ids.count(one) > 1}):
        raise Invalid(f"A work can hang only once: {', '.join(map(str, twice))} is named twice.")
    with wall_edit(edit, hand) as revision:
        works = available_works(project=revision.plan.project, artwork_ids=ids)
        for piece in pieces:
            _expect_on_wall(hand.wall, works[piece.artwork.pk], piece.left_mm, piece.bottom_mm)
        _fetch_from_elsewhere(ids, hand=hand, revision=revision, by=edit.by)
        _take_down([placement for pk, placement in hand.here.items() if pk not in works], edit.by)
        _hang(hand, revision, pieces, edit.by)
        if hand.bares:
            Bare.objects.filter(revision=revision, wall=hand.wall).delete()
        Bare.objects.bulk_create(
            Bare(revision=revision, wall=hand.wall, space=space, reason=reason, chosen_by=edit.by)
            for space, reason in bares
        )


def pieces_read(*, project: Project, data: Sequence[Mapping[str, Any]]) -> list[Piece]:
    """Pieces from their JSON.

    Raises:
        Missing: a work that may not hang in the project.
    """
    works = available_works(project=project, artwork_ids=[one["artwork"] for one in data])
    return [Piece.read(one, works) for one in data]


def available_works(*, project: Project, artwork_ids: Sequence[int]) -> dict[int, Artwork]:
    """The works by id, all of them free to hang in this project: the client's, the project's or the studio's own."""
    works = Artwork.objects.filter(
        Q(client=project.client_id) | Q(client=None),
        Q(project=project.pk) | Q(project=None),
        studio=project.client.studio_id,
    ).in_bulk(list(artwork_ids))
    if missing := [one for one in artwork_ids if one not in works]:
        raise Missing(f"These works cannot hang in {project}: {', '.join(map(str, missing))}.")
    return works


def _expect_on_wall(wall: Wall, artwork: Artwork, left_mm: float, bottom_mm: float) -> None:
    faults = [
        {"where": name, "detail": f"{value} is not a place on a wall; give a length within 100 m."}
        for name, value in (("left_mm", left_mm), ("bottom_mm", bottom_mm))
        if not math.isfinite(value) or abs(value) > FURTHEST_MM
    ]
    if not faults and not (-artwork.width_mm < left_mm < wall.length_mm):
        faults.append({"where": "left_mm", "detail": sentence(f"there {artwork} would hang wholly beside {wall}")})
    if not faults and not (-artwork.height_mm < bottom_mm < wall.height_mm):
        faults.append({"where": "bottom_mm", "detail": sentence(f"there {artwork} would hang wholly off {wall}")})
    if faults:
        raise Invalid(" ".join(fault["detail"] for fault in faults), faults=faults)


def _set_at(
    placement: Placement, left_mm: float, bottom_mm: float, hand: WallInHand, by: User, space: str = ""
) -> None:
    """Set a piece to a place on the wall, and so into a space: that, and the wall, are no longer left bare."""
    placement.left_mm, placement.bottom_mm = left_mm, bottom_mm
    space = space or space_of(hand, placement)
    if placement.space not in ("", space):
        placement.group, placement.why = "", ""
    placement.space = space
    if ended := hand.bares.keys() & {"", space}:
        Bare.objects.filter(revision=hand.revision, wall=hand.wall, space__in=ended).delete()
    _save(placement, by)


def _last_order(hand: WallInHand) -> int:
    return max((placement.order for placement in hand.here.values()), default=0)


def _save(placement: Placement, by: User) -> None:
    placement._history_user = by
    placement.save()


def _take_down(placements: Iterable[Placement], by: User) -> None:
    for placement in placements:
        placement._history_user = by
        placement.delete()


def _fetch_from_elsewhere(artwork_ids: Sequence[int], *, hand: WallInHand, revision: Revision, by: User) -> None:
    """Bring pieces over from other walls of the revision; those walls count a change too."""
    elsewhere = list(revision.placements.filter(artwork__in=artwork_ids).exclude(wall=hand.wall))
    if not elsewhere:
        return
    for wall_id in sorted({placement.wall_id for placement in elsewhere}):
        bump(revision=revision, wall_id=wall_id, by=by)
    for order, placement in enumerate(elsewhere, start=_last_order(hand) + 1):
        placement.wall, placement.order, placement.group = hand.wall, order, ""
        _save(placement, by)
    hand.forget()


def _hang(hand: WallInHand, revision: Revision, pieces: Sequence[Piece], by: User) -> None:
    new, changed = [], []
    for piece in pieces:
        placement, fields = hand.here.get(piece.artwork.pk), piece.stored()
        if placement is None:
            new.append(Placement(revision=revision, wall=hand.wall, artwork=piece.artwork, **fields))
        elif any(getattr(placement, name) != value for name, value in fields.items()):
            for name, value in fields.items():
                setattr(placement, name, value)
            changed.append(placement)
    if new:
        bulk_create_with_history(new, Placement, default_user=by)
    if changed:
        bulk_update_with_history(changed, Placement, list(STORED), default_user=by)
