"""What hangers do on their phones, stored exactly once and in the order of each phone."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.core.files.base import ContentFile
from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from placements.engine.hanging.as_hung import compare
from placements.models import RevisionState
from placements.services.notices import notice_send, people_with
from placements.services.photos.photo import photo_of_piece
from studio.errors import Conflict, Invalid, WrongState
from studio.models import Role
from studio.reader import zone_of
from studio.services.pictures import picture_clean
from studio.units import Units

from ..contexts.drops import with_drop
from ..contexts.pieces import JobPiece
from ..contexts.progress import MOMENTS, PROBLEMS, PieceState, job_problems, piece_states
from ..models import ActionKind, Job, JobAction, JobLink
from ..selectors import SignedJob, actions_of, signed_job
from .jobs import job_lock, job_move
from .payloads import Facts, clean_payload

#: Differences between two phones that are not worth a word [mm].
SAME_MM = 1.6


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one action: the row, whether it was known already, and the hook points it led to."""

    action: JobAction
    already: bool
    points: tuple[dict[str, Any], ...] = ()


@transaction.atomic
def action_store(
    *,
    link: JobLink,
    identity: uuid.UUID,
    device: str,
    sequence: int,
    kind: str,
    placement_id: int | None,
    payload: Mapping[str, Any],
    done_at: datetime,
    sent_at: datetime | None = None,
    photo: bytes | None = None,
) -> Outcome:
    """Store one action of a phone. `done_at` and `sent_at`, the moment of sending, are by the phone's clock.

    The same action sent again is answered as before and not stored twice. Actions of one phone are taken in their
    order only. What another phone did in the meantime is never overwritten silently: the action is stored with a
    sentence in `conflict`.

    Raises:
        Invalid: the action does not make sense; it is not stored, and sending it again will not help.
        WrongState: an earlier action of this phone is missing (`expected` says which).
    """
    job = job_lock(link.job_id)
    signed = signed_job(job.revision, to_studs=job.to_studs)
    known = JobAction.objects.filter(uuid=identity).first()
    if known is not None:
        if known.job_id != job.pk:
            raise Invalid("This action belongs to another job.")
        return Outcome(known, already=True, points=_points(signed, known))
    _expect_turn(job, device, sequence)
    piece = signed.piece_of(placement_id)
    if piece is None and placement_id is not None:
        raise Invalid("This piece is not in the job.", faults=[{"where": "placement", "detail": "Not in this job."}])
    earlier = actions_of(job)
    state = _state(signed, placement_id, earlier)
    clean = clean_payload(kind, payload, Facts(signed, piece, photo is not None, earlier))
    late = job.revision.state == RevisionState.CLOSED
    zone = zone_of(job.revision.plan.project)
    action = JobAction(
        job=job,
        link=link,
        uuid=identity,
        device=device,
        sequence=sequence,
        kind=kind,
        placement_id=placement_id,
        payload=clean,
        done_at=done_at,
        clock_fast_s=_clock_fast_s(done_at, sent_at, timezone.now()),
        late=late,
        conflict="" if late else _conflict(kind, clean, device, state, signed.units, zone)[:250],
    )
    if photo is not None:
        picture = picture_clean(photo)
        action.photo.save(f"{identity}.jpg", ContentFile(picture.jpeg), save=False)
        if "card_left_mm" in clean and not late:
            _have_measured(action, photo)
    action.save()
    finished = not late and job_move(job, signed, [*earlier, action])
    _tell_office(job, signed, piece, action, finished)
    return Outcome(action, already=False, points=_points(signed, action))


def _expect_turn(job: Job, device: str, sequence: int) -> None:
    last = (
        JobAction.objects.filter(job=job, device=device)
        .order_by("-sequence")
        .values_list("sequence", flat=True)
        .first()
    )
    expected = (last or 0) + 1
    if sequence > expected:
        raise WrongState(
            f"Action {expected} of this phone is missing; send it before action {sequence}.",
            extra={"expected": expected},
        )
    if sequence < expected:
        raise Conflict(f"This phone already sent another action {sequence}.", extra={"expected": expected})


def _clock_fast_s(done_at: datetime, sent_at: datetime | None, now: datetime) -> float:
    """How far the phone's clock is ahead of ours [s], by what it said while sending; nothing is done in the future."""
    ahead = (max(done_at, sent_at or done_at) - now).total_seconds()
    # A phone that does not say when it sends may have done this long ago: only a clock that is ahead shows itself.
    return ahead if sent_at else max(ahead, 0.0)


