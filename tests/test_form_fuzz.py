"""Pages, links and the phone, fuzzed: whatever stands in a field, the answer is never a fault of ours.

Each address is first asked with sensible values, which shows what it reads; then it gets hostile ones in some of those
fields. All of them share one world; every request is rolled back.
"""

from __future__ import annotations

import json
import sys
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from typing import Any
from urllib.parse import quote_from_bytes

import pytest
from allauth.mfa.models import Authenticator
from django.core.cache import cache
from django.db import transaction
from django.test import Client
from django.urls import get_resolver, reverse
from django.utils import datastructures
from django.utils.datastructures import MultiValueDict
from fido2.utils import websafe_encode
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from placements.forms.photos import PhotoEditForm
from placements.forms.walls import WallEditForm
from placements.models import Placement, Revision
from placements.views.edits import ACTIONS as WALL_EDITS
from placements.views.photos.edits import ACTIONS as PHOTO_EDITS
from reports.models import ActionKind
from tests.factories import make_cast
from tests.foreign import FOREIGN, MARK, Trial
from tests.sessions import sign_in
from tests.test_every_address import ADDRESSES, Address, walk
from tests.world import PK, TOKEN, World, make_world

pytestmark = pytest.mark.django_db

QUICK = settings(
    max_examples=1, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck)
)
#: Of libraries, or without anything to fill in; the programs' API is fuzzed by its schema.
PAGES = [one for one in ADDRESSES if not one.route.startswith("api/") and one.name not in ("wall_edit", "photo_edit")]
#: Where a form's values are read all together.
_ALL = datastructures.__file__
FORM = "application/x-www-form-urlencoded"
#: What a phone's actions carry.
PHONE = (
    *("what", "note", "drop_mm", "apart_mm", "left_mm", "top_left_mm", "top_right_mm"),
    *("card_left_mm", "card_bottom_mm", "ruler_mm"),
)
PIECE = {"artwork": PK, "left_mm": 1500, "bottom_mm": 1000, "space": "", "group": "", "locked": False, "why": ""}
SENSIBLE: dict[str, str] = {
    **dict.fromkeys(("artwork", "work", "notice", "item", "mark", "client", "project", "room", "rooms"), str(PK)),
    **dict.fromkeys(("designer", "finding", "wall", "walls", "pin", "new", "other"), str(PK)),
    **dict.fromkeys(("left_mm", "bottom_mm", "left", "bottom", "width", "height", "value"), "1000"),
    **dict.fromkeys(("version", "days", "page", "least", "most", "number"), "1"),
    "about": f"wall-{PK}",
    "of": f"wall-{PK}",
    "answer": "approve",
    "do": "drag",
    "field": "two-thirds.low",
    "kind": "work",
    "points": "[[10, 10], [90, 10], [90, 60], [10, 60]]",
    "rule": "two-thirds",
    "since": "2026-01-31",
    "state": json.dumps({"pieces": [PIECE], "bares": []}),
    "step": "send_back",
    "until": "2026-12-31",
    "verdict": "accepted",
}
#: The forms of sign-in, which are a library's.
SIGN_IN = [
    f"/{address.route}"
    for address in walk(get_resolver().url_patterns, libraries=("admin/",))
    if address.route.startswith("account/") and not address.parameters and "?P" not in address.route
]
SIGN_IN_FIELDS = (
    *("login", "password", "email", "password1", "password2", "oldpassword", "code", "credential", "name", "next"),
    *("remember", "session", "action_add", "action_primary"),
)
_RESPONSE = dict.fromkeys(("clientDataJSON", "authenticatorData", "signature", "attestationObject"), "AAAA")
#: What might come in place of a passkey's answer (Web Authentication, level 2).
CREDENTIALS: list[Any] = [
    *(None, 7, [], {}, {"id": 1}, {"id": "AAAA", "rawId": "!", "response": []}),
    {"id": "AAAA", "rawId": "AAAA", "type": "public-key", "response": _RESPONSE | {"userHandle": "MQ"}},
    {"id": "AAAA", "rawId": "AAAA", "type": "public-key", "response": _RESPONSE | {"userHandle": "OTk5" * 20}},
    {"id": "AAAA", "rawId": "AAAA", "type": "\ud800", "response": dict.fromkeys(_RESPONSE, 5)},
    {
        "id": "AAAA",
        "rawId": "AAAA",
        "type": "public-key",
        "response": _RESPONSE | {"clientDataJSON": websafe_encode(b'{"type":"webauthn.get","challenge":"A"}')},
    },
]
#: What each field gets by itself: no text that a database takes, too long a number, too large a one, the last day.
WORST = ("a\0\ud800", "9" * 5000, "9" * 25, "9999-12-31")
HOSTILE = st.one_of(
    st.sampled_from(
        (
            *("\0", "a\0b", "\ud800", "\ufffe", "9" * 5000, "9" * 30, "9223372036854775808", "-1", "0", "1e400", "nan"),
            *("inf", "²", "١٢٣", "1_000", "9999-12-31", "0001-01-01", "0000-00-00", "2026-02-30", "x" * 20_000, ""),
            *("<script>alert(1)</script>", "' OR 1=1 --", "[" * 3000, "[[1e999, 2], [1, 2]]", '["\\ud800"]', "{}"),
            *("null", '{"pieces": [{"artwork": []}], "bares": []}', '{"pieces": [], "bares": [["\\u0000", "x"]]}'),
            *(json.dumps({"pieces": [PIECE | {"why": "\ud800"}], "bares": []}), '{"pieces": 3, "locked": 4}'),
            *("wall-", "wall-" + "9" * 5000, "work-\0", "two-thirds.", ".", "../..", "//evil.example/", "é" * 300),
        )
    ),
    st.text(max_size=40),
    st.integers().map(str),
    st.floats().map(str),
)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | HOSTILE,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=5,
)


