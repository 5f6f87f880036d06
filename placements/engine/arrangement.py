"""Pieces that hang together in one space, as arrays: what the rules about arrangements look at."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .errors import InvalidHouse
from .geometry import common, grown, holds
from .groups.boxes import keeps_time
from .house import House, Rect, Wall, Work
from .margins import DEFAULT_MARGINS, Margins
from .obstacles import keep_outs
from .results import Hanging, Space
from .rule import Array
from .stairs import climbs, over_treads, tread_at

#: What reaches less far than this into a space only bounds it [mm].
TOUCH = 0.5


@dataclass(frozen=True)
class Arranged:
    """A finished arrangement: k pieces in one space.

    left, bottom, width, height : (k,) float64 [mm], in the order of `works`
    standing : (m, 4) left, bottom, right, top [mm] of what stands within the space, each with its keep-clear margin
    """

    works: tuple[Work, ...]
    space: Space
    wall: Wall
    left: Array
    bottom: Array
    width: Array
    height: Array
    standing: Array

    @property
    def right(self) -> Array:
        return self.left + self.width

    @property
    def top(self) -> Array:
        return self.bottom + self.height

    @cached_property
    def boxes(self) -> Array:
        """(k, 4) left, bottom, right, top [mm]."""
        return np.stack([self.left, self.bottom, self.right, self.top], axis=1)

    @cached_property
    def outline(self) -> tuple[float, float, float, float]:
        """left, bottom, right, top of the whole group [mm]."""
        return (
            float(self.left.min()),
            float(self.bottom.min()),
            float(self.right.max()),
            float(self.top.max()),
        )

    @cached_property
    def seen(self) -> Array:
        """(k, 4) the boxes as they stand to who walks by: on a stair over the treads, else over the floor [mm]."""
        rail = self.wall.rail
        return over_treads(self.boxes, rail) if self.space.kind == "stair" and climbs(rail) else self.boxes

    @cached_property
    def keeps_time(self) -> bool:
        """Whether the pieces are singles at even intervals along the wall, and no group."""
        reach = self.space.reach
        return self.space.kind != "stair" and keeps_time(self.boxes, (reach.left, reach.right))

    @cached_property
    def as_one(self) -> Rect:
        """The arrangement as one piece: its outline [mm].

        Along a stair it is the outline as seen from the treads: from the lowest edge to the highest, each over the
        tread below its piece, so that a run that climbs is as high as its pieces and not as the flight.
        """
        left, bottom, right, top = self.outline
        rail = self.wall.rail
        if self.space.kind == "stair" and climbs(rail):
            tread = float(tread_at(rail, (left + right) / 2))
            bottom, top = float(self.seen[:, 1].min()) + tread, float(self.seen[:, 3].max()) + tread
        return Rect(left, bottom, right - left, top - bottom)

    @cached_property
    def intrusion(self) -> Array:
        """(k,) [mm] how far each piece reaches into what stands within the space; below zero where it is clear."""
        if not len(self.standing):
            return np.full(len(self.works), -np.inf)
        boxes, there = self.boxes[:, None], self.standing[None]
        shared = np.minimum(boxes[..., 2:], there[..., 2:]) - np.maximum(boxes[..., :2], there[..., :2])
        reach: Array = shared.min(axis=2).max(axis=1)
        return reach


def standing_within(wall: Wall, space: Space, margins: Margins) -> tuple[Rect, ...]:
    """What stands within a space, each with its keep-clear margin: nothing, but where a group goes around it.

    A recess does not stand within the space on its own back wall.
    """
    inner = grown(space.reach, -TOUCH)
    found = (keep_out for keep_out in keep_outs(wall, margins) if common(keep_out.rect, inner))
    return tuple(
        keep_out.rect for keep_out in found if not (keep_out.item.kind == "niche" and holds(keep_out.raw, inner))
    )


def arranged(house: House, space: Space, hangings: Sequence[Hanging], margins: Margins = DEFAULT_MARGINS) -> Arranged:
    """The pieces of one space at their places, as arrays, under the house's keep-clear margins.

    Raises:
        InvalidHouse: no piece, or a work that the house does not have.
    """
    if not hangings:
        raise InvalidHouse(f"nothing hangs in space {space.id!r}: an arrangement needs at least one piece")
    unknown = [hanging.work for hanging in hangings if hanging.work not in house.work_by_id]
    if unknown:
        raise InvalidHouse(f"space {space.id!r} hangs unknown works: {', '.join(unknown)}")
    works = tuple(house.work_by_id[hanging.work] for hanging in hangings)
    wall = house.wall_by_id[space.wall]
    standing = standing_within(wall, space, margins)
    return Arranged(
        works,
        space,
        wall,
        _array(hanging.left for hanging in hangings),
        _array(hanging.bottom for hanging in hangings),
        _array(work.width for work in works),
        _array(work.height for work in works),
        np.array([(r.left, r.bottom, r.right, r.top) for r in standing], dtype=np.float64).reshape(-1, 4),
    )


def _array(values: Iterable[float]) -> Array:
    return np.fromiter(values, dtype=np.float64)
