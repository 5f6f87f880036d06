"""Photographs over the API: the whole way from a file to a survey, a plan's differences, a picture with works in it."""

from __future__ import annotations

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image
from rest_framework.test import APIClient

from placements.models import MarkState, Photo, RunState
from placements.services.photos.measuring import photo_work
from studio.models import WallItem
from tests.factories import PlacementFactory, PlanFactory, RevisionFactory
from tests.placements.services.photos import walls
from tests.placements.services.photos.walls import mark_over

pytestmark = pytest.mark.django_db
API = "/api/v1"


@pytest.fixture
def site(cast):
    return walls.make_measuring(cast)


@pytest.fixture
def api_of():
    def signed_in(user):
        client = APIClient()
        client.force_authenticate(user)
        return client

    return signed_in


@pytest.fixture
def api(cast, api_of):
    return api_of(cast.designer)


def upload(api, wall, content, **given):
    file = SimpleUploadedFile("IMG_1.JPG", content, "image/jpeg")
    return api.post(f"{API}/photos", {"wall": wall.pk, "purpose": "survey", "picture": file} | given, "multipart")


def measured(site, api, purpose, snap=None):
    """A photograph added over the API, measured, its wall told by the corners in it."""
    snap = snap or walls.snapshot()
    pk = upload(api, site.wall, snap.jpeg, purpose=purpose, ruler_mm="100").data["id"]
    photo = photo_work(photo_id=pk)
    left, right = snap.at((0, 0), (walls.LENGTH_MM, 0))
    answer = api.put(f"{API}/photos/{pk}/level", {"left_px": left, "right_px": right})
    assert answer.status_code == 200, answer.data
    assert answer.data["level"]["left_px"] == pytest.approx(left, abs=1e-3)
    return photo, snap


def test_photograph_is_taken_in_and_found_again(site, api):
    answer = upload(api, site.wall, walls.snapshot().jpeg, ruler_mm="3.937 in")
    assert answer.status_code == 202
    photo = Photo.objects.get()
    assert (answer.data["id"], answer.data["state"], answer.data["shown"]) == (photo.pk, "queued", None)
    assert photo.ruler_mm == pytest.approx(100.0, abs=0.01)
    assert photo.taken_by == site.by
    for query, count in ((f"wall={site.wall.pk}", 1), ("purpose=floor", 0), ("state=queued", 1)):
        assert api.get(f"{API}/photos?{query}").data["count"] == count
    picture = api.get(answer.data["picture"])
    assert picture["Content-Type"] == "image/jpeg"
    assert Image.open(io.BytesIO(b"".join(picture.streaming_content))).size == (photo.width_px, photo.height_px)
    assert api.get(f"{API}/photos/{photo.pk}/shown").status_code == 404
    assert api.delete(f"{API}/photos/{photo.pk}").status_code == 204
    assert not Photo.objects.exists()


def test_strangers_find_and_add_nothing(site, api, api_of, cast):
    pk = upload(api, site.wall, walls.snapshot().jpeg).data["id"]
    stranger = api_of(cast.stranger)
    assert stranger.get(f"{API}/photos").data["count"] == 0
    assert stranger.get(f"{API}/photos/{pk}/picture").status_code == 404
    assert upload(stranger, site.wall, walls.snapshot().jpeg).status_code == 400


@pytest.mark.parametrize(
    ("content", "given", "says"),
    [
        pytest.param(b"<svg/>", {}, "SVG", id="svg"),
        pytest.param(b"words", {}, "not a picture", id="words"),
        pytest.param(b"words", {"ruler_mm": "60"}, "actual size", id="ruler"),
    ],
)
def test_what_cannot_be_taken_is_a_problem_that_says_why(site, api, content, given, says):
    answer = upload(api, site.wall, content, **given)
    assert answer.status_code == 422
    assert answer["Content-Type"] == "application/problem+json"
    assert says in answer.json()["detail"]
    assert not Photo.objects.exists()


