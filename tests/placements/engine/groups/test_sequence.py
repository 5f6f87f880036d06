"""The order of hanging: middle piece first, then outwards (common practice, no source)."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from placements.engine.groups.compose import compose
from placements.engine.groups.sequence import sequence
from placements.engine.results import Hanging
from tests.placements.engine.groups.scenes import IN, mixed_pool, prints, space


def hung_row(count):
    pieces = prints(count)
    return [Hanging(p.id, "w1", (20 + i * 13.5) * IN, 56 * IN) for i, p in enumerate(pieces)], {p.id: p for p in pieces}


def test_a_row_starts_in_the_middle_and_goes_outwards():
    steps = sequence(*hung_row(5))
    assert [s.work for s in steps] == ["p02", "p01", "p03", "p00", "p04"]
    assert steps[0].reference is None
    assert steps[0].centre_x == pytest.approx((20 + 2 * 13.5 + 5.5) * IN)
    assert (steps[1].reference, steps[1].side) == ("p02", "left of")
    assert steps[1].gap == pytest.approx(2.5 * IN)
    assert (steps[3].reference, steps[4].reference) == ("p01", "p03")


@settings(max_examples=8, deadline=None)
@given(st.integers(0, 50))
def test_each_piece_is_measured_from_one_already_up_and_agrees_with_the_datum(seed):
    pool = mixed_pool(7, seed)
    layout = compose(space(width=220, height=100), pool, hang_all=True, seed=seed).layouts[0]
    steps = sequence(layout.hangings, {w.id: w for w in pool})
    up = {}
    for step in steps:
        if step.reference is not None:
            left, bottom = up[step.reference]
            assert step.left == pytest.approx(left + step.dx)
            assert step.bottom == pytest.approx(bottom + step.dy)
        up[step.work] = step.left, step.bottom
    assert up == {h.work: pytest.approx((h.left, h.bottom)) for h in layout.hangings}
    assert [s.work for s in steps] == [h.work for h in layout.hangings]


def test_a_slip_in_hanging_does_not_travel_when_the_datum_is_used():
    steps = sequence(*hung_row(5))
    slip = 3.0
    chained = {steps[0].work: steps[0].left + slip}
    for step in steps[1:]:
        chained[step.work] = chained[step.reference] + step.dx + slip
    worst = max(abs(chained[s.work] - s.left) for s in steps)
    assert worst == pytest.approx(3 * slip)  # from piece to piece alone it grows outwards
    assert all(abs((s.left + slip) - s.left) <= slip for s in steps)  # from the datum it stays one slip


def test_a_piece_that_faces_none_is_measured_from_the_nearest():
    pieces = prints(2)
    hangings = [Hanging("p00", "w1", 0, 0), Hanging("p01", "w1", 40 * IN, 40 * IN)]
    steps = sequence(hangings, {p.id: p for p in pieces})
    assert (steps[1].reference, steps[1].side) == (steps[0].work, "right of")
    assert steps[1].gap == pytest.approx(29 * IN)


def test_nothing_to_hang_is_an_empty_sequence():
    assert sequence([], {}) == ()
