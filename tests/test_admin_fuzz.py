"""The admin, as a superuser: whatever stands in an address, a search or a form, the answer is never a fault of ours."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.contrib import admin
from django.db import transaction
from django.test import Client
from django.urls import reverse

from tests.factories import make_cast
from tests.sessions import sign_in
from tests.test_form_fuzz import FORM, encoded, undone
from tests.world import PK, make_world

pytestmark = pytest.mark.django_db

#: What Django's lists, forms and searches read besides the columns.
READ = (
    *("q", "o", "p", "all", "e", "_popup", "_to_field", "_changelist_filters", "term", "app_label", "model_name"),
    *("field_name", "next", "action", "_selected_action", "index", "select_across", "post", "_save", "date_hierarchy"),
)
#: No database refuses these outright; columns do.
ODD = ("-1", "9999-12-31", "²", "x")
MODELS = sorted(admin.site._registry, key=lambda model: model._meta.label)
REFUSED = 422


@pytest.fixture(scope="module")
def boss(test_settings: None, django_db_setup: None, django_db_blocker: Any) -> Iterator[Client]:
    """Who runs the site: a superuser beside a studio with one row of everything."""
    with django_db_blocker.unblock(), transaction.atomic():
        cast = make_cast()
        make_world(cast)
        person = cast.stranger
        person.is_staff = person.is_superuser = True
        person.save()
        yield sign_in(Client(raise_request_exception=False), person)
        transaction.set_rollback(True)


def asked(client: Client, address: str, fields: list[tuple[str, str]], method: str = "get") -> int:
    with undone():
        if method == "get":
            return client.get(f"{address}?{encoded(fields)}").status_code
        return client.post(address, encoded(fields), content_type=FORM).status_code


def addresses(model: Any) -> dict[str, tuple[str, str]]:
    """What a model's pages do, with their addresses and the part of them that names a row."""
    name = f"admin:{model._meta.app_label}_{model._meta.model_name}"
    row = model._default_manager.order_by("pk").first()
    pk = row.pk if row else PK
    found = {kind: (reverse(f"{name}_{kind}"), "") for kind in ("changelist", "add")}
    return found | {kind: (reverse(f"{name}_{kind}", args=[pk]), f"/{pk}/") for kind in ("change", "delete", "history")}


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model._meta.label_lower)
def test_nothing_that_is_sent_breaks_the_admin(boss: Client, model: Any) -> None:
    columns = [field.name for field in model._meta.fields]
    names = [*READ, *columns, *(f"{name}__gte" for name in columns)]
    for kind, (address, of_row) in addresses(model).items():
        for method, worst in (("get", "\0"), ("get", "9" * 5000), ("post", "\ud800"), ("post", "9" * 25)):
            status = asked(boss, address, [(name, worst) for name in names], method)
            assert status in (REFUSED, 403), (kind, method, worst[:20], status)
        for bad in ("%00", "%ED%A0%80", "9" * 25) if of_row else ():
            assert asked(boss, address.replace(of_row, f"/{bad}/"), []) < 500, (kind, bad)
        odd = [(name, "-1") for name in columns]
        assert asked(boss, address, [*odd, ("_selected_action", "x")], "post") < 500, kind


def test_no_list_of_the_admin_breaks_at_what_its_columns_cannot_have(boss: Client) -> None:
    """One column of each kind, in whichever list has it."""
    columns = {type(field): (model, field.name) for model in MODELS for field in model._meta.fields}
    assert len(columns) > 10
    for model, name in columns.values():
        for odd in ODD:
            assert asked(boss, addresses(model)["changelist"][0], [(name, odd)]) < 500, (model, name, odd)
