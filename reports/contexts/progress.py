"""Where a job stands: each piece's state, from the actions in the order in which they were stored."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Protocol

from placements.engine.hanging.as_hung import AsHung, compare
from placements.engine.names import small
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


#: When a piece's condition is looked at, and what is found.
MOMENTS = {"unpacked": "At unpacking", "hung": "After hanging"}
CONDITIONS = {"sound": "As it should be", "marked": "A mark or damage"}


class Action(Protocol):
    """What is needed of a stored action."""

    pk: int
    uuid: uuid.UUID
    kind: str
    device: str
    placement_id: int | None
    payload: dict[str, Any]
    conflict: str
    late: bool

    @property
    def at(self) -> datetime: ...


@dataclass(slots=True)
class Problem:
    """What was reported of a piece or of the job, and the word with which it was solved; empty while it stands."""

    action: int
    uuid: str
    what: str
    text: str
    note: str
    at: datetime
    solved: str = ""
    solved_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Condition:
    """How a piece was found: `marks` are on its picture, in thousandths of its width and height from the upper left."""

    action: int
    when: str
    found: str
    note: str
    marks: tuple[tuple[int, int], ...]
    at: datetime

    @property
    def text(self) -> str:
        """ "At unpacking: a mark or damage (lower left corner rubbed)"."""
        found = f"{MOMENTS[self.when]}: {small(CONDITIONS[self.found])}"
        return f"{found} ({self.note})" if self.note else found


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
    problems: list[Problem] = field(default_factory=list)
    conditions: list[Condition] = field(default_factory=list)
    unloaded_by: str = ""
    unloaded_at: datetime | None = None
    photos: list[int] = field(default_factory=list)
    conflicts: list[str] = field(default_factory=list)
    carried: int | None = None

    @property
    def standing(self) -> list[Problem]:
        """The problems that nobody has solved."""
        return [problem for problem in self.problems if not problem.solved]


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


def job_problems(actions: Iterable[Action]) -> list[Problem]:
    """The problems of the job itself, of no piece, in their order."""
    found: list[Problem] = []
    for action in actions:
        if action.placement_id is None and not action.late:
            _note_problem(found, action)
    return found


def apply(state: PieceState, piece: JobPiece, action: Action, units: Units, tolerances: Tolerances) -> None:
    """Let one more action count. The newest measure stands; a problem stays in the record when it is solved."""
    payload = action.payload
    if action.conflict:
        state.conflicts.append(action.conflict)
    match action.kind:
        case "up":
            first = min(state.up_at, action.at) if state.up and state.up_at else action.at
            state.up, state.up_at, state.up_on = True, first, action.device
            state.carried = payload.get("carried")
        case "down":
            state.up, state.up_at, state.up_on, state.carried = False, None, "", None
        case "drop":
            state.drop_mm, state.apart_mm = payload["drop_mm"], payload.get("apart_mm", 0.0)
            state.drop_on = action.device
        case "measured":
            _note_measures(state, piece, action, units, tolerances)
        case "photo":
            state.photos.append(action.pk)
        case "problem" | "solved":
            _note_problem(state.problems, action)
        case "condition":
            marks = tuple((x, y) for x, y in payload["marks"])
            state.conditions.append(
                Condition(action.pk, payload["when"], payload["found"], payload["note"], marks, action.at)
            )
        case "unloaded":
            state.unloaded_by, state.unloaded_at = payload["by"], action.at


def _note_measures(state: PieceState, piece: JobPiece, action: Action, units: Units, tolerances: Tolerances) -> None:
    payload = action.payload
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


def _note_problem(problems: list[Problem], action: Action) -> None:
    """Add a problem, or the word that solves one. The first word stands; later ones are told as conflicts."""
    payload = action.payload
    if action.kind == "problem":
        what = payload["what"]
        text = PROBLEMS.get(what, what)
        problems.append(Problem(action.pk, str(action.uuid), what, text, payload.get("note", ""), action.at))
    elif action.kind == "solved":
        for problem in problems:
            if problem.uuid == payload["problem"] and not problem.solved:
                problem.solved, problem.solved_at = payload["note"], action.at


def is_beyond(state: PieceState, by_photo: HungReading | None) -> bool:
    """Whether a piece hangs beyond tolerance of its plan: by tape, or surely by photograph."""
    by_tape = state.measured is not None and not state.measured.within
    return by_tape or (by_photo is not None and by_photo.off)
