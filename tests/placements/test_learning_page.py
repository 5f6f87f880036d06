"""What the studio learns, as a page: evidence drawn against what is allowed, by time, at a constant cost."""

from __future__ import annotations

import datetime as dt
import re
import xml.etree.ElementTree as ET

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from placements.drawings.figures.strips import Case, draw_strip
from placements.models import Decision, HouseRule, ReviewFinding
from tests.placements import reviewing, stub_engine
from tests.placements.test_rule_figures import SVG, faults

INCH = 25.4


def strip(cases, low=6.0, high=10.0, suggested=None):
    text = draw_strip("x", "Gap", [Case(*case) for case in cases], low, high, lambda value: f"{value:g}″", suggested)
    return ET.fromstring(text)


def test_each_case_is_one_mark_told_by_its_shape():
    root = strip([(12, "accepted"), (12, "accepted"), (14, "returned"), (11, "open")])
    marks = [one for one in root.iter(f"{SVG}g") if "case" in one.get("class", "").split()]
    assert len(marks) == 4 + 3  # and one of each in the key
    crosses = [mark for mark in marks if mark.find(f"{SVG}path") is not None]
    assert len(crosses) == 1 + 1
    assert faults(root) == []


def test_marks_and_band_stand_on_one_scale():
    root = strip([(8, "accepted"), (14, "accepted")])
    band = next(one for one in root.iter(f"{SVG}rect"))
    left, wide = float(band.get("x")), float(band.get("width"))
    first, second = sorted(float(one.get("cx")) for one in root.iter(f"{SVG}circle") if float(one.get("cy")) < 45)[:2]
    unit = wide / 4  # the band is 6 to 10
    assert first == pytest.approx(left + 2 * unit, abs=0.05)
    assert second == pytest.approx(left + 8 * unit, abs=0.05)


@pytest.mark.parametrize(
    ("cases", "low", "high", "suggested"),
    [
        ([(10.1, "accepted")] * 60, 6.0, 10.0, 10.5),
        ([(0, "open")], None, 10.0, None),
        ([(3.0, "returned"), (300.0, "accepted")], 6.0, None, 4.0),
        ([(7, "open")], 7.0, 7.0, None),
    ],
    ids=["many alike", "no low end", "far apart", "band of one value"],
)
def test_strip_is_legible(cases, low, high, suggested):
    assert faults(strip(cases, low, high, suggested)) == []


@pytest.fixture
def job(cast, monkeypatch):
    stub_engine.install(monkeypatch)
    return reviewing.make_job(cast, 1500.0)


def broken(job, count, *, start=0, verdict="accept", rule="clearance"):
    for i in range(start, start + count):
        finding = ReviewFinding.objects.create(
            revision=job.revision, wall=job.walls[0], key=f"{rule}-{i}", rule=rule, level="exception", text="So high.",
            measured=(11 + i * 0.1) * INCH, low=6 * INCH, high=10 * INCH, unit="mm",
        )  # fmt: skip
        if verdict:
            Decision.objects.create(finding=finding, by=job.cast.principal, verdict=verdict, reason="It suits.")


@pytest.mark.django_db
def test_a_suggestion_stands_with_picture_evidence_and_effect(job, cast, client_of):
    broken(job, 8)
    broken(job, 1, start=8, verdict="return")
    cast.principal.unit_style = "in"
    cast.principal.save()
    client = client_of(cast.principal)
    page = client.get(reverse("learning")).content.decode()
    assert "Numbers that may not be yours" in page
    assert 'class="elevation figure"' in page
    assert re.search(r"<desc[^>]*>[^<]*Allowed 6″ to 10″; measured from 11″ to 11¹³⁄₁₆″", page)
    assert "8 of 8 accepted" in page or re.search(r"\d of 8 accepted exceptions", page)
    effect = client.get(reverse("learning_effect"), {"rule": "clearance"}).content.decode()
    assert "greatest gap above the furniture" in effect
    client.post(reverse("learning_adopt"), {"rule": "clearance", "days": "90"})
    assert HouseRule.objects.get().limit == "high"


@pytest.mark.django_db
def test_page_looks_back_as_far_as_asked(job, cast, client_of):
    broken(job, 2)
    ReviewFinding.objects.update(created_at=timezone.now() - dt.timedelta(days=200))
    broken(job, 1, start=2)
    client = client_of(cast.principal)
    assert "3 exceptions" in client.get(reverse("learning")).content.decode()
    assert "1 exception in" in client.get(reverse("learning"), {"days": "90"}).content.decode()
    assert "3 exceptions" in client.get(reverse("learning"), {"days": "365"}).content.decode()
    assert "3 exceptions" in client.get(reverse("learning"), {"days": "7"}).content.decode()  # not offered: all
    assert client.get(reverse("learning"), {"days": "²"}).status_code == 422


@pytest.mark.django_db
def test_page_asks_as_often_for_many_cases_as_for_few(job, cast, client_of):
    client, counts = client_of(cast.principal), []
    for start, rule in ((0, "clearance"), (40, "fill")):
        broken(job, 20, start=start, rule=rule)
        client.get(reverse("learning"))
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse("learning"))
        counts.append(len(queries))
    assert counts[0] == counts[1]


@pytest.mark.django_db
def test_rule_without_a_measure_is_told_in_words(job, cast, client_of):
    ReviewFinding.objects.create(
        revision=job.revision, wall=job.walls[0], key="m", rule="moisture", level="exception", text="Print in a bath"
    )
    page = client_of(cast.designer).get(reverse("learning")).content.decode()
    assert "This rule has no measure to draw." in page
    assert "Make it the house rule" not in page
