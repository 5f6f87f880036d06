"""The life of background work, the same for proposals, photographs and sheets: crashes, lost leases, pauses, words."""

from __future__ import annotations

import errno
import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import pytest
from celery.exceptions import SoftTimeLimitExceeded
from django.db import OperationalError
from django.urls import reverse
from django.utils import timezone

from placements import tasks as placements_tasks
from placements.models import Photo, Plan, ProposalRun, Revision
from placements.photogrammetry.errors import CardNotFound
from placements.services import proposals
from placements.services.photos import measuring
from reports import rendering
from reports import tasks as reports_tasks
from reports.models import Report
from reports.producing import Unprintable
from reports.services.sheets import report_request
from studio import background
from studio.background import Hold, Impossible, WorkKind
from studio.logs import request_id
from tests.factories import ProjectFactory, WallFactory
from tests.reports.signing import signed_house

pytestmark = pytest.mark.django_db
SECRET = "column 'x' of table y"


@dataclass(frozen=True)
class Trade:
    """One kind of work, how a row of it is made, and how its work is made to do what a test wants."""

    kind: WorkKind[Any]
    do: Callable[[Any, Hold[Any]], None]
    make: Callable[[Any], Any]
    patched: tuple[Any, str]
    wake: Callable[..., None]
    sweep: Callable[[], None]
    says: str

    def work(self) -> Any:
        return self.kind.work(self.do)


def new_run(cast: Any) -> ProposalRun:
    return ProposalRun(project=ProjectFactory(client__studio=cast.studio), requested_by=cast.designer)


def new_photo(cast: Any) -> Photo:
    wall = WallFactory(room__project__client__studio=cast.studio)
    return Photo(wall=wall, purpose="survey", width_px=10, height_px=10)


def new_sheet(cast: Any) -> Report:
    plan = Plan.objects.create(project=ProjectFactory(client__studio=cast.studio))
    revision = Revision.objects.create(plan=plan, number=1)
    return Report(revision=revision, fingerprint=f"{revision.pk:064}", requested_by=cast.designer)


TRADES = {
    "proposal": Trade(
        proposals.PROPOSALS,
        proposals.propose,
        new_run,
        (proposals, "propose_for"),
        placements_tasks.proposal_wake,
        placements_tasks.proposals_sweep,
        "Something went wrong while working out the plan.",
    ),
    "photograph": Trade(
        measuring.PHOTOGRAPHS,
        measuring.measure,
        new_photo,
        (measuring, "_measured"),
        placements_tasks.photo_wake,
        placements_tasks.photos_sweep,
        "Something went wrong while measuring this photograph.",
    ),
    "sheet": Trade(
        rendering.SHEETS,
        rendering.draw,
        new_sheet,
        (rendering, "produce"),
        reports_tasks.report_wake,
        reports_tasks.reports_sweep,
        "This sheet could not be drawn.",
    ),
}


@pytest.fixture(params=TRADES)
def trade(request):
    return TRADES[request.param]


@pytest.fixture
def sent(monkeypatch):
    """The messages that woke workers: task, arguments, options."""
    found = []
    monkeypatch.setattr(background, "send_after_commit", lambda _, *args, **options: found.append((args, options)))
    return found


@pytest.fixture
def row(trade, cast, sent):
    made = trade.make(cast)
    trade.kind.queue(made)
    sent.clear()
    return made


@pytest.fixture
def fails(trade, monkeypatch):
    """fails(error): whoever works on a row meets this."""

    def meet(error):
        def stop(*args, **given):
            raise error

        monkeypatch.setattr(*trade.patched, stop)

    return meet


def lapse(row, seconds=1.0):
    type(row).objects.filter(pk=row.pk).update(lease_until=timezone.now() - timedelta(seconds=seconds))


def age(row, seconds):
    type(row).objects.filter(pk=row.pk).update(updated_at=timezone.now() - timedelta(seconds=seconds))


def test_a_wish_wakes_one_worker(trade, cast, sent):
    trade.kind.queue(trade.make(cast))
    assert sent == [((), {})]


