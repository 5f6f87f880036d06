"""SIGTERM finishes what is under way: a request, an answer on its way, a sheet being drawn."""

from __future__ import annotations

import signal
import time

import pytest

from reports.models import Report, ReportState
from reports.services.sheets import report_request
from tests import servers
from tests.conftest import _send_tasks_to, start_worker
from tests.reports.signing import signed_house
from tests.test_slow_callers import SHEET_BYTES, answer, call, sheet, web  # noqa: F401

pytestmark = [pytest.mark.processes, pytest.mark.django_db(transaction=True)]


def test_web_answers_what_was_under_way_and_takes_nothing_new(web, call, sheet):  # noqa: F811
    asking = call(web, "POST /account/login/ HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 6\r\n\r\nlog")
    reading = call(web, sheet, window=4096)
    assert reading.recv(64).startswith(b"HTTP/1.1 200")
    web.process.send_signal(signal.SIGTERM)
    asking.sendall(b"in=")
    assert answer(asking).startswith("HTTP/1.1 403")
    assert len(answer(reading)) > SHEET_BYTES - 64
    assert web.process.wait(timeout=40) == 0
    with pytest.raises(ConnectionRefusedError):
        call(web, "")


def test_worker_finishes_its_sheet_and_takes_no_other(cast, process_env, redis_url, tmp_path):
    house = signed_house(cast, pictures=False)
    _send_tasks_to(redis_url)
    # The first sheet of a process loads fonts, so it is long enough to be met while it is being drawn.
    worker = start_worker(process_env, tmp_path / "worker.log", "-c", "1")
    try:
        report_request(by=cast.designer, revision=house.revision)
        until = time.monotonic() + 60
        while not Report.objects.filter(state=ReportState.RENDERING).exists():
            assert time.monotonic() < until
            time.sleep(0.01)
        worker.send_signal(signal.SIGTERM)
        waiting = report_request(by=cast.designer, revision=house.revision, paper="a4")
        assert worker.wait(timeout=40) == 0
    finally:
        servers.kill_group(worker)
        _send_tasks_to("memory://")
    drawn = Report.objects.exclude(pk=waiting.pk).get()
    assert (drawn.state, drawn.attempts) == (ReportState.READY, 1)
    waiting.refresh_from_db()
    assert (waiting.state, waiting.attempts) == (ReportState.QUEUED, 0)
