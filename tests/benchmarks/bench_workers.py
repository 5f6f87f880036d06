"""Proposals and photographs on one worker process and on as many as there are cores: real Celery, PostgreSQL and Redis.

Each worker process (`celery worker -c 1`) has made some of each before the time counts: from the first message to the
last finished row.
"""

from __future__ import annotations

import io
import os
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import psycopg
from django.core.management import call_command
from django.test.utils import override_settings

from tests import servers
from tests.benchmarks import Row
from tests.benchmarks.bench_pages import server, use

NAME = "workers"
PATIENCE_S = 300


def rows(*, smoke: bool) -> Iterator[Row]:
    count, most = (1, 1) if smoke else (8, max(2, os.cpu_count() or 1))
    redis = servers.start_redis()
    try:
        with server() as url, tempfile.TemporaryDirectory() as media, override_settings(MEDIA_ROOT=media):
            kinds = {"proposals": (_proposals(url, count, smoke), count), "photographs": (_photographs(count), count)}
            environment = os.environ | {
                "DATABASE_URL": servers.database_url(url, NAME),
                "REDIS_URL": redis.url,
                "MEDIA_ROOT": media,
                "LOG_LEVEL": "WARNING",
            }
            with _tasks_to(redis.url):
                took = {workers: dict(_measured(environment, kinds, workers, smoke)) for workers in {1, most}}
    finally:
        redis.stop()
    for what, (_, rows_) in kinds.items():
        one, many = took[1][what], took[most][what]
        figure = f"{rows_ / one:.2f} → {rows_ / many:.2f} a second"
        yield Row(f"{what}, {most} workers against 1", figure, one / many, 0.7 * most)


def _proposals(url: str, count: int, smoke: bool) -> Callable[[], Any]:
    """Queues one proposal for each of as many projects; a function that does it and gives their rows."""
    with psycopg.connect(url, autocommit=True) as admin:
        admin.execute(f"CREATE DATABASE {NAME}")
    use(url, NAME)
    call_command("migrate", verbosity=0)
    size = {"walls": 4, "works": 8} if smoke else {"walls": 12, "works": 60}
    call_command("seed_scale", studios=2, projects=(count + 3) // 2, verbosity=0, stdout=io.StringIO(), **size)
    from placements.models import ProposalRun
    from placements.services.proposals import proposal_request
    from studio.models import Membership, Project

    def queue(number: int) -> Any:
        runs = []
        for project in Project.objects.select_related("client").order_by("pk")[:number]:
            designer = Membership.objects.get(studio=project.client.studio_id, role="designer").user
            runs.append(proposal_request(by=designer, project=project).pk)
        return ProposalRun.objects.filter(pk__in=runs)

    return queue


def _photographs(count: int) -> Callable[[int], Any]:
    from placements.models import Photo
    from placements.services.photos.photo import photo_add
    from studio.models import Membership, Wall
    from tests.placements.services.photos import walls

    content = walls.snapshot().jpeg
    wall = Wall.objects.select_related("room__project__client").first()
    designer = Membership.objects.get(studio=wall.room.project.client.studio_id, role="designer").user

    def queue(number: int) -> Any:
        added = [photo_add(by=designer, wall=wall, purpose="survey", content=content).pk for _ in range(number)]
        return Photo.objects.filter(pk__in=added)

    return queue


def _measured(
    environment: dict[str, str], kinds: dict[str, Any], workers: int, smoke: bool
) -> Iterator[tuple[str, float]]:
    from tests.conftest import start_worker

    with ExitStack() as ending, tempfile.TemporaryDirectory() as folder:
        for number in range(workers):
            own = environment | {"VAR_DIR": f"{folder}/{number}"}
            Path(own["VAR_DIR"]).mkdir()
            worker = start_worker(own, Path(folder) / f"{number}.log", "-c", "1", "-n", f"w{number}@%h")
            ending.callback(_end, worker)
        for queue, _ in () if smoke else kinds.values():
            _await(queue(2 * workers))  # every process has imported and compiled what it needs
        for what, (queue, count) in kinds.items():
            began = time.perf_counter()
            _await(queue(count))
            yield what, time.perf_counter() - began


def _await(rows_: Any) -> None:
    until = time.monotonic() + PATIENCE_S
    while waiting := rows_.filter(state__in=("queued", "running")).count():
        assert time.monotonic() < until, f"{waiting} rows are not done"
        time.sleep(0.02)
    assert not rows_.exclude(state="ready").exists(), list(rows_.values_list("state", "error"))


def _end(worker: subprocess.Popen[bytes]) -> None:
    worker.terminate()
    try:
        worker.wait(timeout=30)
    finally:
        servers.kill_group(worker)


@contextmanager
def _tasks_to(url: str) -> Iterator[None]:
    from studio.celery import app
    from tests.conftest import _send_tasks_to

    before = app.conf.broker_url, dict(app.conf.broker_transport_options)
    app.conf.broker_transport_options = {}
    _send_tasks_to(url)
    try:
        yield
    finally:
        _send_tasks_to(before[0])
        app.conf.broker_transport_options = before[1]
