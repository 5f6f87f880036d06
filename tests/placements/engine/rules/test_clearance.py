"""The gap above furniture, 6 to 10 in: common practice, no source."""

from __future__ import annotations

import pytest

from tests.scenes import INCH, hang, judged, level, open_wall, over_sofa, said, work


@pytest.mark.parametrize(
    ("gap", "expected"),
    [
        (6, None),
        (8, None),
        (10, None),
        pytest.param(5.8, None, id="within what a hanger can hold, 1/4 in"),
        pytest.param(5.5, "exception", id="crowded"),
        pytest.param(10.5, "exception", id="apart"),
        pytest.param(14, "exception", id="floating"),
    ],
)
def test_the_band_runs_from_6_to_10_inches(gap: float, expected: str | None) -> None:
    piece = work("a", 56, 40)
    assert level(judged(over_sofa(piece), hang(piece, 56, 34 + gap)), "clearance") == expected


def test_a_piece_that_reaches_behind_the_back_of_the_sofa_is_told_so() -> None:
    piece = work("a", 56, 40)
    finding = said(judged(over_sofa(piece), hang(piece, 56, 32)), "clearance")
    assert finding is not None
    assert finding.text == "Bottom edge is 2 in below the top of the sofa; 6–10 in above it keeps them apart"


def test_the_flag_points_to_the_gap() -> None:
    piece = work("a", 56, 40)
    finding = said(judged(over_sofa(piece), hang(piece, 56, 48)), "clearance")
    assert finding is not None
    assert finding.where is not None
    assert (finding.where.bottom / INCH, finding.where.height / INCH) == pytest.approx((34, 14))


def test_an_open_wall_has_no_clearance() -> None:
    piece = work("a", 56, 34)
    assert "clearance" not in judged(open_wall(piece), hang(piece, 40, 46)).terms


def test_a_piece_that_touches_the_sofa_is_not_said_to_be_below_it() -> None:
    piece = work("a", 56, 40)
    finding = said(judged(over_sofa(piece), hang(piece, 56, 34)), "clearance")
    assert finding is not None
    assert "below" not in finding.text
