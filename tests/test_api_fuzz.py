"""The API, fuzzed from its own published schema: whatever is sent, it answers, and never with a fault of ours.

Each operation is sent every case of the schema's edges (each field missing, empty, too long, of another type, each
parameter twice, a wrong content type), where there are many an even share of them, and a few drawn at random. A hunt
sends all of them, and draws more.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from urllib.parse import urlsplit
from zlib import crc32

import pytest
import requests
import schemathesis
from django.db import transaction
from django.test import Client
from drf_spectacular.generators import SchemaGenerator
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rest_framework.throttling import SimpleRateThrottle
from schemathesis import GenerationMode
from schemathesis.core.parameters import ParameterLocation
from schemathesis.generation.drivers import CoverageGenerator
from schemathesis.generation.feedback import NO_FEEDBACK
from schemathesis.generation.meta import CoveragePhaseData
from schemathesis.generation.overrides import Override
from schemathesis.schemas import APIOperation

from studio.api.authentication import KeyAuthentication
from studio.services.keys import token_create
from tests.factories import make_cast
from tests.world import PK, TOKEN, make_world

pytestmark = pytest.mark.django_db

schema = schemathesis.openapi.from_dict(SchemaGenerator().get_schema(request=None, public=True))
#: How many of an operation's edges are sent, and how many cases are drawn: in the suite, and on a hunt.
EDGES, DRAWN = (20, 1_000), (5, 60)
OPERATIONS = {found.ok().label: found.ok() for found in schema.get_all_operations()}


@pytest.fixture(scope="module")
def key(django_db_setup: None, django_db_blocker: Any) -> Iterator[str]:
    """A principal's key, whose studio has one row of everything: one for all operations, each in a savepoint of it."""
    with django_db_blocker.unblock(), transaction.atomic():
        cast = make_cast()
        make_world(cast)
        yield token_create(by=cast.principal, label="fuzz")
        transaction.set_rollback(True)


@pytest.fixture
def client(key: str, monkeypatch: pytest.MonkeyPatch) -> Client:
    """The key's holder, who may ask as often as it takes and is looked up once."""
    monkeypatch.setattr(SimpleRateThrottle, "allow_request", lambda *_: True)
    found = KeyAuthentication().authenticate_credentials(key)
    monkeypatch.setattr(KeyAuthentication, "authenticate_credentials", lambda *_: found)
    client = Client(raise_request_exception=False)
    client.defaults["HTTP_AUTHORIZATION"] = f"Token {key}"
    return client


def send(client: Client, case: Any) -> Any:
    """Sends what a client would send over the wire, byte for byte; to the phone's operations, as a hanger."""
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


def edges(operation: APIOperation, most: int) -> list[Any]:
    """The cases at the edges of what the schema allows and just beyond them, spread evenly where they are too many.

    Operations that take the same fields start at different ones.
    """
    found = list(
        CoverageGenerator(
            operation=operation,
            generation_modes=list(GenerationMode),
            generation_config=schema.config.generation_for(operation=operation, phase="coverage"),
            auth_storage=None,
            override=Override(),
            feedback=NO_FEEDBACK,
        )
    )
    step = -(-len(found) // most)
    return found[crc32(operation.label.encode()) % step :: step] if found else []


def of_the_row(case: Any) -> Any:
    """The case at the row that is there: made-up numbers meet none, so that nothing but the number would be tried."""
    if case.path_parameters:
        case.path_parameters = dict.fromkeys(case.path_parameters, PK)
    return case


def tries_the_path(case: Any) -> bool:
    data = case.meta and case.meta.phase.data
    return isinstance(data, CoveragePhaseData) and data.parameter_location in (None, ParameterLocation.PATH)


@pytest.mark.hypothesis
@pytest.mark.parametrize("label", OPERATIONS)
def test_nothing_that_is_sent_breaks_it(label: str, client: Client, pytestconfig: pytest.Config) -> None:
    operation, hunt = OPERATIONS[label], bool(pytestconfig.getoption("hunt"))
    for case in edges(operation, EDGES[hunt]):
        if tries_the_path(case):
            assert send(client, case).status_code < 500, case.as_curl_command()
        assert send(client, of_the_row(case)).status_code < 500, case.as_curl_command()

    @settings(max_examples=DRAWN[hunt], deadline=None, suppress_health_check=list(HealthCheck))
    @given(case=st.one_of([operation.as_strategy(generation_mode=mode) for mode in GenerationMode]))
    def drawn(case: Any) -> None:
        assert send(client, case).status_code < 500
        assert send(client, of_the_row(case)).status_code < 500

    drawn()


def test_every_operation_is_tried_under_a_name_of_its_own() -> None:
    published = SchemaGenerator().get_schema(request=None, public=True)["paths"]
    assert len(OPERATIONS) == sum(len(methods) for methods in published.values()) > 100
