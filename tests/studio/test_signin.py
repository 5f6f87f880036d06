"""Signing in through the pages themselves: lockout, second factor, sessions."""

from __future__ import annotations

import re

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal.auth import format_hotp_value, hotp_value, yield_hotp_counters_from_time
from allauth.usersessions.models import UserSession
from django.contrib.auth.password_validation import validate_password
from django.core import mail
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from studio.passwords import ADVICE
from studio.signin import SecondFactorAdapter
from studio.templatetags.devices import device
from tests.factories import PASSWORD, UserFactory

pytestmark = pytest.mark.django_db


def sign_in(client, user, password=PASSWORD, **extra):
    return client.post(reverse("account_login"), {"login": user.email, "password": password}, **extra)


def code_for(secret: str) -> str:
    """The code of RFC 6238 for now."""
    return format_hotp_value(hotp_value(secret, next(iter(yield_hotp_counters_from_time()))))


def set_up_totp(client) -> str:
    page = client.get(reverse("mfa_activate_totp"))
    if page.status_code == 302:
        client.post(page["Location"], {"password": PASSWORD})
        page = client.get(reverse("mfa_activate_totp"))
    secret = page.context["form"].secret
    assert client.post(reverse("mfa_activate_totp"), {"code": code_for(secret)}).status_code == 302
    return secret


@pytest.mark.smoke
def test_right_password_signs_in(client):
    user = UserFactory()
    assert sign_in(client, user).status_code == 302
    assert client.session["_auth_user_id"] == str(user.pk)


def test_nobody_signs_up_unasked(client):
    client.post(reverse("account_signup"), {"email": "me@example.test", "password1": PASSWORD, "password2": PASSWORD})
    assert "_auth_user_id" not in client.session
    assert client.get(reverse("account_signup")).status_code == 200


def test_five_wrong_passwords_lock_out_even_the_right_one(client):
    user = UserFactory()
    for _ in range(5):
        answer = sign_in(client, user, "wrong")
    assert answer.status_code == 429
    assert answer["Retry-After"] == "900"
    assert "15 minutes" in answer.content.decode()
    assert sign_in(client, user).status_code == 429
    assert "_auth_user_id" not in client.session


def test_lockout_leaves_other_people_alone(client):
    user, other = UserFactory(), UserFactory()
    for _ in range(5):
        sign_in(client, user, "wrong")
    assert sign_in(client, other).status_code == 302


def test_unknown_address_is_answered_like_a_wrong_password(client):
    user = UserFactory()
    wrong = sign_in(client, user, "wrong").content.decode()
    nobody = {"login": "nobody@example.test", "password": "wrong"}
    unknown = client.post(reverse("account_login"), nobody).content.decode()

    def plain(text):
        return re.sub(r"[A-Za-z0-9]{64}|nobody@example.test|person[0-9]+@example.test", "", text)

    assert plain(unknown) == plain(wrong)


def test_password_reset_tells_nobody_who_has_an_account(client):
    user = UserFactory()
    for email in (user.email, "nobody@example.test"):
        assert client.post(reverse("account_reset_password"), {"email": email}).status_code == 302
    assert len(mail.outbox) == 2
    assert "/account/password/reset/key/" in mail.outbox[0].body
    assert "/account/password/reset/key/" not in mail.outbox[1].body


def test_no_letter_leads_to_a_host_that_a_request_named(client, settings):
    """Even where the operator lets any host in (OWASP, Forgot Password Cheat Sheet: host header injection)."""
    user, host = UserFactory(), "poisoned.example"
    refused = client.post(reverse("account_reset_password"), {"email": user.email}, headers={"host": host})
    assert (refused.status_code, mail.outbox) == (400, [])
    settings.ALLOWED_HOSTS = ["*"]
    for email in (user.email, "nobody@example.test"):
        client.post(
            reverse("account_reset_password"), {"email": email}, headers={"host": host, "X-Forwarded-Host": host}
        )
    sign_in(client, user)
    new = {"oldpassword": PASSWORD, "password1": "gesso-and-rabbit-glue", "password2": "gesso-and-rabbit-glue"}
    client.post(reverse("account_change_password"), new, headers={"host": host})
    assert len(mail.outbox) == 3
    assert f"{settings.BASE_URL}/account/password/reset/key/" in mail.outbox[0].body
    for letter in mail.outbox:
        assert "poisoned" not in letter.subject + letter.body
        assert letter.subject.startswith("Overmantel: ")


def test_weak_new_password_is_refused(client):
    sign_in(client, UserFactory())
    for password, why in (
        ("short-one", "at least 12 characters"),
        ("123456789012", "quick to guess"),
        ("passwordpassword", ADVICE),
    ):
        new = {"oldpassword": PASSWORD, "password1": password, "password2": password}
        answer = client.post(reverse("account_change_password"), new)
        assert answer.status_code == 200
        assert why in str(answer.context["form"].errors["password1"])


@pytest.mark.parametrize(
    ("password", "taken"),
    [
        ("password1234", False),
        ("aaaaaaaaaaaaaaaa", False),
        ("qwertyuiopasdf", False),
        ("overmantel2026", False),
        ("inesmarlowe1", False),
        ("ines.m@loft.example", False),
        ("gesso-and-rabbit-glue", True),
        ("correct horse battery staple", True),  # the sample of four words that the estimate's paper opens with
        ("gesso, bole, size and gold leaf, laid by candlelight over a winter of short days", True),
    ],
)
def test_password_is_as_hard_to_guess_as_it_must_be(password, taken):
    person = UserFactory.build(name="Ines Marlowe", email="ines.m@loft.example")
    if taken:
        validate_password(password, person)
        return
    with pytest.raises(ValidationError):
        validate_password(password, person)


