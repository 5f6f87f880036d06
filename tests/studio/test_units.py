import inspect
import json
import math
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from placements.engine.results import Words
from studio.units import BadMeasure, Units, inches, parse_length, parse_weight, pounds

#: One table for these tests and for those of the pages' scripts, with its origin.
TABLE = json.loads(Path(__file__).with_name("lengths.json").read_text(encoding="utf-8"))
READ: dict[str, float] = TABLE["read"]


@pytest.mark.parametrize(("text", "mm"), READ.items(), ids=READ)
def test_lengths_are_read_as_people_write_them(text, mm):
    assert parse_length(text, "in") == mm


@pytest.mark.parametrize(
    ("value", "unit", "mm"),
    [(63, "in", 1600.2), (63.1, "in", 1602.74), (161.3, "cm", 1613.0), (0.1 + 0.2, "mm", 0.30000000000000004)],
)
def test_bare_numbers_are_in_the_unit_given(value, unit, mm):
    assert parse_length(value, unit) == mm


@pytest.mark.parametrize("bad", [*TABLE["refused"], "0"])
def test_what_is_no_length_is_refused(bad):
    with pytest.raises(BadMeasure, match="expected"):
        parse_length(bad, "in")


@pytest.mark.parametrize("bad", [None, True, [], {}, math.nan, math.inf, -1, 0, 10**400, 1e300, 4000.0])
def test_numbers_that_make_no_sense_are_refused(bad):
    with pytest.raises(BadMeasure):
        parse_length(bad, "in")


def test_the_message_says_what_was_found_and_what_is_expected():
    with pytest.raises(BadMeasure) as caught:
        parse_length("five feet", "in")
    assert str(caught.value).startswith("found “five feet”, expected a length such as 63, 63 1/2, 5' 3 1/2\"")
    with pytest.raises(BadMeasure, match=r"less than 12 in after the ft"):
        parse_length("5' 13\"")


def test_a_place_may_be_zero_or_beyond_an_end_where_that_makes_sense():
    assert parse_length("0", zero=True) == 0
    assert parse_length('-3 1/2"', zero=True, negative=True) == -88.9
    assert parse_length("−3½″", zero=True, negative=True) == -88.9


# 1 lb = 0.45359237 kg exactly (NIST Handbook 44, appendix C). Comma decimals and "28kg": as a large museum's open
# data writes them.
@pytest.mark.parametrize(
    ("text", "kg"),
    [
        ("14", 6.35029318),
        ("12.5 lb", 5.669904625),
        ("12 lb 8 oz", 5.669904625),
        ("5.7 kg", 5.7),
        ("28kg", 28.0),
        ("28,5kg", 28.5),
        ("500 g", 0.5),
    ],
)
def test_weights_are_read(text, kg):
    assert parse_weight(text, "lb") == kg


@pytest.mark.parametrize("bad", ["0", "-3 lb", "3 in", "heavy", "12 lb 17 oz", "3 t", 5000.0])
def test_what_is_no_weight_is_refused(bad):
    with pytest.raises(BadMeasure):
        parse_weight(bad, "kg")


@pytest.mark.parametrize(("style", "mm", "text"), TABLE["set"])
def test_lengths_are_set_with_real_primes_and_fractions(style, mm, text):
    assert Units(style).length(mm) == text


def test_bands_sizes_and_weights_are_set():
    assert Units("ft_in").band(152.4, 254) == "6–10″"
    assert Units("ft_in").band(1524, 1676.4) == "5′ 0″–5′ 6″"
    assert Units("in").band(1524, 1676.4) == "60–66″"
    assert Units("cm").band(1524, 1676.4) == "152.4–167.6 cm"
    assert Units("ft_in").size(56 * 25.4, 40 * 25.4) == "56 × 40″"
    assert Units("ft_in").size(168 * 25.4, 108 * 25.4) == "14′ 0″ × 9′ 0″"
    assert Units("mm").size(1422.4, 1016) == "1422 × 1016 mm"
    assert Units("in").weight(14.0613637) == "31 lb"
    assert Units("in").weight(5.669904625 / 2) == "6.3 lb"
    assert Units("cm").weight(14.1) == "14.1 kg"
    assert Units("cm").weight(28.0) == "28 kg"


def test_an_unknown_style_is_refused():
    with pytest.raises(ValueError, match="furlongs"):
        Units("furlongs")


styles = st.sampled_from(["ft_in", "in", "cm", "mm"])


@example("ft_in", 640_001)  # a hair below 21 ft
@given(styles, st.integers(0, 3_000_000))
def test_a_length_typed_back_is_the_same_length(style, hundredths):
    units, mm = Units(style), hundredths / 100
    assert units.parse_length(units.typed(mm), zero=True) == pytest.approx(mm, abs=0.01)


@given(styles, st.integers(-30_000, 900_000))
def test_a_length_as_set_reads_back_to_the_nearest_sixteenth_or_millimetre(style, tenths):
    units, mm = Units(style), tenths / 10
    step = 1.0 if units.metric else 25.4 / 16
    assert abs(units.parse_length(units.length(mm), zero=True, negative=True) - mm) <= step / 2 + 1e-9


@given(st.integers(0, 20_000), st.integers(0, 15))
def test_sixteenths_are_exact(whole, sixteenths):
    text = f"{whole} {sixteenths}/16"
    assert parse_length(text, longest_mm=10**6, zero=True) == float(Fraction(16 * whole + sixteenths, 16) * 254 / 10)


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(text):
    try:
        mm = parse_length(text, zero=True)
    except BadMeasure:
        return
    assert 0 <= mm <= 100_000


def test_conversions_for_exports():
    assert inches(1600.2) == 63
    assert pounds(5.669904625) == 12.5


def test_an_integer_too_long_to_print_is_refused():
    with pytest.raises(BadMeasure, match="thousands of digits"):
        parse_length(10**5000)


def test_units_are_the_words_that_the_engine_asks_for():
    for name in ("length", "band", "size", "weight"):
        assert (
            inspect.signature(getattr(Units, name)).parameters.keys()
            == inspect.signature(getattr(Words, name)).parameters.keys()
        )


@pytest.mark.parametrize(
    ("style", "mm", "rounded"),
    [
        pytest.param("ft_in", 1000.0, 39.375 * 25.4, id="39 3/8 in"),
        pytest.param("in", -1000.0, -39.375 * 25.4, id="below nought"),
        pytest.param("mm", 1000.5, 1001.0, id="half a millimetre up"),
        pytest.param("cm", 1000.4, 1000.0, id="to the millimetre"),
    ],
)
def test_rounded_lengths_are_what_is_set(style, mm, rounded):
    assert Units(style).rounded(mm) == pytest.approx(rounded, abs=1e-9)
    assert Units(style).length(Units(style).rounded(mm)) == Units(style).length(mm)
