"""Over low furniture the gap comes first, so only tall pieces, stacks and groups reach the eye line.

Common practice, no source. Inches. With its lower edge 10 in above a bench of 19 in, a piece needs 2 x (60 - 29) =
62 in of height for its middle to come to 60 in.
"""

from __future__ import annotations

import pytest

from placements.engine.assess import assess_wall
from placements.engine.facade import propose
from placements.engine.house import House, Room
from placements.engine.results import Hanging
from placements.engine.spaces import find_spaces
from tests.scenes import INCH, WORDS, item, wall, work

BENCH = item("bench", 30, 0, 66, 19, 16)


def nook(*works, bench=BENCH, height: float = 114) -> House:
    walls = (wall(bench, id="w", length=126, height=height),)
    return House((Room("r", "Nook", "living", walls=walls),), tuple(works))


def planned(house: House):
    return next(one for one in propose(house, WORDS).plan if one.space == "w:bench")


def exceptions(arrangement) -> set[str]:
    return {finding.rule for finding in arrangement.findings if finding.level == "exception"}


def middle(house: House, arrangement) -> float:
    edges = [(h.bottom, h.bottom + house.work_by_id[h.work].height) for h in arrangement.pieces]
    return (min(low for low, _ in edges) + max(high for _, high in edges)) / 2 / INCH


def test_a_piece_that_is_tall_enough_is_preferred_to_one_that_is_not() -> None:
    house = nook(work("low", 44, 30), work("tall", 44, 64))
    found = planned(house)
    assert [h.work for h in found.pieces] == ["tall"]
    assert 58 <= middle(house, found) <= 66  # 2 in below the eye line is let pass, the gap comes first
    assert exceptions(found) == set()


def test_two_of_like_width_are_stacked_until_their_middle_reaches_the_eye_line() -> None:
    """30 + 2.5 + 34 = 66.5 in: from 29 in the middle of the two comes to 62.25 in."""
    house = nook(work("one", 44, 30, frame="oak"), work("two", 42, 34, frame="oak"))
    found = planned(house)
    assert {h.work for h in found.pieces} == {"one", "two"}
    assert 60 <= middle(house, found) <= 66
    assert "eye-line" not in exceptions(found)


def test_small_ones_are_composed_until_their_middle_reaches_the_eye_line() -> None:
    sizes = [(17, 26), (17, 26), (27, 19), (26, 20), (16, 20)]
    house = nook(*(work(f"p{n}", *size, frame="oak", form="print") for n, size in enumerate(sizes)))
    found = planned(house)
    assert len(found.pieces) >= 4
    assert 58 <= middle(house, found) <= 66
    assert exceptions(found) == set()


def test_a_plan_takes_the_stacks_and_groups_that_it_would_offer_itself() -> None:
    works = [work(f"p{n}", 38 + n % 4, 24 + 3 * n, frame="oak") for n in range(6)]
    found = planned(nook(*works))
    better = [remedy for remedy in found.remedies if remedy.kind in ("stack", "group") and remedy.gain > 6]
    assert not better


def test_a_piece_that_must_hang_too_low_gets_remedies_that_can_be_carried_out() -> None:
    house = nook(work("low", 44, 30, frame="oak"), work("two", 42, 34, frame="oak"), work("tall", 46, 64))
    hung = [Hanging("low", "w", 41 * INCH, 29 * INCH)]
    (found,) = assess_wall(house, "w", hung, words=WORDS, with_remedies=True).arrangements
    assert "eye-line" in exceptions(found)
    kinds = [remedy.kind for remedy in found.remedies]
    assert {"stack", "replace", "leave_bare"} <= set(kinds)
    for remedy in found.remedies:
        if remedy.kind in ("stack", "replace"):
            assert "eye-line" in remedy.corrects
            after = assess_wall(house, "w", remedy.hangings, words=WORDS)
            assert "eye-line" not in exceptions(after.arrangements[0])


def test_where_nothing_can_reach_the_eye_line_the_space_says_so_and_stays_bare() -> None:
    """Under 8 ft with 6 in kept clear, a piece from 28 in (a bench of 18 in) up to 90 in has its middle at 59 in."""
    bench = item("bench", 30, 0, 66, 18, 16)
    house = nook(work("low", 44, 30), bench=bench, height=96)
    (space,) = [space for space in find_spaces(house, words=WORDS) if space.over == "bench"]
    assert space.advice == "optional"
    assert any("so low that nothing over it reaches the eye line" in reason.text for reason in space.reasons)
    assert planned(house).kind == "bare"
    higher = nook(bench=bench, height=102)
    (space,) = [space for space in find_spaces(higher) if space.over == "bench"]
    assert space.advice == "hang"


def test_without_a_piece_for_it_the_size_to_look_for_reaches_the_eye_line() -> None:
    house = nook(work("low", 44, 30))
    (found,) = assess_wall(
        house, "w", [Hanging("low", "w", 41 * INCH, 29 * INCH)], words=WORDS, with_remedies=True
    ).arrangements
    replace = next(remedy for remedy in found.remedies if remedy.kind == "replace")
    assert replace.brief is not None
    low, high = replace.brief.height
    for height in (low, high):
        assert any(60 - 1e-6 <= bottom + height / INCH / 2 <= 66 + 1e-6 for bottom in (25, 26, 27, 28, 29))
    assert pytest.approx((0.6 * 66, 0.75 * 66), abs=0.01) == tuple(one / INCH for one in replace.brief.width)
