"""Pictures, photographs, sheets, what a phone sends: in an S3-compatible bucket, which moto plays.

Nothing may lie in a folder: `MEDIA_ROOT` is one that cannot be made.
"""

from __future__ import annotations

import pytest
from botocore.exceptions import EndpointConnectionError
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from placements.services.photos.photo import photo_add, photo_delete
from reports.models import JobAction, Report, ReportState
from reports.rendering import SHEETS, draw
from reports.services.jobs import job_issue
from reports.services.sheets import report_request
from studio.errors import StoreAway
from studio.services.people import studio_logo
from studio.services.pictures import picture_remove, picture_upload
from tests.pictures import jpeg
from tests.placements.services.photos import walls
from tests.reports.signing import signed_house
from tests.reports.test_phone_api import APIClient, action

pytestmark = pytest.mark.django_db


@pytest.fixture
def keys(bucket):
    """What lies in the bucket now."""
    return lambda: {one.key for one in bucket["files"].objects.all()}


def body(answer) -> bytes:
    assert answer.status_code == 200
    return b"".join(answer.streaming_content)


def test_pictures_and_their_sizes(cast, keys, client_of, django_capture_on_commit_callbacks):
    work = signed_house(cast, pictures=False).works[0]
    picture_upload(by=cast.designer, artwork=work, content=jpeg(size=(900, 600)))
    client = client_of(cast.designer)
    for _ in range(2):  # made, and found again
        assert body(client.get(reverse("work_picture", args=[work.pk, "strip"]))).startswith(b"\xff\xd8")
    assert {name.partition("/")[0] for name in keys()} == {"studios", "thumbnails"}
    with django_capture_on_commit_callbacks(execute=True):
        picture_remove(by=cast.designer, artwork=work)
    assert [name for name in keys() if name.startswith("studios/")] == []
    studio_logo(by=cast.principal, studio=cast.studio, content=jpeg())
    assert body(client.get(reverse("studio_logo_picture")))


def test_photographs(cast, keys, client_of, django_capture_on_commit_callbacks):
    site = walls.make_measuring(cast)
    photo = photo_add(by=site.by, wall=site.wall, purpose="survey", content=walls.snapshot().jpeg)
    assert keys() == {photo.picture.name}
    assert body(client_of(cast.designer).get(reverse("photo_taken", args=[photo.pk, "whole"])))
    with django_capture_on_commit_callbacks(execute=True):
        photo_delete(by=cast.designer, photo=photo)
    assert keys() == set()


def test_a_sheet_and_a_photo_from_a_phone(cast, keys, client_of):
    house = signed_house(cast, pictures=False)
    report_request(by=cast.designer, revision=house.revision, kind="template", artwork=house.works[0])
    assert SHEETS.work(draw).state == ReportState.READY
    report = Report.objects.get()
    client = client_of(cast.designer)
    assert body(client.get(reverse("report_file", args=[report.pk]))).startswith(b"%PDF")
    issued = job_issue(by=cast.coordinator, revision=house.revision, hanger_name="H. Ladder")
    phone = APIClient(headers={"Authorization": f"Link {issued.token}"})
    given = action(house, kind="problem", payload='{"what": "pipe", "note": "warm"}')
    given["photo"] = SimpleUploadedFile("p.jpg", jpeg(), "image/jpeg")
    assert phone.post("/api/v1/phone/actions/", given, format="multipart").status_code == 201
    sent = JobAction.objects.get()
    assert body(client.get(reverse("action_photo", args=[sent.pk]))).startswith(b"\xff\xd8")
    assert keys() == {report.file.name, sent.photo.name}


def test_a_name_that_is_taken_is_not_written_over(keys):
    names = {default_storage.save("a/b.txt", ContentFile(text)) for text in (b"one", b"two")}
    assert names == keys()
    read = set()
    for name in names:
        with default_storage.open(name) as file:
            read.add(file.read())
    assert read == {b"one", b"two"}


def test_a_service_that_does_not_answer_says_so(cast, bucket, monkeypatch, client_of):
    """An `OSError`, as a full disk is: a sheet is tried again, a page says 503 and when to come back."""
    house = signed_house(cast)
    asked = report_request(by=cast.designer, revision=house.revision, kind="template", artwork=house.works[0])

    def away(*args, **kwargs):
        raise EndpointConnectionError(endpoint_url="https://objects.example")

    monkeypatch.setattr("storages.backends.s3.S3File.__init__", away)
    monkeypatch.setattr("botocore.client.BaseClient._make_api_call", away)
    with pytest.raises(StoreAway, match="EndpointConnectionError"):
        default_storage.open("a.txt")
    assert SHEETS.work(draw).state == ReportState.QUEUED
    asked.refresh_from_db()
    assert asked.error == "The file store for sheets did not answer."
    client = client_of(cast.designer)
    client.raise_request_exception = False
    answer = client.get(reverse("work_original", args=[house.works[0].pk]))
    assert (answer.status_code, answer["Retry-After"]) == (503, "10")
