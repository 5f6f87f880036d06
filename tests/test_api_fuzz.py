"""The API, fuzzed from its own published schema: whatever is sent, it answers, and never with a fault of ours."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlsplit

import pytest
import requests
import schemathesis
from django.test import Client
from drf_spectacular.generators import SchemaGenerator
from hypothesis import HealthCheck, settings
from rest_framework.throttling import SimpleRateThrottle

from studio.services.keys import token_create
from tests.factories import make_cast
from tests.world import PK, TOKEN, make_world

pytestmark = pytest.mark.django_db

schema = schemathesis.openapi.from_dict(SchemaGenerator().get_schema(request=None, public=True))


@pytest.fixture
def client(db, monkeypatch):
    """A principal's, whose studio has one row of everything; for the phone, a hanger's."""
    monkeypatch.setattr(SimpleRateThrottle, "allow_request", lambda *_: True)
    cast = make_cast()
    make_world(cast)
    client = Client(raise_request_exception=False)
    client.defaults["HTTP_AUTHORIZATION"] = f"Token {token_create(by=cast.principal, label='fuzz')}"
    return client


def send(client: Client, case: Any) -> Any:
    """Sends what a client would send over the wire, byte for byte."""
    prepared = requests.Request(**case.as_transport_kwargs(base_url="http://127.0.0.1")).prepare()
    body = prepared.body or b""
    headers = {name: value for name, value in prepared.headers.items() if name.lower() not in ("host", "authorization")}
    if "/phone/" in case.path:
        headers["Authorization"] = f"Link {TOKEN}"
    address = urlsplit(prepared.url)
    path = f"{address.path}?{address.query}" if address.query else address.path
    answer = client.generic(
        case.method,
        path,
        body.encode() if isinstance(body, str) else body,
        content_type=headers.pop("Content-Type", "application/octet-stream"),
        headers=headers,
    )
    if answer.streaming:
        list(answer.streaming_content)  # the file is open until it is read to its end
    return answer


@schema.parametrize()
@settings(max_examples=5, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
def test_nothing_that_is_sent_breaks_it(case, client):
    assert send(client, case).status_code < 500
    if case.path_parameters:
        # The same again at a row that is there: made-up numbers rarely meet one.
        case.path_parameters = dict.fromkeys(case.path_parameters, PK)
        assert send(client, case).status_code < 500