def test_wrong_second_factor_counts_for_that_person_alone(client):
    """Both are at one address, as in an office: thirty tries of one leave the other's sign-in open."""
    victim, other = UserFactory(), UserFactory()
    for person in (victim, other):
        sign_in(client, person)
        set_up_totp(client)
        client.logout()
    sign_in(client, victim)
    wrong = [client.post(reverse("mfa_authenticate"), {"code": "000000"}).content.decode() for _ in range(31)]
    assert "Incorrect code" in wrong[29]
    assert "Too many" in wrong[30]
    neighbour = Client()
    assert sign_in(neighbour, other)["Location"] == reverse("mfa_authenticate")
    codes = Authenticator.objects.get(user=other, type=Authenticator.Type.RECOVERY_CODES).wrap().get_unused_codes()
    neighbour.post(reverse("mfa_authenticate"), {"code": codes[0]})
    assert neighbour.session["_auth_user_id"] == str(other.pk)


def test_second_factor_is_asked_for_once_set_up(client):
    user = UserFactory()
    sign_in(client, user)
    secret = set_up_totp(client)
    later = Client()
    answer = sign_in(later, user)
    assert answer["Location"] == reverse("mfa_authenticate")
    assert "_auth_user_id" not in later.session
    later.post(reverse("mfa_authenticate"), {"code": "000000"})
    assert "_auth_user_id" not in later.session
    # The same code opens once only; recovery codes are the other way in.
    codes = Authenticator.objects.get(user=user, type=Authenticator.Type.RECOVERY_CODES).wrap().get_unused_codes()
    later.post(reverse("mfa_authenticate"), {"code": codes[0]})
    assert later.session["_auth_user_id"] == str(user.pk)
    assert secret


def test_seed_of_one_time_codes_is_stored_encrypted(client):
    user = UserFactory()
    sign_in(client, user)
    secret = set_up_totp(client)
    stored = Authenticator.objects.get(user=user, type=Authenticator.Type.TOTP).data["secret"]
    assert secret not in stored
    assert SecondFactorAdapter().decrypt(stored) == secret


def test_replaced_secret_key_still_reads_old_seeds(settings):
    adapter = SecondFactorAdapter()
    stored = adapter.encrypt("seed")
    settings.SECRET_KEY_FALLBACKS = [settings.SECRET_KEY]
    settings.SECRET_KEY = "another-key-0123456789-0123456789-0123456789-012345"
    assert adapter.decrypt(stored) == "seed"


def test_studio_that_asks_for_a_second_factor_gets_it(cast, client_of):
    cast.studio.require_second_factor = True
    cast.studio.save()
    client = client_of(cast.designer)
    assert client.get("/admin/")["Location"] == reverse("mfa_index")
    refused = client.get(reverse("api_schema"))
    assert (refused.status_code, refused.json()["code"]) == (403, "not-allowed")
    assert client.get(reverse("account_logout")).status_code == 200
    set_up_totp(client)
    assert client.get(reverse("api_schema")).status_code == 200
    assert client_of(cast.stranger).get(reverse("api_schema")).status_code == 200


def test_another_session_can_be_revoked(client):
    user, thief = UserFactory(), Client()
    sign_in(thief, user, HTTP_USER_AGENT="Somewhere else")
    sign_in(client, user)
    assert "Somewhere else" in client.get(reverse("usersessions_list")).content.decode()
    client.post(reverse("usersessions_list"))
    assert thief.get(reverse("usersessions_list")).status_code == 302
    assert client.get(reverse("usersessions_list")).status_code == 200


def test_one_device_is_signed_out_by_name_and_nobody_elses(client):
    user, phone, stranger = UserFactory(), Client(), Client()
    sign_in(phone, user, HTTP_USER_AGENT="Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0")
    sign_in(client, user)
    sign_in(stranger, UserFactory())
    page = client.get(reverse("usersessions_list")).content.decode()
    assert "Firefox on Linux" in page
    end = reverse("device_end", args=[UserSession.objects.get(user_agent__contains="Firefox").pk])
    assert end in page
    assert stranger.post(end).status_code == 404
    assert phone.get(reverse("usersessions_list")).status_code == 200
    assert client.post(end).status_code == 302
    assert phone.get(reverse("usersessions_list")).status_code == 302
    assert client.get(reverse("usersessions_list")).status_code == 200


@pytest.mark.parametrize(
    ("user_agent", "words"),
    [  # The forms that the makers publish, shortened.
        ("Mozilla/5.0 (X11; Linux x86_64) Chrome/140.0 Safari/537.36", "Chrome on Linux"),
        ("Mozilla/5.0 (Windows NT 10.0; Win64; x64) Chrome/140.0 Safari/537.36 Edg/140.0", "Edge on Windows"),
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) Version/18.0 Safari/604.1", "Safari on an iPhone"),
        ("Mozilla/5.0 (Android 15; Mobile; rv:140.0) Gecko/140.0 Firefox/140.0", "Firefox on Android"),
        ("curl/8.0", "curl/8.0"),
        ("", "Unknown"),
    ],
)
def test_device_is_named(user_agent, words):
    assert device(user_agent) == words
