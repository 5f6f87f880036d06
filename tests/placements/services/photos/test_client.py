"""Photographs with works set into them, behind the client's link: which are shown, to whom, and never an old plan."""

from __future__ import annotations

import io

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from placements.models import ClientLink, Photo
from placements.selectors.clients import composites_now
from placements.selectors.photos.composites import facts_shown
from placements.services.client_links import client_link_create
from placements.services.photos.client import client_photo_choose
from studio.errors import Invalid, NotAllowed
from studio.services.pictures import picture_save
from tests.factories import (
    ArtworkFactory,
    ClientFactory,
    PlacementFactory,
    PlanFactory,
    ProjectFactory,
    RevisionFactory,
    RoomFactory,
    WallFactory,
)
from tests.pictures import jpeg

pytestmark = pytest.mark.django_db


def composite(wall, **more):
    """A measured photograph with what the plan hangs on its wall set into it."""
    placed = wall.placements.select_related("artwork")
    photo = Photo(wall=wall, purpose="show", width_px=1600, height_px=1200, state="ready", **more)
    photo.picture.save("taken.jpg", ContentFile(jpeg((200, 190, 180), (1600, 1200))), save=False)
    photo.shown.save("shown.jpg", ContentFile(jpeg((60, 80, 90), (1600, 1200))), save=False)
    photo.shown_facts = facts_shown(photo, placed)
    photo.save()
    return photo


@pytest.fixture
def house(cast, settings, tmp_path):
    """Two rooms with a piece and a composite each; the link shows the first room only."""
    settings.MEDIA_ROOT = tmp_path
    project = ProjectFactory(client=ClientFactory(studio=cast.studio), designer=cast.designer)
    revision = RevisionFactory(plan=PlanFactory(project=project))
    walls = []
    for name in ("Sitting room", "Study"):
        wall = WallFactory(room=RoomFactory(project=project, name=name), name=f"{name} wall")
        PlacementFactory(revision=revision, wall=wall, artwork=ArtworkFactory(client=project.client))
        walls.append(wall)
    photos = [composite(wall) for wall in walls]
    rooms = [walls[0].room]
    link, token = client_link_create(by=cast.designer, project=project, rooms=rooms, label="Ines", days=30)
    return project, walls, photos, link, token


def address(token, photo, of="shown", alias="page"):
    return reverse(f"client_photo_{of}", args=[token, photo.pk, alias])


def page(client, token):
    return client.get(reverse("client_view", args=[token])).content.decode()


@pytest.mark.parametrize(("of", "dark"), [("shown", True), ("taken", False)])
@pytest.mark.parametrize(("alias", "side"), [("page", 800), ("large", 1600), ("whole", 1600)])
def test_link_opens_the_photograph_of_its_room(client, house, of, dark, alias, side):
    _, _, photos, _, token = house
    answer = client.get(address(token, photos[0], of, alias))
    with Image.open(io.BytesIO(b"".join(answer.streaming_content))) as picture:
        assert max(picture.size) == side
        assert (picture.convert("L").getpixel((5, 5)) < 128) == dark
    assert answer["Referrer-Policy"] == "strict-origin"
    assert answer["Cache-Control"].startswith("private")


def test_full_size_is_a_file_named_after_its_wall(client, house):
    _, _, photos, _, token = house
    answer = client.get(address(token, photos[0], alias="whole") + "?fetch")
    assert answer["Content-Disposition"] == 'attachment; filename="sitting-room-sitting-room-wall-with-art.jpg"'
    b"".join(answer.streaming_content)


def test_photographs_of_other_rooms_and_sizes_stay_closed(client, house):
    _, _, photos, _, token = house
    assert client.get(address(token, photos[1])).status_code == 404
    assert client.get(address(token, photos[1], "taken", "whole")).status_code == 404
    assert client.get(address(token, photos[0], alias="strip")).status_code == 404
    assert str(photos[1].pk) not in [part for part in page(client, token).split("/") if part.isdigit()]


@pytest.mark.parametrize("change", [{"revoked_at": timezone.now()}, {"expires_at": timezone.now()}])
def test_an_ended_link_opens_no_photograph(client, house, change):
    _, _, photos, link, token = house
    ClientLink.objects.filter(pk=link.pk).update(**change)
    for of in ("shown", "taken"):
        for alias in ("page", "large", "whole"):
            assert client.get(address(token, photos[0], of, alias)).status_code == 404


def move(photo, placed):
    placed.left_mm += 25.4
    placed.save()


def frame_anew(photo, placed):
    placed.artwork.width_mm += 100.0
    placed.artwork.mat_width_mm = 50.0
    placed.artwork.save()


def picture_anew(photo, placed):
    picture_save(artwork=placed.artwork, content=jpeg((10, 90, 40)))


def measure_anew(photo, placed):
    photo.camera = [3.1416, 0, 0, -2100, 1300, 4100, -0.3, 0]
    photo.save()


