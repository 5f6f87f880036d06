"""Hooks near or in line with fittings: the 150 mm zones are the usual safe-zone rule of wiring practice."""

from __future__ import annotations

import pytest

from placements.engine.house import Hardware
from tests import scenes
from tests.scenes import INCH, hang, judged, level, said, work

RINGS = Hardware("two_rings", below_top=4 * INCH, spacing=30 * INCH)


def beside(fitting: scenes.Item, **more):
    piece = work("a", 56, 34, weight_kg=5.0, **more)
    house = scenes.house(piece, walls=(scenes.wall(scenes.SOFA, fitting),))
    where = house, scenes.space("over_furniture", scenes.rect(42, 34, 84, 68), over=scenes.SOFA)
    return judged(where, hang(piece, 56, 43))


@pytest.mark.parametrize(
    ("left", "expected"),
    [
        # The hooks are at 84 in less and plus 15 in: 69 and 99 in; 150 mm are 5.9 in.
        pytest.param(67.5, "note", id="under a hook"),
        pytest.param(60.2, "note", id="5.8 in beside a hook's line"),
        pytest.param(59.8, None, id="6.2 in beside it"),
        pytest.param(82.5, None, id="midway between the hooks"),
    ],
)
def test_a_hook_above_an_outlet_is_noted_within_150_mm(left: float, expected: str | None) -> None:
    assert level(beside(scenes.item("outlet", left, 12, 3, 5), hang=RINGS), "services") == expected


def test_a_switch_at_the_hooks_height_is_in_line_too() -> None:
    finding = said(beside(scenes.item("switch", 8, 70, 3, 5), hang=RINGS), "services")
    assert finding is not None
    assert "line of the switch" in finding.text
    assert "scan for cables and pipes before drilling" in finding.text


def test_without_hardware_the_middle_line_stands_for_the_hooks() -> None:
    assert level(beside(scenes.item("outlet", 82.5, 12, 3, 5)), "services") == "note"


def test_the_note_does_not_change_the_score() -> None:
    near, far = (beside(scenes.item("outlet", left, 12, 3, 5), hang=RINGS) for left in (67.5, 82.5))
    assert near.score == far.score
    assert "services" not in near.terms


def test_without_hardware_the_hook_is_taken_to_be_at_the_top_edge() -> None:
    assert level(beside(scenes.item("switch", 8, 75, 3, 5)), "services") == "note"
