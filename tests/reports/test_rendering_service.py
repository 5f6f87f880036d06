"""A report's row through its life: asked for, claimed, drawn, failed in words, tried again."""

from __future__ import annotations

import errno
from datetime import timedelta

import pytest
from django.core.files.storage import FileSystemStorage
from django.urls import reverse
from django.utils import timezone

from reports.models import Report, ReportState
from reports.producing import produce
from reports.rendering import SHEETS, draw
from reports.services.sheets import report_request, report_retry
from studio.errors import Invalid, NotAllowed, WrongState
from tests.factories import ArtworkFactory, RevisionFactory, make_cast
from tests.parallel import at_once
from tests.reports.signing import signed_house

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked(cast):
    house = signed_house(cast, pictures=False)
    return report_request(by=cast.designer, revision=house.revision)


def drawn(report):
    return SHEETS.carry_out(report, draw)


def lapse(report, seconds=1.0):
    Report.objects.filter(pk=report.pk).update(lease_until=timezone.now() - timedelta(seconds=seconds))


def test_asking_twice_gives_the_same_row(cast, asked):
    assert report_request(by=cast.principal, revision=asked.revision) == asked
    other_paper = report_request(by=cast.designer, revision=asked.revision, paper="a4")
    assert other_paper != asked


def test_unsigned_revision_has_no_sheets(cast):
    house = signed_house(cast, pictures=False)
    draft = RevisionFactory(plan=house.revision.plan, number=9)
    with pytest.raises(WrongState, match="not signed yet"):
        report_request(by=cast.designer, revision=draft)


def test_nonsense_is_refused_with_every_fault(cast):
    house = signed_house(cast, pictures=False)
    with pytest.raises(Invalid) as refusal:
        report_request(
            by=cast.designer, revision=house.revision, kind="poem", paper="papyrus", artwork=ArtworkFactory()
        )
    assert [fault["where"] for fault in refusal.value.faults] == ["kind", "paper", "artwork"]


def test_stranger_cannot_ask(cast):
    with pytest.raises(NotAllowed):
        report_request(by=cast.stranger, revision=signed_house(cast, pictures=False).revision)


def test_a_row_is_claimed_once(asked):
    claimed = SHEETS.claim()
    assert claimed.pk == asked.pk
    assert claimed.state == ReportState.RENDERING
    assert claimed.attempts == 1
    assert SHEETS.claim() is None


def test_a_dead_workers_row_is_claimed_again(asked):
    first = SHEETS.claim()
    lapse(first)
    second = SHEETS.claim()
    assert second.pk == first.pk
    assert second.lease_owner != first.lease_owner
    assert second.attempts == 2


@pytest.mark.django_db(transaction=True)
def test_the_slower_of_two_workers_stores_nothing(cast):
    asked = report_request(by=cast.designer, revision=signed_house(cast, pictures=False).revision)
    slow = SHEETS.claim()
    lapse(slow)
    quick = SHEETS.claim()
    assert drawn(quick)
    asked.refresh_from_db()
    stored = asked.file.name
    assert not drawn(slow)
    asked.refresh_from_db()
    assert asked.file.name == stored
    folder = asked.file.storage.path(asked.file.name).rpartition("/")[0]
    assert len(asked.file.storage.listdir(folder)[1]) == 1


@pytest.mark.django_db(transaction=True)
def test_many_workers_claim_each_row_once(cast):
    house = signed_house(cast, pictures=False)
    for artwork in house.works[:3]:
        report_request(by=cast.designer, revision=house.revision, kind="template", artwork=artwork)
    report_request(by=cast.designer, revision=house.revision)
    claimed = []

    def work():
        while (report := SHEETS.claim()) is not None:
            claimed.append(report.pk)

    at_once(*[work] * 8)
    assert sorted(claimed) == sorted(Report.objects.values_list("pk", flat=True))


def test_studios_take_turns(cast):
    busy = signed_house(cast, pictures=False)
    for paper in ("letter", "a4"):
        report_request(by=cast.designer, revision=busy.revision, paper=paper)
    SHEETS.claim()
    other = make_cast()
    late = report_request(by=other.designer, revision=signed_house(other, pictures=False).revision)
    assert SHEETS.claim().pk == late.pk


class FullDisk(FileSystemStorage):
    def _save(self, name, content):
        raise OSError(errno.ENOSPC, "No space left on device")


@pytest.mark.django_db(transaction=True)
def test_full_disk_is_said_and_tried_again(cast, monkeypatch, settings):
    asked = report_request(by=cast.designer, revision=signed_house(cast, pictures=False).revision)
    field = Report._meta.get_field("file")
    with monkeypatch.context() as patch:
        patch.setattr(field, "storage", FullDisk())
        for _ in range(settings.WORK_TRIES):
            lapse(asked)
            assert not drawn(SHEETS.claim())
        asked.refresh_from_db()
    assert asked.state == ReportState.FAILED
    assert asked.error == str(SHEETS.failures.full_disk)
    again = report_retry(by=cast.designer, report=asked)
    assert again.state == ReportState.QUEUED
    assert drawn(SHEETS.claim())


def test_a_failed_sheet_asked_for_again_is_queued(cast, asked):
    Report.objects.update(state=ReportState.FAILED, error="x")
    again = report_request(by=cast.designer, revision=asked.revision)
    assert (again.pk, again.state, again.error) == (asked.pk, ReportState.QUEUED, "")


def test_a_roll_is_for_templates_of_a_piece_or_of_a_wall(cast, client_of):
    house = signed_house(cast, pictures=False)
    with pytest.raises(Invalid) as refusal:
        report_request(by=cast.designer, revision=house.revision, paper="roll")
    assert [fault["where"] for fault in refusal.value.faults] == ["paper"]
    with pytest.raises(Invalid, match="of one piece or one wall"):
        report_request(by=cast.designer, revision=house.revision, kind="template", paper="roll")
    asked = {"of": f"full-{house.walls[1].pk}", "paper": "roll"}
    client_of(cast.designer).post(reverse("sheet_request", args=[house.revision.pk]), asked)
    report = Report.objects.get(kind="template")
    assert (report.wall, report.artwork, report.paper) == (house.walls[1], None, "roll")
    assert produce(report).pages == 1  # the two pieces that are measured, beside one another
