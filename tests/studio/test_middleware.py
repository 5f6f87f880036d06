"""Headers, limits, health and logs: what every request passes through."""

from __future__ import annotations

import json
import logging
import sys

import pytest
from django.urls import reverse
from rest_framework.throttling import UserRateThrottle

from studio import health
from studio.logs import JsonFormatter, RequestIdFilter

pytestmark = pytest.mark.django_db


@pytest.mark.smoke
def test_every_answer_carries_the_security_headers(client):
    for path in (reverse("account_login"), "/nowhere", reverse("health_live"), reverse("api_schema")):
        headers = client.get(path).headers
        policy = headers["Content-Security-Policy"]
        assert "script-src 'self';" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Referrer-Policy"] == "strict-origin"
        assert headers["X-Frame-Options"] == "DENY"


def test_what_a_signed_in_person_saw_is_not_kept(cast, client_of):
    assert "private" in client_of(cast.designer).get(reverse("api_schema")).headers["Cache-Control"]


def test_request_id_of_a_proxy_is_kept_when_it_is_sane(client):
    path = reverse("health_live")
    assert client.get(path, headers={"X-Request-ID": "abcdef-123456"})["X-Request-ID"] == "abcdef-123456"
    assert client.get(path, headers={"X-Request-ID": "a b\\n"})["X-Request-ID"] != "a b\\n"
    assert client.get(path)["X-Request-ID"] != client.get(path)["X-Request-ID"]


@pytest.mark.parametrize("cookie", [r'"\000aaaaaaaaaa"', r'"\012aaaaaaaaaa"'], ids=["NUL", "line feed"])
def test_cookie_that_no_database_keeps_is_left_out(client, cookie):
    for name in ("session", "csrftoken", "messages"):
        assert client.get("/", headers={"Cookie": f"{name}={cookie}"}).status_code == 302


def test_body_beyond_the_limit_is_refused_unread(client, settings):
    settings.MAX_BODY_BYTES = 1024 * 1024
    answer = client.post(reverse("account_login"), b"x" * (1024 * 1024 + 1), content_type="application/json")
    assert answer.status_code == 413
    assert "at most 1 MB" in answer.json()["detail"]


def test_body_of_unknown_length_is_refused(client):
    answer = client.post(reverse("account_login"), {"login": "x"}, headers={"Transfer-Encoding": "chunked"})
    assert answer.status_code == 411
    assert "Content-Length" in answer.json()["detail"]


def test_too_many_requests_are_told_when_to_come_back(monkeypatch, cast, client_of):
    monkeypatch.setattr(UserRateThrottle, "rate", "3/min", raising=False)
    caller = client_of(cast.designer)
    statuses = [caller.get("/api/v1/projects").status_code for _ in range(4)]
    assert statuses[-1] == 429
    refused = caller.get("/api/v1/projects")
    assert 0 < int(refused["Retry-After"]) <= 60
    assert refused.json()["code"] == "throttled"


def test_ready_says_which_part_is_not(client, monkeypatch):
    assert client.get(reverse("health_ready")).status_code == 200
    monkeypatch.setattr(health, "_broker", lambda: 1 / 0)
    answer = client.get(reverse("health_ready"))
    assert answer.status_code == 200, "pages are read without a broker"
    assert answer.json() == {"database": True, "migrations": True, "cache": True, "broker": False}
    monkeypatch.setattr(health, "_database", lambda: 1 / 0)
    assert client.get(reverse("health_ready")).status_code == 503
    assert client.get(reverse("health_live")).status_code == 200


@pytest.mark.parametrize(("token", "shown", "status"), [("", "", 404), ("s3cret", "", 404), ("s3cret", "s3cret", 200)])
def test_metrics_are_for_the_scraper_only(client, settings, token, shown, status):
    settings.METRICS_TOKEN = token
    assert client.get(reverse("metrics"), headers={"Authorization": f"Bearer {shown}"}).status_code == status


def line_of(record: logging.LogRecord) -> dict:
    RequestIdFilter().filter(record)
    return json.loads(JsonFormatter().format(record))


def record(message: str, *args, exc_info=None, **extra) -> logging.LogRecord:
    return logging.getLogger("x").makeRecord("x", logging.WARNING, "f", 1, message, args, exc_info, extra=extra)


def test_log_has_no_address_no_e_mail_no_exception_text(rf):
    request = rf.get("/client/secret-token/?q=private")
    line = line_of(record("Not Found: %s", "/client/secret-token/", request=request, status_code=404))
    assert "secret-token" not in json.dumps(line)
    assert line["status"] == 404
    assert "someone@" not in json.dumps(line_of(record("sent to someone@example.test")))
    try:
        raise ValueError("Key (email)=(someone@example.test) already exists")
    except ValueError:
        line = line_of(record("failed", exc_info=sys.exc_info()))
    assert line["exception"] == "ValueError"
    assert "someone" not in json.dumps(line)
    assert "test_middleware.py" in line["at"][-1]
