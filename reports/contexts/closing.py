"""The close-out record for the client's file: where the works hang, in what condition, on what, who took them over.

Nothing is called as hung that was not measured: what was not taped is drawn, and said to be, as planned.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from placements.drawings.pen import FONT, INK, boxed, group, label, tag, titled
from placements.drawings.pen import Box as Frame
from placements.engine.house import House, Rect, Wall
from placements.engine.names import listed
from placements.engine.tolerances import Tolerances
from studio.units import Units

from .drawing import MARGIN_MM, draw_record, fitted
from .handover import HandOver, hand_overs
from .pieces import JobPiece
from .progress import PROBLEMS, Condition, PieceState, Problem, is_beyond, job_problems, piece_states
from .scales import Scale
from .sheet import PAPERS, Heading, pick_list

if TYPE_CHECKING:
    from placements.selectors.photos.hung import HungReading

    from ..models import Job, JobAction

#: The most of a page that an elevation takes beside its table [mm].
DEPTH_MM = 110.0
NOT_MEASURED = "as planned, not measured"


@dataclass(frozen=True, slots=True)
class HungRow:
    number: int
    title: str
    size: str
    up_at: str
    measured: str
    result: str
    by_photo: str


@dataclass(frozen=True, slots=True)
class HungWall:
    room: str
    name: str
    scale: str
    svg: str
    drawn: str
    rows: tuple[HungRow, ...]


@dataclass(frozen=True, slots=True)
class Note:
    """A photo or a problem: `picture` is the address of its photo, empty where there is none."""

    at: str
    piece: str
    text: str
    picture: str
    solved: str = ""


@dataclass(frozen=True, slots=True)
class ConditionNote:
    """How a piece was found: `svg` is its picture with the marks, empty where none was made."""

    at: str
    piece: str
    text: str
    svg: str
    picture: str


@dataclass(frozen=True, slots=True)
class Day:
    """What one day's notes tell of the hours on site."""

    day: str
    first: str
    last: str


@dataclass(frozen=True, slots=True)
class Signature:
    at: str
    over: HandOver


@dataclass(frozen=True, slots=True)
class ClosingRecord:
    heading: Heading
    hanger: str
    zone: str
    started: str
    finished: str
    duration: str
    count: int
    up: int
    measured: int
    photographed: int
    beyond: int
    walls: tuple[HungWall, ...]
    fixings: tuple[tuple[int, str, str], ...]
    days: tuple[Day, ...]
    unloaded: tuple[str, ...]
    conditions: tuple[ConditionNote, ...]
    problems: tuple[Note, ...]
    photos: tuple[Note, ...]
    conflicts: tuple[Note, ...]
    late: tuple[Note, ...]
    signatures: tuple[Signature, ...]


def closing_record(
    job: Job,
    house: House,
    pieces: Mapping[int, JobPiece],
    units: Units,
    tolerances: Tolerances,
    actions: Sequence[JobAction],
    readings: Mapping[int, HungReading],
    heading: Heading,
    paper: str,
    pictures: Mapping[str, str],
    zone: ZoneInfo,
) -> ClosingRecord:
    """The record of a job as it stands.

    Args:
        pieces: by placement, with the hooks of drops that were measured on site
        readings: what photographs tell, by placement
        pictures: addresses within the record: of works by their ids, of photos by `photo-` and their action
    """
    states = piece_states(pieces, actions, units, tolerances)
    in_time = [action for action in actions if not action.late]
    titles = {placement: f"{piece.number}, {piece.work.title}" for placement, piece in pieces.items()}
    note = partial(_note, titles=titles, pictures=pictures, zone=zone)
    walls = [
        (room.name, wall, here)
        for room, wall in house.walls()
        if (here := [placement for placement, piece in pieces.items() if piece.wall.id == wall.id])
    ]
    problems = [("The job", one) for one in job_problems(actions)]
    problems += [(titles[placement], one) for placement, state in states.items() for one in state.problems]
    return ClosingRecord(
        heading=heading,
        hanger=job.hanger_name,
        zone=zone.key,
        started=moment(job.started_at, zone),
        finished=moment(job.finished_at, zone),
        duration=duration(job),
        count=len(states),
        up=sum(state.up for state in states.values()),
        measured=sum(state.measured is not None for state in states.values()),
        photographed=sum(reading.conclusive for placement, reading in readings.items() if placement in pieces),
        beyond=sum(is_beyond(state, readings.get(placement)) for placement, state in states.items()),
        walls=tuple(
            _wall(
                room,
                wall,
                [(pieces[one], states[one], readings.get(one)) for one in here],
                units,
                paper,
                pictures,
                zone,
            )
            for room, wall, here in walls
        ),
        fixings=pick_list([piece for placement, piece in pieces.items() if states[placement].up]),
        days=_days(in_time, zone),
        unloaded=_unloaded(pieces, states),
        conditions=tuple(
            _condition(titles[placement], pieces[placement], one, pictures, zone)
            for placement, state in states.items()
            for one in state.conditions
        ),
        problems=tuple(
            _problem(which, one, pictures, zone) for which, one in sorted(problems, key=lambda one: one[1].at)
        ),
        photos=tuple(note(action) for action in in_time if action.kind == "photo"),
        late=tuple(note(action) for action in actions if action.late),
        conflicts=tuple(
            Note(moment(action.at, zone), titles.get(action.placement_id or 0, ""), action.conflict, "")
            for action in actions
            if action.conflict
        ),
        signatures=tuple(Signature(moment(over.at, zone), over) for over in hand_overs(actions)),
    )


