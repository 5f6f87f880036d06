"""The judge itself, on layouts whose answers are worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from tests.placements.engine.groups.judging import judge


def test_four_equal_squares() -> None:
    """10 in squares 2.5 in apart: 400 of 22.5 squared, every facing edge in the band, all in balance."""
    found = judge(np.array([(x, y, x + 10, y + 10) for x in (0, 12.5) for y in (0, 12.5)], dtype=float))
    assert found.fill == pytest.approx(400 / 506.25)
    assert (found.facing, found.overlap, found.aspect) == pytest.approx((1, 0, 1))
    assert (found.across, found.upright, found.quarter) == pytest.approx((0, 0, 0.5))
    assert found.largest == pytest.approx(np.hypot(6.25, 6.25) / 22.5)


def test_one_of_two_gaps_too_wide() -> None:
    """Three in a row, 2 and 6 in apart, the last half as high: 10 in of facing edge hold, 5 in do not."""
    found = judge(np.array([(0, 0, 10, 10), (12, 0, 22, 10), (28, 0, 38, 5)], dtype=float))
    assert found.facing == pytest.approx(10 / 15)


def test_a_piece_between_hides_what_lies_behind() -> None:
    found = judge(np.array([(0, 0, 10, 10), (12.5, 0, 22.5, 10), (25, 0, 35, 10)], dtype=float))
    assert found.facing == 1


def test_overlap_is_an_area() -> None:
    assert judge(np.array([(0, 0, 10, 10), (9, 9, 19, 19)], dtype=float)).overlap == pytest.approx(1)
