"""A proposal beside what hangs now: wall by wall, before and after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

from django.utils.safestring import SafeString

from placements.drawings import STRIP
from placements.models import Placement, ProposalRun, Revision
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


@dataclass(frozen=True, slots=True)
class RoomChange:
    room: Room
    walls: tuple[WallChange, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    rooms: tuple[RoomChange, ...]
    changed: int
    unplaced: tuple[tuple[str, str], ...]
    proved: bool
    gap_percent: str


def comparison(run: ProposalRun, revision: Revision | None, units: Units) -> Comparison:
    """What accepting would change; `run.result` as `selectors.proposals.proposal_data` writes it."""
    result: dict[str, Any] = run.result or {}
    proposed = {one["wall"]: one for one in result.get("walls", ())}
    wanted = {piece["artwork"] for one in proposed.values() for piece in one["pieces"]}
    wanted |= {one["artwork"] for one in result.get("unplaced", ())}
    works = Artwork.objects.in_bulk(wanted)
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
        changed=sum(not one.same for room in rooms for one in room.walls),
        unplaced=tuple(
            (works[one["artwork"]].title, one["why"]) for one in result.get("unplaced", ()) if one["artwork"] in works
        ),
        proved=gap <= 1e-9,
        gap_percent=f"{gap * 100:.1f}",
    )


def _change(
    wall: Wall, before: Sequence[Placement], proposed: dict[str, Any], works: dict[int, Artwork], units: Units
) -> WallChange:
    pieces = [piece for piece in proposed["pieces"] if piece["artwork"] in works]
    after = [
        SimpleNamespace(artwork=works[piece["artwork"]], left_mm=piece["left_mm"], bottom_mm=piece["bottom_mm"])
        for piece in pieces
    ]
    now = {one.artwork_id: (one.left_mm, one.bottom_mm) for one in before}
    then = {one.artwork.pk: (one.left_mm, one.bottom_mm) for one in after}
    return WallChange(
        wall=wall,
        before=small_elevation(wall, before, scale=SCALE, manner=STRIP, picture_url=studio_picture, key=f"b{wall.pk}"),
        after=small_elevation(wall, after, scale=SCALE, manner=STRIP, picture_url=studio_picture, key=f"a{wall.pk}"),
        same=_same(now, then),
        score=round(proposed["score"]),
        says=tuple(_says(before, after, now, then, units)),
        findings=tuple(proposed["findings"]),
    )


def _same(now: dict[int, tuple[float, float]], then: dict[int, tuple[float, float]]) -> bool:
    return now.keys() == then.keys() and all(
        abs(now[pk][0] - then[pk][0]) < 0.5 and abs(now[pk][1] - then[pk][1]) < 0.5 for pk in now
    )


def _says(
    before: Sequence[Any], after: Sequence[Any], now: dict[int, Any], then: dict[int, Any], units: Units
) -> list[str]:
    """The change in words: what comes, what goes, what moves and by how much."""
    said = [f"{one.artwork} comes here." for one in after if one.artwork.pk not in now]
    said += [f"{one.artwork} leaves." for one in before if one.artwork_id not in then]
    for one in after:
        pk = one.artwork.pk
        if pk in now:
            across, up = then[pk][0] - now[pk][0], then[pk][1] - now[pk][1]
            steps = [
                f"{units.length(abs(off))} {way}"
                for off, way in ((across, "right" if across > 0 else "left"), (up, "up" if up > 0 else "down"))
                if abs(off) >= 0.5
            ]
            if steps:
                said.append(f"{one.artwork} moves {' and '.join(steps)}.")
    return said
