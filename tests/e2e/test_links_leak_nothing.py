"""Links in a real browser: an invitation is accepted, a client answers, and no referrer ever holds a token."""

from __future__ import annotations

import pytest
from django.urls import reverse

from placements.models import ClientAnswer
from placements.services.client_links import client_link_create
from studio.models import Membership
from studio.services import people
from tests.factories import make_cast
from tests.reports.signing import signed_house

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def referrers():
    return []


@pytest.fixture
def visitor(new_page, referrers):
    page = new_page()
    page.on("request", lambda request: referrers.append(request.all_headers().get("referer", "")))
    return page


def test_invited_person_comes_in(visitor, referrers):
    cast = make_cast()
    token = people._invite(cast.studio, "new@example.test", "coordinator", cast.principal).rpartition("/")[2]
    visitor.goto(reverse("invitation", args=[token]))
    visitor.get_by_label("Name").fill("New Person")
    visitor.get_by_label("Password").fill("a-long-and-quiet-password")
    visitor.get_by_role("button", name="Make my account and join").click()
    visitor.wait_for_url(lambda url: "come-in" not in url)
    assert Membership.objects.get(user__email="new@example.test").role == "coordinator"
    assert any(referrers)
    assert not [one for one in referrers if token in one]


def test_person_with_an_account_signs_in_and_comes_in(visitor, referrers):
    cast = make_cast()
    cast.stranger.set_password("a-long-and-quiet-password")
    cast.stranger.save()
    token = people._invite(cast.studio, cast.stranger.email, "designer", cast.principal).rpartition("/")[2]
    visitor.goto(reverse("invitation", args=[token]))
    visitor.locator("input[name=login]").fill(cast.stranger.email)
    visitor.locator("input[name=password]").fill("a-long-and-quiet-password")
    visitor.get_by_role("button", name="Sign in", exact=True).click()
    visitor.get_by_role("button", name="Join as").click()
    visitor.wait_for_url(lambda url: "come-in" not in url)
    assert Membership.objects.filter(user=cast.stranger, studio=cast.studio).exists()
    assert not [one for one in referrers if token in one]


def test_client_answers(visitor, referrers):
    cast = make_cast()
    house = signed_house(cast)
    project = house.revision.plan.project
    _, token = client_link_create(
        by=cast.designer, project=project, rooms=list(project.rooms.all()), label="The clients", days=7
    )
    visitor.goto(reverse("client_view", args=[token]))
    visitor.locator("button[value=approve]").first.click()
    visitor.wait_for_url("**#wall-*")
    assert ClientAnswer.objects.get().approved
    assert any(referrers)
    assert not [one for one in referrers if token in one]
