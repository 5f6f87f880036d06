"""Colour difference and conversion against published values and an independent library."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from skimage.color import deltaE_ciede2000, rgb2lab

from placements.engine.colour import ciede2000, dominant_colours, palette_distance, srgb_to_lab

#: Sharma, Wu and Dalal, Color Research and Application 30(1), 2005, Table 1: all 34 pairs, four decimals.
SHARMA = np.loadtxt(Path(__file__).parent / "groups" / "data" / "ciede2000_sharma34.csv", delimiter=",", skiprows=1)


def test_the_table_is_whole():
    assert SHARMA.shape == (34, 7)


@pytest.mark.parametrize("pair", range(34))
def test_ciede2000_matches_the_published_pair(pair):
    row = SHARMA[pair]
    # Pair 14 sits on a branch cut of the hue angle; both branches are published as right within rounding there.
    assert float(ciede2000(row[:3], row[3:6])) == pytest.approx(row[6], abs=5.1e-5)


def test_ciede2000_is_the_same_both_ways():
    assert ciede2000(SHARMA[:, 3:6], SHARMA[:, :3]) == pytest.approx(
        ciede2000(SHARMA[:, :3], SHARMA[:, 3:6]), abs=1e-12
    )


@pytest.mark.parametrize(
    ("colour", "lab"),
    [  # colour-science 0.4.7, D65
        ((0xFF, 0x00, 0x00), (53.23, 80.11, 67.22)),
        ((0x00, 0xFF, 0x00), (87.74, -86.18, 83.19)),
        ((0x00, 0x00, 0xFF), (32.30, 79.20, -107.85)),
        ((0x8B, 0x45, 0x13), (37.47, 26.45, 40.99)),
        ((0xC0, 0xA0, 0x80), (67.95, 7.15, 21.11)),
        ((0xFF, 0xFF, 0xFF), (100.0, 0.0, 0.0)),
        ((0x00, 0x00, 0x00), (0.0, 0.0, 0.0)),
    ],
    ids=lambda v: "-".join(map(str, v)),
)
def test_srgb_to_lab_matches_the_table(colour, lab):
    assert srgb_to_lab(colour) == pytest.approx(lab, abs=0.02)


colours = st.lists(st.tuples(*[st.integers(0, 255)] * 3), min_size=1, max_size=20)


@settings(max_examples=100, deadline=None)
@given(colours, colours)
def test_agrees_with_scikit_image(first, second):
    n = min(len(first), len(second))
    ours = srgb_to_lab(first)
    assert ours == pytest.approx(rgb2lab(np.array(first, dtype=np.uint8)), abs=0.03)
    a, b = srgb_to_lab(first[:n]), srgb_to_lab(second[:n])
    assert ciede2000(a, b) == pytest.approx(deltaE_ciede2000(a, b), abs=1e-6)


def test_dominant_colours_come_with_the_most_frequent_first():
    picture = np.zeros((10, 10, 3), dtype=np.uint8)
    picture[:, :6] = (200, 30, 30)
    picture[:, 6:9] = (20, 60, 180)
    picture[:, 9:] = (240, 240, 230)
    found = dominant_colours(picture, 3)
    assert [tuple(c) for c in np.round(found, 6)] == [
        tuple(c) for c in np.round(srgb_to_lab([(200, 30, 30), (20, 60, 180), (240, 240, 230)]), 6)
    ]
    assert dominant_colours(picture, 8) == found
    assert dominant_colours(picture, 3) == found


def test_palettes_compare_by_nearest_counterpart():
    red, blue = [(50.0, 60.0, 40.0)], [(40.0, 10.0, -50.0)]
    assert palette_distance(red, red) == 0
    assert palette_distance(red, blue) == pytest.approx(float(ciede2000(red[0], blue[0])))
    assert palette_distance(red, []) is None


@pytest.mark.parametrize("bad", [[(1, 2)], [(0, 0, 256)], [(0, -1, 0)], [(0, 0, float("nan"))]])
def test_bad_colours_are_refused(bad):
    with pytest.raises(ValueError, match="components"):
        srgb_to_lab(bad)


def test_empty_picture_is_refused():
    with pytest.raises(ValueError, match="at least one pixel"):
        dominant_colours(np.zeros((0, 3)), 3)
