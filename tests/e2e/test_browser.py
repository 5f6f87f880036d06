"""The browser fixtures themselves: our own pages open, nothing else does, and faults are seen."""

from __future__ import annotations

import pytest

from tests.factories import UserFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_health_page_opens(page):
    assert page.goto("/health/live").status == 200


def test_signed_in_person_is_known(new_page):
    page = new_page(UserFactory(is_staff=True, is_superuser=True))
    assert page.goto("/admin/").status == 200
    assert page.url.endswith("/admin/")


def test_nothing_elsewhere_is_reachable(page):
    with pytest.raises(Exception, match=r"ERR_NAME_NOT_RESOLVED|ERR_INTERNET_DISCONNECTED"):
        page.goto("http://elsewhere.example/")


def test_policy_violation_is_seen(page, browser_faults):
    page.goto("/health/live")
    page.evaluate(
        "() => { const s = document.createElement('script'); s.text = 'window.ran = 1'; document.body.append(s) }"
    )
    assert page.evaluate("() => window.ran") is None
    assert any("Content Security Policy" in fault for fault in browser_faults)
    browser_faults.clear()
