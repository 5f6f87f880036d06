"""The pairwise judgements themselves: enough of them, fair ones, and a runner that counts right."""

from __future__ import annotations

from collections.abc import Sequence

from placements.engine.house import House
from placements.engine.results import Hanging

from .pairs import PAIRS, misjudged
from .seeing import ALWAYS, Seen, looked


def test_there_are_enough_of_both_kinds() -> None:
    written = [one for one in PAIRS if one.name.partition(":")[2].isdigit()]
    assert len(PAIRS) >= 120
    assert len(written) >= 120
    assert sum(one.sound for one in PAIRS) >= 40
    assert 0.25 < sum(one.set_aside for one in PAIRS) / len(PAIRS) < 0.42
    assert len({one.name for one in PAIRS}) == len(PAIRS)


def test_the_sound_ones_are_sound_and_all_differ() -> None:
    for pair in PAIRS:
        assert pair.better != pair.worse, pair.name
        assert pair.why
        if pair.sound:
            seen = Seen(pair.house, pair.worse)
            assert [looked(check, seen) for check, _ in ALWAYS] == [None] * len(ALWAYS), pair.name


def test_a_tie_is_no_order() -> None:
    def same(house: House, hangings: Sequence[Hanging]) -> float:
        return 1.0

    assert len(misjudged(same)) == len(PAIRS)


def test_a_judge_who_knows_the_answers_orders_all() -> None:
    better = {(id(one.house), one.better) for one in PAIRS}
    assert misjudged(lambda house, hangings: float((id(house), tuple(hangings)) in better)) == []
