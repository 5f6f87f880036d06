"""The largest piece in the middle: common practice, no source."""

from __future__ import annotations

from tests.scenes import group, level, open_wall, said, work


def mixed():
    small = [work(f"s{n}", 12, 16, frame="black") for n in range(4)]
    return [work("L", 30, 34.5, title="Large", frame="black"), *small]


AROUND = [(27, 45.5), (27, 64), (72, 45.5), (72, 64)]


def test_small_pieces_on_both_sides_of_the_large_one_hold() -> None:
    assert level(group(open_wall(*mixed()), (40.5, 45.5), *AROUND), "largest-central") is None


def test_the_large_one_at_an_end_is_an_exception_and_named() -> None:
    beside = [(57 + 14.5 * n, 54) for n in range(4)]
    finding = said(group(open_wall(*mixed()), (24.5, 45.5), *beside), "largest-central")
    assert finding is not None
    assert finding.level == "exception"
    assert finding.text.startswith("Large, the largest, sits ")
    assert "25%" in finding.text


def test_of_two_equally_large_ones_the_nearer_counts() -> None:
    works = [work("L1", 30, 34.5), work("L2", 30, 34.5), work("s", 12, 16)]
    assert level(group(open_wall(*works), (30, 45), (62.5, 45), (95, 54)), "largest-central") is None


def test_equal_pieces_and_pairs_have_no_largest() -> None:
    equal = [work(f"p{n}", 16, 20) for n in range(3)]
    assert "largest-central" not in group(open_wall(*equal), (30, 53), (48.5, 53), (67, 53)).terms
    assert "largest-central" not in group(open_wall(*mixed()), (40.5, 45.5), (27, 45.5)).terms
