"""Two-thirds over furniture. The share and its band are common practice, no source."""

from __future__ import annotations

import dataclasses

import pytest

from tests import scenes
from tests.scenes import hang, judged, level, over_sofa, said, work


@pytest.mark.parametrize(
    ("width", "expected"),
    [
        pytest.param(56, None, id="two-thirds of 84 in"),
        pytest.param(50.4, None, id="lowest, 60 %"),
        pytest.param(63, None, id="highest, 75 %"),
        pytest.param(48, "exception", id="narrow, 57 %"),
        pytest.param(66, "exception", id="wide, 79 %"),
    ],
)
def test_the_band_runs_from_60_to_75_percent_of_the_sofa(width: float, expected: str | None) -> None:
    piece = work("a", width, 34)
    found = judged(over_sofa(piece), hang(piece, 84 - width / 2, 43))
    assert level(found, "two-thirds") == expected


def test_the_sentence_names_the_sofa_and_the_width_to_look_for() -> None:
    piece = work("a", 24, 34)
    finding = said(judged(over_sofa(piece), hang(piece, 72, 43)), "two-thirds")
    assert finding is not None
    assert finding.text == "24 in wide, 29% of the sofa's length: it reads narrow; 50.5–63 in makes about two-thirds"
    assert finding.measured == pytest.approx(24 / 84)


def test_where_a_bookcase_and_a_lamp_cut_the_view_the_free_stretch_is_measured() -> None:
    piece = work("a", 24, 24)
    house, space = over_sofa(piece)
    cut = dataclasses.replace(space, rect=scenes.rect(60, 34, 36, 68), shape="square", width_basis=36 * scenes.INCH)
    found = judged((house, cut), hang(piece, 66, 43))
    assert level(found, "two-thirds") is None
    assert "67% of the free 36 in over the sofa" in found.holds["two-thirds"]


def test_an_open_wall_has_no_two_thirds() -> None:
    piece = work("a", 56, 34)
    found = judged(scenes.open_wall(piece), hang(piece, 40, 46))
    assert "two-thirds" not in found.terms


def test_the_house_may_set_its_own_share() -> None:
    piece = work("a", 48, 34)
    where = over_sofa(piece)
    assert level(judged(where, hang(piece, 60, 43), two_thirds={"low": 0.55}), "two-thirds") is None