def test_work_is_done_under_the_id_of_the_request_that_asked_for_it(trade, cast, sent):
    row, seen = trade.make(cast), []
    token = request_id.set("of-this-click-1")
    trade.kind.queue(row)
    request_id.reset(token)

    def look(row, hold):
        seen.append(request_id.get())
        raise Impossible("Seen enough.")

    trade.kind.work(look)
    assert (seen, request_id.get()) == (["of-this-click-1"], "-")


def test_a_crash_is_tried_again_after_pauses_that_double_then_told(trade, row, fails, settings, caplog):
    fails(ZeroDivisionError(SECRET))
    settings.WORK_TRIES, settings.WORK_PAUSE_SECONDS = 3, 40
    pauses = []
    for attempt in (1, 2):
        found = trade.work()
        assert (found.state, found.attempts, found.error) == ("queued", attempt, trade.says)
        pauses.append(round((found.lease_until - timezone.now()).total_seconds(), -1))
        assert trade.kind.claim() is None, "it rests"
        lapse(row)
    assert pauses == [40, 80]
    found = trade.work()
    assert (found.state, found.attempts, found.lease_until) == ("failed", 3, None)
    assert found.error == str(trade.kind.failures.broken)
    assert found.error.startswith(trade.says)
    assert SECRET not in found.error
    assert "ZeroDivisionError" not in found.error
    assert sum(one.levelno == logging.ERROR and one.exc_info is not None for one in caplog.records) == 3


def test_a_pause_has_an_end(trade, row, fails, settings):
    fails(ZeroDivisionError())
    settings.WORK_TRIES, settings.WORK_PAUSE_SECONDS = 20, 100
    type(row).objects.update(attempts=9)
    found = trade.work()
    assert found.lease_until - timezone.now() < timedelta(seconds=background.LONGEST_PAUSE_S + 1)


@pytest.mark.parametrize(
    ("error", "failure"),
    [
        (OSError(errno.ENOSPC, SECRET), "full_disk"),
        (ConnectionRefusedError(errno.ECONNREFUSED, SECRET), "no_storage"),
        (KeyError(SECRET), "broken"),
    ],
)
def test_each_failure_has_its_words(trade, row, fails, settings, error, failure):
    settings.WORK_TRIES = 1
    fails(error)
    found = trade.work()
    assert (found.state, found.error) == ("failed", str(getattr(trade.kind.failures, failure)))
    assert SECRET not in found.error


def test_what_takes_too_long_is_not_tried_again(trade, row, fails):
    fails(SoftTimeLimitExceeded())
    found = trade.work()
    assert (found.state, found.attempts) == ("failed", 1)
    assert "too long" in found.error


def test_a_database_that_is_away_leaves_the_row_to_the_sweep(trade, row, fails, sent):
    fails(OperationalError(SECRET))
    with pytest.raises(OperationalError):
        trade.work()
    row.refresh_from_db()
    assert (row.state, row.error) == (row.working_state, "")
    lapse(row)
    assert trade.kind.sweep() == 1
    assert trade.kind.claim().attempts == 2


@pytest.mark.parametrize(
    ("name", "error", "says"),
    [
        ("photograph", CardNotFound("No card is seen. Take it from nearer."), "No card is seen. Take it from nearer."),
        ("sheet", Unprintable("Nothing hangs here."), "Nothing hangs here."),
        ("proposal", Impossible("There is no wall."), "There is no wall."),
    ],
)
def test_what_can_never_be_done_is_told_at_once(cast, monkeypatch, name, error, says):
    trade = TRADES[name]
    trade.kind.queue(trade.make(cast))
    monkeypatch.setattr(*trade.patched, lambda *_, **__: (_ for _ in ()).throw(error))
    found = trade.work()
    assert (found.state, found.attempts, found.error) == ("failed", 1, says)


def test_who_lost_the_row_writes_nothing(trade, row, monkeypatch):
    def slow(*args, **given):
        lapse(row)
        assert trade.kind.claim().attempts == 2  # another worker takes over meanwhile
        raise ZeroDivisionError

    monkeypatch.setattr(*trade.patched, slow)
    assert trade.work() is None
    row.refresh_from_db()
    assert (row.state, row.attempts, row.error) == (row.working_state, 2, "")


