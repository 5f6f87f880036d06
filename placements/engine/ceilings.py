"""What a ceiling that slopes or steps leaves of a wall: the line that art keeps below, and free rectangles under it.

The margin from the ceiling is measured square to its line, so under a slope art keeps `margin / cos(slope)` below it,
straight up; at a corner that sticks down into the room, the lower edge of a step, the margin is squared off as around
every obstacle. No rectangle offered comes nearer to the ceiling than its margin.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from .geometry import from_edges, maximal_empty_rectangles
from .house import SAME_MM, Rect, Wall


class Segment(NamedTuple):
    """Between x0 and x1 art keeps below the line from (x0, y0) to (x1, y1) [mm]."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def slope(self) -> float:
        return (self.y1 - self.y0) / (self.x1 - self.x0)

    def at(self, x: float) -> float:
        return self.y0 + (x - self.x0) * self.slope

    def under(self, height: float) -> tuple[float, float] | None:
        """The stretch over which the line runs below a height; None where it does not."""
        if min(self.y0, self.y1) >= height:
            return None
        if max(self.y0, self.y1) < height:
            return self.x0, self.x1
        crossing = self.x0 + (height - self.y0) / self.slope
        return (self.x0, crossing) if self.y0 < self.y1 else (crossing, self.x1)


@dataclass(frozen=True, slots=True)
class Aims:
    """What makes a rectangle good, so that the best tops under a slope are among those tried.

    powers : (foot, power) pairs: the worth goes as width x (top - foot) ** power [mm]
    reach : heights over a rectangle's own bottom, and `tops` heights above the floor, from which on more is no better
    """

    powers: tuple[tuple[float, float], ...] = ()
    reach: tuple[float, ...] = ()
    tops: tuple[float, ...] = ()


def ceiling_over(wall: Wall, left: float, right: float) -> float:
    """The greatest height of the ceiling over a stretch of wall [mm]."""
    if not wall.ceiling:
        return wall.height
    inside = [y for x, y in wall.ceiling if left <= x <= right]
    edges = (s.at(x) for s in _edges(wall.ceiling) for x in (left, right) if s.x0 <= x <= s.x1)
    return max((*inside, *edges), default=wall.height)


def kept_below(wall: Wall, margin: float) -> tuple[Segment, ...]:
    """The line that art keeps below, with the margin from the ceiling [mm], in pieces that may overlap: the lowest
    counts."""
    if not wall.ceiling:
        top = wall.height - margin
        return (Segment(0.0, top, wall.length, top),)
    found: list[Segment] = []
    before = 0.0
    for (x0, y0), (x1, y1) in itertools.pairwise(wall.ceiling):
        long = math.hypot(x1 - x0, y1 - y0)
        if long < SAME_MM:
            continue
        aside, down = (y1 - y0) / long * margin, (x1 - x0) / long * margin
        if aside > before:  # the ceiling turns up: its corner sticks down into the room
            lowest = min(max(before, 0.0), aside)
            found.append(_level(x0 + before, x0 + aside, y0 - math.sqrt(margin**2 - lowest**2)))
        if x1 - x0 > SAME_MM:
            found.append(Segment(x0 + aside, y0 - down, x1 + aside, y1 - down))
        before = aside
    if before < 0:
        end, height = wall.ceiling[-1]
        found.append(_level(end + before, end, height - margin))
    return tuple(segment for segment in found if segment.x1 > segment.x0)


