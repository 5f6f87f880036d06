"""A passkey from first to last, with the browser's own virtual authenticator (W3C WebAuthn level 2, section 11)."""

from __future__ import annotations

import pytest
from allauth.mfa.models import Authenticator

from tests.factories import UserFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PASSWORD = "thirteen-brass-hooks"


def test_passkey_is_added_and_signs_in_without_a_password(new_page, live_server):
    user = UserFactory(email="hollis@example.com")
    user.set_password(PASSWORD)
    user.save()
    page = new_page()
    devtools = page.context.new_cdp_session(page)
    devtools.send("WebAuthn.enable")
    devtools.send(
        "WebAuthn.addVirtualAuthenticator",
        {
            "options": {
                "protocol": "ctap2",
                "transport": "internal",
                "hasResidentKey": True,
                "hasUserVerification": True,
                "isUserVerified": True,
                "automaticPresenceSimulation": True,
            }
        },
    )
    page.goto("/account/login/")
    page.locator("input[name=login]").fill(user.email)
    page.locator("input[name=password]").fill(PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.wait_for_url(lambda url: "login" not in url)

    page.goto("/account/2fa/webauthn/add/")
    # The sign-in a moment ago is proof enough of who adds a way in.
    page.get_by_label("Name").fill("Office laptop")
    page.get_by_label("Passwordless").check()
    page.locator("#mfa_webauthn_add").click()
    page.wait_for_url(lambda url: not url.endswith("/webauthn/add/"))
    assert Authenticator.objects.filter(user=user, type="webauthn").count() == 1

    page.context.clear_cookies()
    page.goto("/account/login/")
    page.locator("#passkey_login").click()
    page.wait_for_url(lambda url: "login" not in url)
    page.get_by_text(user.name.split()[0]).first.wait_for()
