"""The published schema and the reader agree: what one takes the other takes, wherever a schema can tell."""

import pytest
from jsonschema import Draft202012Validator

from placements.survey import SurveyError, read_survey, schema, write_survey
from tests.placements.surveys import survey_document

VALIDATOR = Draft202012Validator(schema())


def places(value, path=()):
    """The path of every value inside a document."""
    if path:
        yield path
    if isinstance(value, dict):
        for key in value:
            yield from places(value[key], (*path, key))
    elif isinstance(value, list):
        for index in range(len(value)):
            yield from places(value[index], (*path, index))


def replaced(path, value):
    document = survey_document()
    owner = document
    for step in path[:-1]:
        owner = owner[step]
    if value is ...:
        del owner[path[-1]]
    else:
        owner[path[-1]] = value
    return document


#: Faults that no schema can state: what one part of the file says of another, real time zones, real lengths.
BEYOND_A_SCHEMA = (
    "again",
    "wholly off",
    "the id of a",
    "in this file",
    "less than",
    "no more than",
    "both ends",
    "time zone",
    "a length such as",
    "the path of a picture",
    "different ids",
    "at most 100 m",
    "a name",
    "a number from",
    "unknown key",
    "contradict",
    "zero or more",
    "does not fit its wall",
    "the name of a colour",
    "of at most",
)


def test_the_schema_is_sound():
    Draft202012Validator.check_schema(schema())


def test_the_example_and_what_is_written_are_valid():
    VALIDATOR.validate(survey_document())
    VALIDATOR.validate(write_survey(read_survey(survey_document())))


@pytest.mark.parametrize("value", [..., None, -1, 0, True, "", "x" * 300, [], {}, {"zzz": 1}, [[], 1]], ids=str)
def test_schema_and_reader_agree_on_every_value_replaced(value):
    apart = []
    for path in places(survey_document()):
        document = replaced(path, value)
        valid = VALIDATOR.is_valid(document)
        try:
            read_survey(document)
            told = []
        except SurveyError as error:
            told = [str(fault) for fault in error.faults]
        known_only_to_reader = told and all(any(word in one for word in BEYOND_A_SCHEMA) for one in told)
        if valid != (not told) and not (valid and known_only_to_reader):
            apart.append((path, "schema takes it" if valid else "schema refuses it", told))
    assert not apart
