"""Gaps in a group, 2 to 3 in, up to 5 in for two or three pieces: common practice, no source."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from placements.engine.arrangement import arranged
from placements.engine.rules.arrangement import spacing
from tests import scenes
from tests.scenes import INCH, group, level, open_wall, said, work


def prints(count: int, width: float = 16, height: float = 20):
    return [work(f"p{n}", width, height, frame="black", form="print") for n in range(count)]


def row(count: int, gap: float, width: float = 16) -> list[tuple[float, float]]:
    return [(25 + n * (width + gap), 53) for n in range(count)]


@pytest.mark.parametrize(
    ("count", "gap", "expected"),
    [
        (5, 2, None),
        (5, 2.5, None),
        (5, 3, None),
        (5, 3.5, "exception"),
        (5, 1.5, "exception"),
        pytest.param(3, 5, None, id="three pieces may have 5 in"),
        pytest.param(2, 5, None, id="two pieces may have 5 in"),
        pytest.param(4, 5, "exception", id="four may not"),
        pytest.param(3, 5.5, "exception", id="three may not have more"),
    ],
)
def test_the_band_depends_on_how_many_hang_together(count: int, gap: float, expected: str | None) -> None:
    assert level(group(open_wall(*prints(count)), *row(count, gap)), "spacing") == expected


def test_overlapping_pieces_are_a_stop() -> None:
    found = group(open_wall(*prints(3)), *row(3, -1))
    assert level(found, "spacing") == "stop"
    assert found.stopped


def test_a_single_piece_has_no_gaps() -> None:
    assert "spacing" not in group(open_wall(*prints(1)), (50, 53)).terms


def test_the_flag_points_to_the_worst_gap() -> None:
    found = group(open_wall(*prints(4)), (25, 53), (43.5, 53), (62, 53), (86, 53))
    finding = said(found, "spacing")
    assert finding is not None
    assert finding.text == "Two neighbours hang 8 in apart; 2–3 in keeps the group together"
    assert finding.where is not None
    assert (finding.where.left / INCH, finding.where.width / INCH) == pytest.approx((78, 8))


def test_a_low_piece_that_faces_a_tall_one_with_its_whole_height_is_its_neighbour() -> None:
    """Though what it faces is little of its own width, and of the other's height."""
    low, tall, third = work("low", 86, 8), work("tall", 16, 86), work("third", 16, 20)
    finding = said(group(open_wall(low, tall, third), (21, 60), (115, 8), (133.5, 54)), "spacing")
    assert finding is not None
    assert finding.text.startswith("Two neighbours hang 8 in apart")


def test_pieces_that_do_not_face_are_measured_corner_to_corner() -> None:
    found = group(open_wall(*prints(2)), (25, 30), (25 + 16 + 3, 30 + 20 + 4))
    assert "5 in" in str(scenes.said(found, "spacing") or found.holds["spacing"])


def test_two_that_face_each_other_over_a_lower_piece_are_no_neighbours() -> None:
    """Left and right look at each other over the small one, which stands 2.5 in from both: nobody sees 21 in of gap."""
    works = [work("left", 20, 30), work("small", 16, 12), work("right", 20, 30)]
    found = group(open_wall(*works), (30, 40), (52.5, 40), (71, 40))
    assert level(found, "spacing") is None


def test_a_wide_gap_in_a_row_is_seen() -> None:
    found = group(open_wall(*prints(4)), (25, 53), (43.5, 53), (83.5, 53), (102, 53))
    finding = said(found, "spacing")
    assert finding is not None
    assert finding.measured == pytest.approx(24 * INCH)


def test_an_empty_place_in_the_middle_of_a_grid_is_seen() -> None:
    places = [(25 + 18.5 * x, 20 + 22.5 * y) for x in range(3) for y in range(3) if (x, y) != (1, 1)]
    assert level(group(open_wall(*prints(8)), *places), "spacing") == "exception"


@pytest.mark.parametrize(("gap", "judged"), [(30, False), (13, False), (8, True)])
def test_singles_at_even_intervals_are_no_group(gap: float, judged: bool) -> None:
    found = group(open_wall(*prints(4), width=400), *row(4, gap))
    assert (level(found, "spacing") == "exception") == judged
    assert ("spacing" in found.terms) == judged


@settings(max_examples=60, deadline=None)
@given(gaps=st.lists(st.floats(0.2, 9), min_size=3, max_size=5), seed=st.integers(0, 2**16))
def test_the_worst_gap_is_a_distance_that_shapely_finds_too(gaps: list[float], seed: int) -> None:
    works = prints(len(gaps) + 1)
    lefts = [25 + sum(gaps[:n]) + 16 * n for n in range(len(works))]
    house, space = open_wall(*works, width=400)
    hung = [scenes.hang(w, left, 53) for w, left in zip(works, lefts, strict=True)]
    placed = arranged(house, space, hung)
    verdict = spacing.evaluate(placed, spacing.Limits())
    shapes = [box(*edges) for edges in placed.boxes]
    distances = [a.distance(b) for a, b in pairwise(shapes)]
    assert min(abs(float(verdict.value) - one) for one in distances) < 1e-6
    worst = max(distances, key=lambda one: max(2 * INCH - one, one - float(verdict.high), 0))
    assert math.isclose(
        max(2 * INCH - float(verdict.value), float(verdict.value) - float(verdict.high), 0),
        max(2 * INCH - worst, worst - float(verdict.high), 0),
        abs_tol=1e-6,
    )


@settings(max_examples=60, deadline=None)
@given(gap=st.floats(3.2, 11.9), nearer=st.floats(0.01, 1))
def test_closing_a_wide_gap_never_lowers_the_score(gap: float, nearer: float) -> None:
    where = open_wall(*prints(4), width=400)
    apart, closer = (group(where, *row(4, one)) for one in (gap, 3 + (gap - 3) * (1 - nearer)))
    assert closer.terms["spacing"] >= apart.terms["spacing"] - 1e-12
    assert np.isfinite(apart.score)


@pytest.mark.parametrize(("over_mm", "expected"), [(3.0, None), (3.3, "exception")])
def test_an_eighth_of_an_inch_more_is_within_what_a_hanger_can_hold(over_mm: float, expected: str | None) -> None:
    found = group(open_wall(*prints(5)), *row(5, 3 + over_mm / INCH))
    assert level(found, "spacing") == expected


@pytest.mark.parametrize(("gap", "score"), [(2, 1.0), (3, 1.0), (3 + 1.5, 0.5), (2 - 1.5, 0.5)])
def test_a_gap_an_inch_and_a_half_off_is_half_as_good(gap: float, score: float) -> None:
    assert group(open_wall(*prints(5)), *row(5, gap)).terms["spacing"] == pytest.approx(score)
