"""The whole job as the hanger's phone keeps it: every text set, numbers beside them where the phone has to reckon."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from typing import Any

from placements.engine.house import Wall
from placements.engine.names import small
from placements.engine.tolerances import Tolerances
from placements.selectors.photos.hung import HungReading
from studio.units import Units

from .drawing import draw_focus, draw_small, level_mm
from .drops import reckoning
from .handover import HandOver
from .pieces import Hook, JobPiece, fixing_text
from .progress import CONDITIONS, MOMENTS, PROBLEMS, PieceState, Problem
from .sheet import (
    MISMATCHES,
    loading,
    order_line,
    pick_list,
    piece_notes,
    spares,
    stud_text,
    tools,
    weight_text,
    with_spares,
)

#: Width of a phone's screen less its margins [CSS px].
DRAWING_PX = 358.0


def phone_job(
    *,
    facts: Mapping[str, Any],
    walls: Sequence[tuple[str, Wall]],
    pieces: Mapping[int, JobPiece],
    states: Mapping[int, PieceState],
    units: Units,
    tolerances: Tolerances,
    storage: Mapping[str, str],
    pictures: Mapping[int, str],
    outdated: Mapping[str, Any] | None,
    sequences: Mapping[str, int],
    photographed: Mapping[int, HungReading],
    problems: Sequence[Problem],
    handed_over: Sequence[HandOver],
    carried: Mapping[str, Any] | None,
) -> dict[str, Any]:
    """The job as JSON.

    Args:
        facts: project, client, address, hanger, note, revision, sha256, signed_by, signed_on, finished
        walls: (room's name, wall) in house order
        pieces: by placement, in order of hanging
        states: by placement
        pictures: the address of each piece's picture, by placement
        outdated: the newer revision and what changed, or None
        sequences: the last action that is stored of each phone
        photographed: what a photograph with the card in it shows of a piece, by placement
        problems: those of the job itself
        handed_over: who signed that they took it over
        carried: the revision before, how many of its pieces are up and right in this one, and what changes; or None
    """
    on_wall: dict[str, list[JobPiece]] = {}
    for piece in pieces.values():
        on_wall.setdefault(piece.wall.id, []).append(piece)
    everything = list(pieces.values())
    job: dict[str, Any] = {
        "facts": dict(facts),
        "units": {"style": units.style, "metric": units.metric},
        "level": {"mm": level_mm(units), "text": units.length(level_mm(units))},
        "tolerance": {
            "mm": tolerances.place,
            "level_mm": tolerances.level,
            "text": units.length(tolerances.place),
            "level_text": units.length(tolerances.level),
        },
        "pieces": [
            _piece(placement, piece, on_wall[piece.wall.id], states[placement], units, pictures.get(placement, ""))
            | {"by_photo": _by_photo(photographed.get(placement))}
            for placement, piece in pieces.items()
        ],
        "walls": [
            {
                "id": wall.id,
                "name": f"{room}, {wall.name}",
                "size": units.size(wall.length, wall.height),
                "build": wall.build,
                "drawing": draw_small(wall, on_wall[wall.id], units, width=DRAWING_PX),
            }
            for room, wall in walls
            if wall.id in on_wall
        ],
        "fixings": [
            {"count": count, "spare": spare, "name": name, "builds": builds}
            for count, spare, name, builds in with_spares(pick_list(everything))
        ],
        "tools": [*spares(everything, units), *tools(everything)],
        "loading": [
            {
                "place": place.place,
                "pieces": [
                    {"number": number, "title": title, "size": size, "weight": weight}
                    for number, title, size, weight, _ in place.pieces
                ],
            }
            for place in loading(everything, storage, units)
        ],
        "mismatches": [{"what": what, "do": do} for what, do in MISMATCHES],
        "problems": [{"what": what, "text": text} for what, text in PROBLEMS.items()],
        "moments": [{"what": what, "text": text} for what, text in MOMENTS.items()],
        "conditions": [{"what": what, "text": text} for what, text in CONDITIONS.items()],
        "job_problems": [_problem(one) for one in problems],
        "handed_over": [
            {"name": one.name, "at": one.at.isoformat(), "up": one.up, "count": one.count, "unsolved": one.unsolved}
            for one in handed_over
        ],
        "carried": dict(carried) if carried else None,
        "outdated": dict(outdated) if outdated else None,
        "sequences": dict(sequences),
    }
    job["version"] = hashlib.sha256(json.dumps(job, sort_keys=True, default=str).encode()).hexdigest()
    return job


def _piece(
    placement: int, piece: JobPiece, here: Sequence[JobPiece], state: PieceState, units: Units, picture: str
) -> dict[str, Any]:
    work = piece.work
    return {
        "placement": placement,
        "number": piece.number,
        "title": work.title,
        "maker": work.maker,
        "size": units.size(work.width, work.height),
        "weight": weight_text(piece, units),
        "hardware": piece.hardware,
        "drop": units.length(piece.hooks.drop) if piece.hooks.drop is not None else "",
        "wall": f"{piece.room.name}, {piece.wall.name}",
        "step": piece.step,
        "steps": len(here),
        "picture": picture,
        "drawing": draw_focus(piece.wall, here, piece, units, width=DRAWING_PX),
        "hooks": [hook_data(hook, piece, units) for hook in piece.points],
        "stands": piece.stands,
        "bearer": small(piece.bearer.name) if piece.bearer else "",
        "check": units.length(piece.check_mm) if piece.check_mm is not None else "",
        "order": order_line(piece, units),
        "notes": list(piece_notes(piece, units)),
        "cautions": [{"code": caution.code, "text": caution.text} for caution in piece.cautions],
        "reckon": reckoning(piece, units),
        "plan": {"left": units.length(piece.rect.left), "top": units.length(piece.rect.top)},
        "state": state_data(state),
    }


def hook_data(hook: Hook, piece: JobPiece, units: Units) -> dict[str, str]:
    """One hook as the phone shows it."""
    return {
        "label": hook.label,
        "datum": units.length(hook.datum_mm),
        "floor": units.length(hook.floor_mm),
        "bearer": units.length(hook.bearer_mm) if hook.bearer_mm is not None else "",
        "stud": stud_text(hook, piece.wall.build, units),
        "fixing": fixing_text(hook.fastened.choice),
    }


def _by_photo(reading: HungReading | None) -> dict[str, Any] | None:
    if reading is None:
        return None
    return {"text": reading.text, "conclusive": reading.conclusive, "off": reading.off, "waiting": reading.waiting}


def state_data(state: PieceState) -> dict[str, Any]:
    """A piece's state as the phone and the office's page read it."""
    measured = state.measured
    return {
        "up": state.up,
        "up_at": state.up_at.isoformat() if state.up_at else None,
        "drop_mm": state.drop_mm,
        "apart_mm": state.apart_mm,
        "measured": {"within": measured.within, "faults": list(measured.faults), **state.measures}
        if measured
        else None,
        "problems": [_problem(one) for one in state.problems],
        "conditions": [
            {"when": one.when, "found": one.found, "note": one.note, "marks": [list(mark) for mark in one.marks]}
            for one in state.conditions
        ],
        "unloaded_by": state.unloaded_by,
        "carried": state.carried,
        "photos": len(state.photos),
        "conflicts": list(state.conflicts),
    }


def _problem(problem: Problem) -> dict[str, str]:
    return {
        "uuid": problem.uuid,
        "what": problem.what,
        "text": problem.text,
        "note": problem.note,
        "solved": problem.solved,
    }
