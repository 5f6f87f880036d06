"""A stair's lines on its wall: the handrail, and the treads that run parallel below it."""

from __future__ import annotations

from typing import Any, TypeGuard

import numpy as np

from .house import Rail
from .limits import INCH, Array

#: Height of a handrail above the line of the nosings: IRC 2018 R311.7.8 asks for 34 to 38 in; the middle is taken.
RAIL_HEIGHT_MM = 36 * INCH


def climbs(rail: Rail | None) -> TypeGuard[Rail]:
    """Whether there is a rail that runs along the wall; an upright one leads nowhere."""
    return rail is not None and rail.from_x != rail.to_x


def slope_of(rail: Rail) -> float:
    """Rise of the rail to the right [ratio]."""
    return (rail.to_y - rail.from_y) / (rail.to_x - rail.from_x)


def rail_at(rail: Rail, x: Any) -> Any:
    """Height of the handrail's line at x (number or array), going on beyond its ends [mm]."""
    return rail.from_y + (x - rail.from_x) * slope_of(rail)


def tread_at(rail: Rail, x: Any) -> Any:
    """Height of the line of the nosings at x [mm]: the rail's less its usual height, and never below the floor."""
    return np.maximum(rail_at(rail, x) - RAIL_HEIGHT_MM, 0.0)


#: A usual riser, by which treads are counted: at most 7 3/4 in (IRC R311.7.5.1); 7 in is common practice, no source.
RISER_MM = 7 * INCH


def nosings(rail: Rail) -> tuple[tuple[float, float], ...]:
    """The nosings on their line, from the foot up, as many as the rail's rise asks for: along and up the wall [mm]."""
    low, high = sorted(((rail.from_x, rail.from_y), (rail.to_x, rail.to_y)), key=lambda end: end[1])
    count = max(1, round((high[1] - low[1]) / RISER_MM))
    run = high[0] - low[0]
    along = (low[0] + run * step / count for step in range(1, count + 1))
    return tuple((x, float(tread_at(rail, x))) for x in along)


def over_treads(boxes: Array, rail: Rail) -> Array:
    """The same boxes seen from the stair: each piece's edges over the tread below its middle.

    boxes : (..., 4) left, bottom, right, top [mm, wall coordinates]

    Returns:
        (..., 4) left and right unchanged, bottom and top above the tread [mm].
    """
    seen = np.array(boxes, dtype=np.float64)
    tread = tread_at(rail, (seen[..., 0] + seen[..., 2]) / 2)
    seen[..., 1] -= tread
    seen[..., 3] -= tread
    return seen


def columns_over_rail(boxes: Array, rail: Rail) -> tuple[Array, Array]:
    """How high the columns of a run along a stair hang over the rail's line, each at its lowest piece's middle.

    A column is a piece with none below it and what hangs above it.

    boxes : (k, 4) left, bottom, right, top [mm, wall coordinates]

    Returns:
        (c,) of the columns' lower edges, and (c,) of their middles [mm].
    """
    across = (boxes[:, None, 0] < boxes[:, 2]) & (boxes[:, None, 2] > boxes[:, 0])
    lowest = ~(across & (boxes[:, None, 1] >= boxes[:, 3] - 1e-6)).any(axis=1)
    top = np.where(across, boxes[:, 3], -np.inf).max(axis=1)[lowest]
    bottom, line = boxes[lowest, 1], rail_at(rail, (boxes[lowest, 0] + boxes[lowest, 2]) / 2)
    return bottom - line, (bottom + top) / 2 - line


def astray_of_rail(boxes: Array, rail: Rail) -> float:
    """How far an arrangement strays from a line parallel to the rail, by its columns' middles or by their lower edges,
    whichever keep to it better [mm]."""
    return float(min(np.ptp(heights) for heights in columns_over_rail(boxes, rail)))
