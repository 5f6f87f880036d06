"""A new revision's job takes over what the one before it found out and hung: nobody hangs or measures twice."""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from placements.engine.hanging.as_hung import compare

from ..contexts.pieces import JobPiece
from ..contexts.progress import PieceState, piece_states
from ..models import ActionKind, Job, JobAction
from ..selectors import SignedJob, actions_of, by_placement, signed_job


def job_before(job: Job) -> Job | None:
    """The newest job of an earlier revision of the same plan."""
    return (
        Job.objects.filter(revision__plan=job.revision.plan_id, revision__number__lt=job.revision.number)
        .select_related("revision__plan__project")
        .order_by("-revision__number", "-created_at", "-pk")
        .first()
    )


def carry_over(*, job: Job, follows: Job, signed: SignedJob) -> list[JobAction]:
    """Store in a new job what still holds of the one that it follows.

    A drop that was measured on a piece stays true of it. A piece that is up counts as up where it hangs, as measured or
    else as planned then, within tolerance of its place in the new revision; what hangs elsewhere is to be moved.
    """
    old = signed_job(follows.revision, to_studs=follows.to_studs)
    states = piece_states(by_placement(old), actions_of(follows), old.units, old.tolerances)
    former = {
        (old.placements[piece.work.id].artwork_id): (piece, states[placement], old.placements[piece.work.id].wall_id)
        for placement, piece in by_placement(old).items()
    }
    made: list[JobAction] = []
    for placement, piece in by_placement(signed).items():
        row = signed.placements[piece.work.id]
        if row.artwork_id not in former:
            continue
        before, state, wall = former[row.artwork_id]
        for kind, payload, at in _what_holds(before, state, piece, wall == row.wall_id, signed):
            made.append(
                JobAction(
                    job=job,
                    uuid=uuid.uuid4(),
                    device=f"carried-{follows.pk}",
                    sequence=len(made) + 1,
                    kind=kind,
                    placement_id=placement,
                    payload={**payload, "carried": follows.revision.number},
                    done_at=at or follows.created_at,
                )
            )
    return JobAction.objects.bulk_create(made)


def _what_holds(
    before: JobPiece, state: PieceState, piece: JobPiece, same_wall: bool, signed: SignedJob
) -> Iterator[tuple[ActionKind, Mapping[str, Any], datetime | None]]:
    if state.drop_mm is not None and before.work == piece.work:
        yield ActionKind.DROP, {"drop_mm": state.drop_mm, "apart_mm": state.apart_mm}, None
    if not (
        state.up and same_wall and before.work.width == piece.work.width and before.work.height == piece.work.height
    ):
        return
    measures = state.measures or {"left_mm": before.rect.left, "top_left_mm": before.rect.top}
    hangs = compare(
        piece.rect,
        measures["left_mm"],
        measures["top_left_mm"],
        measures.get("top_right_mm"),
        tolerances=signed.tolerances,
        words=signed.units,
    )
    if hangs.within:
        yield ActionKind.UP, {}, state.up_at
        if state.measures:
            yield ActionKind.MEASURED, state.measures, state.up_at
