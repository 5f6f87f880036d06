"""The share of an open wall: common practice, no source."""

from __future__ import annotations

import pytest

from tests import scenes
from tests.scenes import hang, judged, level, open_wall, over_sofa, said, work


@pytest.mark.parametrize(
    ("width", "height", "expected"),
    [
        pytest.param(72, 45, None, id="60 % and 50 %"),
        pytest.param(60, 45, None, id="lowest width, 50 %"),
        pytest.param(90, 45, None, id="greatest width, 75 %"),
        pytest.param(14, 45, "exception", id="lost"),
        pytest.param(110, 45, "exception", id="crowded"),
        pytest.param(72, 16, "exception", id="too low a strip"),
        pytest.param(72, 80, "exception", id="too tall"),
    ],
)
def test_width_and_height_each_have_their_band(width: float, height: float, expected: str | None) -> None:
    piece = work("a", width, height)
    bottom = max(6, min(63 - height / 2, 96 - height))
    assert level(judged(open_wall(piece), hang(piece, 84 - width / 2, bottom)), "fill") == expected


def test_the_worse_side_is_told_with_what_would_sit_well() -> None:
    narrow = work("a", 14, 45)
    finding = said(judged(open_wall(narrow), hang(narrow, 77, 40)), "fill")
    assert finding is not None
    assert finding.text == "It takes 12% of the free width of 120 in and looks lost; 60–90 in sits well"
    low = work("a", 72, 9)
    finding = said(judged(open_wall(low), hang(low, 48, 58)), "fill")
    assert finding is not None
    assert "10% of the free height of 90 in" in finding.text


def test_over_furniture_it_has_no_say() -> None:
    piece = work("a", 14, 34)
    assert "fill" not in judged(over_sofa(piece), hang(piece, 77, 43)).terms


def test_on_a_stair_one_small_print_is_lost_along_the_run() -> None:
    piece = work("a", 26, 20)
    house = scenes.house(piece, walls=(scenes.wall(),))
    where = house, scenes.space("stair", scenes.rect(10, 10, 140, 90))
    finding = said(judged(where, hang(piece, 67, 53)), "fill")
    assert finding is not None
    assert "19% of the free width" in finding.text
