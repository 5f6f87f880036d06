"""Sheets with real workers, a real broker and a real disk: whatever dies, no sheet is lost and none is drawn twice."""

from __future__ import annotations

import hashlib
import itertools
import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest
import redis
from django.db import connection
from django.test import override_settings
from redis.backoff import ConstantBackoff
from redis.retry import Retry

from reports.models import Report, ReportKind, ReportState
from reports.rendering import SHEETS
from reports.services.sheets import report_request, report_retry
from reports.tasks import report_wake, reports_sweep
from tests import servers
from tests.conftest import ROOT, _send_tasks_to, cannot_run, start_worker, stop_process
from tests.reports.signing import signed_house

pytestmark = [pytest.mark.processes, pytest.mark.django_db(transaction=True)]

PATIENCE_S = 240


@pytest.fixture
def house(cast):
    return signed_house(cast, pictures=False)


@pytest.fixture
def environment(process_env: dict[str, str]) -> dict[str, str]:
    return process_env | {"SHEET_LEASE_SECONDS": "2"}


@pytest.fixture
def workers(environment, redis_url, tmp_path):
    """Starts workers, and ends whatever of them is left."""
    _send_tasks_to(redis_url)
    started: list[subprocess.Popen[bytes]] = []

    def start(**more: str) -> subprocess.Popen[bytes]:
        worker = start_worker(environment | more, tmp_path / f"worker-{len(started)}.log")
        started.append(worker)
        return worker

    yield start
    for worker in started:
        if worker.poll() is None:
            stop_process(worker)
    _send_tasks_to("memory://")


def many(house, cast, count: int, *, called: int | None = None) -> list[Report]:
    """Sheets that are small to draw, each a row of its own; all, or some, called for by a message of their own."""
    made = Report.objects.bulk_create(
        Report(
            revision=house.revision,
            kind=ReportKind.TEMPLATE,
            artwork=house.works[1],
            paper="letter",
            requested_by=cast.designer,
            fingerprint=hashlib.sha256(str(number).encode()).hexdigest(),
        )
        for number in range(count)
    )
    for _ in made[:called]:
        report_wake.delay()
    return made


def until(fact: Callable[[], bool], worker: subprocess.Popen[bytes] | None = None, *, sweep: bool = True) -> None:
    """Wait for a fact while the worker lives, sweeping as the scheduler does."""
    ending = time.monotonic() + PATIENCE_S
    swept = 0.0
    while not fact():
        if worker is not None and worker.poll() is not None:
            pytest.fail(f"the worker ended with {worker.returncode}")
        if time.monotonic() > ending:
            pytest.fail(f"after {PATIENCE_S} s: {sorted(Report.objects.values_list('state', 'attempts', 'error'))}")
        if sweep and time.monotonic() - swept > 2:
            reports_sweep()
            swept = time.monotonic()
        time.sleep(0.02)


def in_state(state: str) -> int:
    return Report.objects.filter(state=state).count()


def all_sound(count: int) -> None:
    """Every sheet is ready, its file is what was stored, and there is one file a sheet."""
    reports = list(Report.objects.all())
    assert [report.state for report in reports] == [ReportState.READY] * count
    for report in reports:
        with report.file.open("rb") as file:
            assert hashlib.file_digest(file, "sha256").hexdigest() == report.file_sha256
    folder = Path(reports[0].file.path).parent.parent
    assert len(list(folder.rglob("*.pdf"))) == count


def test_workers_killed_while_drawing_lose_nothing(house, cast, workers):
    many(house, cast, 12)
    for _ in range(3):
        worker = workers()
        until(lambda: in_state(ReportState.RENDERING) > 0, worker)
        servers.kill_group(worker)
    assert in_state(ReportState.READY) < 12
    assert in_state(ReportState.RENDERING) > 0, "nothing was being drawn when the worker was killed"
    until(lambda: in_state(ReportState.READY) == 12, workers())
    all_sound(12)


