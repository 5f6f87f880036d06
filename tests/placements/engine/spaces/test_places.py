"""Open walls, panels, stairs, advice, names and ids. Facts of the trade: common practice, no source. Inches."""

from __future__ import annotations

import dataclasses
import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from placements.engine.geometry import common, from_edges
from placements.engine.house import House, Rail, Room
from placements.engine.rulebook import Rulebook
from placements.engine.spaces import find_spaces
from placements.engine.stairs import rail_at
from tests.scenes import INCH, SOFA, house, item, wall


def spaces(*items, **more):
    return find_spaces(house(walls=(wall(*items, **more),)))


def only(found, kind="open_wall"):
    (space,) = [one for one in found if one.kind == kind]
    return space


def inches(space):
    return [round(one / INCH, 4) for one in (space.rect.left, space.rect.bottom, space.rect.width, space.rect.height)]


def test_an_empty_wall_is_one_open_space_inside_its_margins():
    space = only(spaces())
    # Corner 4 in on both sides, floor 12, ceiling 6.
    assert inches(space) == [4, 12, 160, 90]
    assert (space.id, space.name, space.advice) == ("w:open:|..|", "Open wall", "hang")


def test_house_rules_change_the_margins():
    plain = house(walls=(wall(),), house_rules={"margins": {"corner": 10 * INCH, "ceiling": 12 * INCH}})
    assert inches(only(find_spaces(plain))) == [10, 12, 148, 84]


def test_a_stretch_between_two_things_keeps_clear_of_both():
    found = spaces(item("window", 0, 30, 40, 54), item("door", 130, 0, 36, 80))
    between = next(space for space in found if space.name == "Between window and door")
    assert inches(between)[0::2] == [43, 84]
    assert between.id == "w:open:window..door"


def test_nothing_hangs_above_furniture_as_open_wall():
    for space in spaces(SOFA):
        if space.kind == "open_wall":
            assert (
                space.rect.right <= SOFA.left - 3 * INCH + 1e-6 or space.rect.left >= SOFA.rect.right + 3 * INCH - 1e-6
            )


def test_a_switch_takes_only_its_own_place():
    found = spaces(item("switch", 12, 44, 3, 5))
    assert inches(found[0])[0] == 18


def test_a_narrow_pier_between_windows_with_a_view_stays_bare():
    left, right = item("window", 10, 30, 60, 60, id="a", view=True), item("window", 92, 30, 60, 60, id="b", view=True)
    pier = only(spaces(left, right, length=164))
    assert pier.name == "Between the windows"
    assert pier.advice == "leave_bare"
    assert {reason.rule for reason in pier.reasons} == {"quiet-wall"}
    assert any("pier" in reason.text for reason in pier.reasons)


def test_a_statement_light_on_an_accent_wall_keeps_it_bare():
    light = item("statement_light", 60, 50, 40, 30, 30)
    assert only(spaces(light, accent=True)).advice == "leave_bare"
    assert only(spaces(light)).advice == "optional"


def test_keep_bare_is_absolute():
    assert {space.advice for space in spaces(SOFA, keep_bare=True)} == {"leave_bare"}


def test_the_centre_panel_flanked_by_sconces_asks_for_a_piece():
    found = spaces(
        item("panel", 12, 36, 40, 60, id="p1"),
        item("sconce", 57, 58, 6, 15, id="s1"),
        item("panel", 68, 36, 68, 60, id="p2"),
        item("sconce", 141, 58, 6, 15, id="s2"),
        item("panel", 152, 36, 40, 60, id="p3"),
        length=204,
        finish="panel_moulding",
    )
    assert [(one.kind, one.name, one.advice) for one in found] == [
        ("panel", "Left panel", "optional"),
        ("panel", "Centre panel", "hang"),
        ("panel", "Right panel", "optional"),
    ]
    assert inches(found[1]) == [71, 39, 62, 54]  # inside the moulding by 3 in
    assert "asks for a piece" in found[1].reasons[0].text


