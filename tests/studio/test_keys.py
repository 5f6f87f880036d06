"""Keys for programs. Kept hashed, of at least 128 bits (OWASP ASVS 5.0.0, 6.5.2 and 11.5.1)."""

from __future__ import annotations

import hashlib
import json
import re
from datetime import timedelta

import pytest
from allauth.mfa.models import Authenticator
from django.contrib.auth.management.commands import changepassword
from django.core import mail
from django.core.management import call_command
from django.db.models import F
from django.test import Client
from django.urls import reverse

from studio.errors import Invalid, Missing
from studio.models import ApiToken, Membership
from studio.services.keys import MOST, token_create, token_revoke
from tests.factories import PASSWORD, ClientFactory
from tests.studio.test_signin import set_up_totp

NEW_PASSWORD = "gesso-and-rabbit-glue"

pytestmark = pytest.mark.django_db


def ask(key):
    return Client().get("/api/v1/projects", headers={"Authorization": f"Token {key}"})


def test_key_made_on_the_page_opens_the_api_and_only_its_hash_is_kept(cast, client_of):
    answer = client_of(cast.designer).post(
        reverse("token_create"), {"label": "stock list", "scope": "read", "days": "90"}
    )
    key = re.search(r'class="key">([^<]+)<', answer.content.decode()).group(1)
    assert len(key) >= 43  # 256 bits in base64
    assert answer["Cache-Control"] == "no-store"
    token = ApiToken.objects.get()
    assert token.token_sha256 == hashlib.sha256(key.encode()).hexdigest()
    assert key not in str(list(ApiToken.objects.values()))
    assert ask(key).status_code == 200
    token.refresh_from_db()
    assert token.last_used_at is not None


def test_key_taken_back_or_guessed_opens_nothing(cast, client_of):
    key = token_create(by=cast.designer, label="stock list")
    client_of(cast.designer).post(reverse("token_revoke", args=[ApiToken.objects.get().pk]))
    assert ask(key).status_code == 401
    assert ask("guessed").status_code == 401


def test_key_of_somebody_who_left_opens_nothing(cast):
    key = token_create(by=cast.designer, label="stock list")
    cast.designer.is_active = False
    cast.designer.save()
    assert ask(key).status_code == 401


def test_key_is_no_way_round_a_second_factor(cast):
    key = token_create(by=cast.designer, label="stock list")
    cast.studio.require_second_factor = True
    cast.studio.save()
    refused = ask(key)
    assert refused.status_code == 403
    assert "second factor" in refused.json()["detail"]
    Authenticator.objects.create(user=cast.designer, type=Authenticator.Type.TOTP, data={})
    assert ask(key).status_code == 200


def test_nobody_takes_back_anothers_key(cast):
    token_create(by=cast.designer, label="stock list")
    with pytest.raises(Missing):
        token_revoke(by=cast.stranger, pk=ApiToken.objects.get().pk)
    assert ApiToken.objects.exists()


@pytest.mark.parametrize("label", ["", "   ", "x" * 81])
def test_key_without_a_fitting_label_is_refused(cast, label):
    with pytest.raises(Invalid):
        token_create(by=cast.designer, label=label)


def test_keys_are_bounded(cast):
    for number in range(MOST):
        token_create(by=cast.designer, label=f"program {number}")
    with pytest.raises(Invalid, match="Revoke one"):
        token_create(by=cast.designer, label="one more")


def send(key, method="post", path="/api/v1/clients", **body):
    client = Client(headers={"Authorization": f"Token {key}"})
    return getattr(client, method)(path, json.dumps(body), content_type="application/json")


def test_key_ends_after_ninety_days_unless_chosen(cast):
    key, longer = (token_create(by=cast.designer, label="list", **days) for days in ({}, {"days": 366}))
    assert ask(key).status_code == ask(longer).status_code == 200
    ApiToken.objects.update(expires_at=F("expires_at") - timedelta(days=90))
    ended = ask(key)
    assert ended.status_code == 401
    assert "ended on" in ended.json()["detail"]
    assert ask(longer).status_code == 200


