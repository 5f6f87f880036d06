"""Synthetic photographs with a known camera, held against the bars; the hundred are in the benchmarks."""

from __future__ import annotations

import numpy as np
import pytest

from placements.photogrammetry.camera import View

from .layouts import Trial, trial

#: Eight megapixels: quicker to paint than the benchmark's twelve, and no easier.
SMALLER = View(3264, 2448)


@pytest.fixture(scope="module")
def plain() -> list[Trial]:
    return [trial(seed, view=SMALLER) for seed in (201, 202)]


@pytest.fixture(scope="module")
def textured() -> list[Trial]:
    return [trial(seed, textured=True, view=SMALLER) for seed in (205, 206)]


def test_every_card_is_read(plain, textured):
    assert all(one.card_found for one in (*plain, *textured))


def test_frames_are_found_on_plain_and_on_boards(plain, textured):
    assert sum(one.found for one in plain) >= 0.9 * sum(one.pieces for one in plain)
    assert sum(one.found for one in textured) >= 0.75 * sum(one.pieces for one in textured)


def test_corners_are_within_a_quarter_inch_over_six_feet(plain):
    errors = np.array([error for one in plain for error in one.errors])
    assert errors.max() <= 6.35
    assert np.median(errors) <= 3.175


def test_stated_error_covers_the_true_one(plain, textured):
    pairs = [pair for one in (*plain, *textured) for pair in zip(one.errors, one.stated, strict=True)]
    assert np.mean([error <= stated for error, stated in pairs]) >= 0.95
    # It says something, too: within an inch and a half over six feet.
    assert np.median([stated for _, stated in pairs]) < 38
