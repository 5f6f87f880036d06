"""Each hook point of a piece with its stud, its fixing and the services near it."""

from __future__ import annotations

from dataclasses import dataclass

from ..fixings import Choice, Grip, choose
from ..house import Item, Rect, Room, Wall
from .grips import extras, grip_of
from .points import HookPoint, Hooks
from .studs import Shift, best_shift, holds, stud_offset

#: Cables usually run straight up, down or sideways from a fitting: common practice (in the UK, the prescribed zones
#: of BS 7671, regulation 522.6: 150 mm wide at corners and ceilings, read as quoted in public pages).
SERVICE_ZONE_MM = 150.0


@dataclass(frozen=True, slots=True)
class Fastened:
    """One hook point: `stud_offset` to the nearest stud [mm], None when studs are unknown."""

    point: HookPoint
    on_stud: bool
    stud_offset: float | None
    choice: Choice
    services: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Fastening:
    """All hook points of a piece on its wall, what it hangs on there, and the small move that would gain studs, if any.

    `extras` are fitted to the piece besides.
    """

    points: tuple[Fastened, ...]
    shift: Shift | None
    grip: Grip = "hook"
    extras: tuple[str, ...] = ()

    @property
    def enough(self) -> bool:
        return all(fastened.choice.enough for fastened in self.points)


def fasten(room: Room, wall: Wall, place: Rect, hooks: Hooks) -> Fastening:
    """Choose the fixing at every hook point of a piece at `place`; the load at a point is its downward share."""
    grip = grip_of(hooks.kind, room, wall, place)
    if grip == "rail":  # nothing is drilled
        hung = (Fastened(point, False, None, choose(wall.build, point.down_n, grip=grip), ()) for point in hooks.points)
        return Fastening(tuple(hung), None, grip, extras(hooks.kind, grip, room, wall, place))
    fastened = tuple(
        Fastened(
            point,
            holds(wall, point.left),
            stud_offset(wall, point.left),
            choose(wall.build, point.down_n, holds(wall, point.left), grip),
            near_services(wall, point.left, point.height),
        )
        for point in hooks.points
    )
    shift = best_shift(wall, tuple(point.left for point in hooks.points))
    return Fastening(fastened, shift, grip, extras(hooks.kind, grip, room, wall, place))


def near_services(wall: Wall, x: float, y: float) -> tuple[Item, ...]:
    """Outlets, switches and other services in line with a point, above, below or beside it, within the zone."""
    return tuple(
        item
        for item in wall.items
        if item.acts == "service"
        and ((zone := service_zone(item)).left <= x <= zone.right or zone.bottom <= y <= zone.top)
    )


def service_zone(item: Item) -> Rect:
    """What is in line with a service is beside this in height, or above or below it."""
    grown = 2 * SERVICE_ZONE_MM
    return Rect(item.left - SERVICE_ZONE_MM, item.bottom - SERVICE_ZONE_MM, item.width + grown, item.height + grown)
