"""The servers that a test run starts are real, and gone when the run is gone."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import psycopg
import pytest
import redis
from django.core.management import call_command
from django.db import connection

from studio.celery import app
from tests import servers

pytestmark = pytest.mark.processes


@pytest.mark.django_db
def test_database_is_the_one_asked_for():
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        assert cursor.fetchone() == (1,)
    assert connection.vendor in {"postgresql", "sqlite"}


def test_redis_answers(redis_url):
    with redis.Redis.from_url(redis_url) as client:
        assert client.ping()


def test_servers_stop_when_their_run_is_killed():
    script = (
        "from tests import servers; import time;"
        "a = servers.start_postgresql(); b = servers.start_redis(); print(a.url, b.url, flush=True); time.sleep(60)"
    )
    run = subprocess.Popen(
        [sys.executable, "-c", script], cwd=Path(__file__).parents[2], stdout=subprocess.PIPE, text=True
    )
    database_url, redis_url = run.stdout.readline().split()
    psycopg.connect(database_url).close()
    run.kill()
    run.wait()
    run.stdout.close()
    folder = Path(database_url.partition("host=")[2]).parent
    until = time.monotonic() + 20
    while folder.exists() and time.monotonic() < until:
        time.sleep(0.1)
    assert not folder.exists()
    with pytest.raises(psycopg.OperationalError):
        psycopg.connect(database_url)
    with redis.Redis.from_url(redis_url) as client, pytest.raises(redis.ConnectionError):
        client.ping()


def test_another_database_on_the_same_server():
    url = servers.database_url("postgresql://me@/postgres?host=/tmp/x", "mine")
    assert url == "postgresql://me@/mine?host=/tmp/x"


def test_worker_takes_tasks_of_this_process(worker, redis_url):
    assert app.control.ping(timeout=5)


@pytest.mark.django_db
def test_the_database_is_a_copy_of_one_that_was_migrated_once():
    template = connection.settings_dict["TEST"].get("TEMPLATE")
    if template is None:
        pytest.skip("the run was given a database server, or SQLite")
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM pg_database WHERE datname IN (%s, %s)", [template, f"{template}_making"])
        assert cursor.fetchone() == (1,)
    assert connection.settings_dict["NAME"] != template
    call_command("migrate", check_unapplied=True)