@pytest.mark.parametrize("wrong", [{"days": 0}, {"days": 367}, {"scope": "everything"}, {"label": "a\0b"}])
def test_key_of_no_such_kind_is_refused(cast, wrong):
    with pytest.raises(Invalid):
        token_create(by=cast.designer, **({"label": "list"} | wrong))


def test_key_that_reads_changes_nothing(cast):
    key = token_create(by=cast.principal, label="list", scope="read")
    assert ask(key).status_code == 200
    refused = send(key, name="New client")
    assert refused.status_code == 403
    assert "only reads" in refused.json()["detail"]
    assert send(token_create(by=cast.principal, label="both"), name="New client").status_code == 201


def test_key_of_one_studio_finds_nothing_of_another(cast):
    Membership.objects.create(studio=cast.other_studio, user=cast.principal, role="principal")
    theirs = ClientFactory(studio=cast.other_studio)
    key = token_create(by=cast.principal, label="one", studio=cast.studio)
    both = token_create(by=cast.principal, label="all")
    assert Client(headers={"Authorization": f"Token {both}"}).get(f"/api/v1/clients/{theirs.pk}").status_code == 200
    assert Client(headers={"Authorization": f"Token {key}"}).get(f"/api/v1/clients/{theirs.pk}").status_code == 404
    assert send(key, name="New", studio=cast.other_studio.pk).status_code in (404, 422, 400)
    assert send(key, name="New", studio=cast.studio.pk).status_code == 201


def test_nobody_makes_a_key_for_a_studio_that_is_not_theirs(cast):
    with pytest.raises(Missing):
        token_create(by=cast.designer, label="list", studio=cast.other_studio)


def test_last_use_is_noted_with_its_address(cast):
    key = token_create(by=cast.designer, label="list")
    client = Client(headers={"Authorization": f"Token {key}"})
    client.get("/api/v1/projects", REMOTE_ADDR="192.0.2.7")
    assert ApiToken.objects.get().last_used_from == "192.0.2.7"
    client.get("/api/v1/projects", REMOTE_ADDR="192.0.2.8")  # elsewhere: noted at once
    assert ApiToken.objects.get().last_used_from == "192.0.2.8"


def test_maker_gets_a_letter_without_the_key(cast, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        key = token_create(by=cast.designer, label="stock <list>", scope="read", studio=cast.studio)
    (letter,) = mail.outbox
    assert letter.to == [cast.designer.email]
    assert "stock <list>" in letter.body
    assert str(cast.studio) in letter.body
    assert key not in letter.body


@pytest.mark.django_db(transaction=True)  # a new factor is told of after its commit
@pytest.mark.parametrize("change", ["password", "factor"])
def test_keys_end_with_a_new_password_or_second_factor_unless_kept(cast, client_of, change):
    ends, kept = (token_create(by=cast.designer, label="list", kept=kept) for kept in (False, True))
    client = client_of(cast.designer)
    if change == "password":
        new = {"oldpassword": PASSWORD, "password1": NEW_PASSWORD, "password2": NEW_PASSWORD}
        assert client.post(reverse("account_change_password"), new).status_code == 302
    else:
        set_up_totp(client)
    assert ask(ends).status_code == 401
    assert ask(kept).status_code == 200


def test_keys_end_with_a_password_that_a_command_sets(cast, monkeypatch):
    ends, kept = (token_create(by=cast.designer, label="list", kept=kept) for kept in (False, True))
    monkeypatch.setattr(changepassword.Command, "_get_pass", lambda *_: NEW_PASSWORD)
    call_command("changepassword", cast.designer.email)
    assert (ask(ends).status_code, ask(kept).status_code) == (401, 200)
    theirs = token_create(by=cast.stranger, label="list")
    cast.stranger.name = "Another name"
    cast.stranger.save()
    assert ask(theirs).status_code == 200, "nothing but a password ends them"


def test_wrong_keys_are_throttled_and_right_ones_from_there_are_not(cast):
    key = token_create(by=cast.designer, label="list")
    found = [ask(f"guess-{number}").status_code for number in range(65)]
    assert found == [401] * 20 + [429] * 45
    assert int(ask("guess")["Retry-After"]) > 0
    assert ask(key).status_code == 200
