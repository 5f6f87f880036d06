"""The photographs' pages: adding, watching, marking, taking over, and who may."""

from __future__ import annotations

import io
import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from placements.models import MarkState, Photo, PhotoMark, RunState
from placements.services.photos import marks
from studio.models import WallItem
from tests.factories import PlacementFactory, PlanFactory, RevisionFactory
from tests.placements.services.photos import walls
from tests.placements.services.photos.walls import levelled, mark_over

pytestmark = pytest.mark.django_db
HX = {"HX-Request": "true"}


@pytest.fixture
def site(cast):
    return walls.make_measuring(cast)


@pytest.fixture
def designer(cast, client_of):
    return client_of(cast.designer)


def photos_url(site):
    return reverse("photos", args=[site.wall.room.project_id, site.wall.pk])


def edit(client, photo, action, **given):
    return client.post(reverse("photo_edit", args=[photo.pk, action]), given, headers=HX)


def test_a_photograph_is_added_and_watched(site, designer):
    file = SimpleUploadedFile("IMG_1.JPG", walls.snapshot().jpeg, "image/jpeg")
    answer = designer.post(photos_url(site), {"purpose": "survey", "picture": file, "ruler": "100"})
    photo = Photo.objects.get()
    assert answer.url == reverse("photo", args=[photo.pk])
    assert (photo.ruler_mm, photo.taken_by) == (100.0, site.by)
    page = designer.get(answer.url).content.decode()
    assert 'hx-trigger="every 1s"' in page
    assert "Waiting in the queue" in page
    Photo.objects.update(state=RunState.RUNNING, progress=0.4)
    part = designer.get(answer.url, headers=HX).content.decode()
    assert "Finding the card" in part
    assert "<html" not in part
    assert "40" in part


@pytest.mark.parametrize(
    ("given", "says"),
    [
        pytest.param({}, "Choose a photograph", id="nothing"),
        pytest.param({"picture": b"<svg/>"}, "SVG", id="svg"),
        pytest.param({"picture": b"words"}, "not a picture", id="words"),
        pytest.param({"ruler": "60", "picture": b"words"}, "actual size", id="ruler"),
        pytest.param({"ruler": "long", "picture": b"words"}, "The card’s ruler", id="ruler in words"),
        pytest.param({"purpose": "fun", "picture": b"words"}, "A photograph is for one of", id="purpose"),
    ],
)
def test_what_cannot_be_taken_is_said_where_it_was_asked(site, designer, given, says):
    given = {"purpose": "survey"} | given
    if "picture" in given:
        given["picture"] = SimpleUploadedFile("x.jpg", given["picture"], "image/jpeg")
    answer = designer.post(photos_url(site), given)
    assert answer.status_code == 422
    assert says in answer.content.decode().replace("&#x27;", "’").replace("'", "’")
    assert not Photo.objects.exists()


def test_photograph_without_a_card_says_what_to_do(site, designer):
    photo = Photo.objects.get(pk=site.add(walls.snapshot(card=False).jpeg).pk)
    from placements.services.photos.measuring import photo_work

    photo_work(photo_id=photo.pk)
    page = designer.get(reverse("photo", args=[photo.pk])).content.decode()
    assert "Not measured." in page
    assert "take the picture again" in page
    assert "four corners of something" in page


def test_marks_are_answered_drawn_and_taken_over(site, designer):
    snap = walls.snapshot()
    photo = site.measure(snap.jpeg)
    page = designer.get(reverse("photo", args=[photo.pk])).content.decode()
    assert "found, waits for a yes" in page
    assert "Tide table" in page
    assert "±" in page
    chest = mark_over(photo, snap, snap.pieces[2])
    answer = edit(designer, photo, "change", mark=chest.pk, kind="chest", taped_width="", taped_height="")
    assert answer.status_code == 200
    no = mark_over(photo, snap, snap.pieces[1])
    edit(designer, photo, "answer", mark=no.pk, answer="no")
    refused = edit(designer, photo, "survey", version=site.wall.version)
    assert refused.status_code == 422
    assert "two lower corners" in refused.content.decode()
    corners = json.dumps(snap.at((0, 0), (walls.LENGTH_MM, 0)))
    assert "By its two lower corners" in edit(designer, photo, "level", points=corners).content.decode()
    drawn = json.dumps(snap.at((300, 400), (380, 400), (380, 280), (300, 280)))
    edit(designer, photo, "draw", points=drawn, kind="outlet")
    taken = edit(designer, photo, "survey", version=site.wall.version)
    assert taken["HX-Redirect"] == reverse("wall_survey", args=[site.wall.room.project_id, site.wall.pk])
    assert sorted(WallItem.objects.values_list("kind", flat=True)) == ["chest", "outlet"]
    assert PhotoMark.objects.get(pk=no.pk).state == MarkState.REFUSED


def test_a_wall_length_that_disagrees_is_told_and_nothing_is_stored(site, designer):
    snap = walls.snapshot()
    photo = site.measure(snap.jpeg)
    type(site.wall).objects.update(length_mm=3400)
    corners = json.dumps(snap.at((0, 0), (walls.LENGTH_MM, 0)))
    answer = edit(designer, photo, "level", points=corners)
    assert answer.status_code == 422
    assert "Tape it again" in answer.content.decode()
    photo.refresh_from_db()
    assert photo.level is None


