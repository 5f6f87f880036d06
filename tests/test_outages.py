"""What callers get while a part of the service is away."""

import pytest
from django.core.cache.backends.redis import RedisCache
from django.db import OperationalError
from django.db.backends.base.base import BaseDatabaseWrapper
from redis.exceptions import RedisError

from studio.cache import ForgivingRedis

pytestmark = pytest.mark.django_db


@pytest.fixture
def away(cast, client_of, monkeypatch):
    caller = client_of(cast.designer)
    caller.raise_request_exception = False

    def refuse(*args):
        raise OperationalError("connection to server failed: Connection refused")

    monkeypatch.setattr(BaseDatabaseWrapper, "cursor", refuse)
    yield caller
    monkeypatch.undo()


def test_database_away_is_a_plain_page(away):
    answer = away.get("/", headers={"Accept": "text/html"})
    assert answer.status_code == 503
    assert int(answer["Retry-After"]) > 0
    assert "What you had saved is safe" in answer.text
    assert "Connection refused" not in answer.text


@pytest.mark.parametrize("accept", ["application/json", "text/html"])
def test_database_away_is_a_problem_document_in_the_api(away, accept):
    answer = away.get("/api/v1/projects", headers={"Accept": accept})
    assert answer.status_code == 503
    assert int(answer["Retry-After"]) > 0
    assert answer["Content-Type"] == "application/problem+json"
    assert answer.json()["code"] == "unavailable"


def test_fault_of_ours_is_a_problem_document_in_the_api(cast, client_of, monkeypatch):
    from studio.api import authentication

    caller = client_of(cast.designer)
    caller.raise_request_exception = False
    monkeypatch.setattr(authentication.KeyAuthentication, "authenticate", lambda *_: 1 / 0)
    answer = caller.get("/api/v1/projects")
    assert (answer.status_code, answer["Content-Type"]) == (500, "application/problem+json")
    assert "Retry-After" not in answer


@pytest.fixture
def unreachable():
    """Nothing listens on port 1."""
    return ForgivingRedis("redis://127.0.0.1:1", {"OPTIONS": {"socket_connect_timeout": 1}})


def test_cache_away_fails_nothing_and_says_so(unreachable, caplog):
    with pytest.raises(RedisError):
        RedisCache("redis://127.0.0.1:1", {}).get("calls")
    assert unreachable.get("calls", 7) == 7
    assert unreachable.add("calls", 1)
    unreachable.set("calls", 1)
    assert unreachable.incr("calls") == 1
    assert not unreachable.delete("calls")
    assert len([line for line in caplog.messages if "limits stand open" in line]) == 5


def test_api_is_read_while_the_cache_is_away(cast, client_of, unreachable, monkeypatch, caplog):
    from rest_framework.throttling import SimpleRateThrottle

    caller = client_of(cast.designer)
    monkeypatch.setattr(SimpleRateThrottle, "cache", unreachable)
    assert caller.get("/api/v1/projects").status_code == 200
    assert any("limits stand open" in line for line in caplog.messages)
