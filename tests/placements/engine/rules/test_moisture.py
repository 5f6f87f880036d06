"""Damp rooms: common practice, no source."""

from __future__ import annotations

import pytest

from tests import scenes
from tests.scenes import hang, judged, level, open_wall, said, work


@pytest.mark.parametrize(
    ("use", "form", "glazed", "expected"),
    [
        ("bath", "print", False, "exception"),
        ("bath", "print", True, "exception"),
        ("bath", "painting", False, "exception"),
        ("bath", "mirror", False, None),
        ("bath", "relief", False, None),
        ("kitchen", "print", False, "exception"),
        ("kitchen", "print", True, None),
        ("kitchen", "painting", False, None),
        ("kitchen", "textile", False, "exception"),
        ("living", "print", False, None),
    ],
)
def test_each_kind_stands_so_much_damp(use: str, form: str, glazed: bool, expected: str | None) -> None:
    piece = work("a", 70, 40, form=form, glazed=glazed)
    assert level(judged(open_wall(piece, use=use), hang(piece, 50, 43)), "moisture") == expected


def test_a_wall_beside_a_hob_is_wet_even_in_another_room() -> None:
    piece = work("a", 70, 40, form="print")
    hob = scenes.item("custom", 130, 0, 30, 36, 24, id="hob", label="Range", custom_acts="bound")
    house = scenes.house(piece, walls=(scenes.wall(hob),))
    where = house, scenes.space("open_wall", scenes.rect(10, 6, 100, 90))
    finding = said(judged(where, hang(piece, 25, 43)), "moisture")
    assert finding is not None
    assert finding.text.startswith("Unglazed print in a wet place")
