"""Reasons to leave a wall bare: common practice, no source. Only the designer's own wish is absolute."""

from __future__ import annotations

import pytest

from placements.engine.rules.pairing.quiet_wall import Limits, reasons
from placements.engine.surroundings import REASONS, bare_reasons
from tests import scenes
from tests.scenes import hang, judged, level, said, work

VIEWS = (
    scenes.item("window", 4, 30, 50, 54, id="v1", view=True),
    scenes.item("window", 90, 30, 50, 54, id="v2", view=True),
)
WHOLE = scenes.rect(24, 6, 120, 90)
PIER = scenes.rect(57, 20, 30, 76)


def on(*items, area=WHOLE, others=(), **wall):
    piece = work("a", 20, 30)
    house = scenes.house(piece, walls=(scenes.wall(*items, **wall), *others))
    return judged((house, scenes.space("open_wall", area, shape="portrait")), hang(piece, 62, 48))


@pytest.mark.parametrize(
    ("reason", "where"),
    [
        ("view", {"items": VIEWS[:1]}),
        ("statement_light", {"items": (scenes.item("statement_light", 60, 60, 20, 20),)}),
        ("texture", {"finish": "patterned_wallpaper"}),
        ("texture", {"finish": "stone"}),
        ("accent", {"accent": True}),
        ("flank", {"others": (scenes.wall(id="f", importance="focal", faces_deg=90.0),), "faces_deg": 0.0}),
    ],
)
def test_each_reason_alone_is_a_note(reason: str, where: dict) -> None:
    items = where.pop("items", ())
    found = on(*items, **where)
    assert level(found, "quiet-wall") == "note"
    assert found.terms["quiet-wall"] < 1


def test_a_pier_between_view_windows_is_better_left_bare() -> None:
    finding = said(on(*VIEWS, area=PIER), "quiet-wall")
    assert finding is not None
    assert finding.level == "exception"
    assert "it is a narrow pier between windows" in finding.text
    assert "it competes with the view" in finding.text


def test_the_designers_wish_is_a_stop() -> None:
    finding = said(on(keep_bare=True), "quiet-wall")
    assert finding is not None
    assert finding.level == "stop"
    assert finding.text == "Stays bare: the designer keeps this wall bare"


def test_a_plain_wall_and_the_wall_opposite_a_focal_one_have_no_reason() -> None:
    assert "quiet-wall" not in on().terms
    opposite = scenes.wall(id="f", importance="focal", faces_deg=180.0)
    assert "quiet-wall" not in on(others=(opposite,), faces_deg=0.0).terms


def test_a_wide_stretch_between_windows_is_no_pier() -> None:
    apart = (VIEWS[0], scenes.item("window", 120, 30, 40, 54, id="v2"))
    house = scenes.house(walls=(scenes.wall(*apart),))
    found = bare_reasons(house.rooms[0], house.rooms[0].walls[0], scenes.rect(57, 20, 60, 76))
    assert not found[REASONS.index("pier")]


def test_reasons_come_strongest_first() -> None:
    named = reasons(tuple(name in ("accent", "statement_light", "view") for name in REASONS), Limits())
    assert [name for name, _, _ in named] == ["statement_light", "view", "accent"]


def test_two_halves_of_a_reason_make_one_whole() -> None:
    """A view and a patterned finish weigh a half each: from 1.0 on bare is better."""
    assert level(on(VIEWS[0], finish="patterned_wallpaper"), "quiet-wall") == "exception"
