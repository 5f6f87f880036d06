"""Keep-clear margins: how far art stays from what bounds a free space. House rules under the name "margins"."""

from __future__ import annotations

from dataclasses import dataclass

from .limits import INCH, limit

_RANGE = (0.0, 36 * INCH)


@dataclass(frozen=True)
class Margins:
    """Distances that a free space keeps [mm]."""

    casing: float = limit(3 * INCH, "mm", _RANGE, "from the casing of a window, door or opening")
    sconce: float = limit(4 * INCH, "mm", _RANGE, "from a sconce")
    corner: float = limit(4 * INCH, "mm", _RANGE, "from the corner of the room")
    floor: float = limit(12 * INCH, "mm", _RANGE, "from the floor, on an open wall")
    ceiling: float = limit(6 * INCH, "mm", _RANGE, "from the ceiling")
    furniture: float = limit(3 * INCH, "mm", _RANGE, "from a bookcase, lamp, plant or other tall thing")
    moulding: float = limit(
        3 * INCH, "mm", _RANGE, "from the line of a moulding: of a panel, a chair or picture rail, a wainscot"
    )
    rail: float = limit(4 * INCH, "mm", _RANGE, "above a stair's handrail, along which a hand slides")
    service: float = limit(3 * INCH, "mm", _RANGE, "from a switch, thermostat, vent or alarm")


DEFAULT_MARGINS = Margins()
