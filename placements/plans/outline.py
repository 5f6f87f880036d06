"""A room's outline from the lengths of its walls and the way that each looks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from placements.engine.house import Item, Room, Wall

Point = tuple[float, float]
Told = Literal["bearings", "order", "given"]

#: A traverse whose ends lie farther apart than this share of its length is open: a side of the room is not surveyed.
OPEN = 0.12
#: How deep a room is taken to be, of which only walls on facing sides are surveyed, as a share of them.
UNKNOWN = 0.75


@dataclass(frozen=True, slots=True)
class Leg:
    """A wall as one walks along it, its left end (seen facing it) first; `inward` is a unit vector into the room."""

    wall: Wall
    start: Point
    end: Point
    inward: Point

    def at(self, along: float, out: float = 0.0) -> Point:
        """A point so far along the wall and so far before it [mm]."""
        share = along / self.wall.length if self.wall.length else 0.0
        x = self.start[0] + share * (self.end[0] - self.start[0]) + out * self.inward[0]
        y = self.start[1] + share * (self.end[1] - self.start[1]) + out * self.inward[1]
        return x, y

    def before(self, item: Item) -> tuple[Point, Point, Point, Point]:
        """The corners of what stands before the wall, along it and out into the room by its depth."""
        left, right = max(item.left, 0.0), min(item.rect.right, self.wall.length)
        return self.at(left), self.at(right), self.at(right, item.depth), self.at(left, item.depth)


@dataclass(frozen=True)
class Outline:
    """A room in plan.

    legs : the walls, in order; misfit : from the last end to the first start [mm], before anything was shared out
    closed : whether the walls go all the way around; told : what the order and angles were taken from
    north : whether the plan's up is north
    floor : the corners of the room; of one that is not closed, of the oblong that its walls stand around
    """

    legs: tuple[Leg, ...]
    misfit: Point
    closed: bool
    told: Told
    north: bool
    floor: tuple[Point, ...]

    @property
    def misfit_mm(self) -> float:
        return math.hypot(*self.misfit)

    @property
    def area_mm2(self) -> float:
        """What the walls enclose; 0 where they do not go around. Source: the surveyor's (shoelace) formula."""
        if not self.closed:
            return 0.0
        points = [leg.start for leg in self.legs]
        pairs = zip(points, [*points[1:], points[0]], strict=True)
        return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top [mm]."""
        points = [*self.floor, *(point for leg in self.legs for point in (leg.start, leg.end))]
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return min(xs), min(ys), max(xs), max(ys)


def outline(room: Room, *, shared: bool = False) -> Outline | None:
    """The room from its walls; None where it has none.

    Walls that look a bearing are turned by it; those between, and all where no bearing is known, turn a right angle to
    the right at each corner, as walls given around a room do.

    Args:
        shared: share the misfit out over the walls, each by its length: the compass rule (Bowditch, 1808; any text on
            surveying, as Ghilani, Elementary Surveying, "balancing", from memory). Only where they go around.
    """
    walls = _in_order(room)
    if not walls:
        return None
    ways = _ways(walls)
    vectors = [
        (wall.length * math.sin(way), wall.length * math.cos(way)) for wall, way in zip(walls, ways, strict=True)
    ]
    miss = -math.fsum(x for x, _ in vectors), -math.fsum(y for _, y in vectors)
    around = math.fsum(wall.length for wall in walls)
    closed = len(walls) > 2 and math.hypot(*miss) <= OPEN * around
    if shared and closed:
        vectors = [
            (x + miss[0] * wall.length / around, y + miss[1] * wall.length / around)
            for (x, y), wall in zip(vectors, walls, strict=True)
        ]
    known = any(wall.faces_deg is not None for wall in walls)
    told: Told = "bearings" if known else "order" if room.around else "given"
    if not closed:
        return _around_an_oblong(walls, ways, told, known)
    legs, here = [], (0.0, 0.0)
    for wall, (x, y), way in zip(walls, vectors, ways, strict=True):
        there = here[0] + x, here[1] + y
        legs.append(Leg(wall, here, there, (math.sin(way + math.pi / 2), math.cos(way + math.pi / 2))))
        here = there
    return Outline(tuple(legs), (miss[0] or 0.0, miss[1] or 0.0), True, told, known, tuple(leg.start for leg in legs))


def _around_an_oblong(walls: Sequence[Wall], ways: Sequence[float], told: Told, north: bool) -> Outline:
    """Walls of which some are not surveyed: each on the side of an oblong that it looks in from, in order.

    A side is as long as the longer of the two that face each other; where neither is surveyed, `UNKNOWN` of the others.
    """
    turned = [round((way - ways[0]) / (math.pi / 2)) % 4 for way in ways]
    sides = [[wall for wall, side in zip(walls, turned, strict=True) if side == k] for k in range(4)]
    runs = [math.fsum(wall.length for wall in side) for side in sides]
    across, deep = max(runs[0], runs[2]), max(runs[1], runs[3])
    across, deep = across or UNKNOWN * deep, deep or UNKNOWN * across
    long = (across, deep, across, deep)
    legs, corner, floor = [], (0.0, 0.0), []
    for k, side in enumerate(sides):
        way = ways[0] + k * math.pi / 2
        along, inward = (math.sin(way), math.cos(way)), (math.sin(way + math.pi / 2), math.cos(way + math.pi / 2))
        floor.append(corner)
        done = 0.0
        for wall in side:
            start, done = done, done + wall.length
            ends = [(corner[0] + along[0] * at, corner[1] + along[1] * at) for at in (start, done)]
            legs.append(Leg(wall, ends[0], ends[1], inward))
        corner = corner[0] + along[0] * long[k], corner[1] + along[1] * long[k]
    return Outline(tuple(legs), (0.0, 0.0), False, told, north, tuple(floor))


def _in_order(room: Room) -> tuple[Wall, ...]:
    """The walls around the room clockwise: as given, or by their bearings where the order is not told."""
    if not room.around and len(room.walls) > 1 and all(wall.faces_deg is not None for wall in room.walls):
        bearings = [wall.faces_deg or 0.0 for wall in room.walls]
        if len({round(one) for one in bearings}) == len(bearings):
            first = bearings[0]
            return tuple(sorted(room.walls, key=lambda wall: ((wall.faces_deg or 0.0) - first) % 360))
    return room.walls


def _ways(walls: Sequence[Wall]) -> list[float]:
    """The way along each wall, from its left end to its right, as a bearing [rad].

    Whoever faces a wall looks against the way that it faces, and walks along it to the right.
    """
    known = next((at for at, wall in enumerate(walls) if wall.faces_deg is not None), None)
    start = 90.0 if known is None else (walls[known].faces_deg or 0.0) - 90.0 - 90.0 * known
    found: list[float] = []
    way = start
    for at, wall in enumerate(walls):
        if wall.faces_deg is not None:
            way = wall.faces_deg - 90.0
        elif at:
            way = found[-1] + 90.0
        found.append(way)
    return [math.radians(one) for one in found]