def free_rectangles(
    wall: Wall, bounds: Rect, solid: Sequence[Rect], margin: float, aims: Aims | None = None
) -> list[Rect]:
    """Rectangles inside `bounds` and under the ceiling's line with its margin that no obstacle enters [mm].

    Under a level ceiling all that are maximal. Under any other there are maximal ones without end: for every top at
    which something begins or ends, and the tops that are best for `aims` and for the area, those that are widest.

    Notes:
        Between two such tops each rectangle's edges are fixed or run along a slope, so its width w is linear in the top
        h, and w(h) (h - foot) ** power is greatest where its derivative is zero: h = (k f + p (k m - w(m))) / (k (1 +
        p)), with k the change of width with height and m any top between.
    """
    level = wall.height - margin
    if not wall.ceiling:
        under = from_edges(bounds.left, bounds.bottom, bounds.right, min(bounds.top, level))
        return maximal_empty_rectangles(under, solid) if under.width > 0 and under.height > 0 else []
    line = [segment for segment in kept_below(wall, margin) if segment.x1 > bounds.left and segment.x0 < bounds.right]
    aims = aims or Aims()
    tops = sorted({top for top in _tops(bounds, solid, line, aims) if bounds.bottom < top <= min(bounds.top, level)})
    found: dict[Rect, None] = {}
    for low, high in itertools.pairwise([bounds.bottom, *tops]):
        for top in (*_best(bounds, solid, line, aims, low, high), high):
            found |= dict.fromkeys(_up_to(bounds, solid, line, top))
    return list(found)


def _edges(ceiling: Sequence[tuple[float, float]]) -> Iterator[Segment]:
    for (x0, y0), (x1, y1) in itertools.pairwise(ceiling):
        if x1 - x0 > SAME_MM:
            yield Segment(x0, y0, x1, y1)


def _level(x0: float, x1: float, height: float) -> Segment:
    return Segment(x0, height, x1, height)


def _up_to(bounds: Rect, solid: Sequence[Rect], line: Iterable[Segment], top: float) -> list[Rect]:
    """The maximal rectangles below a height, none of them anywhere that the line runs below it."""
    lower = [segment.under(top) for segment in line]
    columns = [from_edges(one[0], bounds.bottom, one[1], top) for one in lower if one is not None]
    under = from_edges(bounds.left, bounds.bottom, bounds.right, top)
    free = maximal_empty_rectangles(under, [*solid, *columns])
    return [rect for rect in free if min(rect.width, rect.height) > SAME_MM]  # two slopes may meet a hair apart


def _tops(bounds: Rect, solid: Sequence[Rect], line: Sequence[Segment], aims: Aims) -> Iterator[float]:
    """The tops at which something begins or ends."""
    yield bounds.top
    yield from (rect.bottom for rect in solid)
    yield from aims.tops
    yield from (foot + reach for foot in (bounds.bottom, *(rect.top for rect in solid)) for reach in aims.reach)
    edges = {bounds.left, bounds.right, *(x for rect in solid for x in (rect.left, rect.right))}
    for segment in line:
        yield from (segment.y0, segment.y1)
        yield from (segment.at(x) for x in edges if segment.x0 <= x <= segment.x1)
    for one, other in itertools.combinations(line, 2):
        turn = one.slope - other.slope
        if turn:
            x = (other.at(0.0) - one.at(0.0)) / turn
            if max(one.x0, other.x0) <= x <= min(one.x1, other.x1):
                yield one.at(x)


def _best(
    bounds: Rect, solid: Sequence[Rect], line: Sequence[Segment], aims: Aims, low: float, high: float
) -> Iterator[float]:
    """The tops between two where a rectangle whose edges run along slopes is best."""
    middle = (low + high) / 2
    sloped = [segment for segment in line if min(segment.y0, segment.y1) < middle < max(segment.y0, segment.y1)]
    if not sloped:
        return
    crossings = [(segment.x0 + (middle - segment.y0) / segment.slope, segment.slope) for segment in sloped]
    for rect in _up_to(bounds, solid, line, middle):
        if rect.top < middle - SAME_MM:
            continue
        change = sum(1 / slope for x, slope in crossings if slope < 0 and abs(x - rect.right) < SAME_MM)
        change -= sum(1 / slope for x, slope in crossings if slope > 0 and abs(x - rect.left) < SAME_MM)
        if not change:
            continue
        for foot, power in (*aims.powers, (rect.bottom, 1.0)):
            top = (change * foot + power * (change * middle - rect.width)) / (change * (1 + power))
            if low < top < high:
                yield top
