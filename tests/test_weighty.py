"""What an open session alone must not do: found by its mark at every address, and by what happens without one."""

from __future__ import annotations

import json
from typing import Any

import pytest
from allauth.mfa.models import Authenticator
from django.db import transaction
from django.test import Client
from django.urls import get_resolver, reverse

from placements.models import Delegation, Revision, SignOff
from studio.models import ApiToken, Invitation, Membership, Role, Studio
from studio.services.keys import token_create
from tests.factories import PASSWORD
from tests.sessions import sign_in
from tests.test_every_address import ADDRESSES, Address, views
from tests.world import PK, World, make_world

pytestmark = pytest.mark.django_db

#: More than a quarter of an hour [s].
LONG_AGO = 15 * 60 + 1
#: Every address with an action of weight; of each what makes it one.
WEIGHTY: dict[str, dict[str, str]] = {
    "api-delegation-list": {"first_day": "2027-03-01", "last_day": "2027-03-02"},
    "api-membership-detail": {"role": "principal"},
    "api-revision-sign-off": {},
    "invitation_again": {},
    "member_role": {"role": "principal"},
    "people": {"email": "new@example.test", "role": "principal"},
    "sign_off": {},
    "standing": {},
    "studio_data": {"name": "Studio"},
    "studio_export": {},
    "studio_settings": {"require_second_factor": "on"},
    "token_create": {"label": "stock list", "scope": "read", "days": "90"},
}
#: Pages that matter only by what is sent.
BY_WHAT_IS_SENT = {"member_role", "people", "standing", "studio_settings"}
PAGES = [
    (one, method)
    for one in ADDRESSES
    if one.name in WEIGHTY and not one.route.startswith("api/")
    for method in (("post",) if one.name in BY_WHAT_IS_SENT else ("get", "post"))
]
#: The library's: setting up, showing and taking away a second factor.
FACTORS = (
    *("mfa_activate_totp", "mfa_add_webauthn", "mfa_generate_recovery_codes", "mfa_view_recovery_codes"),
    *("mfa_download_recovery_codes", "mfa_deactivate_totp"),
)


@pytest.fixture
def world(cast: Any) -> World:
    return make_world(cast)


@pytest.fixture
def forgotten(world: World) -> Client:
    """A principal's session that was left open."""
    return sign_in(Client(), world.cast.principal, ago=LONG_AGO)


def asked(answer: Any) -> bool:
    if answer.status_code == 302:
        return str(answer["Location"]).startswith((reverse("account_reauthenticate"), reverse("mfa_reauthenticate")))
    return bool(answer.status_code == 403 and answer.json()["code"] == "proof-needed")


def weight(world: World) -> list[Any]:
    """What only a recent proof may change."""
    return [
        list(ApiToken.objects.values_list("pk")),
        list(Delegation.objects.values_list("pk")),
        list(Authenticator.objects.values_list("pk")),
        list(Membership.objects.filter(role=Role.PRINCIPAL).order_by("pk").values_list("pk")),
        list(Invitation.objects.filter(role=Role.PRINCIPAL).values_list("pk")),
        list(SignOff.objects.order_by("pk").values_list("pk")),
        list(Studio.objects.order_by("pk").values_list("pk", "require_second_factor")),
    ]


def test_every_action_of_weight_is_marked() -> None:
    marked = {name for name, view in views(get_resolver().url_patterns) if getattr(view, "weighty", False)}
    assert marked == set(WEIGHTY)


@pytest.mark.parametrize(("address", "method"), PAGES, ids=lambda one: getattr(one, "name", one))
def test_a_forgotten_session_is_asked_first(world: World, forgotten: Client, address: Address, method: str) -> None:
    before = weight(world)
    assert asked(getattr(forgotten, method)(address.url(), WEIGHTY[address.name]))
    assert weight(world) == before
    fresh = sign_in(Client(), world.cast.principal, ago=LONG_AGO - 60)
    assert not asked(getattr(fresh, method)(address.url(), WEIGHTY[address.name]))


@pytest.mark.parametrize("name", FACTORS)
def test_a_forgotten_session_is_asked_before_a_factor_changes(world: World, forgotten: Client, name: str) -> None:
    if name != "mfa_activate_totp":
        for kind in (Authenticator.Type.TOTP, Authenticator.Type.RECOVERY_CODES):
            Authenticator.objects.create(user=world.cast.principal, type=kind, data={"secret": "", "seed": ""})
    before = weight(world)
    assert asked(forgotten.get(reverse(name)))
    sent = forgotten.post(reverse(name), {"code": "000000"})
    assert asked(sent) or sent.status_code == 405
    assert weight(world) == before


def test_nothing_of_weight_happens_in_a_forgotten_session_wherever_it_is_sent(world: World, forgotten: Client) -> None:
    """Found without the marks: every address gets what would do it."""
    Revision.objects.filter(pk=PK).update(number=3)  # the plan in review is the newest, as it is in a studio
    before, body = weight(world), {name: value for sent in WEIGHTY.values() for name, value in sent.items()}
    body |= {"name": world.cast.studio.name, "statement": "Signed.", "membership": PK}
    for address in ADDRESSES:
        of_api = address.route.startswith("api/")
        sent = {"data": json.dumps(body), "content_type": "application/json"} if of_api else {"data": body}
        for method in {"post", "put", "patch"} & set(address.methods) if of_api else {"post"}:
            with transaction.atomic():
                answer = getattr(forgotten, method)(address.url(), **sent)
                if answer.streaming:
                    list(answer.streaming_content)
                assert answer.get("Content-Type") != "application/zip", address
                assert weight(world) == before, (address, method)
                transaction.set_rollback(True)


def test_what_was_sent_is_done_once_it_is_confirmed(world: World, forgotten: Client) -> None:
    there = forgotten.post(reverse("token_create"), {"label": "stock list", "scope": "read", "days": "90"})["Location"]
    page = forgotten.get(there).content.decode()
    assert "Confirm" in page
    assert forgotten.post(there, {"password": "wrong"}).status_code == 200
    assert not ApiToken.objects.exists()
    done = forgotten.post(there, {"password": PASSWORD})
    assert 'class="key"' in done.content.decode()
    assert ApiToken.objects.get().label == "stock list"


def test_api_refuses_a_forgotten_session_and_takes_a_key(world: World, forgotten: Client) -> None:
    there = reverse("api-membership-detail", args=[PK])
    send = {"data": json.dumps({"role": "principal"}), "content_type": "application/json"}
    assert asked(forgotten.patch(there, **send))
    key = token_create(by=world.cast.principal, label="people")
    assert Client(headers={"Authorization": f"Token {key}"}).patch(there, **send).status_code == 200
    assert Membership.objects.get(pk=PK).role == Role.PRINCIPAL
