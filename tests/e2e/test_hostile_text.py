"""Markup typed into every text field there is stays text, on every page, in a real browser under the site's policy."""

from __future__ import annotations

import pytest
from allauth.usersessions.models import UserSession
from django.db import IntegrityError, models, transaction

from reports.models import JobAction
from studio.models import ApiToken, Artwork, Studio, User
from tests.factories import make_cast
from tests.test_every_address import ADDRESSES, BY_LINK
from tests.world import PK, TOKEN, make_world, scoped_models

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

HOSTILE = "'\"><img src=x onerror=f()>"
#: What the code itself writes and reads again: not for anybody to type into.
OURS = {
    "snapshot", "sha256", "token_sha256", "file_sha256", "fingerprint", "rules_fingerprint", "lease_owner", "url",
    "rule", "limit", "level", "unit", "time_zone", "kind", "password", "content", "currency",
}  # fmt: skip
FOUND = """() => document.querySelectorAll('img[src="x"], [onerror]').length"""


def typed_into(model: type[models.Model]) -> list[str]:
    return [
        field.name
        for field in model._meta.concrete_fields
        if type(field) in (models.CharField, models.TextField)
        and not field.choices
        and field.name not in OURS
        and (field.max_length or 999) >= len(HOSTILE)
    ]


def fill_with_markup(people: list[User]) -> int:
    filled = 0
    for model, rows in [*((model, {"pk": PK}) for model in [*scoped_models(), Studio]), (ApiToken, {}), (User, {})]:
        for name in typed_into(model):
            try:
                with transaction.atomic():
                    filled += model._default_manager.filter(**rows).update(**{name: HOSTILE})
            except IntegrityError:
                continue  # the database keeps this field to a list of words
    # What stands in lists and records inside a field.
    Artwork.objects.update(themes=[HOSTILE])
    JobAction.objects.update(kind="problem", payload={"what": "other", "note": HOSTILE})
    for person in people:
        # What a browser calls itself is the caller's to choose.
        UserSession.objects.create(
            user=person, session_key=f"k{person.pk}", ip="127.0.0.1", user_agent=HOSTILE, data={}
        )
    return filled


class Reader:
    """Looks at pages and notes where markup came alive."""

    def __init__(self, page) -> None:
        self.page, self.seen, self.faults = page, 0, []

    def look(self, address: str, what: str) -> None:
        self.page.goto(address, wait_until="load")
        self.seen += "img src=x" in self.page.content()
        if self.page.evaluate(FOUND):
            self.faults.append(what)


@pytest.fixture
def cast():
    made = make_cast()
    make_world(made)
    ApiToken.objects.create(user=made.principal, label="x", token_sha256="0" * 64)
    assert fill_with_markup([made.principal]) > 30
    return made


def test_markup_stays_text_on_every_page(new_page, client_of, cast, browser_faults):
    """As a principal, who sees more than a designer or a coordinator on the same pages, and nothing less."""
    client, reader = client_of(cast.principal), Reader(new_page(cast.principal))
    for address in [one for one in ADDRESSES if "get" in one.methods and not one.by_link]:
        answer = client.get(address.url())
        answer.close()
        if answer.status_code == 200 and answer.get("Content-Type", "").startswith("text/html"):
            reader.look(address.url(), address.route)
    assert reader.faults == []
    assert browser_faults == []
    assert reader.seen > 20, "the text should be there to be read"


def test_markup_stays_text_behind_every_link(new_page, client, cast, browser_faults):
    reader = Reader(new_page())
    for address in [one for one in BY_LINK if "get" in one.methods]:
        answer = client.get(address.url())
        answer.close()
        if answer.status_code == 200 and answer.get("Content-Type", "").startswith("text/html"):
            reader.look(address.url(), address.route)
    assert reader.seen > 1
    reader.look(f"/h/#{TOKEN}", "phone")
    reader.page.get_by_text("img src=x").first.wait_for()
    reader.look(reader.page.url, "phone")
    assert reader.faults == []
    assert browser_faults == []


def test_markup_stays_text_in_the_back_office(new_page, client_of, cast, browser_faults):
    boss = User.objects.create_superuser("boss@example.test", "x" * 20, name="Boss")
    client, reader = client_of(boss), Reader(new_page(boss))
    for model in scoped_models():
        address = f"/admin/{model._meta.app_label}/{model._meta.model_name}/"
        if client.get(address).status_code == 200:
            reader.look(address, address)
    assert reader.seen > 5
    assert reader.faults == []
    assert browser_faults == []
