"""Price lists and estimates over the API."""

from __future__ import annotations

from decimal import Decimal

import pytest
from rest_framework.test import APIClient

from placements.models import Estimate, PriceList
from tests.sessions import sign_in

pytestmark = pytest.mark.django_db
API = "/api/v1"


@pytest.fixture
def api_of():
    def signed_in(user):
        client = APIClient()
        sign_in(client, user)
        return client

    return signed_in


def prices(**fields):
    return {
        "version": 0,
        "currency": "EUR",
        "framed_by": "metre",
        "rates": {"hanger": "71.25", "tax_work": "19"},
        "mouldings": {"Ash": "31.10"},
    } | fields


def test_of_two_who_change_a_price_list_at_once_the_second_is_told(cast, api_of):
    first, second = api_of(cast.principal), api_of(cast.coordinator)
    made = first.post(f"{API}/price-lists", prices(), format="json")
    assert (made.status_code, made.data["version"]) == (201, 1), made.data
    assert made.data["content"]["rates"]["hanger"] == "71.25"
    refused = second.post(f"{API}/price-lists", prices(currency="GBP"), format="json")
    assert refused.status_code == 409
    assert second.post(f"{API}/price-lists", prices(version=1, currency="GBP"), format="json").status_code == 201
    assert list(PriceList.objects.order_by("version").values_list("version", "content__currency")) == [
        (1, "EUR"),
        (2, "GBP"),
    ]


@pytest.mark.parametrize(
    ("fields", "where"),
    [
        ({"rates": {"hanger": "a lot"}}, "hanger"),
        ({"rates": {"hanger": "-1"}}, "hanger"),
        ({"rates": {"handling": "1"}}, "handling"),
        ({"mouldings": {}}, "mouldings"),
        ({"currency": "eur"}, "currency"),
        ({"rates": {"tax_work": "61"}}, "tax_work"),
    ],
)
def test_what_is_no_price_is_refused_by_name(cast, api_of, fields, where):
    answer = api_of(cast.principal).post(f"{API}/price-lists", prices(**fields), format="json")
    assert 400 <= answer.status_code < 500
    assert where in str(answer.json())
    assert not PriceList.objects.exists()


def test_a_plan_is_estimated_and_shown_with_exact_amounts(cast, hung, api_of):
    api = api_of(cast.principal)
    api.post(f"{API}/price-lists", prices(), format="json")
    sent = {
        "revision": hung.revision.pk,
        "framed": [{"artwork": hung.artwork.pk, "moulding": "Ash"}],
        "purchases": [{"text": "A runner for the hall", "amount": "310.10"}],
    }
    made = api.post(f"{API}/estimates", sent, format="json")
    assert made.status_code == 201, made.data
    told = api.get(f"{API}/estimates/{made.data['id']}/lines").json()
    assert sum(Decimal(line["amount"]) for line in told["lines"]) == Decimal(told["net"])
    assert Decimal(told["by_kind"]["purchase"]) == Decimal("310.10")
    assert Decimal(told["total"]) == Decimal(made.data["total"])
    assert api.post(f"{API}/estimates/{made.data['id']}/show").data["sent_at"]
    assert api_of(cast.stranger).get(f"{API}/estimates/{made.data['id']}").status_code == 404


def test_what_cannot_be_estimated_leaves_nothing(cast, hung, api_of):
    sent = {"revision": hung.revision.pk, "framed": [{"artwork": hung.artwork.pk, "moulding": "Ebony"}]}
    answer = api_of(cast.designer).post(f"{API}/estimates", sent, format="json")
    assert answer.status_code == 422
    assert "Ebony" in str(answer.json())
    assert not Estimate.objects.exists()
