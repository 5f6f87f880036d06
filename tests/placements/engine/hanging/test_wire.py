"""Wire mechanics against published worked examples (OpenStax, CC BY) and plain geometry."""

from math import atan, cos, degrees, hypot, radians, sin, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.engine.hanging.wire import (
    G,
    ImpossibleWire,
    leg_tension,
    leg_tensions,
    one_hook,
    two_hooks,
)

BOOK_G = 9.80  # OpenStax rounds g


@pytest.mark.parametrize(
    ("weight_n", "angle_deg", "tension_n", "tolerance"),
    [
        pytest.param(70.0 * BOOK_G, 5.0, 3930, 10, id="University Physics 1 ch. 6, tightrope walker"),
        pytest.param(2.00e-5 * BOOK_G, 12.0, 4.71e-4, 0.01e-4, id="University Physics 1 ch. 5, spider"),
        pytest.param(0.026 * BOOK_G, 5.0, 1.5, 0.05, id="University Physics 1 ch. 6, bird at 5 deg"),
        pytest.param(0.026 * BOOK_G, 0.5, 15, 0.5, id="University Physics 1 ch. 6, bird at 0.5 deg"),
        pytest.param(200.0, degrees(atan(0.25 / 1.5)), 600, 15, id="University Physics 1 ch. 6, pulling a car"),
        pytest.param(
            40.0, degrees(atan(0.03 / 0.20)), 134.8, 0.05, id="school problem, hook 3 cm over a 40 cm picture"
        ),
    ],
)
def test_equal_legs_pull_as_published(weight_n, angle_deg, tension_n, tolerance):
    assert leg_tension(weight_n, angle_deg) == pytest.approx(tension_n, abs=tolerance)


def test_unequal_legs_pull_as_published():
    # OpenStax College Physics, traffic light of 15.0 kg on wires at 30 and 45 deg: 108 N and 132 N.
    left, right = leg_tensions(15.0 * BOOK_G, 30.0, 45.0)
    assert left == pytest.approx(108, abs=0.5)
    assert right == pytest.approx(132, abs=0.5)
    assert right / left == pytest.approx(1.225, abs=0.001)


def test_frame_on_two_wires_at_48_degrees_from_vertical():
    # Young & Freedman, University Physics, problem 5.5: tension 0.75 W at 48.2 deg from the vertical.
    assert leg_tension(1.0, 90 - 48.2) == pytest.approx(0.75, abs=0.001)


def test_one_hook_rises_by_the_triangle_on_half_the_wire():
    # A 3-4-5 triangle on each side.
    hang = one_hook(span=800, length=1000, weight_n=60)
    assert hang.rise == pytest.approx(300)
    assert hang.tension_n == pytest.approx(60 / (2 * 0.6))


def test_two_hooks_make_a_level_middle_segment():
    hang = two_hooks(span=1000, length=1200, apart=200, weight_n=60)
    assert hang.rise == pytest.approx(300)  # legs 500 on runs 400: 3-4-5
    assert [segment.tension_n for segment in hang.segments] == pytest.approx([50, 50, 50])


@given(st.floats(200, 2000), st.floats(1.001, 1.5), st.floats(0.02, 0.98), st.floats(1, 500))
def test_forces_balance_wherever_the_hook_is(span, slack, along, weight_n):
    hang = one_hook(span, span * slack, weight_n, hook_x=span * along)
    left, right = hang.segments
    up = left.tension_n * sin(atan(hang.rise / left.to_x)) + right.tension_n * sin(atan(hang.rise / (span - left.to_x)))
    assert up == pytest.approx(weight_n, rel=1e-6)
    along_wire = sum(hypot(s.to_x - s.from_x, s.to_y - s.from_y) for s in hang.segments)
    assert along_wire == pytest.approx(span * slack, rel=1e-9)


@given(st.floats(200, 2000), st.floats(1.001, 1.5), st.floats(0.02, 0.98))
def test_two_hooks_keep_the_wire_length(span, slack, share):
    hang = two_hooks(span, span * slack, span * share, 10)
    along_wire = sum(hypot(s.to_x - s.from_x, s.to_y - s.from_y) for s in hang.segments)
    assert along_wire == pytest.approx(span * slack, rel=1e-9)


def test_a_tighter_wire_pulls_harder():
    pulls = [one_hook(800, length, 100).tension_n for length in (1000, 900, 850, 810, 801)]
    assert pulls == sorted(pulls)


@pytest.mark.parametrize(
    "call",
    [
        pytest.param(lambda: one_hook(800, 800, 10), id="no slack"),
        pytest.param(lambda: one_hook(800, 900, 10, hook_x=0), id="hook over the ring"),
        pytest.param(lambda: two_hooks(800, 700, 100, 10), id="two hooks, no slack"),
        pytest.param(lambda: two_hooks(800, 800, 100, 10), id="two hooks, as long as the span"),
        pytest.param(lambda: two_hooks(800, 900, 800, 10), id="hooks as wide as the rings"),
        pytest.param(lambda: two_hooks(800, 900, 0, 10), id="two hooks at one place"),
    ],
)
def test_an_impossible_wire_is_refused_in_words(call):
    with pytest.raises(ImpossibleWire, match="mm"):
        call()


def test_standard_gravity():
    assert G == 9.80665  # CGPM 1901, exact


def test_of_unequal_legs_the_tighter_pull_and_the_flatter_slope_count():
    # Rings 100 apart, wire 140, hook 20 from the left: by the ellipse of the two rings, |left| = 70 - 30 * 5/7.
    hang = one_hook(span=100, length=140, weight_n=100, hook_x=20)
    left, right = hang.segments
    assert hypot(left.to_x, left.to_y) == pytest.approx(70 - 30 * 5 / 7)
    assert hang.tension_n == max(left.tension_n, right.tension_n) > min(left.tension_n, right.tension_n)
    assert hang.tension_n == left.tension_n  # the steeper leg carries more
    assert hang.angle_deg == right.angle_deg < left.angle_deg
    # Both legs pull sideways alike, or the hook would slide (statics).
    sideways = [segment.tension_n * cos(radians(segment.angle_deg)) for segment in hang.segments]
    assert sideways[0] == pytest.approx(sideways[1])


def test_the_level_piece_between_two_hooks_is_no_slope():
    hang = two_hooks(span=1000, length=1200, apart=200, weight_n=60)
    assert hang.angle_deg == pytest.approx(degrees(atan(3 / 4)))
    assert [(s.from_x, s.to_x) for s in hang.segments] == [(0, 400), (400, 600), (600, 1000)]


def test_two_hooks_may_stand_close():
    assert two_hooks(span=1000, length=1250, apart=1, weight_n=60).rise == pytest.approx(sqrt(624.5**2 - 499.5**2))
