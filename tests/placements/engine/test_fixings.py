"""The fixings table against published withdrawal formulas, and the choice between fixings."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.engine.errors import EngineError
from placements.engine.fixings import FIXINGS, LB_N, allowed_n, choose, greatest_weight_kg, usable
from placements.engine.hanging.wire import G
from placements.engine.house import BUILDS


def test_every_fixing_states_source_and_factor():
    for fixing in FIXINGS:
        assert fixing.source
        assert fixing.factor >= 2
        assert set(fixing.builds) <= set(BUILDS)
    assert len({fixing.id for fixing in FIXINGS}) == len(FIXINGS)


def test_ultimate_loads_are_divided_by_at_least_four():
    assert all(fixing.factor >= 4 for fixing in FIXINGS if fixing.basis == "ultimate")


def test_stud_screw_is_trusted_with_less_than_the_wood_would_allow():
    # NDS allowable withdrawal of a nail, W = 1380 G^(5/2) D lb an inch: 0.164 in shank (a No. 8 screw's), 1.25 in deep
    # in Douglas-fir, G 0.50. A screw holds more than a nail, so this is a floor for the pull; the hook's load is
    # lateral, where wood carries more still.
    nail_lb = 1380 * 0.50**2.5 * 0.164 * 1.25
    stud = next(fixing for fixing in FIXINGS if fixing.id == "stud-screw")
    assert stud.allowed_n / LB_N == pytest.approx(50)
    assert stud.allowed_n / LB_N <= nail_lb * 1.01


def test_nail_withdrawal_reproduces_the_published_table():
    # NDS Table 12.2C (from memory): G 0.42, 0.131 in: 21 lb/in; G 0.50, 0.162 in: 40; G 0.55, 0.131 in: 41.
    for gravity, diameter, published in ((0.42, 0.131, 21), (0.50, 0.162, 40), (0.55, 0.131, 41)):
        assert round(1380 * gravity**2.5 * diameter) == published


@pytest.mark.parametrize("build", BUILDS)
def test_every_build_has_an_ordinary_fixing(build):
    assert allowed_n(build) > 0
    assert allowed_n(build, on_stud=True) >= allowed_n(build)


@given(st.sampled_from(BUILDS), st.floats(0, 5000), st.booleans())
def test_what_is_called_enough_carries_the_load(build, load_n, on_stud):
    choice = choose(build, load_n, on_stud)
    assert not choice.enough or choice.allowed_n >= load_n
    assert choice.allowed_n >= load_n
    assert choice.factor >= choice.fixing.factor * 0.999


def test_the_plainest_fixing_that_serves_is_chosen():
    assert choose("drywall", 5 * LB_N).fixing.id == "picture-hook-1"
    assert choose("drywall", 20 * LB_N).fixing.id == "picture-hook-2"
    assert choose("drywall", 40 * LB_N).fixing.id == "toggle"
    assert choose("drywall", 40 * LB_N, on_stud=True).fixing.id == "stud-screw"
    assert choose("brick", 40 * LB_N).fixing.id == "plug-8"


def test_keyholes_and_cleats_are_screwed():
    assert not choose("drywall", 5 * LB_N, screws=True).fixing.nailed
    assert not choose("plaster", 5 * LB_N, screws=True).fixing.nailed


def test_too_much_for_any_point_is_said():
    assert not choose("tile", 100 * LB_N).enough


def test_greatest_weight_of_two_toggles():
    assert greatest_weight_kg("drywall", points=2) == pytest.approx(2 * 50 * LB_N / G)


def test_unknown_build_is_refused():
    with pytest.raises(EngineError, match="drywall"):
        usable("straw", on_stud=False)
