"""Hanging, moving and taking down pieces, and leaving walls bare: each an edit of one version of one wall."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Max, Q
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from placements.models import Bare, Placement, Revision, RevisionWall
from placements.selectors.walls import Hung, PlannedWall, hanging_in, planned_wall, space_of
from studio.errors import Invalid, Missing
from studio.models import Artwork, User, Wall

from .walls import bump, wall_edit

#: No wall is longer than 100 m (the survey's own limit), so no place on one is further out.
FURTHEST_MM = 100_000.0


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of a whole arrangement: where its lower left corner hangs [mm]."""

    artwork: int
    left_mm: float
    bottom_mm: float
    order: int = 1
    space: str = ""
    group: str = ""
    locked: bool = False
    why: str = ""

    @classmethod
    def of(cls, one: Hung | Placement) -> Piece:
        """A piece as it hangs."""
        work = one.artwork.pk if isinstance(one, Hung) else one.artwork_id
        return cls(work, one.left_mm, one.bottom_mm, one.order, one.space, one.group, one.locked, one.why)


def placement_place(
    *,
    by: User,
    revision: Revision,
    wall: Wall,
    version: int | None,
    artwork: Artwork,
    left_mm: float,
    bottom_mm: float,
    space: str = "",
    why: str = "",
    take_back: bool = False,
) -> Placement:
    """Hang a work on a wall; a work that hangs elsewhere in the revision moves here.

    Where no `space` is named, it is the one in which the engine sees the piece.
    """
    _expect_on_wall(wall, artwork, left_mm, bottom_mm)
    with wall_edit(by=by, revision=revision, wall=wall, version=version, take_back=take_back) as row:
        available_works(revision=row.revision, artwork_ids=[artwork.pk])
        _fetch_from_elsewhere([artwork.pk], row=row, by=by)
        last = row.revision.placements.filter(wall=wall).aggregate(last=Max("order"))["last"] or 0
        placement = row.revision.placements.filter(artwork=artwork).first() or Placement(
            revision=row.revision, artwork=artwork, wall=wall, order=last + 1
        )
        placement.left_mm, placement.bottom_mm = left_mm, bottom_mm
        placement.why, placement.group = why, ""
        placement.space = space or _space_of(row, placement)
        _save(placement, by)
        _unbare(row, [placement.space])
    return placement


def placement_move(
    *,
    by: User,
    placement: Placement,
    version: int | None,
    left_mm: float,
    bottom_mm: float,
    take_back: bool = False,
) -> Placement:
    """Move a piece on its wall. One that leaves its space for another is no longer of its group."""
    _expect_on_wall(placement.wall, placement.artwork, left_mm, bottom_mm)
    with wall_edit(
        by=by, revision=placement.revision, wall=placement.wall, version=version, take_back=take_back
    ) as row:
        moved = _still_there(placement, row)
        moved.left_mm, moved.bottom_mm = left_mm, bottom_mm
        was, moved.space = moved.space, _space_of(row, moved)
        if was and was != moved.space:
            moved.group, moved.why = "", ""
        _unbare(row, [moved.space])
        _save(moved, by)
    return moved


def placement_lock(
    *, by: User, placement: Placement, version: int | None, locked: bool, take_back: bool = False
) -> Placement:
    """Fix a piece where it hangs, so that no proposal moves it; or free it again."""
    with wall_edit(
        by=by, revision=placement.revision, wall=placement.wall, version=version, take_back=take_back
    ) as row:
        kept = _still_there(placement, row)
        kept.locked = locked
        _save(kept, by)
    return kept


def placement_remove(*, by: User, placement: Placement, version: int | None, take_back: bool = False) -> None:
    """Take a piece down: it goes back among the unplaced."""
    with wall_edit(
        by=by, revision=placement.revision, wall=placement.wall, version=version, take_back=take_back
    ) as row:
        _take_down([_still_there(placement, row)], by)


def wall_leave_bare(
    *,
    by: User,
    revision: Revision,
    wall: Wall,
    version: int | None,
    reason: str,
    space: str = "",
    take_back: bool = False,
) -> Bare:
    """Leave a space, or with no `space` the whole wall, bare on purpose; what hangs there comes down."""
    reason = reason.strip()
    if not reason:
        raise Invalid("Say why it stays bare: the client will ask.", faults=[{"where": "reason", "detail": "Say why."}])
    if len(reason) > 250:
        raise Invalid(
            f"The reason has {len(reason)} characters; at most 250 fit.",
            faults=[{"where": "reason", "detail": "At most 250 characters."}],
        )
    with wall_edit(by=by, revision=revision, wall=wall, version=version, take_back=take_back) as row:
        hanging = row.revision.placements.filter(wall=wall)
        if space:
            hanging = hanging.filter(artwork__in=hanging_in(_planned(row), {space}))
        _take_down(hanging, by)
        bare, _ = Bare.objects.update_or_create(
            revision=row.revision, wall=wall, space=space, defaults={"reason": reason, "chosen_by": by}
        )
    return bare


def wall_unbare(
    *, by: User, revision: Revision, wall: Wall, version: int | None, space: str = "", take_back: bool = False
) -> None:
    """Let a space, or the whole wall, be hung again."""
    with wall_edit(by=by, revision=revision, wall=wall, version=version, take_back=take_back) as row:
        if not Bare.objects.filter(revision=row.revision, wall=wall, space=space).delete()[0]:
            raise Missing("Nothing was left bare there.")