def test_outcome_of_who_lost_the_row_is_not_stored(trade, row):
    first = trade.kind.claim()
    lapse(row)
    assert trade.kind.claim().lease_owner != first.lease_owner
    stored = trade.kind.carry_out(first, lambda _, hold: hold.finish())
    row.refresh_from_db()
    assert (stored, row.state) == (False, row.working_state)


def test_progress_tells_that_the_row_was_lost(trade, row):
    reached = []

    def do(row, hold):
        hold.progress(0.5)
        reached.append(type(row).objects.get(pk=row.pk).progress)
        lapse(row)
        trade.kind.claim()
        hold.progress(0.6)
        reached.append("went on")

    assert trade.kind.work(do) is None
    assert reached == [0.5]


def test_a_dead_workers_row_is_given_back_once(trade, row, sent):
    trade.kind.claim()
    trade.sweep()
    assert sent == [], "its lease runs"
    lapse(row)
    trade.sweep()
    trade.sweep()
    assert sent == [((), {})]
    assert trade.kind.claim().attempts == 2


def test_what_kills_its_workers_is_given_up_in_words(trade, row, sent, settings):
    settings.WORK_DEATHS = 4
    for _ in range(4):
        assert trade.kind.claim()
        lapse(row)
    assert trade.kind.claim() is None
    trade.sweep()
    row.refresh_from_db()
    assert (row.state, row.lease_owner) == ("failed", "")
    assert "The worker stopped 4 times while" in row.error
    assert sent == []


def test_what_has_rested_wakes_one_worker(trade, row, fails, sent):
    fails(ZeroDivisionError())
    trade.work()
    trade.sweep()
    assert sent == [], "it rests"
    type(row).objects.update(updated_at=timezone.now() - timedelta(seconds=9))
    lapse(row)
    trade.sweep()
    trade.sweep()
    assert sent == [((), {})]


def test_rows_that_wait_their_turn_are_not_called_again(trade, row, cast, sent):
    many = [trade.make(cast) for _ in range(5)]
    for one in many:
        trade.kind.queue(one)
        age(one, 3600)
    sent.clear()
    assert trade.kind.claim()  # a worker takes rows, so messages arrive
    for _ in range(3):
        trade.sweep()
    assert sent == []


def test_lost_messages_wake_one_worker_who_wakes_the_next(trade, row, cast, sent, settings):
    settings.WORK_CALL_AGAIN_SECONDS = 30
    rows = [row, *(trade.make(cast) for _ in range(5))]
    for one in rows:
        trade.kind.queue(one)
        age(one, 29)
    sent.clear()
    trade.sweep()
    assert sent == [], "their messages are on the way"
    for one in rows:
        age(one, 31)
    trade.sweep()
    trade.sweep()
    call = ((True,), {"expires": 30})
    assert sent == [call]
    worked = []

    def do(row, hold):
        worked.append(len(sent))
        hold.finish()

    for _ in rows:
        trade.kind.answer(do, pass_on=True)
    trade.kind.answer(do, pass_on=True)
    # One more message before each row but the last: every free worker is woken, and then it ends.
    assert worked == [2, 3, 4, 5, 6, 6]
    assert all(one == call for one in sent)


def test_a_message_wakes_whoever_is_due(trade, row, fails):
    fails(Impossible("No."))
    trade.wake()
    row.refresh_from_db()
    assert row.state == "failed"
    trade.wake()  # one too many does nothing


def test_people_read_why_it_waits_and_why_it_failed(trade, cast, client_of, fails, settings):
    if trade.kind is rendering.SHEETS:
        row = report_request(by=cast.designer, revision=signed_house(cast, pictures=False).revision)
        address = reverse("sheets", args=[row.revision_id])
    else:
        row = trade.make(cast)
        trade.kind.queue(row)
        address = reverse("photo" if trade.kind is measuring.PHOTOGRAPHS else "proposal", args=[row.pk])
    client, said = client_of(cast.designer), []
    settings.WORK_TRIES = 2
    fails(ZeroDivisionError(SECRET))
    for _ in range(2):
        assert trade.work()
        lapse(row)
        said.append(" ".join(client.get(address, HTTP_HX_REQUEST="true").content.decode().split()))
    assert "ill be tried again" in said[0]
    assert trade.says in said[0]
    assert str(trade.kind.failures.broken) in said[1]
    assert SECRET not in said[0] + said[1]