def test_taped_measures_are_read_in_the_readers_units(site, designer):
    snap = walls.snapshot()
    photo = site.measure(snap.jpeg)
    mark = mark_over(photo, snap, snap.pieces[0])
    edit(
        designer,
        photo,
        "change",
        mark=mark.pk,
        kind="work",
        artwork=site.works[0].pk,
        taped_width="16",
        taped_height="20",
    )
    mark.refresh_from_db()
    assert (mark.taped_width_mm, mark.taped_height_mm) == pytest.approx((406.4, 508.0))
    assert mark.artwork == site.works[0]
    wrong = edit(designer, photo, "change", mark=mark.pk, kind="work", taped_width="wide", taped_height="20")
    assert wrong.status_code == 422
    assert "Taped width" in wrong.content.decode()
    half = edit(designer, photo, "change", mark=mark.pk, kind="work", taped_width="16", taped_height="")
    assert half.status_code == 422


@pytest.mark.parametrize("points", ["", "words", "[[1]]", "{}", "[[1,2],[3,4]]", '[["a",1]]'])
def test_senseless_points_are_refused(site, designer, points):
    photo = site.measure(walls.snapshot().jpeg)
    assert edit(designer, photo, "draw", points=points, kind="window").status_code == 422


def test_hung_shows_findings_and_as_hung_shows_differences(site, designer):
    snap = walls.snapshot()
    photo = site.measure(snap.jpeg, "hung")
    levelled(site, photo, snap)
    edit(designer, photo, "accept-all")
    answer = edit(designer, photo, "hung").content.decode()
    assert "2 works hang here today." in answer
    photo = site.measure(snap.jpeg, "as_hung")
    asked = designer.get(reverse("photo", args=[photo.pk])).content.decode()
    assert "no plan to compare with" in asked
    revision = RevisionFactory(plan=PlanFactory(project=site.wall.room.project), number=1)
    for work in site.works:
        PlacementFactory(revision=revision, wall=site.wall, artwork=work, left_mm=697, bottom_mm=1200)
    assert "Say where the wall is" in designer.get(reverse("photo", args=[photo.pk])).content.decode()
    levelled(site, photo, snap)
    marks.mark_answer(by=site.by, mark=mark_over(photo, snap, snap.pieces[0]), accept=True, artwork=site.works[0])
    page = designer.get(reverse("photo", args=[photo.pk])).content.decode()
    assert "lower by" in page
    assert "not seen in this photograph" in page


def test_works_are_shown_and_fetched(site, designer):
    snap = walls.snapshot()
    photo = site.measure(snap.jpeg, "show")
    levelled(site, photo, snap)
    assert "Nothing hangs on this wall in the plan" in edit(designer, photo, "accept-all").content.decode()
    revision = RevisionFactory(plan=PlanFactory(project=site.wall.room.project), number=1)
    PlacementFactory(revision=revision, wall=site.wall, artwork=site.works[0], left_mm=1300, bottom_mm=1600)
    assert "Before and after" in edit(designer, photo, "show").content.decode()
    answer = designer.get(reverse("photo_shown", args=[photo.pk, "whole"]) + "?fetch")
    assert answer["Content-Disposition"].startswith("attachment")
    picture = Image.open(io.BytesIO(b"".join(answer.streaming_content)))
    assert picture.size == (photo.width_px, photo.height_px)


def test_pictures_are_for_members_and_in_known_sizes(site, designer, cast, client_of):
    photo = site.add(walls.snapshot().jpeg)
    small = designer.get(reverse("photo_taken", args=[photo.pk, "strip"]))
    assert small["X-Content-Type-Options"] == "nosniff"
    assert max(Image.open(io.BytesIO(b"".join(small.streaming_content))).size) == 240
    assert designer.get(reverse("photo_taken", args=[photo.pk, "poster"])).status_code == 404
    assert designer.get(reverse("photo_shown", args=[photo.pk, "whole"])).status_code == 404
    assert client_of(cast.stranger).get(reverse("photo_taken", args=[photo.pk, "strip"])).status_code == 404


def test_coordinator_adds_but_does_not_change_the_survey(site, cast, client_of):
    snap = walls.snapshot()
    photo = site.measure(snap.jpeg)
    levelled(site, photo, snap)
    marks.mark_change(by=site.by, mark=mark_over(photo, snap, snap.pieces[2]), kind="chest")
    coordinator = client_of(cast.coordinator)
    assert coordinator.get(reverse("photo", args=[photo.pk])).status_code == 200
    assert edit(coordinator, photo, "survey", version=site.wall.version).status_code == 403
    assert not WallItem.objects.exists()


def test_deleting_leads_back_to_the_wall(site, designer):
    photo = site.add(walls.snapshot().jpeg)
    answer = designer.post(reverse("photo_edit", args=[photo.pk, "delete"]))
    assert answer.url == photos_url(site)
    assert not Photo.objects.exists()
