"""Due dates and deputies over the API."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from placements.models import Delegation, DueDate
from studio.models import Membership
from tests.factories import ProjectFactory
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


@pytest.fixture
def project(cast):
    return ProjectFactory(client__studio=cast.studio, designer=cast.designer)


def test_a_date_is_set_moved_ticked_and_taken_away(project, cast, api_of):
    api, today = api_of(cast.coordinator), timezone.localdate()
    late = today - dt.timedelta(days=4)
    made = api.post(f"{API}/due-dates", {"project": project.pk, "kind": "frames", "day": late.isoformat()})
    assert (made.status_code, made.data["day"], made.data["times_changed"]) == (201, late.isoformat(), 0)
    there = f"{API}/due-dates/{made.data['id']}"
    standing = api.get(f"{there}/standing").data
    assert (standing["late"], standing["met"], standing["whose"]) == (4, None, "the coordinator")
    moved = api.post(f"{API}/due-dates", {"project": project.pk, "kind": "frames", "day": today.isoformat()})
    assert (moved.data["id"], moved.data["times_changed"]) == (made.data["id"], 1)
    assert api.post(f"{there}/tick", {"met": True}).data["ticked_at"]
    assert api.get(f"{there}/standing").data["met"]
    assert api.get(f"{API}/due-dates", {"day__gte": today.isoformat()}).data["count"] == 1
    assert api.delete(there).status_code == 204
    assert not DueDate.objects.exists()


@pytest.mark.parametrize("day", ["yesterday", "9999-12-31", "2027-02-30", 7])
def test_what_is_no_day_of_use_is_refused_by_name(project, cast, api_of, day):
    answer = api_of(cast.designer).post(f"{API}/due-dates", {"project": project.pk, "kind": "install", "day": day})
    assert answer.status_code == 400
    assert "day" in str(answer.json())
    assert not DueDate.objects.exists()


def test_a_stranger_sets_no_dates_and_sees_none(project, cast, api_of):
    DueDate.objects.create(project=project, kind="install", day=timezone.localdate())
    api = api_of(cast.stranger)
    sent = {"project": project.pk, "kind": "install", "day": "2027-03-01"}
    assert api.post(f"{API}/due-dates", sent).status_code == 400
    assert api.get(f"{API}/due-dates").data["count"] == 0


def deputy(cast, **fields):
    today = timezone.localdate().isoformat()
    member = Membership.objects.get(user=cast.designer, studio=cast.studio)
    return {"membership": member.pk, "first_day": today, "last_day": today} | fields


def test_a_principal_names_a_deputy_within_limits_and_ends_it(project, cast, api_of):
    api = api_of(cast.principal)
    sent = deputy(cast, project=project.pk, rules=["spacing"], most_mm="1/2 in", may_sign=True)
    made = api.post(f"{API}/delegations", sent, format="json")
    assert made.status_code == 201, made.data
    row = Delegation.objects.get()
    assert (row.deputy, row.principal, row.project) == (cast.designer, cast.principal, project)
    assert (row.rules, row.most_mm, row.most_share, row.may_sign) == (["spacing"], pytest.approx(12.7), None, True)
    assert api.post(f"{API}/delegations/{row.pk}/end").data["ended_at"]
    assert api.post(f"{API}/delegations/{row.pk}/end").status_code == 409


def test_only_a_principal_names_a_deputy_and_no_unknown_rule_holds(cast, api_of):
    assert api_of(cast.designer).post(f"{API}/delegations", deputy(cast), format="json").status_code == 403
    answer = api_of(cast.principal).post(f"{API}/delegations", deputy(cast, rules=["tidiness"]), format="json")
    assert answer.status_code == 422
    assert "tidiness" in str(answer.json())
    assert not Delegation.objects.exists()
