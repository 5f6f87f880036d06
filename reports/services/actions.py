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
from placements.services.lifecycle import revision_step
from placements.services.notices import notice_send, people_with
from placements.services.photos.checks import LEAST_RULER_MM, MOST_RULER_MM
from placements.services.photos.photo import photo_of_piece
from studio.errors import Conflict, Invalid, WrongState
from studio.inputs import read_text
from studio.models import Role
from studio.reader import zone_of
from studio.services.pictures import picture_clean
from studio.units import Units

from ..contexts.drops import impossible, limits, with_drop
from ..contexts.pieces import JobPiece
from ..contexts.progress import PROBLEMS, PieceState, piece_states
from ..models import ActionKind, Job, JobAction, JobLink
from ..selectors import SignedJob, actions_of, by_placement, signed_job
from .jobs import job_lock

#: Differences between two phones that are not worth a word [mm].
SAME_MM = 1.6
LONGEST_NOTE = 1000


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
    signed = signed_job(job.revision)
    known = JobAction.objects.filter(uuid=identity).first()
    if known is not None:
        if known.job_id != job.pk:
            raise Invalid("This action belongs to another job.")
        return Outcome(known, already=True, points=_points(signed, known))
    _expect_turn(job, device, sequence)
    piece = signed.piece_of(placement_id)
    clean = _payload(kind, piece, payload, photo, signed.units)
    earlier = actions_of(job)
    state = _state(signed, placement_id, earlier)
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
    finished = not late and _move_job(job, signed, [*earlier, action])
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


def _payload(
    kind: str, piece: JobPiece | None, payload: Mapping[str, Any], photo: bytes | None, units: Units
) -> dict[str, Any]:
    """The payload with what is known of this kind, checked."""
    if kind not in ActionKind.values:
        raise Invalid(f"There is no action of the kind “{kind}”.", faults=[{"where": "kind", "detail": "Unknown."}])
    if piece is None and kind != ActionKind.PROBLEM:
        raise Invalid("This piece is not in the job.", faults=[{"where": "placement", "detail": "Not in this job."}])
    note = _note(payload)
    match kind:
        case ActionKind.DROP:
            assert piece is not None
            return {
                "drop_mm": _length(piece, payload, "drop_mm", units),
                "apart_mm": _length(piece, payload, "apart_mm", units, default=0.0),
            }
        case ActionKind.MEASURED:
            assert piece is not None
            clean = {name: _length(piece, payload, name, units) for name in ("left_mm", "top_left_mm")}
            if payload.get("top_right_mm") is not None:
                clean["top_right_mm"] = _length(piece, payload, "top_right_mm", units)
            return clean
        case ActionKind.PROBLEM:
            what = payload.get("what")
            if not isinstance(what, str) or what not in PROBLEMS:
                detail = f"Say what the problem is: one of {', '.join(PROBLEMS)}."
                raise Invalid(detail, faults=[{"where": "payload.what", "detail": detail}])
            return {"what": what, "note": note}
        case ActionKind.PHOTO:
            if photo is None:
                raise Invalid("The photo is missing.", faults=[{"where": "photo", "detail": "Missing."}])
            assert piece is not None
            return {"note": note, **_card(piece, payload, units)}
    return {}


def _note(payload: Mapping[str, Any]) -> str:
    """The hanger's words; a longer note is cut, since a refused action would be lost to the office."""
    note = payload.get("note") or ""
    return read_text(note[:LONGEST_NOTE] if isinstance(note, str) else note, longest=LONGEST_NOTE, where="payload.note")


def _card(piece: JobPiece, payload: Mapping[str, Any], units: Units) -> dict[str, float]:
    """Where the reference card in a photo is on the wall, when it is there to measure by."""
    if payload.get("card_left_mm") is None and payload.get("card_bottom_mm") is None:
        return {}
    card = {name: _length(piece, payload, name, units) for name in ("card_left_mm", "card_bottom_mm")}
    if payload.get("ruler_mm") is not None:
        card["ruler_mm"] = _between(payload, "ruler_mm", (LEAST_RULER_MM, MOST_RULER_MM), units)
    return card


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


def _length(
    piece: JobPiece, payload: Mapping[str, Any], name: str, units: Units, default: float | None = None
) -> float:
    return _between(payload, name, limits(piece)[name], units, default)


def _between(
    payload: Mapping[str, Any], name: str, ends: tuple[float, float], units: Units, default: float | None = None
) -> float:
    value = payload.get(name, default)
    where = f"payload.{name}"
    if not isinstance(value, int | float) or isinstance(value, bool):
        raise Invalid(f"{name} must be a length in millimetres.", faults=[{"where": where, "detail": "Not a length."}])
    if text := impossible(value, *ends, units):
        raise Invalid(text, faults=[{"where": where, "detail": text}])
    return float(value)


def _state(signed: SignedJob, placement_id: int | None, earlier: list[JobAction]) -> PieceState:
    piece = signed.piece_of(placement_id)
    if piece is None or placement_id is None:
        return PieceState()
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


def _move_job(job: Job, signed: SignedJob, actions: list[JobAction]) -> bool:
    """Note when a job starts and when its last piece is up, by what was done and not by when it came. Taking one down
    reopens it. Returned is whether this was the last piece."""
    states = piece_states(by_placement(signed), actions, signed.units, signed.tolerances)
    finished = all(state.up for state in states.values())
    before = (job.started_at, job.finished_at)
    job.started_at = min(action.at for action in actions)
    job.finished_at = max((state.up_at for state in states.values() if state.up_at), default=None) if finished else None
    if (job.started_at, job.finished_at) != before:
        job.save(update_fields=["started_at", "finished_at", "updated_at"])
    if finished and job.revision.state == RevisionState.ISSUED:
        revision_step(by=None, revision=job.revision, name="hung", note=f"All up, by {job.hanger_name}.")
    elif not finished and job.revision.state == RevisionState.HUNG:
        revision_step(by=None, revision=job.revision, name="rehang", note="A piece was taken down again.")
    return finished and before[1] is None


def _tell_office(job: Job, signed: SignedJob, piece: JobPiece | None, action: JobAction, finished: bool) -> None:
    """A line in the inbox of the designer and of who issued the job: problems, pieces off their plan, all up."""
    which = f"piece {piece.number}, {piece.work.title}" if piece else "the job"
    news = [f"a late note on {which}, after the job was closed"] if action.late else []
    if action.kind == ActionKind.PROBLEM:
        what, note = PROBLEMS[action.payload["what"]], action.payload["note"]
        news.append(f"{which}: {what.lower()}{f' ({note})' if note else ''}")
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
