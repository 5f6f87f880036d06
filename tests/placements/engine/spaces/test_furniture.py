"""Spaces over furniture. Facts of the trade: common practice, no source. All lengths in inches."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from placements.engine.geometry import from_edges
from placements.engine.obstacles import bearers, keep_outs
from placements.engine.rulebook import Rulebook
from placements.engine.spaces import find_spaces, overlap
from tests import scenes
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


# Where the wall beside low furniture is open


@pytest.fixture(scope="module")
def tall_wall():
    """18 x 14 ft over a low console of 5 ft."""
    console = scenes.item("console", 78, 0, 60, 30, 14)
    return find_spaces(scenes.house(walls=(scenes.wall(console, length=216, height=168),)))


def test_over_a_low_console_art_may_reach_from_corner_to_corner_and_up_to_the_ceiling(tall_wall):
    over = next(one for one in tall_wall if one.over == "console")
    assert over.id == "w:console"
    assert (over.rect.left, over.rect.width) == (78 * INCH, 60 * INCH)
    reach = over.reach
    assert [mm / INCH for mm in (reach.left, reach.bottom, reach.right, reach.top)] == pytest.approx([4, 30, 212, 162])
    assert over.width_basis == 60 * INCH  # two-thirds still measures against the console


def test_the_wall_beside_the_console_stays_a_space_and_is_told_to_be_an_alternative(tall_wall):
    over = next(one for one in tall_wall if one.over)
    beside = [one for one in tall_wall if one is not over]
    assert [one.kind for one in beside] == ["open_wall", "open_wall"]
    for one in beside:
        shared = overlap(over, one)
        assert shared is not None
        assert shared.width == pytest.approx(one.rect.width)
        assert overlap(one, over) == shared
    assert overlap(*beside) is None
    assert overlap(over, over) is None


def test_a_piece_wider_than_the_console_may_hang_over_it_and_only_two_thirds_minds():
    piece = scenes.work("a", 90, 40)
    console = scenes.item("console", 78, 0, 60, 30, 14)
    one_house = scenes.house(piece, walls=(scenes.wall(console, length=216, height=168),))
    over = next(space for space in find_spaces(one_house) if space.over)
    found = scenes.judged((one_house, over), scenes.hang(piece, 63, 38))
    assert scenes.level(found, "fit") is None
    assert scenes.level(found, "two-thirds") == "exception"


@settings(max_examples=100, deadline=None)
@given(
    st.integers(0, 100), st.integers(20, 100), st.integers(12, 60),
    st.lists(
        st.tuples(
            st.sampled_from(["window", "bookcase", "sconce", "switch", "bench", "vent"]),
            st.integers(0, 160), st.integers(0, 90), st.integers(3, 60), st.integers(3, 60),
        ),
        max_size=4,
    ),
)  # fmt: skip
def test_the_reach_is_free_wall_and_ends_where_something_ends_it(left, width, height, others):
    """Shapely judges: nothing that keeps art out lies in it, and a finger's breadth more on either side meets one."""
    things = [scenes.item("console", left, 0, width, height)]
    things += [scenes.item(kind, *sizes, id=f"{kind}{i}") for i, (kind, *sizes) in enumerate(others)]
    on = scenes.wall(*things)
    book = Rulebook()
    shut = [one.rect for one in keep_outs(on, book.margins)]
    columns = [from_edges(one.left, 0, one.rect.right, on.height) for one in bearers(on)]
    for space in find_spaces(scenes.house(walls=(on,))):
        if space.beyond is None:
            continue
        own = on.item(space.over)
        lowest = max(space.rect.bottom, own.rect.top + book.limits("clearance").low)
        solid = shapely.union_all([
            *(shapely.box(r.left, r.bottom, r.right, r.top) for r in shut),
            *(shapely.box(r.left - 76.2, r.bottom, r.right + 76.2, r.top)
              for one, r in zip(bearers(on), columns, strict=True) if one.id != own.id),
        ])  # fmt: skip
        r = space.reach
        wide = shapely.box(r.left, lowest + 1, r.right, r.top - 1)
        stretch = shapely.box(space.rect.left, lowest, space.rect.right, space.rect.top)
        assert shapely.difference(wide, stretch).intersection(solid).area < 1e-3
        for edge, way in ((r.left, -1.0), (r.right, 1.0)):
            low, high = sorted((edge, edge + way))
            beyond = shapely.box(low, lowest + 1, high, r.top - 1)
            at_corner = edge <= 101.6 + 1e-6 or edge >= on.length - 101.6 - 1e-6
            assert at_corner or beyond.intersection(solid).area > 0