@pytest.fixture(scope="module")
def worlds(test_settings: None, django_db_setup: None, django_db_blocker: Any) -> Iterator[tuple[World, Trial]]:
    """The caller's studio, and another's rows, which nothing of the caller's may reach."""
    with django_db_blocker.unblock(), transaction.atomic():
        made = make_world(make_cast())
        Revision.objects.filter(pk=PK).update(number=3)  # the plan in review is the newest, as it is in a studio
        other = make_world(make_cast(), pk=FOREIGN, canary=MARK, token="another-" + TOKEN)
        yield made, Trial(made, other)
        transaction.set_rollback(True)


@pytest.fixture
def world(worlds: tuple[World, Trial]) -> World:
    return worlds[0]


@pytest.fixture
def caller(world: World) -> Client:
    """A principal, who reaches the most."""
    client = Client(raise_request_exception=False)
    sign_in(client, world.cast.principal)
    return client


@contextmanager
def undone() -> Iterator[None]:
    cache.clear()
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def encoded(fields: list[tuple[str, str]]) -> str:
    """As a hostile caller would send it: also half characters go over the wire."""
    return "&".join(
        "=".join(quote_from_bytes(part.encode("utf-8", "surrogatepass")) for part in field) for field in fields
    )


def send(client: Client, method: str, address: Address, fields: list[tuple[str, str]]) -> int:
    body = encoded(fields)
    with undone():
        if method == "get":
            answer = client.get(f"{address.url()}?{body}")
        else:
            answer = client.post(address.url(), body, content_type=FORM)
        if answer.streaming:
            list(answer.streaming_content)
    return answer.status_code


