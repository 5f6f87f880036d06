"""Lengths as a tape shows them: in fields, and where pieces are put; what is stored exactly stays exact."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from placements.contexts.wall import finding_notes, why_behind
from placements.engine.results import Finding
from placements.selectors.tape import mark as mark_near
from studio.formfields import LengthField, LineField
from studio.units import Units
from tests.factories import INCH

OFF_TAPE = 18.5394 * INCH


def field_of(stored, style="ft_in", kind=LengthField):
    field = kind(units=Units(style))
    field.exact = stored
    return field


def test_a_field_shows_what_the_drawing_says_and_sent_back_changes_nothing():
    field = field_of(OFF_TAPE)
    assert field.prepare_value(OFF_TAPE) == "1' 6 9/16\""
    assert field.clean("1' 6 9/16\"") == OFF_TAPE
    assert field.clean("18.5625") == OFF_TAPE  # the same in other words
    assert field.clean("1' 6 1/2\"") == pytest.approx(18.5 * INCH)
    assert field_of(None).clean("1' 6 9/16\"") == pytest.approx(18.5625 * INCH)


def test_a_metric_reader_sees_whole_millimetres():
    field = field_of(2133.6, "cm")
    assert field.prepare_value(2133.6) == "213.4 cm"
    assert field.clean("213.4") == 2133.6


def test_a_ceilings_line_keeps_its_exact_points():
    line = [[0.0, 1219.9], [4267.2, 2743.2]]
    field = field_of(line, kind=LineField)
    assert field.clean(field.prepare_value(line)) == line


@pytest.mark.parametrize(
    ("mm", "between", "mark"),
    [
        (OFF_TAPE, None, 18.5625 * INCH),
        (OFF_TAPE, (OFF_TAPE - 30, OFF_TAPE + 0.2), 18.5 * INCH),  # the nearest would lie out of the space
        (OFF_TAPE, (OFF_TAPE - 0.2, OFF_TAPE + 0.2), OFF_TAPE),
        (18.5 * INCH, None, 18.5 * INCH),
    ],
)
def test_a_proposed_place_goes_to_the_nearest_mark_inside_its_space(mm, between, mark):
    assert mark_near(mm, Units(), between) == pytest.approx(mark)


def test_notes_of_one_rule_are_one_line_and_carry_no_number():
    scene = SimpleNamespace(work_pk={"a": 1, "b": 2, "c": 3}, artwork=lambda code: SimpleNamespace(title=code.upper()))
    found = [
        Finding("clearance", "exception", "too low", "w", ("a",)),
        *(
            Finding("hang-data", "note", f"The hanging hardware of {code.upper()} is not measured", "w", (code,))
            for code in "abc"
        ),
        Finding("services", "note", "a socket below A", "w", ("a",)),
        Finding("services", "note", "a switch beside B", "w", ("b",)),
    ]
    notes = finding_notes(found, scene)
    assert [(note.number, note.level) for note in notes] == [("1", "exception"), ("", "note"), ("", "note")]
    assert notes[1].text == "The hanging hardware of A, B and C is not measured: measure before drilling."
    assert (notes[2].text, notes[2].more) == ("A socket below A.", ("A switch beside B.",))


def test_a_work_behind_a_smaller_number_says_why():
    first = SimpleNamespace(score=60.0, fits=True, exceptions=0)
    second = SimpleNamespace(score=70.0, fits=True, exceptions=2)
    assert why_behind(second, [first]) == "2 exceptions against it"
    assert why_behind(first, [second]) == ""
    assert why_behind(first, []) == ""
