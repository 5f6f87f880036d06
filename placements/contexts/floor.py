"""The plans of a project's rooms, with what hangs in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from placements.drawings.floor import OnWall, draw_plan
from placements.engine.results import Hanging
from placements.plans.outline import Outline, outline
from placements.scenes import ProjectScene
from studio.models import Room
from studio.units import Units

#: The room that one plan has on a page, and its lettering [CSS px].
WIDE, HIGH, TEXT = 560.0, 460.0, 12.0
#: What two walls that meet may miss each other by before it is told [mm].
TOLD_MM = 5.0


@dataclass(frozen=True, slots=True)
class RoomPlan:
    """One room: its row, its drawing (empty where it has no wall), and what is to be said of it."""

    room: Room
    drawing: SafeString
    area: str
    misfit: str
    note: str


def room_plans(
    scene: ProjectScene, hangings: Sequence[Hanging], rooms: Sequence[Room], units: Units, *, shared: bool
) -> tuple[RoomPlan, ...]:
    """The rooms in the order given. shared : whether what the walls miss each other by is shared out over them"""
    told = {room.id: room for room in scene.house.rooms}
    names = {code: scene.walls[pk].name for code, pk in scene.wall_pk.items()}
    codes = {
        scene.walls[pk].room_id: room.id
        for room in scene.house.rooms
        for wall in room.walls
        if (pk := scene.wall_pk[wall.id])
    }
    art = [
        OnWall(one.wall, one.left, work.width, work.depth, work.title)
        for one in hangings
        for work in [scene.house.work_by_id[one.work]]
    ]
    found = []
    for row in rooms:
        room = told.get(codes.get(row.pk, ""))
        plan = outline(room, shared=shared) if room is not None else None
        if plan is None:
            found.append(RoomPlan(row, mark_safe(""), "", "", "No wall of it is surveyed yet."))
            continue
        svg = draw_plan(plan, art, names, title=f"{row.name} in plan", width=WIDE, height=HIGH, text=TEXT)
        found.append(RoomPlan(row, mark_safe(svg), _area(plan, units), _misfit(plan, units), _note(plan)))
    return tuple(found)


def _area(plan: Outline, units: Units) -> str:
    if not plan.closed:
        return ""
    square = plan.area_mm2 / 1e6
    return f"{square:.1f} m²" if units.metric else f"{square / 0.3048**2:.0f} sq ft"


def _misfit(plan: Outline, units: Units) -> str:
    """What the walls miss each other by, where they go around."""
    if plan.closed and plan.misfit_mm > TOLD_MM:
        return f"Its walls miss each other by {units.length(plan.misfit_mm)}."
    return ""


def _note(plan: Outline) -> str:
    if not plan.closed:
        return "Not all of its walls are surveyed: what is dashed is taken at right angles."
    if plan.told == "given":
        return "Its walls are taken clockwise, in the order of the list, at right angles: the survey does not tell."
    return ""
