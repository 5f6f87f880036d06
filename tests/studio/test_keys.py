"""Keys for programs. Kept hashed, of at least 128 bits (OWASP ASVS 5.0.0, 6.5.2 and 11.5.1)."""

from __future__ import annotations

import hashlib
import re

import pytest
from allauth.mfa.models import Authenticator
from django.test import Client
from django.urls import reverse

from studio.errors import Invalid, Missing
from studio.models import ApiToken
from studio.services.keys import MOST, token_create, token_revoke

pytestmark = pytest.mark.django_db


def ask(key):
    return Client().get("/api/v1/projects", headers={"Authorization": f"Token {key}"})


def test_key_made_on_the_page_opens_the_api_and_only_its_hash_is_kept(cast, client_of):
    answer = client_of(cast.designer).post(reverse("token_create"), {"label": "stock list"})
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
