"""A wall as it stands. How far apart a group may hang and still be one is common practice, no source."""

from __future__ import annotations

import pytest

from placements.engine.assess import assess_wall
from placements.engine.errors import InvalidHouse
from placements.engine.results import Hanging
from tests.scenes import INCH, SOFA, WORDS, house, item, wall, work


def at(name: str, left: float, bottom: float) -> Hanging:
    """In inches."""
    return Hanging(name, "w", left * INCH, bottom * INCH)


def rules_of(assessment, level="exception"):
    return {finding.rule for finding in assessment.findings if finding.level == level}


def test_piece_eight_inches_above_the_sofa_and_two_thirds_as_long_has_no_exception():
    assessment = assess_wall(house(work("a", 56, 40), walls=(wall(SOFA),)), "w", [at("a", 56, 42)], words=WORDS)
    assert rules_of(assessment) == set()
    (arrangement,) = assessment.arrangements
    assert arrangement.kind == "single"
    assert arrangement.score > 90


def test_piece_eighteen_inches_above_the_sofa_breaks_clearance_in_words():
    assessment = assess_wall(house(work("a", 56, 24), walls=(wall(SOFA),)), "w", [at("a", 56, 52)], words=WORDS)
    (finding,) = [finding for finding in assessment.findings if finding.rule == "clearance"]
    assert finding.level == "exception"
    assert "18 in" in finding.text
    assert finding.measured == pytest.approx(18 * INCH)
    assert (finding.low, finding.high) == pytest.approx((6 * INCH, 10 * INCH))


def test_pieces_within_reach_are_one_group_and_those_beyond_hang_alone():
    pieces = [work(name, 20, 24) for name in "abc"]
    hung = [at("a", 30, 51), at("b", 52.5, 51), at("c", 110, 51)]
    assessment = assess_wall(house(*pieces, walls=(wall(),)), "w", hung)
    assert [tuple(p.work for p in arrangement.pieces) for arrangement in assessment.arrangements] == [
        ("a", "b"),
        ("c",),
    ]
    assert [arrangement.kind for arrangement in assessment.arrangements] == ["group", "single"]


def test_overlapping_pieces_are_a_stop():
    pieces = [work(name, 20, 24) for name in "ab"]
    assessment = assess_wall(house(*pieces, walls=(wall(),)), "w", [at("a", 60, 51), at("b", 70, 51)])
    assert "spacing" in rules_of(assessment, "stop")


def test_piece_on_a_wall_without_a_free_space_is_a_stop_that_says_so():
    full = item("bookcase", 0, 0, 168, 108)
    assessment = assess_wall(house(work("a", 20, 24), walls=(wall(full),)), "w", [at("a", 60, 51)])
    (finding,) = assessment.findings
    assert (finding.rule, finding.level) == ("fit", "stop")
    assert "no free space" in finding.text


def test_space_left_bare_is_named_and_an_empty_space_is_not():
    place = house(walls=(wall(SOFA),))
    (over_sofa,) = [space for space in assess_wall(place, "w", []).spaces if space.over == "sofa"]
    assert assess_wall(place, "w", []).arrangements == ()
    (bare,) = assess_wall(place, "w", [], bare=[over_sofa.id]).arrangements
    assert (bare.kind, bare.space) == ("bare", over_sofa.id)


def test_pieces_on_other_walls_are_passed_over():
    other = wall(id="v")
    place = house(work("a", 20, 24), walls=(wall(), other))
    assert assess_wall(place, "w", [Hanging("a", "v", 1000, 1300)]).arrangements == ()


def test_unknown_work_is_an_error_that_names_it():
    with pytest.raises((InvalidHouse, KeyError), match="ghost"):
        assess_wall(house(walls=(wall(SOFA),)), "w", [at("ghost", 60, 51)])
