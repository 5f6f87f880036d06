"""The web server from one process to as many as there are cores: real gunicorn, PostgreSQL and Redis.

Signed-in people of several studios read the main pages and the API, each on a kept connection, one request after the
other. The callers and the database share the machine's cores with the server, so requests per second rise by less than
the processes; processor time a request, which others do not change, says whether the processes get in each other's way.
"""

from __future__ import annotations

import http.client
import io
import itertools
import os
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import psycopg
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from tests import servers
from tests.benchmarks import Row
from tests.benchmarks.bench_pages import server, use
from tests.web import Web, run_web

#: A person's round: what is asked for, in order; numbers are of that person's own studio.
PAGES = ("projects", "project", "wall", "works", "wall", "review_queue", "house_rules", "inbox")
API = ("api-project-list", "api-artwork-list", "api-placement-list", "api-finding-list", "api-wall-detail")
CALLERS = 12
NAME = "web"


@dataclass
class Measured:
    seconds: float
    times: list[float] = field(default_factory=list)
    cpu: float = 0.0

    @property
    def rate(self) -> float:
        return len(self.times) / self.seconds

    @property
    def each(self) -> float:
        """Processor seconds of the server a request."""
        return self.cpu / len(self.times)

    @property
    def percentiles(self) -> tuple[float, float]:
        cuts = statistics.quantiles(self.times, n=20)
        return 1000 * cuts[9], 1000 * cuts[18]


def rows(*, smoke: bool) -> Iterator[Row]:
    seconds, most = (1.0, 2) if smoke else (15.0, max(2, os.cpu_count() or 1))
    redis = servers.start_redis()
    try:
        with server() as url:
            people = prepared(url, studios=2 if smoke else 6)
            environment = os.environ | {
                "DATABASE_URL": servers.database_url(url, NAME),
                "REDIS_URL": redis.url,
                "API_REQUESTS_A_MINUTE": "1000000",
                "LOG_LEVEL": "WARNING",
            }
            counts = [1 << power for power in range(most.bit_length()) if 1 << power <= most]
            found = {count: measured(environment, people, count, seconds) for count in counts}
    finally:
        redis.stop()
    one = found.pop(1)
    for count, many in found.items():
        # With one process the database and the callers have a core of their own; with as many as cores they have none.
        figure = f"{one.rate:.0f} → {many.rate:.0f}/s, p50 {_change(one, many, 0)}, p95 {_change(one, many, 1)}"
        yield Row(f"web, {count} processes against 1", figure, many.rate / one.rate, 0.6 * count)
        figure = f"{1000 * one.each:.1f} → {1000 * many.each:.1f} ms a request"
        yield Row("web, processor time, likewise", figure, many.each / one.each, 1.25, False)


def _change(one: Measured, many: Measured, which: int) -> str:
    return f"{one.percentiles[which]:.0f} → {many.percentiles[which]:.0f} ms"


def prepared(url: str, studios: int) -> list[tuple[str, list[str]]]:
    """Studios of ordinary size; of each person in them the cookie and the addresses of a round."""
    from studio.models import Membership

    with psycopg.connect(url, autocommit=True) as admin:
        admin.execute(f"CREATE DATABASE {NAME}")
    use(url, NAME)
    call_command("migrate", verbosity=0)
    call_command("seed_scale", studios=studios, projects=3 if studios == 2 else 10, verbosity=0, stdout=io.StringIO())
    people = []
    for member in Membership.objects.filter(role__in=("principal", "designer")).select_related("studio", "user"):
        client = Client()
        client.force_login(member.user)
        cookie = "; ".join(f"{name}={morsel.value}" for name, morsel in client.cookies.items())
        people.append((cookie, addresses(member.studio)))
    return people


def addresses(studio: Any) -> list[str]:
    from studio.models import Wall

    wall = Wall.objects.filter(room__project__client__studio=studio).select_related("room").first()
    project = wall.room.project_id
    known = {
        "project": {"pk": project},
        "wall": {"pk": project, "wall_pk": wall.pk},
        "api-wall-detail": {"pk": wall.pk},
    }
    return [reverse(name, kwargs=known.get(name)) for name in (*PAGES, *API)]


def measured(environment: dict[str, str], people: list[Any], processes: int, seconds: float) -> Measured:
    with (
        tempfile.TemporaryDirectory() as folder,
        run_web(environment | {"VAR_DIR": folder}, Path(folder), processes) as web,
    ):
        asked(web, people, seconds / 4)  # fills caches, compiles templates
        before = processor_seconds(web)
        found = asked(web, people, seconds)
        found.cpu = processor_seconds(web) - before
    return found


def asked(web: Web, people: list[Any], seconds: float) -> Measured:
    """Everything that the callers ask within a time, and how long each request took."""
    found, faults = Measured(seconds), []
    until = time.perf_counter() + seconds

    def call(number: int) -> None:
        cookie, round_ = people[number % len(people)]
        connection = http.client.HTTPConnection("127.0.0.1", web.port, timeout=60)
        for path in itertools.cycle(round_[number % len(round_) :] + round_[: number % len(round_)]):
            began = time.perf_counter()
            if began > until:
                break
            connection.request("GET", path, headers={"Cookie": cookie})
            answer = connection.getresponse()
            answer.read()
            if answer.status != 200:
                faults.append(f"{path}: {answer.status}")
                break
            found.times.append(time.perf_counter() - began)
        connection.close()

    callers = [threading.Thread(target=call, args=(number,)) for number in range(CALLERS)]
    for caller in callers:
        caller.start()
    for caller in callers:
        caller.join()
    assert not faults, faults[:3]
    return found


def processor_seconds(web: Web) -> float:
    """What the server's processes have used, by Linux's account of them."""
    ticks = 0
    for status in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = status.read_text().rpartition(") ")[2].split()
        except (FileNotFoundError, ProcessLookupError):
            continue
        if int(fields[2]) == web.process.pid:  # the process group, which the server was started with
            ticks += int(fields[11]) + int(fields[12])
    return ticks / os.sysconf("SC_CLK_TCK")
