"""On a stair the middles, or else the lower edges, follow the rail: common practice, no source.

The slopes are those that codes allow.
"""

from __future__ import annotations

import dataclasses
import math

import pytest

from placements.engine.house import Rail
from tests import scenes
from tests.scenes import INCH, group, level, said, work

#: IRC R311.7.5.1 and .2: riser at most 7 3/4 in, tread at least 10 in; IBC 1011.5.2: 7 in and 11 in.
STEEPEST, PUBLIC = 7.75 / 10, 7 / 11


def stair(slope: float, count: int = 4):
    works = [work(f"p{n}", 16, 20, form="print", frame="black") for n in range(count)]
    rail = Rail(0, 36 * INCH, 160 * INCH, (36 + 160 * slope) * INCH)
    house = scenes.house(*works, walls=(scenes.wall(rail=rail, length=170, height=220),))
    return house, scenes.space("stair", scenes.rect(0, 30, 165, 185))


def run(slope: float, over: float, count: int = 4) -> list[tuple[float, float]]:
    lefts = [20 + 18.5 * n for n in range(count)]
    return [(left, 36 + slope * (left + 8) + over) for left in lefts]


def test_the_steepest_legal_stair_climbs_at_the_published_angle() -> None:
    assert math.degrees(math.atan(STEEPEST)) == pytest.approx(37.7757, abs=1e-4)
    assert math.degrees(math.atan(PUBLIC)) == pytest.approx(32.4712, abs=1e-4)


@pytest.mark.parametrize("slope", [STEEPEST, PUBLIC, -PUBLIC])
def test_a_run_that_climbs_with_the_rail_follows_it(slope: float) -> None:
    where = stair(abs(slope))
    boxes = run(abs(slope), 14)
    found = group(where, *boxes)
    assert level(found, "rail-line") is None
    assert level(found, "fit") is None
    assert "14 in above it" in found.holds["rail-line"]


def test_a_level_row_on_a_stair_strays() -> None:
    found = group(stair(PUBLIC), *[(left, 100) for left, _ in run(PUBLIC, 14)])
    finding = said(found, "rail-line")
    assert finding is not None
    assert finding.level == "exception"
    assert finding.measured == pytest.approx(3 * 18.5 * PUBLIC * INCH)


@pytest.mark.parametrize("slope", [STEEPEST, PUBLIC])
def test_unlike_pieces_whose_middles_lie_on_the_line_follow_the_rail(slope: float) -> None:
    heights = (14, 24, 10, 20)
    works = [work(f"p{n}", 16, h, form="print", frame="black") for n, h in enumerate(heights)]
    house, space = stair(slope)
    boxes = [(left, bottom + 10 - h / 2) for (left, bottom), h in zip(run(slope, 14), heights, strict=True)]
    found = group((dataclasses.replace(house, works=tuple(works)), space), *boxes)
    assert level(found, "rail-line") is None
    assert "24 in above it" in found.holds["rail-line"]


def test_a_second_row_above_is_not_held_to_the_line() -> None:
    boxes = run(PUBLIC, 14, 2)
    above = [(left, bottom + 22.5 + 5 * n) for n, (left, bottom) in enumerate(boxes)]
    assert level(group(stair(PUBLIC), *boxes, *above), "rail-line") is None


def test_walls_without_a_rail_and_single_pieces_are_not_judged() -> None:
    assert "rail-line" not in group(stair(PUBLIC), *run(PUBLIC, 14, 1)).terms
    works = [work(name, 16, 20, frame="black") for name in "ab"]
    assert "rail-line" not in group(scenes.open_wall(*works), (30, 53), (48.5, 53)).terms