def moment(at: datetime | None, zone: ZoneInfo) -> str:
    """The date and time where the job is; its zone is stated once, on the cover."""
    here = at.astimezone(zone) if at else None
    return f"{here.day} {here:%b %Y, %H:%M}" if here else ""


def duration(job: Job) -> str:
    """From the first action to the last piece, in hours and minutes."""
    if not (job.started_at and job.finished_at):
        return ""
    minutes = round((job.finished_at - job.started_at).total_seconds() / 60)
    return f"{minutes // 60} h {minutes % 60:02d} min"


def _days(actions: Sequence[JobAction], zone: ZoneInfo) -> tuple[Day, ...]:
    """From the first to the last note of each day, by the clock of the place."""
    by_day: dict[str, list[datetime]] = {}
    for here in sorted(action.at.astimezone(zone) for action in actions if "carried" not in action.payload):
        by_day.setdefault(f"{here.day} {here:%b %Y}", []).append(here)
    return tuple(Day(day, f"{times[0]:%H:%M}", f"{times[-1]:%H:%M}") for day, times in by_day.items())


def _unloaded(pieces: Mapping[int, JobPiece], states: Mapping[int, PieceState]) -> tuple[str, ...]:
    """Who took which pieces off the van."""
    by_whom: dict[str, list[str]] = {}
    for placement, state in states.items():
        if state.unloaded_by:
            by_whom.setdefault(state.unloaded_by, []).append(str(pieces[placement].number))
    return tuple(f"{who}: {listed(numbers)}" for who, numbers in by_whom.items())


def _wall(
    room: str,
    wall: Wall,
    here: Sequence[tuple[JobPiece, PieceState, HungReading | None]],
    units: Units,
    paper: str,
    pictures: Mapping[str, str],
    zone: ZoneInfo,
) -> HungWall:
    taped = [str(piece.number) for piece, state, _ in here if state.measured is not None]
    planned = [str(piece.number) for piece, state, _ in here if state.measured is None]
    drawn = f"As hung, by tape: {listed(taped)}. " if taped else ""
    drawn += f"As planned, not measured: {listed(planned)}." if planned else ""
    said = "as hung and as planned" if taped and planned else "as hung" if taped else "as planned"
    hung = [_where_it_hangs(piece, state) for piece, state, _ in here]

    def draw(scale: Scale) -> str:
        return draw_record(wall, hung, units, scale, pictures, f"{wall.name}, {said}")

    scale, svg = fitted(draw, PAPERS[paper][0] - 2 * MARGIN_MM, DEPTH_MM, metric=units.metric)
    rows = tuple(_row(piece, state, reading, units, zone) for piece, state, reading in here)
    return HungWall(room, wall.name, scale.label, svg, drawn.strip(), rows)


