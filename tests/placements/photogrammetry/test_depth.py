"""Frames that stand off their wall, photographed as solid bodies by another hand's camera (`tests.darkroom`)."""

from __future__ import annotations

import numpy as np
import pytest

from tests.darkroom.judge import Tally, tally
from tests.darkroom.scenes import shot


@pytest.fixture(scope="module")
def measured() -> dict[bool, Tally]:
    """Six frames 14 to 38 mm deep, before and after it is known which works they are."""
    photographs = [shot(7000, depths=(14.0, 38.0), size=(2000, 1500), tilt_deg=25.0)]
    return {known: tally(photographs, depth_known=known) for known in (False, True)}


def test_a_deep_frame_lies_where_it_hangs_once_its_depth_is_known(measured: dict[bool, Tally]) -> None:
    known = measured[True]
    assert (known.found, known.invented) == (known.pieces, 0)
    assert np.median(known.errors) <= 3.0
    assert known.covered >= 0.9


def test_what_is_stated_of_an_unknown_frame_carries_the_depth_that_may_be(measured: dict[bool, Tally]) -> None:
    unknown, known = measured[False], measured[True]
    assert unknown.covered >= 0.8
    assert np.median(unknown.stated) > np.median(known.stated)
