"""The ground between two frames is no frame, however sharp the edges about it are."""

from __future__ import annotations

import numpy as np
import pytest

from placements.photogrammetry.edges import Edges
from placements.photogrammetry.frames import Candidate, _outermost


def frame(left: float, bottom: float, width: float, height: float, strength: float = 50.0) -> Candidate:
    right, top = left + width, bottom + height
    plane = np.array([(left, top), (right, top), (right, bottom), (left, bottom)], float)
    edges = Edges(plane, (plane, plane, plane, plane), 0.1)
    return Candidate(plane, plane, np.zeros((4, 2, 2)), strength, edges)


@pytest.mark.parametrize(
    ("between", "kept"),
    [
        pytest.param(frame(401, 150, 148, 110), 2, id="cut off by a board's joints"),
        pytest.param(frame(430, 150, 90, 110), 3, id="a small frame of its own"),
        pytest.param(frame(401, 0, 148, 500), 3, id="as high as both: one of three that touch"),
        pytest.param(frame(401, 150, 100, 110), 3, id="beside one frame only"),
    ],
)
def test_ground_between_two_frames_is_not_offered(between, kept):
    assert len(_outermost([frame(0, 0, 400, 500), frame(550, 0, 400, 500), between])) == kept
