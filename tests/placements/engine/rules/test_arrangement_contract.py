"""What every rule about neighbours keeps, whatever it judges."""

from __future__ import annotations

import dataclasses
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from placements.engine import scoring
from placements.engine.arrangement import Arranged, arranged
from placements.engine.bands import within
from placements.engine.house import Rail
from placements.engine.rule import Rule, at
from placements.engine.rulebook import Rulebook
from placements.engine.rules import RULES
from tests import scenes
from tests.scenes import INCH

BOOK = Rulebook()
RULES_OF_GROUPS = [rule for rule in RULES if rule.kind == "arrangement"]
every_rule = pytest.mark.parametrize("rule", RULES_OF_GROUPS, ids=[rule.id for rule in RULES_OF_GROUPS])


def groups(count: int = 40) -> list[Arranged]:
    """Groups of one to six pieces, tidy and wild, on an open wall and on a stair."""
    draw = np.random.default_rng(5)
    found = []
    for n in range(count):
        k = n % 6 + 1
        equal = n % 3 == 0
        sizes = [(16.0, 20.0)] * k if equal else [tuple(draw.uniform(8, 30, 2)) for _ in range(k)]
        forms = ("print", "painting", "mirror", "clock")
        works = [
            scenes.work(f"p{m}", *size, form=forms[int(draw.integers(0, 4))], frame=("black", "oak")[m % 2])
            for m, size in enumerate(sizes)
        ]
        rail = Rail(0, 34 * INCH, 96 * INCH, 106 * INCH) if n % 4 == 0 else None
        house = scenes.house(*works, walls=(scenes.wall(rail=rail, height=200, length=300),))
        space = scenes.space("stair" if rail else "open_wall", scenes.rect(0, 6, 290, 180))
        hung = [scenes.hang(w, 10 + m * 33 * (0.6 + n % 2), 50 + draw.uniform(0, 30)) for m, w in enumerate(works)]
        found.append(arranged(house, space, hung))
    return found


@every_rule
def test_scores_and_values_are_single_numbers_in_range(rule: Rule) -> None:
    applied = 0
    for group in groups():
        verdict = rule.evaluate(group, BOOK.limits(rule.id))
        assert 0 <= at(verdict.score, 0, 0) <= 1
        assert np.isfinite(at(verdict.value, 0, 0))
        applied += bool(verdict.applies)
    assert applied


@every_rule
def test_a_single_piece_has_no_neighbours_to_judge(rule: Rule) -> None:
    assert not rule.evaluate(groups(1)[0], BOOK.limits(rule.id)).applies


@every_rule
def test_a_remark_has_a_level_exactly_where_the_band_is_missed_and_states_its_numbers(rule: Rule) -> None:
    for group in groups():
        limits = BOOK.limits(rule.id)
        verdict = rule.evaluate(group, limits)
        if not verdict.applies:
            continue
        remark = rule.explain(group, verdict, 0, 0, limits, scenes.WORDS)
        vetoed = verdict.veto is not None and bool(verdict.veto)
        low, high = at(verdict.low, 0, 0), at(verdict.high, 0, 0)
        holds = within(at(verdict.value, 0, 0), low, high, max(verdict.slack, 1e-3 if rule.id != "unity" else 0))
        assert (remark.level == "stop") == vetoed
        assert (remark.level is None) == (holds and not vetoed), remark
        assert re.search(r"\d", remark.text)
        assert not re.search(r"\bnan\b|\binf\b|None", remark.text), remark.text


@every_rule
def test_the_order_of_the_pieces_does_not_matter(rule: Rule) -> None:
    for group in groups():
        turned = dataclasses.replace(
            group,
            works=group.works[::-1],
            **{name: getattr(group, name)[::-1] for name in ("left", "bottom", "width", "height")},
        )
        first, second = (rule.evaluate(each, BOOK.limits(rule.id)) for each in (group, turned))
        assert at(first.score, 0, 0) == pytest.approx(at(second.score, 0, 0))
        assert at(first.value, 0, 0) == pytest.approx(at(second.value, 0, 0))


@every_rule
def test_inputs_are_left_unchanged(rule: Rule) -> None:
    for group in groups():
        before = [array.copy() for array in (group.left, group.bottom, group.width, group.height)]
        rule.evaluate(group, BOOK.limits(rule.id))
        for was, now in zip(before, (group.left, group.bottom, group.width, group.height), strict=True):
            np.testing.assert_array_equal(was, now)


@settings(max_examples=100, deadline=None)
@given(data=st.data())
def test_terms_that_are_no_worse_never_give_a_lower_score(data: st.DataObject) -> None:
    """Two places for the same group: where every term of the one is at least the other's, so is the score."""
    works = [scenes.work(f"p{n}", 16, 20, frame="black", form="print") for n in range(3)]
    house, space = scenes.over_sofa(*works)
    scored = []
    for _ in range(2):
        gap, bottom = data.draw(st.floats(0.5, 9)), data.draw(st.floats(34, 60))
        hung = [scenes.hang(w, 50 + n * (16 + gap), bottom) for n, w in enumerate(works)]
        scored.append(scoring.judge(house, space, hung, BOOK, scenes.WORDS))
    for one, two in (scored, scored[::-1]):
        assert one.terms.keys() == two.terms.keys()
        if all(one.terms[rule] >= two.terms[rule] for rule in one.terms):
            assert one.score >= two.score - 1e-9
