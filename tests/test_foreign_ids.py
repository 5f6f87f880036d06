"""Numbers of another studio's rows *inside* what is sent to the API, in every body and every query; forms are tried
so in `test_form_fuzz`.

Two studios have one row of everything. The first one's principal asks for the own rows by address, and names the
other's in one value at a time: nothing of the other is read or changed, and no row of the own leads there.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import partial
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart

from placements.models import Revision
from tests.bodies import leaves, operations, put
from tests.factories import make_cast
from tests.foreign import FOREIGN, MARK, Trial
from tests.sessions import sign_in
from tests.world import PK, TOKEN, World, make_world

pytestmark = pytest.mark.django_db
#: What a list is narrowed by that is a row's number, and fields that name a person.
NUMBERED = {"artwork", "client", "plan", "project", "revision", "room", "studio", "wall"}
PEOPLE = {"designer", "kept_by", "user"}


@pytest.fixture(scope="module")
def worlds(test_settings: None, django_db_setup: None, django_db_blocker: Any) -> Iterator[tuple[World, World]]:
    """The caller's studio, and another."""
    with django_db_blocker.unblock(), transaction.atomic():
        own = make_world(make_cast())
        Revision.objects.filter(pk=PK).update(number=3)  # the plan in review is the newest, as it is in a studio
        yield own, make_world(make_cast(), pk=FOREIGN, canary=MARK, token="another-" + TOKEN)
        transaction.set_rollback(True)


@pytest.fixture
def caller(worlds: tuple[World, World]) -> Client:
    client = Client(raise_request_exception=False)
    return sign_in(client, worlds[0].cast.principal)


def test_no_body_of_the_api_reaches_another_studio(worlds: tuple[World, World], caller: Client) -> None:
    trial, stranger = Trial(*worlds), worlds[1].cast.designer.pk
    phone = Client(raise_request_exception=False, headers={"Authorization": f"Link {TOKEN}"})
    for method, address, operation, body in operations():
        client = phone if "/phone/" in address else caller
        if method == "get":
            asked = {one["name"]: FOREIGN for one in operation.get("parameters", ()) if one["name"] in NUMBERED}
            trial.send(f"GET {address}?", partial(client.get, address, asked))
            continue
        for path, value in leaves(body):
            if value != PK:
                continue
            for number in (FOREIGN, stranger) if path[-1] in PEOPLE else (FOREIGN,):
                sent = put(body, path, number)
                trial.send(f"{method} {address} {path}", partial(post, client, method, address, sent))
    assert trial.faults == []
    assert trial.sent > 150
    assert trial.taken > 50, "most should get that far"


def post(client: Client, method: str, address: str, body: Any) -> Any:
    files = [name for name, value in body.items() if isinstance(value, bytes)]
    if not files:
        return getattr(client, method)(address, json.dumps(body), content_type="application/json")
    form = {name: value for name, value in body.items() if not isinstance(value, dict | list)}
    for name in files:
        form[name] = SimpleUploadedFile("a.jpg", body[name], "image/jpeg")
    return client.generic(method, address, encode_multipart(BOUNDARY, form), content_type=MULTIPART_CONTENT)
