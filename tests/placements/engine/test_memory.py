"""What the engine remembers of arrangements: while one piece moves the others are not judged again."""

from __future__ import annotations

from placements.engine import assess
from placements.engine.memory import Memory
from placements.engine.results import Hanging
from placements.engine.scoring import judge
from tests.scenes import INCH, WORDS, house, wall, work


def test_memory_keeps_the_last_and_forgets_what_was_asked_longest_ago():
    memory, worked = Memory(2), []

    def ask(what):
        return memory.recall(what, lambda: worked.append(what) or what.upper())

    assert [ask(what) for what in "abacab"] == ["A", "B", "A", "C", "A", "B"]
    assert worked == ["a", "b", "c", "b"]  # b went when c came, since a was asked again


def test_a_drag_judges_only_the_piece_that_moves_and_says_what_a_fresh_engine_says(monkeypatch):
    judged = []

    def counting(house, space, pieces, *rest):
        judged.append({hanging.work for hanging in pieces})
        return judge(house, space, pieces, *rest)

    monkeypatch.setattr(assess, "judge", counting)
    monkeypatch.setattr(assess, "judged_before", Memory(100))
    far = [f"w{number}" for number in range(6)]
    home = house(*(work(name, 20, 24) for name in far), walls=(wall(length=800),))

    def hung(left):
        places = [left, *(120 * INCH * number for number in range(1, 6))]
        pieces = [Hanging(name, "w", x, 50 * INCH, i) for i, (name, x) in enumerate(zip(far, places, strict=True), 1)]
        return assess.assess_wall(home, "w", pieces, words=WORDS)

    hung(12 * INCH)
    before = len(judged)
    assert before == 6
    moved = hung(20 * INCH)
    assert judged[before:] == [{"w0"}]
    monkeypatch.setattr(assess, "judged_before", Memory(100))
    assert hung(20 * INCH) == moved
