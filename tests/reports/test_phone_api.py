"""What a hanger's link opens over HTTP, and that it leaves no trace."""

from __future__ import annotations

import logging
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from rest_framework.test import APIClient

from reports.access import LinkThrottle
from reports.models import JobAction
from reports.services.jobs import job_issue, link_revoke
from studio.tokens import new_token
from tests.factories import make_cast
from tests.pictures import jpeg
from tests.reports.signing import signed_house

pytestmark = pytest.mark.django_db


@pytest.fixture
def house(cast):
    return signed_house(cast)


@pytest.fixture
def issued(cast, house):
    return job_issue(by=cast.coordinator, revision=house.revision, hanger_name="H. Ladder")


@pytest.fixture
def phone(issued):
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Link {issued.token}")
    return client


def action(house, **more):
    return {
        "uuid": str(uuid.uuid4()),
        "device": "phone-one",
        "sequence": 1,
        "kind": "up",
        "placement": house.placements[0].pk,
        "done_at": timezone.now().isoformat(),
    } | more


def test_the_job_comes_whole(phone, house):
    job = phone.get("/api/v1/phone/job/").json()
    assert [piece["title"] for piece in job["pieces"]] == [
        "Slack water",
        "Marram",
        "Quarry, study",
        "Three terraces",
    ] or [piece["number"] for piece in job["pieces"]] == [1, 2, 3, 4]
    assert job["pieces"][0]["hooks"][0] | {"fixing": ""} == {
        "label": "1a",
        "datum": "5′ 11½″",
        "floor": "6′ 2⅜″",
        "bearer": "3′ 4⅜″",
        "stud": "on stud",
        "fixing": "",
    }
    assert job["pieces"][0]["drawing"].startswith("<svg")


def test_an_unchanged_job_is_not_sent_again(phone, house):
    first = phone.get("/api/v1/phone/job/")
    again = phone.get("/api/v1/phone/job/", headers={"If-None-Match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    phone.post("/api/v1/phone/actions/", action(house), format="json")
    assert phone.get("/api/v1/phone/job/", headers={"If-None-Match": first["ETag"]}).status_code == 200


def test_answers_are_kept_by_nobody(phone, house):
    for path in ("/api/v1/phone/job/", f"/api/v1/phone/pictures/{house.placements[0].pk}/"):
        answer = phone.get(path)
        assert answer.status_code == 200
        assert answer["Cache-Control"] == "no-store"
        assert answer["Referrer-Policy"] == "no-referrer"
    assert phone.get("/h/")["Referrer-Policy"] == "no-referrer"


def test_an_action_is_stored_once_and_answered_as_before(phone, house):
    given = action(house)
    first = phone.post("/api/v1/phone/actions/", given, format="json")
    again = phone.post("/api/v1/phone/actions/", given, format="json")
    assert (first.status_code, again.status_code) == (201, 200)
    assert JobAction.objects.count() == 1


def test_a_gap_asks_for_the_missing_action(phone, house):
    answer = phone.post("/api/v1/phone/actions/", action(house, sequence=3), format="json")
    assert answer.status_code == 409
    assert answer.json()["expected"] == 1


def test_a_photo_comes_with_its_action(phone, house):
    given = action(house, kind="problem", payload='{"what": "pipe", "note": "warm"}')
    given["photo"] = SimpleUploadedFile("p.jpg", jpeg(), "image/jpeg")
    assert phone.post("/api/v1/phone/actions/", given, format="multipart").status_code == 201
    assert JobAction.objects.get().payload == {"what": "pipe", "note": "warm"}


@pytest.mark.parametrize(
    "spoilt",
    [
        {"uuid": "no"}, {"device": "../../x"}, {"sequence": 0}, {"kind": "sing"}, {"done_at": "soon"},
        {"payload": [1]}, {"placement": -1}, {"placement": 10**30}, {"kind": "drop", "payload": {"drop_mm": "2 in"}},
    ],
)  # fmt: skip
def test_bad_actions_are_refused_in_words(phone, house, spoilt):
    answer = phone.post("/api/v1/phone/actions/", action(house, **spoilt), format="json")
    assert answer.status_code in (400, 422)
    assert answer.json()["detail"]
    assert not JobAction.objects.exists()


def test_a_link_opens_its_own_job_only(phone):
    other = signed_house(make_cast())
    answer = phone.get(f"/api/v1/phone/pictures/{other.placements[0].pk}/")
    assert answer.status_code == 404
    given = action(other)
    assert phone.post("/api/v1/phone/actions/", given, format="json").status_code == 422


@pytest.mark.parametrize(
    "credentials",
    ["", "Link", f"Link {new_token()}", "Token abc", "Link a b", "Link \xff"],
    ids=["none", "no token", "unknown token", "an account's token", "two tokens", "no ASCII"],
)
def test_whoever_has_no_link_gets_nothing(issued, credentials):
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=credentials)
    assert client.get("/api/v1/phone/job/").status_code == 401


def test_a_withdrawn_link_opens_nothing(cast, phone, issued):
    link_revoke(by=cast.coordinator, link=issued.link)
    answer = phone.get("/api/v1/phone/job/")
    assert answer.status_code == 401
    assert "withdrawn" in answer.json()["detail"]


def test_a_link_does_not_open_the_office(phone, issued):
    assert phone.get("/api/v1/jobs").status_code in (401, 403)
    assert phone.get(f"/jobs/{issued.job.pk}/").status_code == 302


def test_too_many_requests_are_told_when_to_come_back(phone, monkeypatch):
    monkeypatch.setattr(LinkThrottle, "rate", "3/min")
    answers = [phone.get("/api/v1/phone/job/") for _ in range(4)]
    assert [answer.status_code for answer in answers] == [200, 200, 200, 429]
    assert int(answers[-1]["Retry-After"]) > 0


def test_guessing_is_limited_too(issued, monkeypatch):
    monkeypatch.setattr(LinkThrottle, "rate", "3/min")
    client = APIClient()
    codes = []
    for _ in range(5):
        client.credentials(HTTP_AUTHORIZATION=f"Link {new_token()}")
        codes.append(client.get("/api/v1/phone/job/").status_code)
    assert codes[-1] == 429


def test_the_token_is_in_no_log_line(phone, issued, caplog):
    with caplog.at_level(logging.DEBUG):
        phone.get("/api/v1/phone/job/")
        phone.get("/h/")
    assert issued.token not in caplog.text


def test_the_job_takes_few_queries(phone, django_assert_max_num_queries):
    with django_assert_max_num_queries(16):
        phone.get("/api/v1/phone/job/")
