"""Over beds and seats: FEMA how-to on framed pictures (April 2008); Earthquake Country Alliance, 20 lb and 50 lb."""

from __future__ import annotations

import pytest

from tests import scenes
from tests.scenes import hang, judged, level, said, work

LB = 0.45359237


def over(kind: str, pounds: float | None, *, glazed: bool = False, use: str = "bedroom"):
    bearer = scenes.item(kind, 42, 0, 84, 34, 60)
    piece = work("a", 56, 34, weight_kg=None if pounds is None else pounds * LB, glazed=glazed)
    house = scenes.house(piece, walls=(scenes.wall(bearer),), use=use)
    where = house, scenes.space("over_furniture", scenes.rect(42, 34, 84, 68), over=bearer)
    return judged(where, hang(piece, 56, 43))


@pytest.mark.parametrize(
    ("kind", "use", "pounds", "glazed", "expected"),
    [
        ("bed", "bedroom", 19.9, False, None),
        ("bed", "bedroom", 20.1, False, "exception"),
        ("bed", "bedroom", 5, True, "exception"),
        ("bed", "nursery", 4.9, False, None),
        ("bed", "nursery", 5.1, False, "exception"),
        ("sofa", "living", 49.9, False, None),
        ("sofa", "living", 50.1, False, "exception"),
        ("sofa", "living", 20, True, "note"),
        ("console", "hall", 90, True, None),
    ],
)
def test_weight_and_glass_over_people(kind, use, pounds, glazed, expected) -> None:
    assert level(over(kind, pounds, glazed=glazed, use=use), "overhead") == expected


def test_the_words_say_what_makes_it_safer_and_that_a_weight_is_estimated() -> None:
    finding = said(over("bed", None, glazed=True), "overhead")
    assert finding is not None
    assert "an estimated" in finding.text
    assert "closed hooks into studs, acrylic instead of glass" in finding.text
    cot = said(over("bed", 12, use="nursery"), "overhead")
    assert cot is not None
    assert "over the cot" in cot.text
