"""The band along a stair that follows the line of the handrail."""

from __future__ import annotations

from collections.abc import Iterator

from ..ceilings import kept_below
from ..geometry import from_edges, stretches
from ..house import Rail, Rect, Wall
from ..margins import Margins
from ..obstacles import keep_outs
from ..results import Ideal
from ..rule import INCH
from ..rulebook import Rulebook
from ..stairs import RAIL_HEIGHT_MM, climbs, rail_at, slope_of
from .outline import LEAST_SHARE, Found, shape_of

#: The shortest run along the rail that is worth calling a space [mm]. Common practice, no source.
LEAST_RUN = 24 * INCH
#: The least height over the rail and its margin that is worth hanging in [mm]. Common practice, no source.
LEAST_OVER_RAIL = 8 * INCH
#: The share of the run that pieces take together. Common practice, no source.
RUN_SHARE = (0.5, 0.9)
#: A usual width of the pieces of a run [mm], to say how high they may be. Common practice, no source.
PIECE_WIDTH = 20 * INCH
Run = tuple[float, float]


def stair(wall: Wall, rulebook: Rulebook) -> Iterator[Found]:
    """A space for every stretch of the rail above which the band is free; none on a wall without a rail."""
    rail = wall.rail
    if not climbs(rail):
        return
    eye, margins = rulebook.limits("eye-line"), rulebook.margins
    corner = abs(slope_of(rail)) * PIECE_WIDTH / 2  # the corner that comes nearest to the rail
    tallest = 2 * (eye.high - RAIL_HEIGHT_MM - margins.rail - corner)
    height = LEAST_SHARE * tallest, tallest
    low, high = rail_span(wall, margins.corner)
    taken = []
    for keep_out in keep_outs(wall, margins):
        line = sorted((rail_at(rail, keep_out.rect.left), rail_at(rail, keep_out.rect.right)))
        if keep_out.rect.top > line[0] + margins.rail and keep_out.rect.bottom < line[1] + margins.rail + height[1]:
            taken.append((keep_out.rect.left, keep_out.rect.right))
    runs = [run for run in stretches(low, high, taken) if run[1] - run[0] >= LEAST_RUN]
    for run in runs:
        left, right, ceiling = _under_the_ceiling(wall, rail, run, margins)
        bottom = max(0.0, min(rail_at(rail, left), rail_at(rail, right)))
        if right - left < LEAST_RUN or ceiling - bottom < margins.rail + LEAST_OVER_RAIL:
            continue
        yield Found(
            id=f"{wall.id}:stair",
            name="Along the stair",
            kind="stair",
            over=None,
            rect=from_edges(left, bottom, right, ceiling),
            basis=right - left,
            ideal=_ideal(right - left, height, rulebook),
        )


def _under_the_ceiling(wall: Wall, rail: Rail, run: Run, margins: Margins) -> tuple[float, float, float]:
    """The longest part of a run under one height that lies below the ceiling and leaves room above the rail, and that
    height [mm]: the whole run under a level ceiling."""
    line = kept_below(wall, margins.ceiling)
    if not wall.ceiling:
        return *run, line[0].y0
    tops = {segment.at(x) for segment in line for x in (segment.x0, segment.x1, *run) if segment.x0 <= x <= segment.x1}
    best = run[0], run[0], 0.0
    for top in sorted(tops, reverse=True):
        taken = [one for one in (segment.under(top) for segment in line) if one is not None]
        slope = slope_of(rail)
        if slope:
            meets = rail.from_x + (top - margins.rail - LEAST_OVER_RAIL - rail.from_y) / slope
            taken.append((meets, max(run[1], meets)) if slope > 0 else (min(run[0], meets), meets))
        for left, right in stretches(*run, taken):
            if right - left > best[1] - best[0]:
                best = left, right, top
    return best


def rail_span(wall: Wall, corner: float) -> tuple[float, float]:
    """From where to where along the wall the rail runs, clear of the corners [mm]."""
    assert wall.rail is not None
    low, high = sorted((wall.rail.from_x, wall.rail.to_x))
    return max(low, corner), min(high, wall.length - corner)


def rail_column(wall: Wall, corner: float) -> Rect:
    """The whole column of wall above and below the rail."""
    low, high = rail_span(wall, corner)
    return from_edges(low, 0.0, high, wall.height)


def _ideal(run: float, height: tuple[float, float], rulebook: Rulebook) -> Ideal:
    tall = max(height[0], 8 * INCH), max(height[1], 12 * INCH)
    width = RUN_SHARE[0] * run, RUN_SHARE[1] * run
    return Ideal(width, tall, shape_of(run, tall[1], rulebook.limits("shape").square_to))
