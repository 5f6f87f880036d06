"""Each hook point of a piece with its stud, its fixing and the services near it."""

from __future__ import annotations

from dataclasses import dataclass

from ..fixings import Choice, choose
from ..house import Item, Wall
from .points import HookPoint, Hooks
from .studs import Shift, best_shift, holds, stud_offset

#: Cables usually run straight up, down or sideways from a fitting: common practice (in the UK, the prescribed zones
#: of BS 7671, regulation 522.6: 150 mm wide at corners and ceilings, read as quoted in public pages).
SERVICE_ZONE_MM = 150.0

#: Hardware that sits on screw heads or is screwed on; a nailed picture hook does not serve it.
SCREWED = ("keyholes", "cleat")


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
    """All hook points of a piece on its wall, and the small move that would gain studs, if any."""

    points: tuple[Fastened, ...]
    shift: Shift | None

    @property
    def enough(self) -> bool:
        return all(fastened.choice.enough for fastened in self.points)


def fasten(wall: Wall, hooks: Hooks) -> Fastening:
    """Choose the fixing at every hook point of a piece on `wall`; the load at a point is its downward share."""
    fastened = tuple(
        Fastened(
            point,
            holds(wall, point.left),
            stud_offset(wall, point.left),
            choose(wall.build, point.down_n, holds(wall, point.left), screws=hooks.kind in SCREWED),
            near_services(wall, point.left, point.height),
        )
        for point in hooks.points
    )
    return Fastening(fastened, best_shift(wall, tuple(point.left for point in hooks.points)))


def near_services(wall: Wall, x: float, y: float) -> tuple[Item, ...]:
    """Outlets, switches and other services in line with a point, above, below or beside it, within the zone."""
    return tuple(
        item
        for item in wall.items
        if item.acts == "service"
        and (
            item.left - SERVICE_ZONE_MM <= x <= item.left + item.width + SERVICE_ZONE_MM
            or item.bottom - SERVICE_ZONE_MM <= y <= item.bottom + item.height + SERVICE_ZONE_MM
        )
    )
