"""The trail in words: days in the reader's zone, moves and numbers as people say them, what is alike told once."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse

from placements.contexts import trail
from placements.models import HouseRule
from placements.selectors.audit import TrailEntry, audit_trail
from placements.services import house_rules
from studio.units import Units
from tests.placements import reviewing, stub_engine

INCH = 25.4
NOON = dt.datetime(2026, 3, 31, 12, tzinfo=dt.UTC)
UNITS = Units("in")


def entry(what="Piece", action="changed", subject="Salt marsh", before=(), after=(), *, at=NOON, who="Noor", **more):
    return TrailEntry(at, who, what, subject, action, dict(before), dict(after), **more)


def told(*entries):
    return [moment for day in trail.days(trail.bundles(entries), UNITS, dt.UTC) for moment in day.moments]


def test_a_move_is_said_by_how_far_and_which_way():
    (one,) = told(
        entry(
            before={"left_mm": 10 * INCH, "bottom_mm": 50 * INCH},
            after={"left_mm": 13 * INCH, "bottom_mm": 49.5 * INCH},
            where="North wall",
        )
    )  # fmt: skip
    assert one.said == "moved “Salt marsh” on North wall 3″ right and ½″ down"
    assert [(c.name, c.before, c.after) for c in one.lines[0].changes] == [
        ("left edge", "10″", "13″"), ("bottom edge", "50″", "49½″"),
    ]  # fmt: skip


def test_a_house_rule_is_said_in_its_own_words_and_units():
    set_up, changed, back = told(
        entry("House rule", "added", "clearance.high", after={"value": 9 * INCH, "reason": "Low ceilings"}),
        entry("House rule", "changed", "two-thirds.low", before={"value": 0.6}, after={"value": 0.55}),
        entry("House rule", "removed", "clearance.high", before={"value": 9 * INCH}, where="the whole studio"),
    )
    assert set_up.said == "set Gap above the furniture (greatest gap above the furniture) to 9″"
    assert set_up.lines[0].quote == "Low ceilings"
    assert changed.said == (
        "changed Two-thirds of the furniture (narrowest share of the furniture's length) from 60% to 55%"
    )
    assert "for the whole studio back from 9″" in back.said


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ({}, {"state": "Draft"}, "opened revision 2"),
        ({"state": "Draft"}, {"state": "In review"}, "sent revision 2 for review"),
        ({"state": "In review"}, {"state": "Draft"}, "took revision 2 back to draft"),
        ({"state": "Hung"}, {"state": "Closed"}, "closed revision 2"),
    ],
)
def test_steps_of_a_plan_are_said_as_what_was_done(before, after, said):
    assert told(entry("Plan", "stepped", "Revision 2", before, after))[0].said == said


def test_what_is_alike_and_at_once_is_told_as_one_and_can_be_opened():
    pieces = [entry(action="added", subject=f"Piece {i}", where="North wall") for i in range(4)]
    later = entry(action="added", subject="Late", at=NOON - dt.timedelta(minutes=9), where="North wall")
    other = entry(action="added", subject="Hers", who="Edda", where="North wall")
    found = told(*pieces, other, later)
    assert [one.said for one in found] == [
        "hung 4 pieces", "hung “Hers” on North wall", "hung “Late” on North wall",
    ]  # fmt: skip
    assert [line.said for line in found[0].lines] == [f"hung “Piece {i}” on North wall" for i in range(4)]


def test_two_alike_are_still_told_one_by_one():
    assert len(told(entry(action="added"), entry(action="added", subject="Bay"))) == 2


def test_days_are_the_readers_own():
    evening = entry(at=dt.datetime(2026, 3, 31, 2, tzinfo=dt.UTC))
    (day,) = trail.days([[evening]], UNITS, ZoneInfo("America/New_York"))  # UTC − 4 in summer time
    assert day.date == dt.date(2026, 3, 30)
    assert day.moments[0].at.strftime("%H:%M") == "22:00"


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("width_mm", 30 * INCH, "30″"), ("weight_kg", 4.5359237, "10 lb"), ("faces_deg", 90.0, "90°"),
        ("glazed", True, "yes"), ("glazed", False, "no"), ("themes", ["coast", "boats"], "coast, boats"),
        ("maker", "", ""), ("hang_kind", "two_rings", "two rings"),
    ],
)  # fmt: skip
def test_values_are_written_as_people_write_them(name, value, said):
    assert trail.value_said(name, value, UNITS) == said


@pytest.fixture
def job(cast, monkeypatch):
    stub_engine.install(monkeypatch)
    job = reviewing.make_job(cast, 600.0, 1500.0)
    job.move(0, 700.0)
    return job


@pytest.mark.django_db
def test_page_shows_one_person_and_one_kind(job, cast, client_of):
    client = client_of(cast.principal)
    house_rules.house_rule_set(
        by=cast.principal, studio=cast.studio, rule="clearance", limit="high", value=228.6, reason="Low ceilings"
    )
    url = reverse("audit_trail", args=[job.project.pk])
    page = client.get(url).content.decode()
    assert "″ right" in page
    assert "Low ceilings" in page
    assert "for the whole studio to 9″" in page
    page = client.get(url, {"kind": "rules"}).content.decode()
    assert "″ right" not in page
    assert "Low ceilings" in page
    page = client.get(url, {"who": cast.designer.name}).content.decode()
    assert "″ right" in page
    assert "Low ceilings" not in page
    assert "Nothing changed" in client.get(url, {"until": "2001-01-01"}).content.decode()
    assert len(client.get(url, {"kind": "rules", "as": "json"}).json()) == 1


@pytest.mark.django_db
def test_another_projects_own_rule_is_not_in_the_trail(job, cast):
    other = reviewing.make_job(cast, 600.0)
    HouseRule.objects.create(studio=cast.studio, project=other.project, rule="fill", limit="low", value=0.4)
    assert not [one for one in audit_trail(job.project) if one.what == "House rule"]
