"""Where a job stands: each piece's state, from the actions in the order in which they were stored."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Protocol

from placements.engine.hanging.as_hung import AsHung, compare
from placements.engine.tolerances import Tolerances
from placements.selectors.photos.hung import HungReading
from studio.units import Units

from .pieces import JobPiece

PROBLEMS = {
    "no_stud": "No stud here",
    "pipe": "Pipe or cable",
    "damaged": "Piece damaged",
    "does_not_fit": "Does not fit",
    "wrong_piece": "Wrong piece",
    "other": "Something else",
}


class Action(Protocol):
    """What is needed of a stored action."""

    pk: int
    kind: str
    device: str
    placement_id: int | None
    payload: dict[str, Any]
    conflict: str
    late: bool

    @property
    def at(self) -> datetime: ...


@dataclass(slots=True)
class PieceState:
    """One piece as the job stands. Lengths in mm."""

    up: bool = False
    up_at: datetime | None = None
    up_on: str = ""
    drop_mm: float | None = None
    apart_mm: float = 0.0
    drop_on: str = ""
    measured: AsHung | None = None
    measures: dict[str, float] = field(default_factory=dict)
    measured_on: str = ""
    problems: list[dict[str, Any]] = field(default_factory=list)
    photos: list[int] = field(default_factory=list)
    conflicts: list[str] = field(default_factory=list)


def piece_states(
    pieces: Mapping[int, JobPiece], actions: Iterable[Action], units: Units, tolerances: Tolerances
) -> dict[int, PieceState]:
    """The state of every piece, by placement. What came after the job was closed changes nothing of it."""
    states = {placement: PieceState() for placement in pieces}
    for action in actions:
        state = states.get(action.placement_id or 0)
        if state is not None and not action.late:
            apply(state, pieces[action.placement_id or 0], action, units, tolerances)
    return states


def apply(state: PieceState, piece: JobPiece, action: Action, units: Units, tolerances: Tolerances) -> None:
    """Let one more action count. The newest measure stands; a problem stays until it is taken back by `solved`."""
    payload = action.payload
    if action.conflict:
        state.conflicts.append(action.conflict)
    match action.kind:
        case "up":
            first = min(state.up_at, action.at) if state.up and state.up_at else action.at
            state.up, state.up_at, state.up_on = True, first, action.device
        case "down":
            state.up, state.up_at, state.up_on = False, None, ""
        case "drop":
            state.drop_mm, state.apart_mm = payload["drop_mm"], payload.get("apart_mm", 0.0)
            state.drop_on = action.device
        case "measured":
            state.measures = {key: payload[key] for key in ("left_mm", "top_left_mm", "top_right_mm") if key in payload}
            state.measured = compare(
                piece.rect,
                payload["left_mm"],
                payload["top_left_mm"],
                payload.get("top_right_mm"),
                tolerances=tolerances,
                words=units,
            )
            state.measured_on = action.device
        case "photo":
            state.photos.append(action.pk)
        case "problem":
            state.problems.append(
                {
                    "action": action.pk,
                    "what": payload["what"],
                    "text": PROBLEMS.get(payload["what"], payload["what"]),
                    "note": payload.get("note", ""),
                    "at": action.at,
                }
            )


def is_beyond(state: PieceState, by_photo: HungReading | None) -> bool:
    """Whether a piece hangs beyond tolerance of its plan: by tape, or surely by photograph."""
    by_tape = state.measured is not None and not state.measured.within
    return by_tape or (by_photo is not None and by_photo.off)