def test_survey_from_a_photograph(site, api):
    photo, snap = measured(site, api, "survey")
    found = api.get(f"{API}/photo-marks?photo={photo.pk}&state=offered").data["results"]
    assert len(found) == photo.marks.count() >= 3
    chest, first = mark_over(photo, snap, snap.pieces[2]), mark_over(photo, snap, snap.pieces[0])
    answer = api.patch(f"{API}/photo-marks/{chest.pk}", {"kind": "chest", "taped_width_mm": "1200 mm"})
    assert (answer.status_code, "height" in answer.json()["detail"]) == (422, True)
    taped = {"kind": "chest", "taped_width_mm": 1200, "taped_height_mm": "60 cm"}
    answer = api.patch(f"{API}/photo-marks/{chest.pk}", taped)
    assert (answer.data["kind"], answer.data["state"]) == ("chest", "accepted")
    answer = api.post(f"{API}/photo-marks/{first.pk}/answer", {"accept": False})
    assert answer.data["state"] == "refused"
    sconce = snap.at((400, 1300), (480, 1300), (480, 1200), (400, 1200))
    drawn = api.post(f"{API}/photo-marks", {"photo": photo.pk, "kind": "sconce", "corners_px": sconce})
    assert (drawn.status_code, drawn.data["found"], drawn.data["state"]) == (201, False, "accepted")
    readings = api.get(f"{API}/photos/{photo.pk}/readings").data
    assert first.pk not in [reading["mark"] for reading in readings]
    read = next(reading for reading in readings if reading["mark"] == drawn.data["id"])
    assert (read["left_mm"], read["bottom_mm"]) == pytest.approx((400, 1200), abs=read["error_mm"])
    applied = api.post(f"{API}/photos/{photo.pk}/apply", {"version": site.wall.version})
    assert applied.status_code == 200, applied.data
    assert set(applied.data["items"]) == set(WallItem.objects.filter(wall=site.wall).values_list("pk", flat=True))
    assert {one.kind for one in WallItem.objects.all()} == {"chest", "sconce"}
    assert photo.marks.filter(state=MarkState.TAKEN).count() == 2


def test_as_hung_tells_differences_and_changes_nothing(site, api):
    photo, snap = measured(site, api, "as_hung")
    url = f"{API}/photos/{photo.pk}"
    assert api.get(f"{url}/differences").status_code == 409  # no plan yet
    revision = RevisionFactory(plan=PlanFactory(project=site.wall.room.project), number=1)
    x, y, width, height = walls.PRINTS[0]
    placed = PlacementFactory(
        revision=revision, wall=site.wall, artwork=site.works[0], left_mm=x - width / 2, bottom_mm=y - height / 2 - 25.4
    )
    mark = mark_over(photo, snap, snap.pieces[0])
    api.post(f"{API}/photo-marks/{mark.pk}/answer", {"accept": True, "artwork": site.works[0].pk})
    (found,) = api.get(f"{url}/differences").data
    assert (found["placement"], found["conclusive"]) == (placed.pk, True)
    assert found["up_mm"] == pytest.approx(25.4, abs=found["error_mm"])
    assert found["text"].startswith("lower by")
    assert api.post(f"{url}/apply", {}).status_code == 409


def test_works_are_set_into_the_photograph_and_fetched(site, api):
    photo, _ = measured(site, api, "show")
    url = f"{API}/photos/{photo.pk}"
    assert "nothing to show" in api.post(f"{url}/apply", {}).json()["detail"]
    revision = RevisionFactory(plan=PlanFactory(project=site.wall.room.project), number=1)
    PlacementFactory(revision=revision, wall=site.wall, artwork=site.works[0], left_mm=1250, bottom_mm=1700)
    shown = api.post(f"{url}/apply", {}).data["shown"]
    fetched = api.get(shown)
    assert Image.open(io.BytesIO(b"".join(fetched.streaming_content))).size == (photo.width_px, photo.height_px)

    def seen(choice):
        return api.put(f"{url}/client-view", {"choice": choice}).data["for_client"]

    assert [seen(choice) for choice in ("this", "none", "newest")] == [True, False, None]
    plain = upload(api, site.wall, walls.snapshot().jpeg, purpose="show").data["id"]
    assert api.put(f"{API}/photos/{plain}/client-view", {"choice": "this"}).status_code == 422


def test_layout_needs_a_revision_and_a_space_of_its_own_project(site, api):
    photo = Photo.objects.get(pk=upload(api, site.wall, walls.snapshot().jpeg, purpose="floor").data["id"])
    url = f"{API}/photos/{photo.pk}/apply"
    problem = api.post(url, {}).json()
    assert [fault["where"] for fault in problem["faults"]] == ["revision", "space"]
    other = RevisionFactory(plan__project__client__studio=site.wall.room.project.client.studio)
    answer = api.post(url, {"revision": other.pk, "space": "x"})
    assert (answer.status_code, "another project" in answer.json()["detail"]) == (422, True)


def test_wall_is_told_in_one_way(site, api):
    pk = upload(api, site.wall, walls.snapshot().jpeg).data["id"]
    answer = api.put(f"{API}/photos/{pk}/level", {"left_px": [1, 2], "bottom_mm": 3})
    assert (answer.status_code, "left_mm and bottom_mm" in str(answer.json())) == (400, True)
    answer = api.put(f"{API}/photos/{pk}/level", {"left_mm": 1, "bottom_mm": 3})
    assert answer.status_code == 409  # not measured yet
    assert Photo.objects.get().state == RunState.QUEUED
