"""Studs: what a hook point hits, and how little a piece must shift to hit one."""

from __future__ import annotations

from dataclasses import dataclass

from ..house import Studs, Wall

#: A nominal 2x4 is 1 1/2 in wide (American Softwood Lumber Standard PS 20); a screw keeps 1/4 in from
#: its edge (common practice, no source), so it holds within 1/2 in of the stud's centre.
HOLD_MM = 12.7
#: How far a piece may move to gain a stud without being noticed: common practice, no source.
SHIFT_MM = 25.4


@dataclass(frozen=True, slots=True)
class Shift:
    """Move a piece `by` mm (right positive) and `hits` of its hook points hold in studs."""

    by: float
    hits: int


def centres(studs: Studs, length: float) -> tuple[float, ...]:
    """Centres of the studs of a wall [mm from its left end]."""
    if studs.spacing <= 0:
        return (studs.first,)
    first = studs.first % studs.spacing
    return tuple(first + i * studs.spacing for i in range(int((length - first) // studs.spacing) + 1))


def stud_offset(wall: Wall, x: float) -> float | None:
    """From x to the nearest stud's centre, right positive [mm]; None when the studs are not known."""
    if wall.studs is None:
        return None
    return min((stud - x for stud in centres(wall.studs, wall.length)), key=abs, default=None)


def holds(wall: Wall, x: float) -> bool:
    """Whether a screw at x holds in a stud. Unknown studs hold nothing."""
    offset = stud_offset(wall, x)
    return offset is not None and abs(offset) <= HOLD_MM + 1e-6


def best_shift(wall: Wall, xs: tuple[float, ...], tolerance: float = SHIFT_MM) -> Shift | None:
    """The smallest move of the whole piece, within `tolerance`, that gains stud hits; None when none gains any.

    Args:
        xs: the hook points from the wall's left end [mm]
    """
    now = sum(holds(wall, x) for x in xs)
    options = []
    for x in xs:
        offset = stud_offset(wall, x)
        if offset is None or abs(offset) <= HOLD_MM:
            continue
        for by in (offset, offset - HOLD_MM if offset > 0 else offset + HOLD_MM):
            hits = sum(holds(wall, other + by) for other in xs)
            if abs(by) <= tolerance + 1e-6 and hits > now:
                options.append(Shift(by, hits))
    return min(options, key=lambda shift: (-shift.hits, abs(shift.by)), default=None)


def even_apart(wall: Wall, middle: float, low: float, high: float, wanted: float) -> float | None:
    """The distance between two hooks that puts both in studs, evenly about `middle`; the nearest to `wanted` [mm]."""
    if wall.studs is None:
        return None
    reach = {2 * abs(stud - middle) for stud in centres(wall.studs, wall.length)}
    fits = [d for d in reach if low <= d <= high and holds(wall, middle - d / 2) and holds(wall, middle + d / 2)]
    return min(fits, key=lambda d: (abs(d - wanted), d), default=None)
