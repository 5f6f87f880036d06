"""Whose clock a page shows: the reader's; where art is hung and what a client reads, the project's."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from placements.models import ClientAnswer, Comment
from reports.models import Job, Report
from studio.models import ApiToken, Project, Studio
from studio.services import people
from tests.world import PK, TOKEN, make_world

pytestmark = pytest.mark.django_db
#: Half past eight in the evening in London is the next morning in Tokyo, and the afternoon in New York.
AT = dt.datetime(2026, 1, 5, 20, 30, tzinfo=dt.UTC)


@pytest.fixture
def world(cast):
    made = make_world(cast)
    for model in (Comment, ClientAnswer, Job, Report):
        model.objects.update(created_at=AT)
    Project.objects.update(time_zone="America/New_York")
    cast.designer.time_zone = "Asia/Tokyo"
    cast.designer.save()
    return made


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("comments", "6 Jan 2026, 05:30"),
        ("report_row", "6 Jan, 05:30"),
        ("my_settings", "6 Jan 2026"),
        ("jobs", "5 Jan 2026"),
        ("job", "5 Jan 2026"),
    ],
)
def test_pages_show_the_readers_clock_and_installs_the_projects(world, client_of, name, shown):
    ApiToken.objects.create(user=world.cast.designer, label="x", token_sha256="x")
    ApiToken.objects.update(created_at=AT)
    args = [PK] if name in ("comments", "report_row", "job") else []
    page = client_of(world.cast.designer).get(reverse(name, args=args)).content.decode()
    assert shown in page
    assert timezone.get_current_timezone_name() == "UTC"  # and nobody else's afterwards


def test_a_client_reads_the_projects_day_and_programs_get_utc(world, client, client_of):
    ClientAnswer.objects.update(created_at=AT.replace(hour=3))  # in New York it is still the day before
    assert "4 January 2026" in client.get(reverse("client_view", args=[TOKEN])).content.decode()
    report = client_of(world.cast.designer).get(reverse("api-report-detail", args=[PK])).json()
    assert report["created_at"] == "2026-01-05T20:30:00Z"


def test_who_comes_into_a_studio_has_its_clock(cast):
    Studio.objects.filter(pk=cast.studio.pk).update(time_zone="Asia/Tokyo")
    cast.studio.refresh_from_db()
    token = people._invite(cast.studio, "new@example.test", "designer", cast.principal).rpartition("/")[2]
    person = people.invitation_accept(token=token, name="New", password="a-long-and-quiet-password")
    assert person.time_zone == "Asia/Tokyo"
