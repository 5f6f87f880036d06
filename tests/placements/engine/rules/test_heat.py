"""Distances from fire: IRC R1001.11 exception 4 (older numbering R1003.12) and NFPA 211, as quoted in trade pages."""

from __future__ import annotations

import pytest

from tests import scenes
from tests.scenes import hang, judged, level, said, work

#: A mantel 52 in high over an opening whose top is at 40 in.
MANTEL = scenes.item("mantel", 40, 0, 60, 52, 8)
FIRE = scenes.item("opening", 52, 0, 36, 40, id="fire")


def above(opening: float, depth: float, *, mantel=MANTEL, items=(MANTEL, FIRE), **more):
    """A piece whose bottom edge hangs so far above the opening's top, 40 in."""
    piece = work("a", 40, 30, depth=depth, **more)
    house = scenes.house(piece, walls=(scenes.wall(*items, build="brick"),))
    where = house, scenes.space("over_furniture", scenes.rect(40, 40, 60, 66), over=mantel)
    return judged(where, hang(piece, 50, 40 + opening))


@pytest.mark.parametrize(
    ("distance", "depth", "stopped"),
    [
        # 6 in: 3/4 in; 8 in: 1 in; 10 in: 1 1/4 in; 12 in: 1 1/2 in; beyond 12 in: no limit.
        pytest.param(5.9, 0.25, True, id="nothing within 6 in"),
        pytest.param(6, 0.75, False, id="6 in, 3/4 in deep"),
        pytest.param(6, 0.8125, True, id="6 in, 13/16 in deep"),
        pytest.param(8, 1.0, False, id="8 in, 1 in deep"),
        pytest.param(8, 1.0625, True, id="8 in, 1 1/16 in deep"),
        pytest.param(10, 1.25, False, id="10 in, 1 1/4 in deep"),
        pytest.param(10, 1.3125, True, id="10 in, 1 5/16 in deep"),
        pytest.param(11.9, 1.5, True, id="just under 12 in, 1 1/2 in deep"),
        pytest.param(12, 1.5, False, id="12 in, 1 1/2 in deep"),
        pytest.param(12, 5.0, False, id="12 in, any depth"),
    ],
)
def test_depth_asks_for_distance(distance: float, depth: float, stopped: bool) -> None:
    assert (level(above(distance, depth), "heat") == "stop") == stopped


def test_beyond_the_codes_distance_a_picture_gets_a_note_and_a_pastel_an_exception() -> None:
    finding = said(above(18, 1.5), "heat")
    assert finding is not None
    assert finding.level == "note"
    assert "local code" in finding.text
    assert level(above(18, 1.5, light="sensitive"), "heat") == "exception"
    assert level(above(18, 1.5, form="textile"), "heat") == "exception"


def test_without_a_surveyed_opening_it_is_taken_a_foot_below_the_mantel_and_said_so() -> None:
    finding = said(above(18, 1.5, items=(MANTEL,)), "heat")
    assert finding is not None
    assert "taken as 12 in below the mantel's top" in finding.text
    assert finding.measured == pytest.approx(18 * scenes.INCH)  # mantel at 52, opening at 40, piece at 58 in


def test_a_mantel_shelf_bounds_the_opening() -> None:
    shelf = scenes.item("mantel", 40, 48, 60, 4, 8)
    finding = said(above(18, 1.5, mantel=shelf, items=(shelf,)), "heat")
    assert finding is not None
    assert finding.measured == pytest.approx(10 * scenes.INCH)  # 58 in less 48 in


@pytest.mark.parametrize(("gap", "expected"), [(30, None), (10, "exception")])
def test_a_radiator_asks_for_its_own_distance(gap: float, expected: str | None) -> None:
    piece = work("a", 40, 30)
    house = scenes.house(piece, walls=(scenes.wall(scenes.item("radiator", 40, 4, 40, 22, 5)),))
    where = house, scenes.space("open_wall", scenes.rect(30, 26, 100, 76))
    assert level(judged(where, hang(piece, 40, 26 + gap)), "heat") == expected


def test_a_wall_without_heat_is_not_judged() -> None:
    piece = work("a", 56, 34)
    assert "heat" not in judged(scenes.over_sofa(piece), hang(piece, 56, 43)).terms
