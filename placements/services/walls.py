"""Optimistic editing of one wall of a revision: its version, its lock, and what a loser is shown."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import transaction
from django.utils import timezone

from placements import access
from placements.models import Revision, RevisionState, RevisionWall
from studio.errors import Conflict, Missing, WrongState
from studio.models import User, Wall

from .lifecycle import last_step, revision_lock, step_take


def wall_version(*, revision: Revision, wall: Wall) -> int:
    """The version that an edit of this wall must name."""
    return RevisionWall.objects.filter(revision=revision, wall=wall).values_list("version", flat=True).first() or 1


def wall_state(*, revision: Revision, wall: Wall) -> dict[str, Any]:
    """A wall of a revision as plain data: what the loser of a race compares with, and what undo returns to."""
    row = RevisionWall.objects.filter(revision=revision, wall=wall).select_related("edited_by").first()
    return {
        "revision": revision.pk,
        "wall": wall.pk,
        "version": row.version if row else 1,
        "edited_by": str(row.edited_by) if row and row.edited_by else None,
        "edited_at": row.updated_at.isoformat() if row else None,
        "pieces": [
            {
                "placement": placement.pk,
                "artwork": placement.artwork_id,
                "title": placement.artwork.title,
                "left_mm": placement.left_mm,
                "bottom_mm": placement.bottom_mm,
                "order": placement.order,
                "space": placement.space,
                "group": placement.group,
                "locked": placement.locked,
                "why": placement.why,
            }
            for placement in revision.placements.filter(wall=wall).select_related("artwork")
        ],
        "bares": [{"space": bare.space, "reason": bare.reason} for bare in revision.bares.filter(wall=wall)],
    }


@contextmanager
def wall_edit(
    *, by: User, revision: Revision, wall: Wall, version: int | None, take_back: bool = False
) -> Iterator[RevisionWall]:
    """One edit of one wall: everything inside happens, and counts as the next version, or nothing does.

    `version` is the one that the editor saw (None where the edit does not depend on what hangs there).
    With `take_back` an edit of a plan in review takes it back to draft first, in the same transaction.

    Raises:
        Conflict: somebody else changed the wall since; `current` carries the newer state.
        WrongState: the revision is in review or frozen.
    """
    with transaction.atomic():
        locked = revision_lock(revision_id=revision.pk)
        project = locked.plan.project
        access.require(by=by, studio=project.client.studio, roles=access.DESIGN, to="change a plan")
        if wall.room.project_id != project.pk:
            raise Missing(f"This wall does not belong to {project}.")
        if locked.state == RevisionState.IN_REVIEW and take_back:
            step_take(revision=locked, name="take_back", by=by, note=f"To change {wall}.")
        _expect_draft(locked)
        row, _ = RevisionWall.objects.select_for_update(of=("self",)).get_or_create(revision=locked, wall=wall)
        if version is not None and row.version != version:
            raise Conflict(
                f"{row.edited_by or 'Somebody'} changed {wall} after you opened it. "
                "Look at the newer wall, then keep it or make your change again.",
                extra={"current": wall_state(revision=locked, wall=wall)},
            )
        yield row
        row.version += 1
        row.edited_by = by
        row.save(update_fields=["version", "edited_by", "updated_at"])
    revision.state = locked.state


def bump(*, revision: Revision, wall_id: int, by: User) -> None:
    """Count a change that an edit of another wall made on this one: a piece that moved away."""
    row, _ = RevisionWall.objects.select_for_update(of=("self",)).get_or_create(revision=revision, wall_id=wall_id)
    row.version += 1
    row.edited_by = by
    row.updated_at = timezone.now()
    row.save(update_fields=["version", "edited_by", "updated_at"])


def _expect_draft(revision: Revision) -> None:
    if revision.state == RevisionState.DRAFT:
        return
    last = last_step(revision)
    who = str(last.by) if last and last.by else "Somebody"
    if revision.state == RevisionState.IN_REVIEW:
        raise WrongState(
            f"Revision {revision.number} is in review: {who} sent it. Take it back to change it.",
            extra={"state": revision.state, "can": "take_back"},
        )
    raise WrongState(
        f"Revision {revision.number} is {revision.get_state_display().lower()} and never changes again. "
        "Open a new revision to change the plan.",
        extra={"state": revision.state, "can": "open_revision"},
    )