def _where_it_hangs(piece: JobPiece, state: PieceState) -> JobPiece:
    """The piece at its measured place, where it was measured; else at its planned one."""
    if state.measured is None:
        return piece
    rect = piece.rect
    moved = Rect(rect.left + state.measured.right, rect.bottom + state.measured.up, rect.width, rect.height)
    return dataclasses.replace(piece, rect=moved)


def _row(piece: JobPiece, state: PieceState, by_photo: HungReading | None, units: Units, zone: ZoneInfo) -> HungRow:
    measures = state.measures
    measured = ""
    if measures:
        tops = [measures[key] for key in ("top_left_mm", "top_right_mm") if key in measures]
        measured = f"left {units.length(measures['left_mm'])}, top {' and '.join(units.length(top) for top in tops)}"
    result = NOT_MEASURED
    if state.measured is not None:
        result = "within tolerance" if state.measured.within else "; ".join(state.measured.faults)
    up_at = moment(state.up_at, zone) if state.up else "not up"
    return HungRow(
        piece.number,
        piece.work.title,
        units.size(piece.work.width, piece.work.height),
        f"{up_at}, as in revision {state.carried}" if state.up and state.carried else up_at,
        measured,
        result,
        by_photo.text if by_photo else "",
    )


def _condition(
    title: str, piece: JobPiece, one: Condition, pictures: Mapping[str, str], zone: ZoneInfo
) -> ConditionNote:
    svg = _marked(piece, one, pictures.get(piece.work.id, "")) if one.marks else ""
    return ConditionNote(moment(one.at, zone), title, one.text, svg, pictures.get(f"photo-{one.action}", ""))


#: A piece's picture with its marks is so wide or high at most [mm].
MARKED_MM = 50.0


def _marked(piece: JobPiece, one: Condition, picture: str) -> str:
    """The piece's picture with numbered rings where its marks are."""
    scale = MARKED_MM / max(piece.rect.width, piece.rect.height)
    wide, high = piece.rect.width * scale, piece.rect.height * scale
    said = f"Piece {piece.number}, {piece.work.title}: {one.text}; {len(one.marks)} marked on its picture"
    drawn = []
    if picture:
        drawn.append(tag("image", {"href": picture, "width": wide, "height": high, "preserveAspectRatio": "none"}))
    drawn.append(boxed(Frame(0, 0, wide, high), fill="none"))
    for number, (x, y) in enumerate(one.marks, start=1):
        at, down = x / 1000 * wide, y / 1000 * high
        for colour, stroke in (("#fff", 1.1), (INK, 0.5)):
            drawn.append(
                tag(
                    "circle", {"cx": at, "cy": down, "r": 2.6, "fill": "none", "stroke": colour, "stroke-width": stroke}
                )
            )
        drawn.append(label(str(number), at + 3.4, down + 1, 3, stroke="#fff", stroke_width=0.9, paint_order="stroke"))
    root = {"xmlns": "http://www.w3.org/2000/svg", "width": f"{wide + 8:.2f}mm", "height": f"{high + 8:.2f}mm",
            "viewBox": f"-4 -4 {wide + 8:.2f} {high + 8:.2f}", "font-family": FONT}  # fmt: skip
    return tag("svg", root, titled(said) + group("marked", "".join(drawn), stroke=INK, stroke_width=0.3))


def _problem(which: str, problem: Problem, pictures: Mapping[str, str], zone: ZoneInfo) -> Note:
    text = f"{problem.text}: {problem.note}" if problem.note else problem.text
    solved = f"{problem.solved} ({moment(problem.solved_at, zone)})" if problem.solved else ""
    return Note(moment(problem.at, zone), which, text, pictures.get(f"photo-{problem.action}", ""), solved)


def _note(action: JobAction, titles: Mapping[int, str], pictures: Mapping[str, str], zone: ZoneInfo) -> Note:
    payload = action.payload
    what = PROBLEMS.get(payload.get("what", ""), action.get_kind_display() if action.late else "")
    when = {"before": "before hanging", "after": "after hanging"}.get(payload.get("when", ""), "")
    text = ": ".join(part for part in (what, when, payload.get("note", "")) if part)
    picture = pictures.get(f"photo-{action.pk}", "")
    return Note(moment(action.at, zone), titles.get(action.placement_id or 0, "The job"), text, picture)
