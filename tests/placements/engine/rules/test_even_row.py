"""Equal pieces hang in line: common practice, no source."""

from __future__ import annotations

import pytest

from placements.engine.house import Rail
from tests import scenes
from tests.scenes import INCH, group, level, open_wall, said, work


def equal(count: int):
    return [work(f"p{n}", 16, 20, frame="black", form="print") for n in range(count)]


GRID = [(30 + 18.5 * (n % 3), 40 + 22.5 * (n // 3)) for n in range(6)]


def test_a_row_and_a_grid_are_even() -> None:
    assert level(group(open_wall(*equal(4)), *GRID[:3], (85.5, 40)), "even-row") is None
    assert level(group(open_wall(*equal(6)), *GRID), "even-row") is None


@pytest.mark.parametrize(("step", "expected"), [(0.1, None), (1, "exception"), (3, "exception")])
def test_a_piece_that_hangs_lower_breaks_the_row(step: float, expected: str | None) -> None:
    found = group(open_wall(*equal(3)), (30, 53), (48.5, 53 - step), (67, 53))
    assert level(found, "even-row") == expected


def test_a_brick_pattern_is_staggered() -> None:
    found = group(open_wall(*equal(5)), *GRID[:3], (39.25, 62.5), (57.75, 62.5))
    finding = said(found, "even-row")
    assert finding is not None
    assert finding.measured == pytest.approx(9.25 * INCH)


def test_a_staircase_of_pieces_that_share_no_row_is_staggered() -> None:
    found = group(open_wall(*equal(2)), (30, 30), (49, 53))
    assert level(found, "even-row") == "exception"


def test_mixed_sizes_have_no_row_to_keep() -> None:
    works = [*equal(2), work("x", 24, 30, frame="black")]
    assert "even-row" not in group(open_wall(*works), (30, 53), (48.5, 53), (67, 48)).terms


def test_on_a_stair_the_rail_leads_instead() -> None:
    works = equal(3)
    house = scenes.house(*works, walls=(scenes.wall(rail=Rail(0, 34 * INCH, 96 * INCH, 106 * INCH), height=200),))
    where = house, scenes.space("stair", scenes.rect(0, 40, 120, 150))
    assert "even-row" not in group(where, (10, 60), (28.5, 74), (47, 88)).terms


@pytest.mark.parametrize(("step", "score"), [(0.125, 1.0), (0.125 + 1, 0.5), (0, 1.0)])
def test_a_step_an_inch_beyond_what_is_allowed_is_half_as_good(step: float, score: float) -> None:
    found = group(open_wall(*equal(3)), (30, 53), (48.5, 53 - step), (67, 53))
    assert found.terms["even-row"] == pytest.approx(score)


@pytest.mark.parametrize(
    ("left", "expected"),
    [
        pytest.param(30.08, "exception", id="0.13 in off, though the left edges are 0.08 in off"),
        pytest.param(29.95, None, id="in line by their middles"),
    ],
)
def test_a_column_is_even_by_the_middles(left: float, expected: str | None) -> None:
    works = [work("p0", 16, 20, frame="black", form="print"), work("p1", 16.1, 20, frame="black", form="print")]
    assert level(group(open_wall(*works), (30, 30), (left, 52.5)), "even-row") == expected