def test_a_stair_is_a_band_that_follows_the_rail():
    rail = Rail(0, 35 * INCH, 150 * INCH, 143 * INCH)
    found = spaces(length=168, height=204, rail=rail)
    space = only(found, "stair")
    assert space.name == "Along the stair"
    assert inches(space)[0::2] == [4, 146]
    assert space.rect.bottom == pytest.approx(rail_at(rail, space.rect.left))
    assert space.rect.top == pytest.approx((204 - 6) * INCH)


def test_along_a_stair_the_rail_leads_and_furniture_below_it_has_no_space_of_its_own():
    rail = Rail(0, 35 * INCH, 150 * INCH, 143 * INCH)
    found = spaces(item("console", 20, 0, 40, 34), length=168, height=204, rail=rail)
    assert [one.kind for one in found if one.kind != "open_wall"] == ["stair"]


def test_a_window_cuts_the_stair():
    rail = Rail(0, 35 * INCH, 150 * INCH, 143 * INCH)
    found = spaces(item("window", 60, 100, 24, 40), length=168, height=204, rail=rail)
    assert [one.id for one in found if one.kind == "stair"] == ["w:stair", "w:stair:2"]


def test_ids_survive_an_edit_elsewhere_on_the_wall():
    before = {space.id for space in spaces(SOFA, item("window", 4, 30, 30, 54))}
    moved = dataclasses.replace(SOFA, width=80 * INCH)
    after = {space.id for space in spaces(moved, item("window", 4, 30, 30, 54))}
    assert before == after


KINDS = (
    "window",
    "door",
    "bookcase",
    "floor_lamp",
    "sconce",
    "console",
    "sofa",
    "chest",
    "outlet",
    "panel",
    "radiator",
)
ITEMS = st.lists(
    st.tuples(st.sampled_from(KINDS), st.integers(0, 150), st.integers(0, 70), st.integers(3, 60), st.integers(4, 60)),
    max_size=8,
)


def _for_art(space):
    """What a piece may take up: over furniture it stays above the gap of 6 in."""
    area, lift = space.rect, 6 * INCH if space.kind == "over_furniture" else 0
    return from_edges(area.left, area.bottom + lift, area.right, area.top)


@settings(max_examples=80, deadline=None)
@given(ITEMS)
def test_spaces_lie_on_the_wall_clear_of_all_that_keeps_art_out(drawn):
    items = [
        item(
            kind,
            left,
            0 if kind in ("door", "bookcase", "floor_lamp", "console", "sofa", "chest") else bottom,
            w,
            h,
            id=str(n),
        )
        for n, (kind, left, bottom, w, h) in enumerate(drawn)
    ]
    plain = wall(*items)
    found = find_spaces(House((Room("r", "Room", walls=(plain,)),)), Rulebook())
    assert len({one.id for one in found}) == len(found)
    for one, other in itertools.combinations((one for one in found if one.kind != "panel"), 2):
        shared = common(_for_art(one), _for_art(other))
        assert shared is None or min(shared.width, shared.height) < 1e-6, (one.id, other.id)
    for space in found:
        area = space.rect
        assert area.left >= 0
        assert area.right <= plain.length + 1e-6
        assert area.bottom >= 0
        assert area.top <= plain.height + 1e-6
        assert 0 < space.ideal.width[0] <= space.ideal.width[1]
        assert 0 < space.ideal.height[0] <= space.ideal.height[1]
        for one in items:
            if one.acts == "bound":
                across = min(one.rect.right, area.right) - max(one.left, area.left)
                upward = min(one.rect.top, area.top) - max(one.bottom, area.bottom)
                # Over furniture the rectangle reaches down to its top; art stays above the gap of 6 in.
                lift = 6 * INCH if space.kind == "over_furniture" else 0
                assert across <= 1e-6 or min(one.rect.top, area.top) - max(one.bottom, area.bottom + lift) <= 1e-6, (
                    upward
                )


def test_under_a_high_vent_an_open_wall_stays_one_space():
    space = only(spaces(item("vent", 20, 84, 14, 8, 0)))
    # From corner to corner, up to the vent's margin of 3 in.
    assert inches(space) == [4, 12, 160, 69]