def arrangement_replace(
    *,
    by: User,
    revision: Revision,
    wall: Wall,
    version: int | None,
    pieces: Sequence[Piece],
    bares: Iterable[tuple[str, str]] = (),
    take_back: bool = False,
) -> RevisionWall:
    """Make a wall hang exactly `pieces` and leave exactly `bares` (space, reason) bare.

    Remedies, groups, undo and redo, and accepted proposals all come through here. A piece that hung on another
    wall comes over; a piece that is not named goes back among the unplaced.
    """
    ids = [piece.artwork for piece in pieces]
    if twice := sorted({one for one in ids if ids.count(one) > 1}):
        raise Invalid(f"A work can hang only once: {', '.join(map(str, twice))} is named twice.")
    with wall_edit(by=by, revision=revision, wall=wall, version=version, take_back=take_back) as row:
        works = available_works(revision=row.revision, artwork_ids=ids)
        for piece in pieces:
            _expect_on_wall(wall, works[piece.artwork], piece.left_mm, piece.bottom_mm)
        _fetch_from_elsewhere(ids, row=row, by=by)
        _take_down(row.revision.placements.filter(wall=wall).exclude(artwork__in=ids), by)
        _hang(row, pieces, by)
        Bare.objects.filter(revision=row.revision, wall=wall).delete()
        Bare.objects.bulk_create(
            Bare(revision=row.revision, wall=wall, space=space, reason=reason, chosen_by=by) for space, reason in bares
        )
    return row


def available_works(*, revision: Revision, artwork_ids: Sequence[int]) -> dict[int, Artwork]:
    """The works by id, all of them free to hang in this project: the client's, the project's or the studio's own."""
    project = revision.plan.project
    works = Artwork.objects.filter(
        Q(client=project.client_id) | Q(client=None),
        Q(project=project.pk) | Q(project=None),
        studio=project.client.studio_id,
    ).in_bulk(list(artwork_ids))
    if missing := [one for one in artwork_ids if one not in works]:
        raise Missing(f"No work {', '.join(map(str, missing))} is there for {project}.")
    return works


def _expect_on_wall(wall: Wall, artwork: Artwork, left_mm: float, bottom_mm: float) -> None:
    faults = [
        {"where": name, "detail": f"{value} is not a place on a wall; give a length within 100 m."}
        for name, value in (("left_mm", left_mm), ("bottom_mm", bottom_mm))
        if not math.isfinite(value) or abs(value) > FURTHEST_MM
    ]
    if not faults and not (-artwork.width_mm < left_mm < wall.length_mm):
        faults.append({"where": "left_mm", "detail": f"{left_mm:.0f} mm puts {artwork} wholly beside {wall}."})
    if not faults and not (-artwork.height_mm < bottom_mm < wall.height_mm):
        faults.append({"where": "bottom_mm", "detail": f"{bottom_mm:.0f} mm puts {artwork} wholly off {wall}."})
    if faults:
        raise Invalid(" ".join(fault["detail"] for fault in faults), faults=faults)


def _still_there(placement: Placement, row: RevisionWall) -> Placement:
    found = row.revision.placements.filter(pk=placement.pk, wall=row.wall).select_related("artwork", "wall").first()
    if found is None:
        raise Missing(f"{placement.artwork} no longer hangs on {row.wall}.")
    return found


def _planned(row: RevisionWall) -> PlannedWall:
    return planned_wall(row.revision.plan.project, row.wall, row.revision)


def _space_of(row: RevisionWall, placement: Placement) -> str:
    return space_of(_planned(row), Hung.of(placement))


def _save(placement: Placement, by: User) -> None:
    placement._history_user = by  # what simple_history reads
    placement.save()


def _take_down(placements: Iterable[Placement], by: User) -> None:
    for placement in placements:
        placement._history_user = by
        placement.delete()


def _fetch_from_elsewhere(artwork_ids: Sequence[int], *, row: RevisionWall, by: User) -> None:
    """Bring pieces over from other walls of the revision; those walls count a change too."""
    elsewhere = list(row.revision.placements.filter(artwork__in=artwork_ids).exclude(wall=row.wall))
    for wall_id in sorted({placement.wall_id for placement in elsewhere}):
        bump(revision=row.revision, wall_id=wall_id, by=by)
    last = row.revision.placements.filter(wall=row.wall).aggregate(last=Max("order"))["last"] or 0
    for order, placement in enumerate(elsewhere, start=last + 1):
        placement.wall, placement.order, placement.group = row.wall, order, ""
        _save(placement, by)


def _hang(row: RevisionWall, pieces: Sequence[Piece], by: User) -> None:
    hanging = {one.artwork_id: one for one in row.revision.placements.filter(wall=row.wall)}
    new, changed = [], []
    for piece in pieces:
        placement = hanging.get(piece.artwork)
        fields = {
            "left_mm": piece.left_mm,
            "bottom_mm": piece.bottom_mm,
            "order": piece.order,
            "space": piece.space,
            "group": piece.group,
            "locked": piece.locked,
            "why": piece.why,
        }
        if placement is None:
            new.append(Placement(revision=row.revision, wall=row.wall, artwork_id=piece.artwork, **fields))
        elif any(getattr(placement, name) != value for name, value in fields.items()):
            for name, value in fields.items():
                setattr(placement, name, value)
            changed.append(placement)
    if new:
        bulk_create_with_history(new, Placement, default_user=by)
    if changed:
        names = ["left_mm", "bottom_mm", "order", "space", "group", "locked", "why"]
        bulk_update_with_history(changed, Placement, names, default_user=by)


def _unbare(row: RevisionWall, spaces: Iterable[str]) -> None:
    """Hanging in a space ends its being left bare, and the wall's."""
    Bare.objects.filter(revision=row.revision, wall=row.wall, space__in={"", *spaces}).delete()
