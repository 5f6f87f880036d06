"""A wall's items typed in one line: what is read, where it goes, and which word a fault points at."""

from __future__ import annotations

import pytest

from placements.contexts.shorthand import BadWord, Put, read_line
from studio.units import Units
from tests.factories import INCH

LENGTH, HEIGHT = 168.0, 108.0


def read(line, there=(), units="ft_in"):
    """Kind, left, bottom, width and height [in] of what a line puts on a wall of 14 by 9 ft."""
    put = read_line(line, length=LENGTH * INCH, height=HEIGHT * INCH, there=list(there), units=Units(units))
    return [(one.kind, *(round(mm / INCH, 4) for mm in (one.left, one.bottom, one.width, one.height))) for one in put]


def test_a_sofa_wall_in_one_line():
    assert read("sofa 84 x 32 centred; floor lamp right of sofa 4; window 48 x 60 at 96 up 24") == [
        ("sofa", 42, 0, 84, 32), ("floor_lamp", 130, 0, 18, 64), ("window", 96, 24, 48, 60),
    ]  # fmt: skip


def test_a_bed_wall_stands_in_mirror_image_about_the_bed():
    bed, left, right, *sconces = read("bed; 2 nightstands both sides of bed 2; 2 sconces both sides of bed 5 up 60")
    assert bed == ("bed", 52, 0, 64, 50)
    assert (left[1], right[1]) == (52 - 2 - 24, 52 + 64 + 2)
    assert sum(one[1] + one[3] / 2 for one in sconces) == LENGTH
    assert {one[2] for one in sconces} == {60}


@pytest.mark.parametrize(
    ("line", "left", "bottom"),
    [
        ("console from right 12", 168 - 12 - 48, 0),
        ("console at 1' 6 9/16\"", 18.5625, 0),
        ("console at 40 cm", 15.75, 0),  # on the tape: to the nearest 1/16 in
        ("console; vase on console", 80, 31),
        ("console; vase on console 6", 66, 31),
        ("console; table lamp", 76.5, 31),  # a lamp seeks what it may stand on
        ("console at 0; same again right of last 2", 50, 0),
        ("console at 12; mirrored", 168 - 12 - 48, 0),
        ('console "Hall table" at 0; lamp on hall table 2', 2, 31),
        ("outlet at 20 up 12", 20, 12),
    ],
)
def test_places(line, left, bottom):
    assert read(line)[-1][1:3] == (left, bottom)


def test_a_bed_wall_and_a_sofa_wall_in_under_thirty_keys():
    line = "bed; 2 nightstands; 2 lamps"
    _, left, right, *lamps = read(line)
    assert (left[1], right[1]) == (52 - 2 - 24, 52 + 64 + 2)
    assert sorted(lamp[1] + lamp[3] / 2 for lamp in lamps) == [left[1] + 12, right[1] + 12]
    assert {lamp[2] for lamp in lamps} == {26}
    _, lamp, table = read("sofa; floor lamp; end table")
    assert (lamp[1], table[1]) == (42 - 2 - 18, 42 + 84 + 2)
    assert len(line) < 30


def test_outlines_pressed_one_after_the_other_stand_as_usual():
    there: list[Put] = []
    for kind in ("bed", "nightstand", "nightstand", "table lamp", "table lamp"):
        there += read_line(kind, length=LENGTH * INCH, height=HEIGHT * INCH, there=there, units=Units())
    assert [round(one.left / INCH, 3) for one in there] == [52, 26, 118, 122.5, 30.5]
    third = read_line("nightstand", length=LENGTH * INCH, height=HEIGHT * INCH, there=there, units=Units())
    assert third[0].left >= 0  # both sides are taken: it seeks another stretch


def test_without_a_place_it_seeks_the_widest_stretch_that_is_free():
    door = Put("door", 0, 0, 40 * INCH, 84 * INCH, 0)
    assert read("dresser", [door]) == [("dresser", 40 + (128 - 60) / 2, 0, 60, 34)]


def test_metric_readers_type_their_own():
    assert read("sofa 210 x 80 at 100", units="cm")[0][3:] == (round(2100 / INCH, 4), round(800 / INCH, 4))


@pytest.mark.parametrize(
    ("line", "word", "said"),
    [
        ("soffa centred", "soffa", "such as sofa"),
        ("sofa centerd", "centerd", "Expected a size or a place"),
        ("sofa 84 x", "84", "Expected a size or a place"),
        ("console; lamp on sofa", "sofa", "stands there: console"),
        ("sofa; window at 300", "window at 300", "beyond the wall"),
        ("bed at 10; nightstand left of bed", "nightstand left of bed", "beyond the left end"),
        ("sofa up", "up", "Expected a height"),
        ("sofa at 1/0", "1/0", "Expected a length"),
        ("mirrored", "mirrored", "Nothing stands before it"),
        ("clock", "clock", "Expected what it is"),
    ],
)
def test_a_fault_points_at_its_word(line, word, said):
    with pytest.raises(BadWord, match=said) as caught:
        read(line)
    assert line[caught.value.start : caught.value.end].strip() == word


def test_a_line_may_not_be_endless():
    with pytest.raises(BadWord, match="At most 30"):
        read("outlet;" * 31)
    with pytest.raises(BadWord, match="too long"):
        read("x" * 1001)
