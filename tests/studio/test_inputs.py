"""One reader for text, whole numbers and days; and that pages, links, the phone and the API go through it."""

from __future__ import annotations

import datetime as dt
import json
import uuid
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone
from rest_framework import serializers
from rest_framework.test import APIClient

from placements.models import ClientAnswer, Comment
from placements.services.client_links import client_link_create
from reports.models import JobAction
from reports.services.jobs import job_issue
from studio.api.fields import Moment, Number, PlainText, RowSerializer, WholeNumber
from studio.errors import Invalid
from studio.inputs import LARGEST_ROW, read_day, read_json, read_text, read_whole
from studio.models import Artwork
from studio.services.keys import token_create
from tests.factories import ClientFactory, ProjectFactory, RoomFactory, WallFactory
from tests.reports.signing import signed_house

UNSTORABLE = ["\0", "left\0right", "\ud800", "half \udfff of one"]
NO_WHOLE = [
    "9" * 5000,
    str(LARGEST_ROW + 1),
    LARGEST_ROW + 1,
    -1,
    "-1",
    "²",
    "١٢",
    "1_0",
    "1.5",
    1.5,
    "",
    True,
    None,
    [1],
]


@pytest.mark.parametrize("value", [*UNSTORABLE, "x" * 11, 7, None, ["a"], {"a": 1}])
def test_what_is_no_text_is_refused_with_its_place(value: object) -> None:
    with pytest.raises(Invalid) as refused:
        read_text(value, longest=10, where="note")
    assert refused.value.faults[0]["where"] == "note"
    assert "\0" not in refused.value.detail


@pytest.mark.parametrize("text", ["", "é" * 10, "a\nb", "\N{FRAME WITH PICTURE}", "  padded  "])
def test_text_comes_as_it_was_typed_without_blanks_around_it(text: str) -> None:
    assert read_text(text, longest=10) == text.strip()
    assert read_text(text, longest=10, strip=False) == text


@pytest.mark.parametrize("value", NO_WHOLE)
def test_what_is_no_whole_number_is_refused(value: object) -> None:
    with pytest.raises(Invalid):
        read_whole(value)


@pytest.mark.parametrize(
    ("value", "number"), [("7", 7), (" 007 ", 7), (7, 7), (7.0, 7), (str(LARGEST_ROW), LARGEST_ROW)]
)
def test_whole_numbers_are_read(value: object, number: int) -> None:
    assert read_whole(value) == number


@pytest.mark.parametrize("value", ["9999-12-31", "0001-01-01", "2026-02-30", "31.12.2026", "", "2026-1", None, "\0"])
def test_what_is_no_day_is_refused(value: object) -> None:
    with pytest.raises(Invalid):
        read_day(value, where="until")


@pytest.mark.parametrize(
    "text", ["", "{", "[" * 100_000, '{"a":' * 50_000, "9" * 5000, "NaN", b"\xff\xfe", '{"a": Infinity}']
)
def test_what_is_no_json_is_refused(text: str | bytes) -> None:
    with pytest.raises(Invalid, match="Expected JSON"):
        read_json(text)
    assert read_json(b'\xef\xbb\xbf{"a": [1]}') == {"a": [1]}


def test_days_are_read() -> None:
    assert read_day(" 2028-02-29 ") == dt.date(2028, 2, 29)  # 2028 is a leap year


@pytest.mark.parametrize(
    ("field", "value"),
    [
        *((PlainText(max_length=40), one) for one in UNSTORABLE),
        *((WholeNumber(), one) for one in ("9" * 5000, 2**63, -1, "²")),
        *((Number(), one) for one in ("nan", "inf", "1e400", "9" * 5000)),
        *((Moment(), one) for one in ("9999-12-31T23:59:59-14:00", "0001-01-01T00:00:00+14:00")),
    ],
)
def test_fields_of_the_api_refuse(field: serializers.Field, value: object) -> None:
    with pytest.raises(serializers.ValidationError):
        field.run_validation(value)


