"""However much one studio has asked for, another's work comes next."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db.models import Q
from django.utils import timezone

from placements import tasks
from placements.models import Photo, Plan, ProposalRun, Revision
from placements.services import proposals
from placements.services.photos import measuring
from reports.models import Report
from reports.rendering import SHEETS
from studio.turns import in_turn
from tests.factories import ProjectFactory, WallFactory

pytestmark = pytest.mark.django_db
WAITING, WORKING = Q(state="queued"), Q(state="running")


@pytest.fixture
def run():
    def ask(project, state="queued"):
        return ProposalRun.objects.create(project=project, state=state)

    return ask


def order():
    return list(in_turn(ProposalRun, waiting=WAITING, working=WORKING))


def test_flood_of_one_studio_does_not_hold_up_another(run):
    flooding, late = ProjectFactory(), ProjectFactory()
    ProposalRun.objects.bulk_create(ProposalRun(project=flooding, state="queued") for _ in range(700))
    first = ProposalRun.objects.order_by("pk").first()
    later = run(late)
    assert order()[:2] == [first.pk, later.pk]


def test_studio_with_work_under_way_comes_after_one_without(run):
    busy, idle = ProjectFactory(), ProjectFactory()
    run(busy, "running")
    older, newer = run(busy), run(idle)
    assert order() == [newer.pk, older.pk]


def test_what_others_took_meanwhile_is_not_offered_again(run):
    project = ProjectFactory()
    runs = [run(project) for _ in range(3)]
    turns = in_turn(ProposalRun, waiting=WAITING, working=WORKING)
    assert next(turns) == runs[0].pk
    ProposalRun.objects.filter(pk=runs[0].pk).update(state="running")
    assert next(turns) == runs[1].pk
    # It stays waiting: a caller that cannot take it is not asked for ever.
    assert list(turns) == []


def test_number_of_queries_does_not_grow(run, django_assert_num_queries):
    for _ in range(5):
        project = ProjectFactory()
        for _ in range(4):
            run(project)
    with django_assert_num_queries(2):
        next(in_turn(ProposalRun, waiting=WAITING, working=WORKING))


def test_two_hundred_sheets_of_one_studio_leave_the_next_turn_to_another():
    flooding, late = (
        Revision.objects.create(plan=Plan.objects.create(project=ProjectFactory()), number=1) for _ in "ab"
    )

    def sheet(revision, number):
        return Report(revision=revision, fingerprint=f"{number:064}")

    Report.objects.bulk_create(sheet(flooding, number) for number in range(200))
    one = sheet(late, 0)
    one.save()
    assert SHEETS.claim().revision == flooding
    assert SHEETS.claim() == one
    assert SHEETS.claim().revision == flooding


def test_two_hundred_proposals_of_one_studio_leave_the_next_turn_to_another(monkeypatch):
    """As many as can be asked for: one a project."""
    flooding, late = ProjectFactory(), ProjectFactory()
    projects = ProjectFactory.create_batch(200, client=flooding.client)
    ProposalRun.objects.bulk_create(ProposalRun(project=project) for project in projects)
    one = ProposalRun.objects.create(project=late)
    # While the flooding studio's first is worked on, whoever comes next takes the other studio's.
    others = []
    monkeypatch.setattr(proposals, "propose_for", lambda **_: others.append(order()[0]) or {"walls": []})
    assert proposals.proposal_work().project.client == flooding.client
    assert others == [one.pk]


def test_message_wakes_whoever_is_due(run, monkeypatch):
    flooding, late = ProjectFactory(), ProjectFactory()
    run(flooding, "running")
    ProposalRun.objects.update(lease_until="2999-01-01T00:00:00Z")
    run(flooding)
    due = run(late)
    monkeypatch.setattr(proposals, "propose_for", lambda **_: {"walls": []})
    assert proposals.proposal_work().pk == due.pk


def test_photographs_take_turns_too(monkeypatch):
    """Whichever message wakes a worker, the studio that waits with nothing under way is served first."""
    walls = [WallFactory() for _ in range(2)]
    flood = [Photo.objects.create(wall=walls[0], purpose="survey", width_px=1, height_px=1) for _ in range(5)]
    late = Photo.objects.create(wall=walls[1], purpose="survey", width_px=1, height_px=1)
    Photo.objects.filter(pk=flood[0].pk).update(state="running", lease_until=timezone.now() + dt.timedelta(minutes=1))
    asked = []
    monkeypatch.setattr(measuring, "measure", lambda photo, _: asked.append(photo.pk))
    for _ in range(2):
        tasks.photo_wake()
    assert asked == [late.pk, flood[1].pk]
