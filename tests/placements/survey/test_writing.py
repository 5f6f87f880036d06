import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.survey import as_text, read_survey, write_survey
from placements.survey.writing import length
from studio.units import parse_length
from tests.placements.surveys import survey_document


@pytest.mark.parametrize("units", ["in", "cm", "mm"])
def test_a_round_trip_loses_nothing(units):
    document = survey_document() | {"units": units}
    if units == "mm":  # the example's numbers are inches
        document["rooms"], document["art"], document["apart"] = [], [], []
    survey = read_survey(document)
    assert read_survey(write_survey(survey)) == survey


def test_the_same_survey_gives_the_same_bytes():
    text = as_text(write_survey(read_survey(survey_document())))
    assert as_text(write_survey(read_survey(text))) == text


def test_lengths_are_written_in_the_units_of_the_file_where_that_is_exact():
    wall = write_survey(read_survey(survey_document()))["rooms"][0]["walls"][0]
    assert (wall["length"], wall["height"]) == (168, 108)
    assert length(1612.9, "in") == 63.5
    assert length(1600.0, "in") == "1600.0 mm"
    assert length(1613.0, "cm") == 161.3


@given(st.floats(1e-9, 1e5), st.sampled_from(["in", "cm", "mm"]))
def test_any_length_reads_back_as_it_was(mm, units):
    assert parse_length(length(mm, units), units) == mm


@given(st.integers(1, 60_000), st.sampled_from(["in", "cm", "mm"]))
def test_sixteenths_of_an_inch_read_back_as_they_were(sixteenths, units):
    mm = parse_length(f"{sixteenths}/16")
    assert parse_length(length(mm, units), units) == mm
    if units == "in":
        assert length(mm, units) == sixteenths / 16