def test_rows_in_the_api_are_read_by_these_fields() -> None:
    class Shape(RowSerializer[Artwork]):
        class Meta:
            model = Artwork
            fields = ("title", "width_mm", "version")

    kinds = {name: type(field) for name, field in Shape().fields.items()}
    assert kinds == {"title": PlainText, "width_mm": Number, "version": WholeNumber}


@pytest.mark.parametrize("shown", ["Bearer é", "Bearer \N{KEY}", "\xff\xfe"])
def test_bearer_of_any_alphabet_is_refused_at_the_metrics(client: Any, settings: Any, shown: str) -> None:
    settings.METRICS_TOKEN = "a-token-of-letters"
    assert client.get("/metrics", headers={"Authorization": shown}).status_code == 404


@pytest.fixture
def project(cast: Any) -> Any:
    project = ProjectFactory(client=ClientFactory(studio=cast.studio), designer=cast.designer)
    WallFactory(room=RoomFactory(project=project))
    return project


@pytest.mark.django_db
@pytest.mark.parametrize("query", [{"until": "9999-12-31"}, {"since": "0001-01-01"}, {"until": "9" * 5000}])
def test_trail_asks_for_a_day_of_this_time(project: Any, cast: Any, client_of: Any, query: dict[str, str]) -> None:
    answer = client_of(cast.designer).get(reverse("audit_trail", args=[project.pk]), query)
    assert answer.status_code == 422
    assert "written as 2026-03-31" in answer.content.decode()


@pytest.mark.django_db
def test_remark_with_an_unstorable_character_is_refused(project: Any, cast: Any, client_of: Any) -> None:
    there = reverse("comments", args=[project.pk])
    assert client_of(cast.designer).post(there, {"text": "hangs\0high"}).status_code == 422
    programs = APIClient(headers={"Authorization": f"Token {token_create(by=cast.designer, label='a script')}"})
    for text in UNSTORABLE:
        sent = json.dumps({"project": project.pk, "text": text})
        answer = programs.post(reverse("api-comment-list"), sent, content_type="application/json")
        assert answer.status_code == 400, text
    assert not Comment.objects.exists()


@pytest.mark.django_db
def test_client_and_office_fields_of_a_link(project: Any, cast: Any, client_of: Any, client: Any) -> None:
    office, there = client_of(cast.designer), reverse("client_links", args=[project.pk])
    room = project.rooms.get()
    for wrong in ({"days": "9" * 5000}, {"rooms": "9" * 5000}, {"label": "A\0B"}):
        good = {"label": "Ines", "days": "30", "rooms": str(room.pk)}
        assert office.post(there, good | wrong).status_code == 422, wrong
    _, token = client_link_create(by=cast.designer, project=project, rooms=[room], label="Ines", days=30)
    answer = reverse("client_answer", args=[token, room.walls.get().pk])
    assert client.post(answer, {"text": "Lower\0please"}).status_code == 422
    assert not ClientAnswer.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("kind", "payload"),
    [
        *(("problem", {"what": what}) for what in ([], ["wall"], {}, 7, None, "\0")),
        *(("problem", {"what": "wall", "note": note}) for note in ("a\0b", "\ud800", ["a"], {"a": 1})),
        *(("drop", {"drop_mm": drop}) for drop in (10**400, [1], "1e3", None, True)),
    ],
)
def test_payload_of_the_phone(cast: Any, kind: str, payload: dict[str, Any]) -> None:
    house = signed_house(cast)
    issued = job_issue(by=cast.coordinator, revision=house.revision, hanger_name="H. Ladder")
    phone = APIClient(headers={"Authorization": f"Link {issued.token}"})
    action = {
        "uuid": str(uuid.uuid4()),
        "device": "phone-one",
        "sequence": 1,
        "kind": kind,
        "placement": house.placements[0].pk,
        "payload": payload,
        "done_at": timezone.now().isoformat(),
    }
    answer = phone.post("/api/v1/phone/actions/", json.dumps(action), content_type="application/json")
    assert answer.status_code == 422
    assert not JobAction.objects.exists()
