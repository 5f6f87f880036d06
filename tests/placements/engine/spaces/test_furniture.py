"""Spaces over furniture. Facts of the trade: common practice, no source. All lengths in inches."""

from __future__ import annotations

import pytest

from placements.engine.spaces import find_spaces
from tests.scenes import INCH, SOFA, house, item, wall


def over(*items, **more):
    """The spaces above furniture on one wall, by the furniture's id."""
    found = find_spaces(house(walls=(wall(*items, **more),)))
    return {space.over: space for space in found if space.kind == "over_furniture"}


def inches(space):
    return [round(one / INCH, 4) for one in (space.rect.left, space.rect.bottom, space.rect.width, space.rect.height)]


def test_a_sofa_alone_gives_its_whole_length():
    sofa = over(SOFA)["sofa"]
    # From the sofa's top (34) to the ceiling (108) less its margin (6).
    assert inches(sofa) == [42, 34, 84, 68]
    assert sofa.width_basis == 84 * INCH
    assert (sofa.shape, sofa.advice, sofa.name) == ("landscape", "hang", "Over the sofa")
    # Two-thirds of 84 in is 56; the band is 60 to 75 %.
    assert sofa.ideal.width == pytest.approx((50.4 * INCH, 63 * INCH))


def test_the_eye_line_and_the_gap_give_the_ideal_height():
    """Bottom 6-10 in above 34 and centre 60-66: from 2 x (60 - 44) = 32 to 2 x (66 - 40) = 52 in high."""
    low, high = over(SOFA)["sofa"].ideal.height
    assert (low / INCH, high / INCH) == pytest.approx((32, 52))


@pytest.mark.parametrize("high", [30, 34, 36, 44])
def test_a_sofa_before_a_console_has_what_is_above_both(high):
    found = over(SOFA, item("console", 54, 0, 60, high, 14))
    assert list(found) == ["sofa"]
    assert inches(found["sofa"])[2] == 84


def test_furniture_whose_end_stands_before_longer_furniture_has_the_rest():
    found = over(SOFA, item("console", 112, 0, 52, 34, 14))
    assert inches(found["sofa"])[::2] == [42, 84]
    assert inches(found["console"])[::2] == [126, 38]


def test_a_bookcase_and_a_tall_lamp_turn_the_space_square():
    bookcase, lamp = item("bookcase", 30, 0, 30, 84, 12), item("floor_lamp", 108, 0, 16, 66, 16)
    sofa = over(SOFA, bookcase, lamp)["sofa"]
    assert sofa.width_basis == (108 - 60) * INCH
    assert sofa.shape == "square"
    # The furniture margin of 3 in is kept on both sides.
    assert inches(sofa)[:3] == [63, 34, 42]
    low, high = sofa.ideal.width
    assert low <= 32 * INCH <= high  # two-thirds of the free stretch


def test_between_sconces_wider_than_the_mantel_the_mantel_governs():
    mantel = item("mantel", 54, 0, 60, 52, 10)
    sconces = item("sconce", 42, 62, 6, 14, id="left"), item("sconce", 120, 62, 6, 14, id="right")
    space = over(mantel, *sconces)["mantel"]
    assert space.width_basis == 60 * INCH
    assert inches(space) == [54, 52, 60, 50]


def test_sconces_inside_the_mantel_cut_it():
    mantel = item("mantel", 54, 0, 60, 52, 10)
    sconces = item("sconce", 58, 62, 6, 14, id="left"), item("sconce", 104, 62, 6, 14, id="right")
    assert over(mantel, *sconces)["mantel"].width_basis == (104 - 64) * INCH


def test_a_margin_alone_does_not_shorten_the_basis():
    door = item("door", 127, 0, 36, 80)  # its casing's margin reaches 2 in over the sofa's end
    sofa = over(SOFA, door)["sofa"]
    assert sofa.width_basis == 84 * INCH
    assert inches(sofa)[2] == 82


def test_a_high_window_lowers_the_top_only():
    high = item("window", 60, 88, 40, 12)
    assert inches(over(SOFA, high)["sofa"]) == [42, 34, 84, 51]


def test_table_lamps_and_ornaments_do_not_cut():
    lamp, vase = item("table_lamp", 44, 34, 12, 26), item("ornament", 110, 34, 8, 10)
    assert inches(over(SOFA, lamp, vase)["sofa"]) == [42, 34, 84, 68]


def test_a_low_outlet_behind_the_gap_does_not_cut():
    console = item("console", 40, 0, 60, 32, 14)
    outlet = item("outlet", 60, 33, 3, 2)
    assert inches(over(console, outlet)["console"])[2] == 60


def test_what_ends_below_the_gap_does_not_cut():
    """A low bookcase across a chest, 2 in taller: with its margin it ends below the gap of 6 in, where art begins."""
    chest, low = item("chest", 134, 0, 20, 35), item("bookcase", 120, 0, 43, 37)
    assert over(chest, low, length=200)["chest"].width_basis == 20 * INCH


def test_a_window_over_the_whole_sofa_leaves_no_space():
    assert over(SOFA, item("window", 30, 36, 110, 60)) == {}


def test_a_television_in_the_middle_leaves_a_stretch_on_either_side():
    found = find_spaces(house(walls=(wall(SOFA, item("television", 70, 40, 28, 40)),)))
    parts = [space for space in found if space.over == "sofa"]
    assert [space.name for space in parts] == ["Over the sofa, left part", "Over the sofa, right part"]
    assert [space.id for space in parts] == ["w:sofa", "w:sofa:2"]
    assert [round(space.width_basis / INCH) for space in parts] == [28, 28]


def test_a_panel_above_the_mantel_is_the_space():
    mantel, panel = item("mantel", 54, 0, 60, 52, 10), item("panel", 56, 56, 56, 44)
    found = find_spaces(house(walls=(wall(mantel, panel),)))
    assert [space.kind for space in found if space.kind != "open_wall"] == ["panel"]


def test_furniture_before_a_panel_hangs_inside_its_moulding():
    console, panel = item("console", 60, 0, 48, 32, 14), item("panel", 50, 20, 68, 80)
    space = over(console, panel)["console"]
    assert inches(space) == [60, 32, 48, 65]  # up to the moulding at 100 less its margin of 3


def test_what_stands_before_something_longer_has_no_space_of_its_own():
    assert set(over(SOFA, item("bench", 60, 0, 40, 18, 14))) == {"sofa"}


@pytest.mark.parametrize(
    ("left", "bottom", "space"),
    [
        # Art begins at 34 + 6 = 40. Its centre reaches 60 where 2 x (60 - 40) = 40 in are free: up to a vent at 83.
        pytest.param(44, 83, [42, 34, 84, 46], id="high: under it, in the middle of the sofa"),
        pytest.param(44, 70, [61, 34, 65, 68], id="low, over one end: beside it"),
    ],
)
def test_a_vent_moves_the_space_aside_only_where_it_is_low(left, bottom, space):
    assert inches(over(SOFA, item("vent", left, bottom, 14, 8, 0))["sofa"]) == space
