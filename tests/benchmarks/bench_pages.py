"""Pages and lists against a small and a large database: the same number of queries, and time within twice.

The small database has one studio; the large one has the same studio among many. Every address that the resolver knows
and that answers a principal is asked for, in the one and at once in the other.
"""

from __future__ import annotations

import random
import statistics
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import psycopg
from django.core.management import call_command
from django.db import connection, connections
from django.test import Client
from django.test.utils import CaptureQueriesContext, override_settings

from studio import env
from tests import servers
from tests.benchmarks import Row

SLOWEST_SHOWN = 6
ROUNDS = 5
#: For seeing that it runs, one address in so many.
SMOKE_EVERY = 10
SMALL, LARGE = "small", "large"


def rows(*, smoke: bool) -> Iterator[Row]:
    with server() as url:
        clients = {name: studio_in(url, name, smoke=smoke) for name in (SMALL, LARGE)}
        call_command("seed_scale", studios=2 if smoke else 199, projects=2 if smoke else 25, verbosity=0)
        for name in (SMALL, LARGE):
            use(url, name)
            with connection.cursor() as cursor:
                cursor.execute("VACUUM ANALYZE")
        rounds = 1 if smoke else ROUNDS
        found = {
            address.route: compared(url, address.url(), clients, rounds)
            for address in readable(url, clients[SMALL], every=SMOKE_EVERY if smoke else 1)
        }
    ratio = {route: large[0] / small[0] for route, (small, large) in found.items()}
    yield Row(
        f"pages and lists: time, large / small, median of {len(found)}",
        "a studio alone, and among 200 with 300,000 works" if not smoke else "a studio alone, and among 3",
        statistics.median(ratio.values()),
        2.0,
        at_least=False,
    )
    for route in sorted(found, key=lambda one: -ratio[one])[:SLOWEST_SHOWN]:
        small, large = found[route]
        figure = f"{small[0] * 1e3:.0f} → {large[0] * 1e3:.0f} ms, {large[1]} queries"
        yield Row(f"  {route[:55]}", figure, ratio[route], 2.0, at_least=False)
    more = max(large[1] - small[1] for small, large in found.values())
    yield Row("pages and lists: queries, large minus small, the most", "of any address", more, 0, at_least=False)


@contextmanager
def server() -> Iterator[str]:
    """A PostgreSQL server of its own, and a folder for pictures."""
    before, running = dict(connections.settings["default"]), servers.start_postgresql()
    try:
        with tempfile.TemporaryDirectory() as media, override_settings(MEDIA_ROOT=media):
            yield running.url
    finally:
        connect(before)
        running.stop()


def database(url: str, name: str) -> None:
    """Makes an empty database and goes over to it."""
    with psycopg.connect(url, autocommit=True) as admin:
        admin.execute(f"CREATE DATABASE {name}")
    use(url, name)


def use(url: str, name: str) -> None:
    connect(env.postgresql("the benchmark", servers.database_url(url, name)))


def connect(chosen: dict[str, Any]) -> None:
    connections["default"].close()
    del connections["default"]
    connections.settings["default"].update(chosen)


def studio_in(url: str, name: str, *, smoke: bool) -> Client:
    """A database with a studio of ordinary size and one row of everything besides; its principal, signed in."""
    from placements.management.commands.seed_scale import Size, studio_fill
    from tests.factories import make_cast
    from tests.world import make_world

    database(url, name)
    call_command("migrate", verbosity=0)
    cast = make_world(make_cast()).cast
    studio_fill(cast.studio, Size(projects=2 if smoke else 25), chance=random.Random(1))
    client = Client(SERVER_NAME="127.0.0.1")
    client.force_login(cast.principal)
    return client


def readable(url: str, client: Client, every: int) -> list[Any]:
    from tests.test_every_address import ADDRESSES

    use(url, SMALL)
    reads = [address for address in ADDRESSES if "get" in address.methods and not address.by_link]
    return [address for address in reads[::every] if client.get(address.url()).status_code == 200]


def compared(url: str, path: str, clients: dict[str, Client], rounds: int) -> list[tuple[float, int]]:
    """Seconds (the least of a few, since others use the machine too) and queries, small and large."""
    found = []
    for name, client in clients.items():
        use(url, name)
        client.get(path)  # makes thumbnails and fills caches
        times = []
        for _ in range(rounds):
            started = time.perf_counter()
            client.get(path)
            times.append(time.perf_counter() - started)
        with CaptureQueriesContext(connection) as queries:
            client.get(path)
        found.append((min(times), len(queries)))
    return found
