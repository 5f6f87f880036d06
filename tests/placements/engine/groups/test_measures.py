"""Gaps, overlap and outline against published squared rectangles, shapely and layouts worked by hand."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from placements.engine.groups.boxes import neighbour_gaps
from placements.engine.groups.measures import measure, overlap_area
from tests.placements.engine.groups.squared import DUIJVESTIJN_112, MORON_33_32, decode

IN = 25.4
BAND = (2 * IN, 3 * IN)


@pytest.mark.parametrize(
    ("code", "size", "sides"),
    [
        pytest.param(MORON_33_32, (33, 32), [18, 15, 14, 10, 9, 8, 7, 4, 1], id="order-9"),
        pytest.param(
            DUIJVESTIJN_112,
            (112, 112),
            [50, 42, 37, 35, 33, 29, 27, 25, 24, 19, 18, 17, 16, 15, 11, 9, 8, 7, 6, 4, 2],
            id="order-21",
        ),
    ],
)
def test_squared_rectangle_is_full_without_overlap_and_every_gap_is_zero(code, size, sides):
    boxes = decode(code)
    assert sorted((boxes[:, 2] - boxes[:, 0]).tolist(), reverse=True) == sides
    found = measure(boxes, gap_band_mm=(0, 0))
    assert (found.outline.width, found.outline.height) == size
    assert found.overlap_mm2 == 0
    assert found.fill_ratio == pytest.approx(1, abs=1e-12)
    assert found.void_ratio == pytest.approx(0, abs=1e-12)
    assert found.notch_ratio == pytest.approx(0, abs=1e-12)
    assert found.band_share == 1
    gaps = neighbour_gaps(boxes)
    assert np.abs(gaps.gap_mm).max() == 0
    # Every inner edge is seen once: perimeters less the outer rim, halved.
    perimeter = 4 * sum(sides) - 2 * sum(size)
    assert gaps.facing_mm.sum() == pytest.approx(perimeter / 2)


def boxes_strategy(most: int = 9):
    side = st.integers(1, 40)
    box = st.tuples(st.integers(0, 100), st.integers(0, 100), side, side)
    return st.lists(box, min_size=1, max_size=most).map(
        lambda bs: np.array([(x, y, x + w, y + h) for x, y, w, h in bs], dtype=float)
    )


@settings(max_examples=150, deadline=None)
@given(boxes_strategy())
def test_overlap_agrees_with_shapely(boxes):
    shapes = [shapely.box(*b) for b in boxes]
    expected = sum(a.intersection(b).area for i, a in enumerate(shapes) for b in shapes[i + 1 :])
    assert overlap_area(boxes[None])[0] == pytest.approx(expected)


def seen_by_rays(boxes, axis):
    """Facing lengths by shooting a ray along every unit strip (edges are whole numbers)."""
    seen = {}
    low, high = (1, 3) if axis == 0 else (0, 2)
    for at in range(int(boxes[:, low].min()), int(boxes[:, high].max())):
        ray = at + 0.5
        hit = sorted((b[axis], i) for i, b in enumerate(boxes) if b[low] < ray < b[high])
        for (_, i), (_, j) in itertools.pairwise(hit):
            seen[i, j] = seen.get((i, j), 0) + 1
    return seen


@settings(max_examples=150, deadline=None)
@given(boxes_strategy())
def test_neighbours_that_see_each_other_agree_with_rays_and_shapely(boxes):
    apart = []
    for box in boxes:
        if all(not shapely.box(*box).intersects(shapely.box(*other)) for other in apart):
            apart.append(box)
    boxes = np.array(apart)
    gaps = neighbour_gaps(boxes)
    for axis in (0, 1):
        mine = {
            (int(i), int(j)): f
            for i, j, f, a in zip(gaps.first, gaps.second, gaps.facing_mm, gaps.axis, strict=True)
            if a == axis
        }
        assert mine == pytest.approx(seen_by_rays(boxes, axis))
    for i, j, gap in zip(gaps.first, gaps.second, gaps.gap_mm, strict=True):
        assert gap == pytest.approx(shapely.box(*boxes[i]).distance(shapely.box(*boxes[j])))


def row(*pieces, gap=2.5):
    """Pieces (width, height, bottom) in inches in a row."""
    left, boxes = 0.0, []
    for width, height, bottom in pieces:
        boxes.append((left, bottom, left + width, bottom + height))
        left += width + gap
    return np.array(boxes) * IN


def test_row_of_equal_prints_measures_as_a_designer_expects():
    found = measure(row((16, 20, 0), (16, 20, 0), (16, 20, 0)), gap_band_mm=BAND)
    assert found.band_share == found.alignment_ratio == 1
    assert found.fill_ratio == pytest.approx(1)
    assert found.weight_offset_ratio == pytest.approx(0, abs=1e-12)
    assert found.outline.width == pytest.approx(53 * IN)


def test_a_hole_counts_by_facing_length_where_pairs_would_hide_it():
    # Four tall pieces in a frame round a hole 10 in wide: only the pair across it is out of the band.
    boxes = np.array([(0, 0, 10, 30), (20, 0, 30, 30), (0, 32.5, 30, 40), (0, -10, 30, -2.5)]) * IN
    found = measure(boxes, gap_band_mm=BAND)
    # In band: 4 joints of 10 in. Out: 30 in side by side, 10 in one above the other.
    assert found.band_share == pytest.approx(40 / 80)
    assert found.void_ratio > 0.1


def test_a_sconce_between_two_pieces_hides_them_from_each_other():
    boxes = row((10, 20, 0), (10, 20, 0), gap=12)
    sconce = np.array([(14, -5, 18, 25)]) * IN
    assert measure(boxes, gap_band_mm=BAND).band_share == 0
    assert measure(boxes, gap_band_mm=BAND, blocks=sconce).band_share == 1
    assert len(neighbour_gaps(boxes, sconce).gap_mm) == 0


def test_shared_centre_line_counts_as_aligned_and_a_stagger_does_not():
    assert measure(row((10, 20, 0), (10, 10, 5)), gap_band_mm=BAND).alignment_ratio == 1
    assert measure(row((10, 20, 0), (10, 10, 3)), gap_band_mm=BAND).alignment_ratio == 0


def test_heavier_side_moves_the_weight_off_centre():
    boxes = row((10, 10, 0), (10, 10, 0))
    even = measure(boxes, gap_band_mm=BAND)
    dark_right = measure(boxes, gap_band_mm=BAND, weight=np.array([1.0, 3.0]))
    assert even.weight_offset_ratio == pytest.approx(0, abs=1e-12)
    # Weight 1 at x = 5 and 3 at x = 17.5: centre 14.375, outline's middle 11.25, width 22.5.
    assert dark_right.weight_offset_ratio == pytest.approx(3.125 / 22.5)


def test_four_unequal_corners_meeting_are_counted_and_a_grid_is_not():
    grid = np.array([(0, 0, 10, 10), (12.5, 0, 22.5, 10), (0, 12.5, 10, 22.5), (12.5, 12.5, 22.5, 22.5)]) * IN
    assert measure(grid, gap_band_mm=BAND).cross_meetings == 0
    mixed = grid.copy()
    mixed[3, 2:] += 6 * IN
    assert measure(mixed, gap_band_mm=BAND).cross_meetings == 1


def test_small_piece_hanging_by_a_corner_is_a_stray():
    boxes = np.array([(0, 0, 20, 20), (22.5, 0, 42.5, 20), (0, 22.5, 20, 42.5), (22.5, 22.5, 42.5, 42.5)]) * IN
    assert measure(boxes, gap_band_mm=BAND).strays == 0
    with_stray = np.vstack([boxes, np.array([[45, 39, 50, 46]]) * IN])
    assert measure(with_stray, gap_band_mm=BAND).strays == 1


def test_no_pieces_is_an_error():
    with pytest.raises(ValueError, match="at least one piece"):
        measure(np.zeros((0, 4)), gap_band_mm=BAND)
