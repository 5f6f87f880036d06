"""A proposal beside what hangs now: wall by wall, before and after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString

from placements.drawings import STRIP
from placements.engine.names import capital
from placements.models import Placement, ProposalRun, Revision
from placements.pieces import Piece, same_places, step_between, step_in_words
from placements.selectors.elsewhere import in_other_plans, said_of
from placements.selectors.projects import hanging_by_wall, rooms_with_walls
from studio.models import Artwork, Room, Wall
from studio.units import Units

from .drawn import small_elevation, studio_picture

SCALE = 0.075


@dataclass(frozen=True, slots=True)
class WallChange:
    wall: Wall
    before: SafeString
    after: SafeString
    same: bool
    score: int
    says: tuple[str, ...]
    findings: tuple[dict[str, str], ...]
    usual: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RoomChange:
    room: Room
    walls: tuple[WallChange, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    rooms: tuple[RoomChange, ...]
    changed: int
    unplaced: tuple[tuple[str, str], ...]
    twice: tuple[tuple[str, str], ...]
    proved: bool
    gap_percent: str


def comparison(run: ProposalRun, revision: Revision | None, units: Units) -> Comparison:
    """What accepting would change; `run.result` as `selectors.proposals.proposal_data` writes it."""
    result: dict[str, Any] = run.result or {}
    proposed = {one["wall"]: one for one in result.get("walls", ())}
    wanted = {piece["artwork"] for one in proposed.values() for piece in one["pieces"]}
    wanted |= {one["artwork"] for one in result.get("unplaced", ())}
    works = Artwork.objects.in_bulk(wanted)
    hung = [piece["artwork"] for one in proposed.values() for piece in one["pieces"]]
    hanging = hanging_by_wall(revision)
    rooms = []
    for room, walls in rooms_with_walls(run.project):
        changes = [
            _change(wall, hanging.get(wall.pk, []), proposed[wall.pk], works, units)
            for wall in walls
            if wall.pk in proposed
        ]
        if changes:
            rooms.append(RoomChange(room, tuple(changes)))
    gap = result.get("optimality", {}).get("gap", 0.0)
    return Comparison(
        rooms=tuple(rooms),
        changed=sum(not change.same for room in rooms for change in room.walls),
        unplaced=tuple(
            (works[one["artwork"]].title, one["why"]) for one in result.get("unplaced", ()) if one["artwork"] in works
        ),
        twice=tuple((row.artwork.title, said_of(row)) for row in in_other_plans(hung, run.project).values()),
        proved=gap <= 1e-9,
        gap_percent=f"{gap * 100:.1f}",
    )


def _change(
    wall: Wall, hanging: Sequence[Placement], proposed: dict[str, Any], works: dict[int, Artwork], units: Units
) -> WallChange:
    before = [Piece.of(placement) for placement in hanging]
    after = [Piece.read(piece, works) for piece in proposed["pieces"] if piece["artwork"] in works]
    return WallChange(
        wall=wall,
        before=small_elevation(wall, before, scale=SCALE, manner=STRIP, picture_url=studio_picture, key=f"b{wall.pk}"),
        after=small_elevation(wall, after, scale=SCALE, manner=STRIP, picture_url=studio_picture, key=f"a{wall.pk}"),
        same=same_places(before, after),
        score=round(proposed["score"]),
        says=tuple(_says(before, after, units)),
        findings=tuple(proposed["findings"]),
        usual=tuple(capital(text) for text in proposed.get("usual", ())),
    )


def _says(before: Sequence[Piece], after: Sequence[Piece], units: Units) -> list[str]:
    """The change in words: what comes, what goes, what moves and by how much."""
    now, then = ({piece.artwork.pk: piece for piece in pieces} for pieces in (before, after))
    said = [f"{piece.artwork} comes here." for pk, piece in then.items() if pk not in now]
    said += [f"{piece.artwork} leaves." for pk, piece in now.items() if pk not in then]
    steps = {pk: step_in_words(*step_between(now[pk], piece), units) for pk, piece in then.items() if pk in now}
    return said + [f"{then[pk].artwork} moves {step}." for pk, step in steps.items() if step]
