"""What each kind of action says, checked: what is stored is what is known of its kind, and nothing more."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NoReturn

from placements.services.photos.checks import LEAST_RULER_MM, MOST_RULER_MM
from studio.errors import Invalid
from studio.inputs import read_text, read_whole
from studio.units import Units

from ..contexts.drops import impossible, limits
from ..contexts.pieces import JobPiece
from ..contexts.progress import CONDITIONS, MOMENTS, PROBLEMS, job_problems, piece_states
from ..models import ActionKind, JobAction
from ..selectors import SignedJob, by_placement

LONGEST_NOTE = 1000
LONGEST_NAME = 120
#: A signature is drawn in a box so wide and so high, whatever the screen; strokes are points in it.
PAD = (1000, 400)
MOST_STROKES, MOST_POINTS = 200, 6000
MOST_MARKS = 30
#: What may be about the job and of no piece.
OF_THE_JOB = (ActionKind.PROBLEM, ActionKind.SOLVED, ActionKind.PHOTO, ActionKind.HANDED_OVER)


@dataclass(frozen=True, slots=True)
class Facts:
    """What a payload is checked against: the job, the piece that it is about, whether a photo came with it, and what
    was done before."""

    signed: SignedJob
    piece: JobPiece | None
    has_photo: bool
    earlier: Sequence[JobAction]

    @property
    def units(self) -> Units:
        return self.signed.units

    @property
    def its_piece(self) -> JobPiece:
        """The piece of an action that cannot be without one."""
        assert self.piece is not None
        return self.piece


def clean_payload(kind: str, payload: Mapping[str, Any], facts: Facts) -> dict[str, Any]:
    """The payload with what is known of this kind.

    Raises:
        Invalid: what is wrong, and where.
    """
    if kind not in ActionKind.values:
        _wrong("kind", f"There is no action of the kind “{kind}”.")
    if facts.piece is None and kind not in OF_THE_JOB:
        _wrong("placement", "This piece is not in the job.")
    return _CHECKS.get(ActionKind(kind), _nothing)(payload, facts)


def _nothing(payload: Mapping[str, Any], facts: Facts) -> dict[str, Any]:
    return {}


def _drop(payload: Mapping[str, Any], facts: Facts) -> dict[str, Any]:
    return {"drop_mm": _length(payload, "drop_mm", facts), "apart_mm": _length(payload, "apart_mm", facts, default=0.0)}


def _measured(payload: Mapping[str, Any], facts: Facts) -> dict[str, Any]:
    names = ["left_mm", "top_left_mm"]
    if payload.get("top_right_mm") is not None:
        names.append("top_right_mm")
    return {name: _length(payload, name, facts) for name in names}


def _problem(payload: Mapping[str, Any], facts: Facts) -> dict[str, Any]:
    what = _one_of(payload, "what", PROBLEMS, "Say what the problem is")
    return {"what": what, "note": _note(payload)}


def _solved(payload: Mapping[str, Any], facts: Facts) -> dict[str, Any]:
    """Which problem, by the name that its phone gave it, and with what word it was solved."""
    try:
        problem = str(uuid.UUID(payload.get("problem")))
    except (TypeError, ValueError, AttributeError):
        problem = ""
    if facts.piece is None:
        known = job_problems(facts.earlier)
    else:
        pieces = by_placement(facts.signed)
        states = piece_states(pieces, facts.earlier, facts.units, facts.signed.tolerances)
        known = next(states[placement].problems for placement, piece in pieces.items() if piece == facts.piece)
    if problem not in {one.uuid for one in known}:
        _wrong("payload.problem", "This problem was not reported here. Report it first, then say how it was solved.")
    note = _note(payload)
    if not note:
        _wrong("payload.note", "Say in a word how it was solved.")
    return {"problem": problem, "note": note}


def _photo(payload: Mapping[str, Any], facts: Facts) -> dict[str, Any]:
    if not facts.has_photo:
        _wrong("photo", "The photo is missing.")
    clean: dict[str, Any] = {"note": _note(payload)}
    if payload.get("when"):
        clean["when"] = _one_of(payload, "when", ("before", "after"), "Say when the photo was taken")
    return clean | (_card(payload, facts) if facts.piece is not None else {})


def _card(payload: Mapping[str, Any], facts: Facts) -> dict[str, float]:
    """Where the reference card in a photo is on the wall, when it is there to measure by."""
    if payload.get("card_left_mm") is None and payload.get("card_bottom_mm") is None:
        return {}
    card = {name: _length(payload, name, facts) for name in ("card_left_mm", "card_bottom_mm")}
    if payload.get("ruler_mm") is not None:
        card["ruler_mm"] = _between(payload, "ruler_mm", (LEAST_RULER_MM, MOST_RULER_MM), facts.units)
    return card


def _unloaded(payload: Mapping[str, Any], facts: Facts) -> dict[str, Any]:
    return {"by": _name(payload, "by", "Say who took it off the van.")}


def _condition(payload: Mapping[str, Any], facts: Facts) -> dict[str, Any]:
    marks = payload.get("marks", [])
    if not isinstance(marks, list) or len(marks) > MOST_MARKS:
        _wrong("payload.marks", f"Expected at most {MOST_MARKS} marks on the picture.")
    return {
        "when": _one_of(payload, "when", MOMENTS, "Say when it was looked at"),
        "found": _one_of(payload, "found", CONDITIONS, "Say how it was found"),
        "note": _note(payload),
        "marks": [_point(mark, (1000, 1000), "payload.marks") for mark in marks],
    }


def _handed_over(payload: Mapping[str, Any], facts: Facts) -> dict[str, Any]:
    """Who signed, for which signed record, with which strokes; and how the job stood when it came."""
    name = _name(payload, "name", "Whoever takes it over signs by name.")
    if payload.get("sha256") != facts.signed.signed.sha256:
        text = (
            "What was signed is not the revision of this job. Open the job where there is a signal and sign once more."
        )
        _wrong("payload.sha256", text)
    walls = payload.get("walls")
    seen = {wall for wall in walls if isinstance(wall, str)} if isinstance(walls, list) else set()
    here = {piece.wall.id: f"{piece.room.name}, {piece.wall.name}" for piece in facts.signed.pieces}
    if missed := [wall for code, wall in here.items() if code not in seen]:
        _wrong("payload.walls", f"Look at every wall before signing. Not looked at: {'; '.join(missed)}.")
    states = piece_states(by_placement(facts.signed), facts.earlier, facts.units, facts.signed.tolerances).values()
    unsolved = sum(len(state.standing) for state in states)
    return {
        "name": name,
        "sha256": facts.signed.signed.sha256,
        "walls": list(here),
        "strokes": _strokes(payload.get("strokes")),
        "note": _note(payload),
        "count": len(states),
        "up": sum(state.up for state in states),
        "unsolved": unsolved + sum(not one.solved for one in job_problems(facts.earlier)),
    }


def _strokes(strokes: Any) -> list[list[list[int]]]:
    where = "payload.strokes"
    if not isinstance(strokes, list) or not strokes or not all(isinstance(one, list) and one for one in strokes):
        _wrong(where, "The signature is missing: sign with a finger in the box.")
    if len(strokes) > MOST_STROKES or sum(map(len, strokes)) > MOST_POINTS:
        _wrong(where, "The signature has too many strokes. Clear the box and sign once more.")
    return [[_point(point, PAD, where) for point in stroke] for stroke in strokes]


def _point(point: Any, most: tuple[int, int], where: str) -> list[int]:
    if not isinstance(point, list) or len(point) != 2:
        _wrong(where, "Expected points, each of two numbers.")
    return [read_whole(value, most=end, where=where) for value, end in zip(point, most, strict=True)]


def _note(payload: Mapping[str, Any]) -> str:
    """The hanger's words; a longer note is cut, since a refused action would be lost to the office."""
    note = payload.get("note") or ""
    return read_text(note[:LONGEST_NOTE] if isinstance(note, str) else note, longest=LONGEST_NOTE, where="payload.note")


