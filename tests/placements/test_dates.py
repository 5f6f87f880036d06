"""Due dates: set, met by what happens to the plan, late, reminded of once in a while, and read by calendars."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar

from placements.models import CalendarAddress, DueDate, Notice
from placements.selectors.dates import Load, due_of, hanging_by_week, load_by_week
from placements.services import signoff
from placements.services.dates import dates_remind, dates_set
from reports.models import Job
from studio.errors import Invalid, NotAllowed
from tests.factories import ProjectFactory

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


@pytest.fixture
def project(cast):
    return ProjectFactory(client__studio=cast.studio, designer=cast.designer, name="Quay house")


def address_in(page: str) -> str:
    return page.split("http://testserver")[1].split('"')[0]


def set_dates(cast, project, **days):
    return dates_set(by=cast.coordinator, project=project, days=days)


def test_each_step_of_a_plan_meets_its_date(make_job, cast):
    job, today = make_job(1500.0), timezone.localdate()
    days = dict.fromkeys(("proposal", "review", "sign_off", "frames", "install"), today - DAY)
    set_dates(cast, job.project, **days)

    def met() -> list[str]:
        return [due.date.kind for due in due_of(job.project, today) if due.met]

    assert met() == []
    assert [due.late for due in due_of(job.project, today)] == [1] * 5
    job.send()
    assert met() == ["proposal"]
    signoff.sign_off(by=cast.principal, revision=job.revision)
    assert met() == ["proposal", "review", "sign_off"]


def test_dates_are_set_moved_and_taken_away_on_the_page(cast, project, client_of):
    client, there = client_of(cast.designer), reverse("project_dates", args=[project.pk])
    today = timezone.localdate()
    answer = client.post(there, {"install": (today + 9 * DAY).isoformat(), "frames": today.isoformat()})
    assert answer.status_code == 302
    frames = DueDate.objects.get(kind="frames")
    assert client.post(reverse("date_tick", args=[frames.pk]), {"met": "on"}).status_code == 302
    page = client.get(there).content.decode()
    assert "in 9 days" in page
    assert "Not met after all" in page
    # A day that moves is open again; an empty field takes its date away.
    assert client.post(there, {"frames": (today + DAY).isoformat()}).status_code == 302
    left = DueDate.objects.get()
    assert (left.kind, left.day, left.ticked_at, left.times_changed) == ("frames", today + DAY, None, 1)
    assert client.post(there, {"frames": "soon"}).status_code == 422
    assert client.post(there, {"frames": "2999-01-01"}).status_code == 422
    assert client_of(cast.stranger).post(there, {"frames": ""}).status_code == 404
    assert DueDate.objects.get() == left


def test_strangers_and_unknown_kinds_are_refused(cast, project):
    with pytest.raises(NotAllowed):
        dates_set(by=cast.stranger, project=project, days={})
    with pytest.raises(Invalid, match="no date “party”"):
        set_dates(cast, project, party=timezone.localdate())


def test_people_hear_before_and_weekly_while_it_is_late(cast, project):
    today = timezone.localdate()
    set_dates(cast, project, proposal=today + 4 * DAY, install=today + 30 * DAY)
    noon = timezone.now()

    def told(after: int) -> list[tuple[int, str]]:
        Notice.objects.all().delete()
        dates_remind(noon + after * DAY)
        return list(Notice.objects.values_list("user", "text"))

    assert told(0) == []
    ((user, text),) = told(1)
    assert (user, text.startswith("Proposal of Quay house: due on ")) == (cast.designer.pk, True)
    assert [told(after) for after in (1, 2, 4)] == [[], [], []]
    assert told(5) == [(cast.designer.pk, "Proposal of Quay house: a day late.")]
    assert told(6) == []
    assert told(12) == [(cast.designer.pk, "Proposal of Quay house: 8 days late.")]


def test_all_dates_week_by_week_by_what_is_chosen_and_remembered(cast, project, client_of):
    today = timezone.localdate()
    other = ProjectFactory(client__studio=cast.studio, name="Mill loft")
    set_dates(cast, project, proposal=today - 2 * DAY)
    set_dates(cast, other, install=today + 10 * DAY)
    client, there = client_of(cast.principal), reverse("dates")
    page = client.get(there).content.decode()
    assert "2 days late" in page
    assert "Mill loft" in page
    assert 'class="load"' in page
    page = client.get(there, {"designer": cast.designer.pk}).content.decode()
    assert "Mill loft" not in page
    assert "Mill loft" not in client.get(there).content.decode()  # remembered
    assert "Mill loft" in client.get(there, {"designer": ""}).content.decode()
    assert "Nothing is due." in client_of(cast.designer).get(there, {"kind": "frames"}).content.decode()
    assert "Quay house" not in client_of(cast.stranger).get(reverse("inbox")).content.decode()


def test_load_counts_what_is_late_in_the_first_week(cast, project):
    monday = dt.date(2026, 11, 30)
    set_dates(cast, project, proposal=monday - 20 * DAY, review=monday + 6 * DAY, install=monday + 7 * DAY)
    loads = load_by_week(due_of(project, monday), monday + 2 * DAY, 2)
    assert set(loads) == {
        Load(str(cast.designer), (1, 0)),
        Load("the principal", (1, 0)),
        Load("the coordinator", (0, 1)),
    }


def test_each_hanger_is_loaded_with_the_pieces_of_jobs_that_are_still_to_do(make_job, cast, client_of):
    """Three pieces of one house next week, two of another, overdue; what is done or taken over is nobody’s."""
    monday = dt.date(2026, 11, 30)
    first, second = make_job(1500.0, 1500.0, 1500.0), make_job(1500.0, 1500.0)
    for job, day in ((first, monday + 8 * DAY), (second, monday - DAY)):
        set_dates(cast, job.project, install=day, frames=monday)
    earlier = Job.objects.create(revision=first.revision, hanger_name="Odile")
    Job.objects.create(revision=first.revision, hanger_name="Pim", follows=earlier)
    Job.objects.create(revision=second.revision, hanger_name="Pim")
    Job.objects.create(revision=second.revision, hanger_name="Odile", finished_at=timezone.now())
    still = [due for job in (first, second) for due in due_of(job.project, monday)]
    assert hanging_by_week(still, monday, 3) == [Load("Pim", (2, 3, 0))]
    assert hanging_by_week([due for due in still if due.date.project_id == first.project.pk], monday, 1) == []
    page = client_of(cast.coordinator).get(reverse("dates")).content.decode()
    assert "Pieces to hang, week by week. Pim: " in page


def test_a_calendar_follows_a_date_that_moves(cast, project, client_of, client):
    """Read back with the library that wrote it, against RFC 5545, 3.6.1 and 3.8.7.4: whole days from DTSTART to the day
    after, the same UID with a higher SEQUENCE when one moves."""
    today = timezone.localdate()
    set_dates(cast, project, install=today)
    shown = client_of(cast.coordinator).post(reverse("project_calendar_address", args=[project.pk])).content.decode()
    there = address_in(shown)

    def event() -> tuple[str, int, dt.date, dt.date]:
        answer = client.get(there)
        assert answer["Content-Type"] == "text/calendar; charset=utf-8"
        (one,) = Calendar.from_ical(answer.content).walk("VEVENT")
        return str(one["UID"]), one["SEQUENCE"], one["DTSTART"].dt, one["DTEND"].dt

    uid, *rest = event()
    assert rest == [0, today, today + DAY]
    set_dates(cast, project, install=today + 3 * DAY)
    assert event() == (uid, 1, today + 3 * DAY, today + 4 * DAY)
    assert b"SUMMARY:Install: Quay house" in client.get(there).content
    # Its maker leaves the studio: it shows nothing any more.
    cast.coordinator.memberships.all().delete()
    assert client.get(there).status_code == 404
    assert client.get(there.replace(there[-20:-4], "0" * 16)).status_code == 404


def test_a_designers_own_calendar_shows_their_projects_alone(cast, project, client_of, client):
    today = timezone.localdate()
    set_dates(cast, project, install=today)
    set_dates(cast, ProjectFactory(client__studio=cast.studio), install=today)
    for person, count in ((cast.designer, 1), (cast.principal, 2)):
        shown = client_of(person).post(reverse("calendar_address")).content.decode()
        there = address_in(shown)
        assert client.get(there).content.count(b"BEGIN:VEVENT") == count
    mine = CalendarAddress.objects.get(user=cast.designer)
    end = reverse("calendar_address_end", args=[mine.pk])
    assert client_of(cast.coordinator).post(end).status_code == 403
    assert client_of(cast.principal).post(end).status_code == 302


def test_the_list_of_projects_shows_what_is_late_and_is_narrowed(cast, project, client_of, make_job):
    today = timezone.localdate()
    set_dates(cast, project, proposal=today - 3 * DAY, install=today + 30 * DAY)
    job = make_job(600.0)
    job.send()
    client, there = client_of(cast.principal), reverse("projects")
    page = " ".join(client.get(there).content.decode().split())
    assert "Proposal 3 days late" in page
    assert f'the principal <span class="quiet small">since {today:%-d %b}' in page

    def shown(**query) -> list[bool]:
        page = client.get(there, query).content.decode()
        return [f">{one.name}</a>" in page for one in (project, job.project)]

    assert shown(state="none") == [True, False]
    assert shown() == [True, False]  # remembered
    assert shown(state="in_review") == [False, True]
    assert shown(state="", client=project.client_id) == [True, False]
    assert shown(state="", designer=cast.designer.pk) == [True, True]
    assert shown(state="", find="quay") == [True, False]
    assert shown(state="") == [True, True]
    assert "No project is like that" in client.get(there, {"state": "closed"}).content.decode()
