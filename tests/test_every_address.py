"""Every address there is, tried by everybody who should not get in: no view can be forgotten, since the test asks the
resolver for them, and fails when it cannot fill one in."""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from django.contrib import admin
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from tests.world import CANARY, PK, TOKEN, make_world, scoped_models

pytestmark = pytest.mark.django_db

#: Views of libraries: accounts show nothing of a studio; the admin has a test of its own.
LIBRARIES = ("account/", "admin/")
#: Open to everybody, with nothing of a studio's in them.
OPEN = {"health_live", "health_ready", "metrics", "api_schema", "phone", "phone_worker", "phone_manifest"}
#: What stands in an address besides numbers: words that exist in the world.
WORDS = {"token": TOKEN, "format": "json", "alias": "page", "rule": "eye-line"}
METHODS = ("get", "post", "put", "patch", "delete")
REFUSED = (401, 403, 404)


@dataclass(frozen=True)
class Address:
    route: str
    name: str
    methods: tuple[str, ...]

    @property
    def parameters(self) -> list[str]:
        return re.findall(r"<(?:\w+:)?(\w+)>", self.route)

    @property
    def by_link(self) -> bool:
        return "token" in self.parameters

    @property
    def by_object(self) -> bool:
        return not self.by_link and any(name not in WORDS for name in self.parameters)

    def url(self, **words: str) -> str:
        return reverse(self.name, kwargs={name: (WORDS | words).get(name, PK) for name in self.parameters})


def methods_of(callback: Any) -> tuple[str, ...]:
    """What a view answers: a viewset's actions, a class's handlers; a plain function is tried with each."""
    if actions := getattr(callback, "actions", None):
        return tuple(actions)
    view = getattr(callback, "view_class", None) or getattr(callback, "cls", None)
    return tuple(method for method in METHODS if hasattr(view, method)) if view else METHODS


def walk(
    patterns: list[Any], prefix: str = "", namespace: str = "", libraries: tuple[str, ...] = LIBRARIES
) -> Iterator[Address]:
    for pattern in patterns:
        route = prefix + str(pattern.pattern).removeprefix("^")
        if isinstance(pattern, URLResolver):
            inner = f"{namespace}{pattern.namespace}:" if pattern.namespace else namespace
            yield from walk(pattern.url_patterns, route, inner, libraries)
        elif getattr(pattern.callback, "__name__", "") == "_later":
            continue
        elif isinstance(pattern, URLPattern) and not route.startswith(libraries):
            assert pattern.name, f"{route} has no name, so nothing can lead to it"
            yield Address(route, namespace + pattern.name, methods_of(pattern.callback))


def views(patterns: list[Any], prefix: str = "") -> Iterator[tuple[str, Any]]:
    """Each address of ours by its name, with what answers there: a view, or each operation of a viewset's."""
    for pattern in patterns:
        route = prefix + str(pattern.pattern).removeprefix("^")
        if isinstance(pattern, URLResolver):
            yield from views(pattern.url_patterns, route)
        elif not route.startswith(LIBRARIES):
            actions = getattr(pattern.callback, "actions", None) or {}
            for view in [getattr(pattern.callback.cls, name) for name in actions.values()] or [pattern.callback]:
                yield pattern.name, view


ADDRESSES = sorted(walk(get_resolver().url_patterns), key=lambda address: address.route)
BY_OBJECT = [address for address in ADDRESSES if address.by_object]
BY_LINK = [address for address in ADDRESSES if address.by_link]
PLAIN = [address for address in ADDRESSES if not address.by_object and not address.by_link]


@pytest.fixture
def world(cast):
    return make_world(cast)


def answers(client: Client, addresses: list[Address], **words: str) -> Iterator[tuple[str, Any, str]]:
    """What each address answers to each of its methods, and the text of the answer."""
    for address in addresses:
        for method in address.methods:
            body = {} if method == "get" else {"data": "{}", "content_type": "application/json"}
            answer = getattr(client, method)(address.url(**words), **body)
            text = b"".join(answer.streaming_content) if answer.streaming else answer.content
            yield f"{method.upper()} {address.route}", answer, text.decode("utf-8", "replace")


def sent_to_sign_in(answer: Any) -> bool:
    return answer.status_code == 302 and answer["Location"].startswith(reverse("account_login"))


def test_world_has_a_row_of_everything(world):
    missing = [model.__name__ for model in scoped_models() if not model.objects.filter(pk=PK).exists()]
    assert missing == [], "add rows in tests/world.py, so that every address is tried against them"


def test_every_address_can_be_filled_in():
    assert ADDRESSES
    for address in ADDRESSES:
        address.url()


def test_stranger_finds_nothing_and_changes_nothing(world, client_of):
    before = world.state()
    faults = [
        f"{what}: {answer.status_code}"
        for what, answer, text in answers(client_of(world.cast.stranger), BY_OBJECT)
        if answer.status_code not in (*REFUSED, 405) or CANARY in text
    ]
    assert faults == []
    assert world.state() == before


def test_lists_show_a_stranger_nothing_of_another_studio(world, client_of):
    faults = [
        f"{what}: {answer.status_code}"
        for what, answer, text in answers(client_of(world.cast.stranger), PLAIN)
        if answer.status_code >= 500 or CANARY in text
    ]
    assert faults == []