def test_a_broker_that_forgets_everything_loses_nothing(house, cast, environment, tmp_path):
    port = servers.free_port()
    url = f"redis://127.0.0.1:{port}"

    def broker() -> subprocess.Popen[bytes]:
        options = ["--port", str(port), "--bind", "127.0.0.1", "--save", "", "--dir", str(tmp_path)]
        started = subprocess.Popen([servers._redis_binary(), *options], stdout=subprocess.DEVNULL)
        with redis.Redis(port=port, retry=Retry(ConstantBackoff(0.05), retries=400)) as client:
            client.ping()
        return started

    def another() -> subprocess.Popen[bytes]:
        return start_worker(environment | {"REDIS_URL": url}, tmp_path / f"worker-{next(numbers)}.log")

    def all_drawn() -> bool:
        """Whether all are; a worker that ended with its broker, or sits idle, is started again, as compose does."""
        nonlocal worker, ready, since
        if (now := in_state(ReportState.READY)) != ready:
            ready, since = now, time.monotonic()
        if worker.poll() is not None or time.monotonic() - since > 45:
            servers.kill_group(worker)
            worker, since = another(), time.monotonic()
        return ready == 11

    running, numbers = broker(), itertools.count()
    _send_tasks_to(url)
    worker, ready, since = another(), 0, time.monotonic()
    try:
        many(house, cast, 10)
        until(lambda: in_state(ReportState.READY) > 0, sweep=False)
        running.kill()
        running.wait()
        # Asked for while there is no broker: the row is stored, the call is lost.
        lost = report_request(by=cast.designer, revision=house.revision)
        assert lost.state == ReportState.QUEUED
        running = broker()
        Report.objects.filter(state=ReportState.QUEUED).update(updated_at="2026-01-01T00:00:00Z")
        since = time.monotonic()
        until(all_drawn)
        all_sound(11)
    finally:
        if worker.poll() is None:
            stop_process(worker)
        running.kill()
        running.wait()
        _send_tasks_to("memory://")


def test_a_database_that_drops_every_connection_loses_nothing(house, cast, workers):
    if connection.vendor != "postgresql":
        cannot_run("dropping connections needs PostgreSQL")
    worker = workers()
    many(house, cast, 10)
    for dropped in range(3):
        until(lambda already=dropped: in_state(ReportState.READY) > already, worker)
        with connection.cursor() as cursor:
            # What clients see of a restart of the server.
            cursor.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )
    until(lambda: in_state(ReportState.READY) == 10, worker)
    all_sound(10)


def test_a_full_disk_is_said_and_mended_by_space(house, cast, workers, tmp_path):
    if os.geteuid() != 0:
        cannot_run("a small file system can be mounted by root only")
    small = tmp_path / "small"
    small.mkdir()
    try:
        subprocess.run(["mount", "-t", "tmpfs", "-o", "size=16k", "tmpfs", str(small)], check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError) as error:
        cannot_run(f"no small file system can be mounted here: {error}")
    try:
        worker = workers(MEDIA_ROOT=str(small))
        report = report_request(by=cast.designer, revision=house.revision)
        until(lambda: in_state(ReportState.FAILED) == 1, worker)
        report.refresh_from_db()
        assert report.error == str(SHEETS.failures.full_disk)
        assert not list(small.rglob("*.pdf")), "a half-written file was left"
        subprocess.run(["mount", "-o", "remount,size=16m", str(small)], check=True)
        report_retry(by=cast.designer, report=report)
        until(lambda: in_state(ReportState.READY) == 1, worker)
        with override_settings(MEDIA_ROOT=str(small)):
            all_sound(1)
    finally:
        subprocess.run(["umount", "-l", str(small)], check=False)


def test_two_schedulers_by_mistake_have_each_of_sixty_sheets_drawn_once(house, cast, workers, environment, tmp_path):
    """Two workers are called for all at once, and for a third by nobody but the schedulers: both find what waits, and
    call. Nothing is drawn twice, however busy the machine is."""
    more = {"SHEET_LEASE_SECONDS": "60", "WORK_CALL_AGAIN_SECONDS": "1"}
    many(house, cast, 60, called=40)
    Report.objects.update(updated_at="2026-01-01T00:00:00Z")
    both = [workers(**more), workers(**more)]
    schedulers = []
    try:
        for number in range(2):
            log, schedule = tmp_path / f"scheduler-{number}.log", tmp_path / f"schedule-{number}"
            command = ["celery", "-A", "studio", "beat", "-l", "INFO", "--schedule", str(schedule), "--pidfile="]
            with log.open("wb") as out:
                chosen = {"env": environment | more, "stdout": out, "stderr": out, "start_new_session": True}
                schedulers.append((subprocess.Popen([sys.executable, "-m", *command], cwd=ROOT, **chosen), log))
        until(lambda: in_state(ReportState.READY) == 60, both[0], sweep=False)
        for scheduler, log in schedulers:
            until(lambda log=log: b"reports.tasks.reports_sweep" in log.read_bytes(), scheduler, sweep=False)
    finally:
        for scheduler, _ in schedulers:
            stop_process(scheduler)
    all_sound(60)
    assert set(Report.objects.values_list("attempts", flat=True)) == {1}


def test_a_request_is_answered_while_the_broker_is_down(house, cast, client_of):
    _send_tasks_to(f"redis://127.0.0.1:{servers.free_port()}")
    answers = []

    def ask() -> None:
        try:
            answers.append(
                client_of(cast.designer).post(f"/revisions/{house.revision.pk}/sheets/request/", {"of": "job"})
            )
        finally:
            connection.close()

    try:
        asking = threading.Thread(target=ask)
        asking.start()
        asking.join(timeout=30)
        assert answers, "the page waited for the broker"
        assert answers[0].status_code == 302
        assert in_state(ReportState.QUEUED) == 1
    finally:
        _send_tasks_to("memory://")