def fields_read(client: Client, method: str, address: Address, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names that the view asks for one by one, of a request with a sensible value for every name."""
    names: dict[str, None] = {}
    with monkeypatch.context() as patch:
        for reader in ("get", "getlist", "__getitem__", "__contains__"):
            original = getattr(MultiValueDict, reader)

            def noting(self: Any, key: Any, *more: Any, original: Any = original) -> Any:
                # Whoever takes all there is (a log, a copy) asks for none by name.
                if type(self).__name__ == "QueryDict" and sys._getframe(1).f_code.co_filename != _ALL:
                    names[str(key)] = None
                return original(self, key, *more)

            patch.setattr(MultiValueDict, reader, noting)
        status = send(client, method, address, list(SENSIBLE.items()))
    assert status < 500
    return [] if status == 405 else [name for name in names if name != "csrfmiddlewaretoken"]


@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("address", PAGES, ids=lambda address: address.route)
def test_nothing_in_a_field_breaks_a_page(
    caller: Client, worlds: tuple[World, Trial], monkeypatch: Any, address: Address, method: str
) -> None:
    """Every field is checked by itself, so all of them may be hostile at once; then some, among sensible ones. A row of
    another studio is as good as none."""
    names = fields_read(caller, method, address, monkeypatch)
    name_foreign_rows(caller, worlds[1], method, address, names)
    for worst in WORST if names else ():
        assert send(caller, method, address, [(name, worst) for name in names]) < 500, worst[:20]
    if names:
        attack(caller, method, address, names)


def name_foreign_rows(client: Client, trial: Trial, method: str, address: Address, names: list[str]) -> None:
    form = {name: SENSIBLE[name] for name in names if name in SENSIBLE}
    for name in form:
        if str(PK) in form[name]:
            sent = form | {name: form[name].replace(str(PK), str(FOREIGN))}
            trial.send(f"{method} {address.route} {name}", partial(getattr(client, method), address.url(), sent))
    assert trial.faults == []


def attack(client: Client, method: str, address: Address, names: list[str]) -> None:
    @QUICK
    @given(st.lists(st.tuples(st.sampled_from(names), HOSTILE), min_size=1, max_size=3))
    def tried(hostile: list[tuple[str, str]]) -> None:
        but = {name for name, _ in hostile}
        left = [(name, value) for name, value in SENSIBLE.items() if name in names and name not in but]
        assert send(client, method, address, [*left, *hostile]) < 500

    tried()


@pytest.mark.parametrize("action", [*WALL_EDITS, *PHOTO_EDITS])
def test_nothing_in_an_edit_breaks_it(caller: Client, action: str) -> None:
    name, of = ("wall_edit", {"pk": PK, "wall_pk": PK}) if action in WALL_EDITS else ("photo_edit", {"pk": PK})
    there = reverse(name, kwargs={**of, "action": action})
    names = list((WallEditForm if action in WALL_EDITS else PhotoEditForm)().fields)
    sensible = {name: value for name, value in SENSIBLE.items() if name in names}
    for hostile in ({}, *(dict.fromkeys(names, worst) for worst in WORST), *({one: "9" * 400} for one in sensible)):
        body = encoded(list((sensible | hostile).items()))
        with undone():
            answer = caller.post(there, body, content_type=FORM, headers={"HX-Request": "true"})
        assert answer.status_code < 500, hostile


def test_nothing_in_a_form_of_sign_in_breaks_it(caller: Client) -> None:
    """Of whoever is signed in, and of nobody: passwords, codes, addresses, passkeys."""
    for client in (caller, Client(raise_request_exception=False)):
        for there in SIGN_IN:
            for worst in (*WORST, "[" * 3000):
                with undone():
                    answer = client.post(there, encoded([(name, worst) for name in SIGN_IN_FIELDS]), content_type=FORM)
                assert answer.status_code < 500, (there, worst[:20])


@pytest.mark.parametrize("credential", CREDENTIALS, ids=str)
def test_no_passkey_that_is_none_breaks_sign_in(caller: Client, credential: Any) -> None:
    nobody = Client(raise_request_exception=False)
    for client, there in ((nobody, reverse("mfa_login_webauthn")), (caller, reverse("mfa_add_webauthn"))):
        with undone():
            client.get(there)  # begins what the credential would end
            answer = client.post(there, {"credential": json.dumps(credential), "name": "Key"})
        assert answer.status_code in (200, 302), there
        assert not Authenticator.objects.exists()
        assert "_auth_user_id" not in nobody.session


@QUICK
@given(kind=st.sampled_from([*ActionKind.values, "other"]), payload=st.dictionaries(st.sampled_from(PHONE), JSON))
@example(kind="problem", payload={"what": []})
@example(kind="problem", payload={"what": "wall", "note": "\ud800\0"})
@example(kind="drop", payload={"drop_mm": 10**400})
@example(kind="measured", payload={"left_mm": [], "top_left_mm": {}})
def test_nothing_from_a_phone_breaks_it(world: World, kind: str, payload: dict[str, Any]) -> None:
    action = {
        "uuid": str(uuid.UUID(int=1)),
        "device": "phone-one",
        "sequence": 1,
        "kind": kind,
        "placement": Placement.objects.get(revision=PK + 1).pk,
        "payload": payload,
        "done_at": "2026-03-31T10:00:00Z",
    }
    phone = Client(raise_request_exception=False, headers={"Authorization": f"Link {TOKEN}"})
    with undone():
        answer = phone.post("/api/v1/phone/actions/", json.dumps(action), content_type="application/json")
    assert answer.status_code < 500
