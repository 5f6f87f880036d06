"""An odd one out among equal pieces: common practice, no source."""

from __future__ import annotations

from tests.scenes import group, level, open_wall, said, work


def prints(count: int):
    return [work(f"p{n}", 16, 20, form="print", frame="black") for n in range(count)]


ROW = [(25 + 18.5 * n, 53) for n in range(6)]


def test_a_clock_among_equal_prints_is_out_of_scale() -> None:
    works = [*prints(4), work("c", 10, 10, title="Station dial", form="clock")]
    finding = said(group(open_wall(*works), *ROW[:4], (99, 58)), "scale")
    assert finding is not None
    assert finding.level == "exception"
    assert "Station dial (clock)" in finding.text
    assert finding.works == ("p0", "p1", "p2", "p3", "c")


def test_a_mirror_of_the_prints_own_size_is_odd_among_them_too() -> None:
    works = [*prints(4), work("m", 16, 20, form="mirror")]
    assert level(group(open_wall(*works), *ROW[:5]), "scale") == "exception"


def test_mixed_sizes_may_carry_a_mirror_a_relief_and_a_basket() -> None:
    works = [
        work("a", 24, 30),
        work("b", 16, 20),
        work("m", 12, 18, form="mirror"),
        work("r", 14, 14, form="relief"),
        work("k", 18, 18, form="basket"),
    ]
    assert level(group(open_wall(*works), (25, 48), (51.5, 53), (70, 54), (84.5, 56), (101, 54)), "scale") is None


def test_equal_prints_alone_are_in_scale_and_pairs_are_not_judged() -> None:
    assert level(group(open_wall(*prints(5)), *ROW[:5]), "scale") is None
    assert "scale" not in group(open_wall(*prints(1), work("c", 10, 10, form="clock")), (25, 53), (43.5, 58)).terms


def test_a_larger_picture_between_two_equal_ones_is_their_centre_and_a_tiny_one_is_odd() -> None:
    pair = prints(2)
    trio = [pair[0], work("L", 36, 28, form="painting"), pair[1]]
    assert level(group(open_wall(*trio), (25, 53), (43.5, 49), (82, 53)), "scale") is None
    tiny = [*prints(3), work("t", 8, 10, form="print")]
    assert level(group(open_wall(*tiny), *ROW[:3], (80.5, 58)), "scale") == "exception"
