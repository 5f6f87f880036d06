"""Optimistic editing of one wall of a revision: its version, its lock, and what a loser is shown."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from placements import access
from placements.models import Revision, RevisionState, RevisionWall
from placements.selectors.walls import WallInHand
from studio.errors import Conflict, Missing, WrongState
from studio.models import User
from studio.words import sentence

from .lifecycle import last_step, revision_lock, step_take


@dataclass(frozen=True, slots=True)
class Edit:
    """Who edits a wall, and from what they saw.

    `version` is the wall's as the editor saw it (None where the edit does not depend on what hangs there).
    With `take_back` an edit of a plan in review takes it back to draft first, in the same transaction.
    """

    by: User
    version: int | None = None
    take_back: bool = False


@contextmanager
def wall_edit(edit: Edit, hand: WallInHand) -> Iterator[Revision]:
    """One edit of the wall in hand: everything inside happens, and counts as the next version, or nothing does.

    Inside, `hand` is as it is under the lock; afterwards it is as the edit left it.

    Raises:
        Conflict: somebody else changed the wall since; `current` carries the newer state.
        WrongState: the revision is in review or frozen.
    """
    revision = hand.revision
    if revision is None:
        raise Missing(f"There is no plan of {hand.project} to change yet.")
    try:
        with transaction.atomic():
            locked = revision_lock(revision_id=revision.pk)
            project = locked.plan.project
            access.require(by=edit.by, studio=project.client.studio, roles=access.DESIGN, to="change a plan")
            if hand.wall.room.project_id != project.pk:
                raise Missing(sentence(f"this wall does not belong to {project}"))
            if locked.state == RevisionState.IN_REVIEW and edit.take_back:
                step_take(revision=locked, name="take_back", by=edit.by, note=f"To change {hand.wall}.")
            if locked.state != RevisionState.DRAFT:
                raise _no_draft(locked)
            row, _ = RevisionWall.objects.select_for_update(of=("self",)).get_or_create(revision=locked, wall=hand.wall)
            if hand.version != row.version:
                hand.forget()
            if edit.version is not None and row.version != edit.version:
                raise Conflict(
                    f"{row.edited_by or 'Somebody'} changed {hand.wall} after you opened it. "
                    "Look at the newer wall, then keep it or make your change again.",
                    extra={"current": hand.as_data()},
                )
            yield locked
            row.version += 1
            row.edited_by = edit.by
            row.save(update_fields=["version", "edited_by", "updated_at"])
    finally:
        hand.forget()
    hand.edited, revision.state = row, locked.state


def bump(*, revision: Revision, wall_id: int, by: User) -> None:
    """Count a change that an edit of another wall made on this one: a piece that moved away."""
    row, _ = RevisionWall.objects.select_for_update(of=("self",)).get_or_create(revision=revision, wall_id=wall_id)
    row.version += 1
    row.edited_by = by
    row.updated_at = timezone.now()
    row.save(update_fields=["version", "edited_by", "updated_at"])


def _no_draft(revision: Revision) -> WrongState:
    """Why a plan that is no draft cannot be changed, and what can be done."""
    last = last_step(revision)
    who = str(last.by) if last and last.by else "Somebody"
    if revision.state == RevisionState.IN_REVIEW:
        return WrongState(
            f"Revision {revision.number} is in review: {who} sent it. Take it back to change it.",
            extra={"state": revision.state, "can": "take_back"},
        )
    return WrongState(
        f"Revision {revision.number} is {revision.get_state_display().lower()} and never changes again. "
        "Open a new revision to change the plan.",
        extra={"state": revision.state, "can": "open_revision"},
    )
