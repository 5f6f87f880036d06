"""The API, fuzzed from its own published schema: whatever is sent, it answers as the schema says, never with a
fault of ours.

Each operation is sent an even share of the schema's edges (each field missing, empty, too long, of another type, each
parameter twice, a wrong content type) and a few cases drawn at random. A hunt (`make test ARGS=--hunt`) sends all of
them, and draws more.
"""

from __future__ import annotations

import json
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
from hypothesis import HealthCheck, Phase, example, given, settings
from hypothesis import strategies as st
from jsonschema import validate
from rest_framework.throttling import SimpleRateThrottle
from schemathesis import GenerationMode
from schemathesis.checks import CHECKS, load_all_checks
from schemathesis.core.parameters import ParameterLocation
from schemathesis.core.transport import Response
from schemathesis.generation.drivers import CoverageGenerator
from schemathesis.generation.feedback import NO_FEEDBACK
from schemathesis.generation.meta import CoveragePhaseData
from schemathesis.generation.overrides import Override
from schemathesis.schemas import APIOperation

from placements.models import Revision
from studio.api.authentication import KeyAuthentication
from studio.api.fields import Kilograms, Millimetres, length_schema, weight_schema
from studio.services.keys import token_create
from studio.units import HEAVIEST_KG, LONGEST_MM
from tests.bodies import operations
from tests.factories import make_cast
from tests.world import PK, TOKEN, make_world

pytestmark = pytest.mark.django_db

schema = schemathesis.openapi.from_dict(SchemaGenerator().get_schema(request=None, public=True))
#: How many of an operation's edges are sent, and how many cases are drawn: in the suite, and on a hunt.
EDGES, DRAWN = (8, 1_000), (2, 60)
load_all_checks()
#: The status, the kind of content, its headers and its shape are those that the schema names.
CHECKED = CHECKS.get_by_names(
    [
        *("not_a_server_error", "status_code_conformance", "content_type_conformance"),
        *("response_headers_conformance", "response_schema_conformance"),
    ]
)
OPERATIONS = {found.ok().label: found.ok() for found in schema.get_all_operations()}


@pytest.fixture(scope="module")
def key(django_db_setup: None, django_db_blocker: Any) -> Iterator[str]:
    """A principal's key, whose studio has one row of everything: one for all operations, each in a savepoint of it."""
    with django_db_blocker.unblock(), transaction.atomic():
        cast = make_cast()
        make_world(cast)
        Revision.objects.filter(pk=PK).update(number=3)  # the plan in review is the newest, as it is in a studio
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


def send(client: Client, case: Any) -> Response:
    """Sends what a client would send over the wire, byte for byte, and takes back what it did; to the phone's
    operations, as a hanger."""
    prepared = requests.Request(**case.as_transport_kwargs(base_url="http://127.0.0.1")).prepare()
    body = prepared.body or b""
    headers = {name: value for name, value in prepared.headers.items() if name.lower() not in ("host", "authorization")}
    if "/phone/" in case.path:
        headers["Authorization"] = f"Link {TOKEN}"
    address = urlsplit(prepared.url)
    path = f"{address.path}?{address.query}" if address.query else address.path
    with transaction.atomic():
        answer = client.generic(
            case.method,
            path,
            body.encode() if isinstance(body, str) else body,
            content_type=headers.pop("Content-Type", "application/octet-stream"),
            headers=headers,
        )
        content = b"".join(answer.streaming_content) if answer.streaming else answer.content
        transaction.set_rollback(True)
    named = {name: [value] for name, value in answer.headers.items()}
    return Response(answer.status_code, named, content, prepared, elapsed=0.0, verify=False)


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

    def tried(case: Any) -> None:
        case.validate_response(send(client, case), checks=CHECKED)

    for case in edges(operation, EDGES[hunt]):
        if tries_the_path(case):
            tried(case)
        else:
            tried(of_the_row(case))

    @settings(max_examples=DRAWN[hunt], deadline=None, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
    @given(case=st.one_of([operation.as_strategy(generation_mode=mode) for mode in GenerationMode]))
    def drawn(case: Any) -> None:
        tried(of_the_row(case))

    drawn()


def test_every_operation_is_tried_under_a_name_of_its_own() -> None:
    published = SchemaGenerator().get_schema(request=None, public=True)["paths"]
    assert len(OPERATIONS) == sum(len(methods) for methods in published.values()) > 100


def test_rows_that_are_made_are_there_until_they_are_deleted(client: Client) -> None:
    """Along the schema's links: what was made is read, and is gone once it is deleted."""
    paths = SchemaGenerator().get_schema(request=None, public=True)["paths"]
    made, gone = [], []
    for _, address, operation, body in operations(whole=False):
        links = operation["responses"].get("201", {}).get("links", {})
        if not links:
            continue
        answer = client.post(address, json.dumps(body), content_type="application/json")
        assert answer.status_code < 500, address
        if answer.status_code != 201:
            continue
        there = f"{address}/{answer.json()['id']}"
        assert paths[f"{address}/{{id}}"]["get"]["operationId"] in links
        assert client.get(there).status_code == 200
        made.append(address)
        if "delete" in paths[f"{address}/{{id}}"] and client.delete(there).status_code == 204:
            assert client.get(there).status_code == 404
            gone.append(address)
    assert len(made) > 6, made
    assert len(gone) > 4, gone


def described(schema: dict[str, Any]) -> st.SearchStrategy[Any]:
    """What a measure's schema allows."""
    number, text = schema["oneOf"]
    open_ended = "exclusiveMinimum" in number
    numbers = st.floats(number.get("minimum", 0), number["maximum"], exclude_min=open_ended)
    return numbers | st.from_regex(text["pattern"])


@settings(max_examples=200, deadline=None)
@given(sent=described(length_schema(zero=False)), place=described(length_schema(zero=True)))
@example(sent="5' 3 1/2\"", place=0)
def test_what_is_described_as_a_length_is_taken_as_one(sent: Any, place: Any) -> None:
    assert 0 < Millimetres().to_internal_value(sent) <= LONGEST_MM
    assert 0 <= Millimetres(zero=True).to_internal_value(place) <= LONGEST_MM


@settings(max_examples=100, deadline=None)
@given(sent=described(weight_schema()))
def test_what_is_described_as_a_weight_is_taken_as_one(sent: Any) -> None:
    assert 0 < Kilograms().to_internal_value(sent) <= HEAVIEST_KG


def test_every_operation_says_how_it_refuses(client: Client) -> None:
    description = SchemaGenerator().get_schema(request=None, public=True)
    for path, methods in description["paths"].items():
        for method, operation in methods.items():
            told = set(operation["responses"])
            assert {"400", "401", "403", "404", "406", "409", "422", "429", "503"} <= told, (method, path)
            assert method == "get" or {"411", "413", "415"} <= told, (method, path)
    shape = description["components"]["schemas"]["Problem"]
    for refused in (client.get("/api/v1/walls/9"), client.post("/api/v1/walls", "{", content_type="application/json")):
        assert refused["Content-Type"] == "application/problem+json"
        validate(refused.json(), shape)