def test_nobody_signed_in_is_sent_to_sign_in_or_refused(world, client):
    before = world.state()
    guarded = [address for address in (*BY_OBJECT, *PLAIN) if address.name not in OPEN]
    faults = [
        f"{what}: {answer.status_code} {answer.get('Location', '')}"
        for what, answer, text in answers(client, guarded)
        if CANARY in text
        or not (
            answer.status_code in (405, *REFUSED)
            or (answer.status_code == 302 and answer["Location"].startswith(reverse("account_login")))
        )
    ]
    assert faults == []
    assert world.state() == before


@pytest.mark.parametrize("role", ["principal", "designer", "coordinator"])
def test_members_reach_their_own(world, client_of, role):
    """The counter-proof: the same addresses lead somewhere for those who may."""
    reads = [Address(address.route, address.name, ("get",)) for address in BY_OBJECT if "get" in address.methods]
    faults = [
        f"{what}: {answer.status_code}"
        for what, answer, _ in answers(client_of(getattr(world.cast, role)), reads)
        if answer.status_code >= 500 or (role == "principal" and answer.status_code == 404)
    ]
    assert faults == []


def test_good_link_of_a_client_opens_what_it_shows(world, client):
    """The counter-proof: the page, the pictures, the photograph with the works in it and without, in every size."""
    reads = [address for address in BY_LINK if address.route.startswith("client/") and address.name != "client_logo"]
    found = {what: answer.status_code for what, answer, _ in answers(client, reads) if what.startswith("GET ")}
    assert set(found.values()) <= {200, 405}, found
    assert sum(status == 200 for status in found.values()) == len(reads) - 2, found  # the two answers are only sent


@pytest.mark.parametrize(
    "spoil",
    [
        pytest.param(lambda world: world.revoke_links(revoked_at=timezone.now()), id="revoked"),
        pytest.param(lambda world: world.revoke_links(expires_at=timezone.now() - dt.timedelta(days=1)), id="expired"),
    ],
)
def test_spoilt_link_leads_nowhere(world, client, spoil):
    spoil(world)
    before = world.state()
    faults = [
        f"{what}: {answer.status_code}"
        for what, answer, text in answers(client, BY_LINK)
        if not (answer.status_code in (405, 410, *REFUSED) or sent_to_sign_in(answer)) or CANARY in text
    ]
    assert faults == []
    assert world.state() == before


@pytest.mark.parametrize(
    ("spoil", "status"),
    [
        pytest.param({}, None, id="good"),
        pytest.param({"revoked_at": timezone.now()}, 401, id="revoked"),
        pytest.param({"expires_at": timezone.now() - dt.timedelta(days=1)}, 401, id="expired"),
    ],
)
def test_link_in_a_header_opens_its_job_while_it_is_good(world, spoil, status):
    """A hanger's token travels in a header; whatever the address, a spoilt one is refused before anything else."""
    world.revoke_links(**spoil)
    phone = Client(headers={"Authorization": f"Link {TOKEN}"})
    reads = [address for address in ADDRESSES if address.route.startswith("api/v1/phone/")]
    found = {what: answer.status_code for what, answer, _ in answers(phone, reads)}
    assert found
    if status:
        assert set(found.values()) <= {status, 405}, found
    else:
        assert 200 in found.values()
        assert max(found.values()) < 500, found


@pytest.mark.parametrize("who", ["stranger", None])
def test_link_of_one_job_opens_no_office_page(world, client_of, who):
    """Nor does a link make anything of an address that is not the phone's."""
    client = client_of(world.cast.stranger if who else None)
    client.defaults["HTTP_AUTHORIZATION"] = f"Link {TOKEN}"
    office = [address for address in BY_OBJECT if not address.route.startswith("api/v1/phone/")]
    faults = [
        f"{what}: {answer.status_code}"
        for what, answer, text in answers(client, office)
        if CANARY in text or answer.status_code == 200
    ]
    assert faults == []


def test_guessed_link_leads_nowhere(world, client):
    faults = [
        f"{what}: {answer.status_code}"
        for what, answer, text in answers(client, BY_LINK, token="guessed-0123456789-0123456789-0123456789")
        if not (answer.status_code in (405, *REFUSED) or sent_to_sign_in(answer)) or CANARY in text
    ]
    assert faults == []


def test_superuser_reads_no_studio_but_in_the_admin(world, client_of):
    """Whoever runs the site is no member: pages and API hold nothing for them, and the admin shows no secret."""
    boss = world.cast.stranger
    boss.is_staff = boss.is_superuser = True
    boss.save()
    reads = [Address(address.route, address.name, ("get",)) for address in BY_OBJECT if "get" in address.methods]
    client = client_of(boss)
    faults = [
        f"{what}: {answer.status_code}"
        for what, answer, text in answers(client, reads)
        if answer.status_code not in (*REFUSED, 405) or CANARY in text
    ]
    assert faults == []
    secret = hashlib.sha256(TOKEN.encode()).hexdigest()
    for model in admin.site._registry:
        row = model._default_manager.first()
        name = f"admin:{model._meta.app_label}_{model._meta.model_name}"
        for there in (reverse(f"{name}_changelist"), row and reverse(f"{name}_change", args=[row.pk])):
            answer = client.get(there) if there else None
            assert answer is None or answer.status_code == 200, there
            assert answer is None or secret not in answer.content.decode(), there


def test_admin_is_for_staff(world, client_of):
    for person in (world.cast.principal, world.cast.stranger, None):
        answer = client_of(person).get(reverse("admin:index"))
        assert answer.status_code in (302, *REFUSED)
