"""The close-out record for the client's file: as-hung elevations, photos, problems, times."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from placements.engine.house import House, Rect
from placements.engine.tolerances import Tolerances
from studio.units import Units

from .drawing import MARGIN_MM, draw_as_hung, fitted
from .pieces import JobPiece
from .progress import PROBLEMS, PieceState, is_beyond, piece_states
from .sheet import PAPERS, Heading

if TYPE_CHECKING:
    from placements.selectors.photos.hung import HungReading

    from ..models import Job, JobAction

#: The most of a page that an elevation takes beside its table [mm].
DEPTH_MM = 110.0


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
    rows: tuple[HungRow, ...]


@dataclass(frozen=True, slots=True)
class Note:
    """A photo or a problem: `picture` is the address of its photo, empty where there is none."""

    at: str
    piece: str
    text: str
    picture: str


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
    problems: tuple[Note, ...]
    photos: tuple[Note, ...]
    conflicts: tuple[Note, ...]
    late: tuple[Note, ...]


def closing_record(
    job: Job,
    house: House,
    pieces: Sequence[JobPiece],
    units: Units,
    tolerances: Tolerances,
    by_placement: Mapping[int, JobPiece],
    actions: Sequence[JobAction],
    readings: Mapping[int, HungReading],
    heading: Heading,
    paper: str,
    pictures: Mapping[str, str],
    zone: ZoneInfo,
) -> ClosingRecord:
    """The record of a job as it stands; `readings` are what photographs tell, by placement."""
    states = piece_states(by_placement, actions, units, tolerances)
    state_of = {piece.work.id: states[placement] for placement, piece in by_placement.items()}
    seen = {
        by_placement[placement].work.id: reading for placement, reading in readings.items() if placement in by_placement
    }
    walls = []
    for room, wall in house.walls():
        here = [piece for piece in pieces if piece.wall.id == wall.id]
        if here:
            as_hung = [_where_it_hangs(piece, state_of[piece.work.id]) for piece in here]
            draw = partial(draw_as_hung, wall, as_hung, units)
            scale, svg = fitted(draw, PAPERS[paper][0] - 2 * MARGIN_MM, DEPTH_MM, metric=units.metric)
            walls.append(
                HungWall(
                    room.name,
                    wall.name,
                    scale.label,
                    svg,
                    tuple(_row(piece, state_of[piece.work.id], seen.get(piece.work.id), units, zone) for piece in here),
                )
            )
    in_time = [action for action in actions if not action.late]
    titles = {placement: f"{piece.number}, {piece.work.title}" for placement, piece in by_placement.items()}
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
        photographed=sum(reading.conclusive for reading in seen.values()),
        beyond=sum(is_beyond(state, readings.get(placement)) for placement, state in states.items()),
        walls=tuple(walls),
        problems=tuple(_note(action, titles, pictures, zone) for action in in_time if action.kind == "problem"),
        photos=tuple(_note(action, titles, pictures, zone) for action in in_time if action.kind == "photo"),
        late=tuple(_note(action, titles, pictures, zone) for action in actions if action.late),
        conflicts=tuple(
            Note(moment(action.at, zone), titles.get(action.placement_id or 0, ""), action.conflict, "")
            for action in actions
            if action.conflict
        ),
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
    result = "not measured"
    if state.measured is not None:
        result = "within tolerance" if state.measured.within else "; ".join(state.measured.faults)
    return HungRow(
        piece.number,
        piece.work.title,
        units.size(piece.work.width, piece.work.height),
        moment(state.up_at, zone) if state.up else "not up",
        measured,
        result,
        by_photo.text if by_photo else "",
    )


def _note(action: JobAction, titles: Mapping[int, str], pictures: Mapping[str, str], zone: ZoneInfo) -> Note:
    what = PROBLEMS.get(action.payload.get("what", ""), action.get_kind_display() if action.late else "")
    text = ": ".join(part for part in (what, action.payload.get("note", "")) if part)
    picture = pictures.get(f"photo-{action.pk}", "")
    return Note(moment(action.at, zone), titles.get(action.placement_id or 0, "The job"), text, picture)