def _have_measured(action: JobAction, photo: bytes) -> None:
    """The photograph, in all its detail, is measured against the plan: its hanger taped where the card is."""
    assert action.placement is not None  # a photo is of a piece
    payload = action.payload
    photo_of_piece(
        placement=action.placement,
        content=photo,
        left_mm=payload["card_left_mm"],
        bottom_mm=payload["card_bottom_mm"],
        ruler_mm=payload.get("ruler_mm"),
    )


def _state(signed: SignedJob, placement_id: int | None, earlier: list[JobAction]) -> PieceState:
    """The state of a piece; of the job itself, which has problems alone, where there is none."""
    piece = signed.piece_of(placement_id)
    if piece is None or placement_id is None:
        return PieceState(problems=job_problems(earlier))
    return piece_states({placement_id: piece}, earlier, signed.units, signed.tolerances)[placement_id]


def _conflict(
    kind: str, payload: Mapping[str, Any], device: str, state: PieceState, units: Units, zone: ZoneInfo
) -> str:
    """What another phone said before that this action does not agree with; empty when it agrees."""
    if kind == ActionKind.UP and state.up and state.up_at and state.up_on != device:
        return f"Another phone had already ticked it as up at {state.up_at.astimezone(zone):%H:%M}."
    if kind == ActionKind.DOWN and not state.up:
        return "It was not up any more: another phone had already taken it down."
    if kind == ActionKind.DROP and state.drop_mm is not None and state.drop_on != device:
        apart = abs(state.drop_mm - payload["drop_mm"])
        if apart > SAME_MM:
            return f"Another phone measured a drop of {units.length(state.drop_mm)}: measure it once more."
    if kind == ActionKind.MEASURED and state.measures and state.measured_on != device:
        shared = state.measures.keys() & payload.keys()
        if any(abs(state.measures[key] - payload[key]) > SAME_MM for key in shared):
            return "Another phone measured it differently: measure it once more."
    if kind == ActionKind.SOLVED:
        solved = next((one.solved for one in state.problems if one.uuid == payload["problem"]), "")
        if solved:
            return f"It had been solved before: {solved}"
    if kind == ActionKind.UNLOADED and state.unloaded_by and state.unloaded_by != payload["by"]:
        return f"It had been taken off the van by {state.unloaded_by}."
    return ""


def _points(signed: SignedJob, action: JobAction) -> tuple[dict[str, Any], ...]:
    piece = signed.piece_of(action.placement_id)
    if action.kind != ActionKind.DROP or piece is None:
        return ()
    units = signed.units
    measured = with_drop(piece, action.payload["drop_mm"], action.payload["apart_mm"], units)
    return tuple(
        {
            "datum_mm": hook.datum_mm,
            "floor_mm": hook.floor_mm,
            "datum": units.length(hook.datum_mm),
            "floor": units.length(hook.floor_mm),
        }
        for hook in measured.points
    )


def _tell_office(job: Job, signed: SignedJob, piece: JobPiece | None, action: JobAction, finished: bool) -> None:
    """A line in the inbox of the designer and of who issued the job: problems, pieces off their plan, all up."""
    which = f"piece {piece.number}, {piece.work.title}" if piece else "the job"
    news = [f"a late note on {which}, after the job was closed"] if action.late else []
    if action.kind == ActionKind.PROBLEM:
        what, note = PROBLEMS[action.payload["what"]], action.payload["note"]
        news.append(f"{which}: {what.lower()}{f' ({note})' if note else ''}")
    if action.kind == ActionKind.SOLVED:
        news.append(f"{which}: a problem is solved ({action.payload['note']})")
    if action.kind == ActionKind.CONDITION and action.payload["found"] == "marked":
        when, note = MOMENTS[action.payload["when"]].lower(), action.payload["note"]
        news.append(f"{which}: a mark or damage {when}{f' ({note})' if note else ''}")
    if action.kind == ActionKind.HANDED_OVER:
        news.append(f"handed over to {action.payload['name']}")
    if action.kind == ActionKind.MEASURED and piece is not None:
        payload = action.payload
        hung = compare(
            piece.rect,
            payload["left_mm"],
            payload["top_left_mm"],
            payload.get("top_right_mm"),
            tolerances=signed.tolerances,
            words=signed.units,
        )
        news += [f"{which} hangs off its plan: {'; '.join(hung.faults)}"] if hung.faults else []
    if finished:
        news.append(f"all up, by {job.hanger_name}")
    if not news:
        return
    project = job.revision.plan.project
    studio = project.client.studio
    people = [person for person in (project.designer, job.issued_by) if person is not None]
    if project.designer is None:
        people += people_with(studio=studio, roles=[Role.DESIGNER])
    for text in news:
        notice_send(studio=studio, to=people, text=f"{project}: {text}", url=reverse("job", args=[job.pk]))
