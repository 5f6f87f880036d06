"""The measure of agreement on cases that can be worked out by hand; common practice, no source."""

from __future__ import annotations

import pytest

from placements.engine.house import House, Room, Wall, Work
from placements.engine.results import Hanging

from .agreement import agreement, nearest
from .hand_hung import entries
from .proposing import INCH


@pytest.fixture
def house() -> House:
    walls = tuple(Wall(one, "room", one, 150 * INCH, 100 * INCH) for one in ("a", "b"))
    twins = tuple(Work(one, one, 16 * INCH, 20 * INCH, form="print", set_name="s") for one in ("one", "two"))
    return House((Room("room", "Room", walls=walls),), (*twins, Work("big", "Big", 40 * INCH, 30 * INCH)))


def at(work: str, left: float, bottom: float = 50.0, wall: str = "a") -> Hanging:
    return Hanging(work, wall, left * INCH, bottom * INCH)


@pytest.mark.parametrize(
    ("ours", "theirs", "score"),
    [
        ([], [], 1.0),
        ([at("big", 10)], [], 0.0),
        ([at("big", 10)], [at("big", 11)], 1.0),
        ([at("big", 10)], [at("big", 16.5)], 0.5),
        ([at("big", 10)], [at("big", 22)], 0.0),
        ([at("big", 10)], [at("big", 10, wall="b")], 0.0),
        # A swap of twins is no difference; one work too many is.
        ([at("one", 10), at("two", 40)], [at("two", 10), at("one", 40)], 1.0),
        ([at("one", 10), at("two", 40)], [at("two", 10)], 0.5),
        # The match that earns most in all, not the first that comes.
        ([at("one", 10), at("two", 14)], [at("one", 14), at("two", 10)], 1.0),
    ],
)
def test_agreement_by_hand(house: House, ours: list[Hanging], theirs: list[Hanging], score: float) -> None:
    assert agreement(house, ours, theirs).score == pytest.approx(score)
    assert agreement(house, theirs, ours).score == pytest.approx(score)


def test_extra_and_missing_are_counted(house: House) -> None:
    found = agreement(house, [at("big", 10)], [at("one", 10), at("two", 40)])
    assert (found.extra, found.missing) == (1, 2)


def test_the_nearest_rank_ties_and_is_none_where_nothing_is_shared(house: House) -> None:
    ranked = {1: [at("big", 10)], 2: [at("big", 10), at("one", 60)], 3: [at("two", 10, wall="b")]}
    assert nearest(house, [at("big", 10)], ranked) == (1,)
    assert nearest(house, [at("big", 80)], ranked) == (1,)
    assert nearest(house, [], {1: [at("big", 10)]}) == ()


def test_each_hand_hung_entry_is_a_legal_survey_with_three_different_hangings() -> None:
    found = entries()
    assert len(found) == 41
    assert sum(one.set_aside for one in found) == 13
    for one in found:
        assert sorted(one.ranked) == [1, 2, 3]
        assert agreement(one.house, one.ranked[1], one.ranked[1]).score == 1.0
        assert agreement(one.house, one.ranked[1], one.ranked[3]).score < 1.0