def _name(payload: Mapping[str, Any], field: str, missing: str) -> str:
    name = read_text(payload.get(field) or "", longest=LONGEST_NAME, where=f"payload.{field}")
    return name or _wrong(f"payload.{field}", missing)


def _one_of(payload: Mapping[str, Any], field: str, known: Mapping[str, str] | Sequence[str], ask: str) -> str:
    value = payload.get(field)
    if not isinstance(value, str) or value not in known:
        _wrong(f"payload.{field}", f"{ask}: one of {', '.join(known)}.")
    return value


def _length(payload: Mapping[str, Any], name: str, facts: Facts, default: float | None = None) -> float:
    return _between(payload, name, limits(facts.its_piece)[name], facts.units, default)


def _between(
    payload: Mapping[str, Any], name: str, ends: tuple[float, float], units: Units, default: float | None = None
) -> float:
    value = payload.get(name, default)
    where = f"payload.{name}"
    if not isinstance(value, int | float) or isinstance(value, bool):
        _wrong(where, f"{name} must be a length in millimetres.")
    if text := impossible(value, *ends, units):
        _wrong(where, text)
    return float(value)


def _wrong(where: str, detail: str) -> NoReturn:
    raise Invalid(detail, faults=[{"where": where, "detail": detail}])


_CHECKS: dict[ActionKind, Callable[[Mapping[str, Any], Facts], dict[str, Any]]] = {
    ActionKind.DROP: _drop,
    ActionKind.MEASURED: _measured,
    ActionKind.PROBLEM: _problem,
    ActionKind.SOLVED: _solved,
    ActionKind.PHOTO: _photo,
    ActionKind.UNLOADED: _unloaded,
    ActionKind.CONDITION: _condition,
    ActionKind.HANDED_OVER: _handed_over,
}