@pytest.mark.parametrize("change", [move, frame_anew, picture_anew, measure_anew])
def test_a_photograph_that_shows_what_is_no_longer_so_is_not_shown(client, house, change):
    _, walls, photos, _, token = house
    assert "The same wall today" in page(client, token)
    change(photos[0], walls[0].placements.get())
    assert "The same wall today" not in page(client, token)
    assert client.get(address(token, photos[0])).status_code == 404
    assert client.get(address(token, photos[0], "taken")).status_code == 404


def test_the_newest_that_fits_is_shown_until_somebody_chooses(cast, house):
    project, walls, photos, _, _ = house
    second = composite(walls[0])
    stale = composite(walls[0])
    Photo.objects.filter(pk=stale.pk).update(shown_facts={})

    def shown():
        return composites_now(project)[0].shown

    assert shown() == second
    client_photo_choose(by=cast.designer, wall=walls[0], choice=photos[0])
    assert shown() == photos[0]
    composite(walls[0])
    assert shown() == photos[0]  # a choice stays one
    client_photo_choose(by=cast.designer, wall=walls[0], choice="none")
    assert shown() is None
    client_photo_choose(by=cast.designer, wall=walls[0], choice=stale)
    assert shown() is None  # chosen, but it shows another plan
    client_photo_choose(by=cast.designer, wall=walls[0], choice="newest")
    assert shown() == Photo.objects.filter(wall=walls[0]).first()


def test_only_composites_of_the_wall_itself_are_chosen(cast, house):
    _, walls, photos, _, _ = house
    with pytest.raises(Invalid, match="of this wall"):
        client_photo_choose(by=cast.designer, wall=walls[0], choice=photos[1])
    with pytest.raises(NotAllowed):
        client_photo_choose(by=cast.stranger, wall=walls[0], choice="none")
    plain = Photo.objects.create(wall=walls[0], purpose="survey", width_px=9, height_px=9)
    with pytest.raises(Invalid, match="works were set"):
        client_photo_choose(by=cast.designer, wall=walls[0], choice=plain)
    assert not Photo.objects.exclude(for_client=None).exists()


def test_the_office_chooses_on_the_page_of_links(cast, client_of, house):
    project, walls, photos, _, _ = house
    office = client_of(cast.coordinator)
    there = reverse("client_links", args=[project.pk])
    assert f'name="wall-{walls[0].pk}" value="{photos[0].pk}"' in office.get(there).content.decode()
    choose = reverse("client_photos", args=[project.pk])
    given = {f"wall-{walls[0].pk}": "none", f"wall-{walls[1].pk}": str(photos[0].pk)}  # the second is another wall's
    assert office.post(choose, given).status_code == 302
    assert "the drawing only, as you chose" in office.get(there).content.decode()
    assert list(Photo.objects.order_by("pk").values_list("for_client", flat=True)) == [False, None]
    assert client_of(cast.stranger).post(choose, given).status_code == 404


def test_the_studio_looks_it_over_before_sending_it(cast, client_of, house):
    project, _, photos, _, _ = house
    there = reverse("client_preview", args=[project.pk])
    seen = client_of(cast.designer).get(there).content.decode()
    assert "This is what a client sees" in seen
    assert "Study wall" in seen
    assert reverse("photo_shown", args=[photos[0].pk, "large"]) in seen
    assert "<form" not in seen
    assert client_of(cast.stranger).get(there).status_code == 404


def test_a_faulty_answer_is_said_beside_its_wall_with_what_was_typed(client, house):
    _, walls, _, _, token = house
    answer = client.post(reverse("client_answer", args=[token, walls[0].pk]), {"text": "x" * 4001})
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert shown.index(f'id="wall-{walls[0].pk}"') < shown.index("At most 4000 characters")
    assert "xxxx</textarea>" in shown


def test_all_that_was_said_stays_and_the_last_verdict_counts(client, house):
    _, walls, _, _, token = house
    there = reverse("client_answer", args=[token, walls[0].pk])
    for given in ({"answer": "change", "text": "Lower?"}, {"answer": "approve"}, {"text": "Thank you."}):
        assert client.post(there, given).status_code == 302
    shown = page(client, token)
    assert "Lower?" in shown
    assert "Thank you." in shown
    assert "You have approved 1 of 1" in shown
    assert "Approve this wall" not in shown


def test_the_logo_heads_the_page_where_there_is_one(client, cast, house):
    _, _, _, link, token = house
    there = reverse("client_logo", args=[token])
    assert client.get(there).status_code == 404
    cast.studio.logo.save("logo.jpg", ContentFile(jpeg()))
    assert there in page(client, token)
    answer = client.get(there)
    assert answer.status_code == 200
    b"".join(answer.streaming_content)
    ClientLink.objects.filter(pk=link.pk).update(revoked_at=timezone.now())
    assert client.get(there).status_code == 404


def test_more_walls_cost_no_more_queries(client, house, django_assert_max_num_queries):
    project, walls, _, _, token = house
    with django_assert_max_num_queries(40) as first:
        page(client, token)
    for number in range(5):
        wall = WallFactory(room=walls[0].room, name=f"Wall {number}")
        PlacementFactory(
            revision=project.plan.revisions.get(), wall=wall, artwork=ArtworkFactory(client=project.client)
        )
        composite(wall)
    with django_assert_max_num_queries(len(first)):
        page(client, token)
