"""Straightening a measured layout: known layouts shaken by half an inch and three degrees come back."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from placements.engine.groups.boxes import neighbour_gaps
from placements.engine.groups.forms import grid, row
from placements.engine.groups.measures import measure
from placements.engine.groups.regularise import from_corners, regularise
from tests.placements.engine.groups.scenes import IN
from tests.placements.engine.groups.squared import DUIJVESTIJN_112, decode

BAND = (2 * IN, 3 * IN)


def corners(boxes, tilts_deg):
    middle, half = (boxes[:, :2] + boxes[:, 2:]) / 2, (boxes[:, 2:] - boxes[:, :2]) / 2
    turned = []
    for (cx, cy), (hx, hy), tilt in zip(middle, half, np.radians(tilts_deg), strict=True):
        turn = np.array([[np.cos(tilt), -np.sin(tilt)], [np.sin(tilt), np.cos(tilt)]])
        turned.append(np.array([(-hx, -hy), (hx, -hy), (hx, hy), (-hx, hy)]) @ turn.T + (cx, cy))
    return np.array(turned)


def published_layout():
    """Duijvestijn's square, 1.5 in to the unit, each square less the gap of 2.5 in; squares under 6 in left out."""
    squares = decode(DUIJVESTIJN_112) * 1.5
    squares = squares[squares[:, 2] - squares[:, 0] >= 6]
    return (squares + np.array([1, 1, -1, -1]) * 1.25) * IN


@pytest.mark.parametrize("seed", range(6))
def test_published_square_comes_back_from_noise_and_tilt(seed):
    true = published_layout()
    rng = np.random.default_rng(seed)
    shaken = corners(true, rng.uniform(-3, 3, len(true))) + rng.normal(0, 0.5 * IN, (len(true), 1, 2))
    centres, sizes, tilts = from_corners(shaken)
    assert np.abs(tilts).max() <= 3
    found = regularise(centres, sizes)
    wanted, got = neighbour_gaps(true), neighbour_gaps(found)
    inside = (got.gap_mm >= BAND[0] - 1e-6) & (got.gap_mm <= BAND[1] + 1e-6)
    kept = set(zip(got.first[inside], got.second[inside], got.axis[inside], strict=True))
    pairs = [
        p
        for p, gap in zip(zip(wanted.first, wanted.second, wanted.axis, strict=True), wanted.gap_mm, strict=True)
        if gap <= BAND[1]
    ]
    assert sum(p in kept for p in pairs) / len(pairs) >= 0.9
    assert measure(found, gap_band_mm=BAND).overlap_mm2 == 0
    error = (found[:, :2] + found[:, 2:] - true[:, :2] - true[:, 2:]) / 2
    assert np.hypot(*(error - error.mean(axis=0)).T).mean() < 0.5 * IN


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(2, 9))
def test_never_overlaps_and_never_comes_nearer_than_the_band(seed, count):
    rng = np.random.default_rng(seed)
    sizes = rng.uniform(150, 700, (count, 2))
    found = regularise(rng.uniform(0, 1500, (count, 2)), sizes)
    assert measure(found, gap_band_mm=BAND).overlap_mm2 == 0
    gaps = neighbour_gaps(found)
    assert gaps.gap_mm.min(initial=np.inf) >= BAND[0] - 1e-6
    assert found[:, 2:] - found[:, :2] == pytest.approx(sizes)


def test_a_crooked_row_becomes_straight_with_equal_gaps():
    sizes = np.array([(11, 14)] * 4) * IN
    true = row(sizes, 2.5 * IN)
    centres = (true[:, :2] + true[:, 2:]) / 2 + np.array([(3, 5), (-6, -4), (5, 0), (-4, 6)])
    boxes = regularise(centres, sizes)
    assert np.ptp(boxes[:, 1]) == pytest.approx(0, abs=1e-6)
    assert np.diff(boxes[:, 0]) == pytest.approx([13.5 * IN] * 3)


def test_a_sound_layout_is_left_alone():
    true = grid(np.array([(11, 14)] * 6) * IN, 3, 2.5 * IN)
    found = regularise((true[:, :2] + true[:, 2:]) / 2, true[:, 2:] - true[:, :2])
    assert found == pytest.approx(true)


def test_corners_give_middle_size_and_tilt():
    centre, size, tilt = from_corners(corners(np.array([[100.0, 200.0, 400.0, 600.0]]), [2.5]))
    assert centre[0] == pytest.approx([250, 400])
    assert size[0] == pytest.approx([300, 400])
    assert tilt[0] == pytest.approx(2.5)


@pytest.mark.parametrize(
    ("centres", "sizes", "message"),
    [
        (np.zeros((2, 2)), np.ones((3, 2)), r"\(k, 2\)"),
        (np.zeros((1, 2)), np.zeros((1, 2)), "above zero"),
        (np.full((1, 2), np.nan), np.ones((1, 2)), "finite"),
    ],
)
def test_bad_measures_are_refused(centres, sizes, message):
    with pytest.raises(ValueError, match=message):
        regularise(centres, sizes)
