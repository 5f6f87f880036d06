"""Rooms and walls named, ordered, copied, deleted with what hangs there, and every change undone."""

from __future__ import annotations

import pytest
from django.urls import reverse

from placements.models import Comment, Placement, Removal, RevisionState
from placements.services.rooms import KEPT, order_of
from studio.models import Room, Wall, WallItem
from tests.factories import ArtworkFactory, ItemFactory, PlacementFactory, RoomFactory, WallFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def hung(cast):
    """A wall of a first room with an item and a planned piece; a second, empty room."""
    placement = PlacementFactory(
        revision__plan__project__client__studio=cast.studio, wall__room__position=0, wall__position=0
    )
    ItemFactory(wall=placement.wall)
    project = placement.wall.room.project
    RoomFactory(project=project, name="Study", position=1)
    return placement


def change(client_of, cast, project, **data):
    client = client_of(cast.designer)
    return client, client.post(reverse("rooms_change", args=[project.pk]), data)


def undo(client, project):
    answer = client.post(reverse("rooms_undo", args=[project.pk]))
    assert answer.status_code == 302
    assert "Undone." in client.get(reverse("rooms", args=[project.pk])).content.decode()


def test_a_wall_moves_to_another_room_under_a_new_name_and_back(cast, client_of, hung):
    wall, project = hung.wall, hung.wall.room.project
    first, study, name = wall.room, Room.objects.get(name="Study"), wall.name
    client, _ = change(client_of, cast, project, wall=wall.pk, name="Desk wall", to=study.pk)
    wall.refresh_from_db()
    assert (wall.room, wall.name) == (study, "Desk wall")
    undo(client, project)
    wall.refresh_from_db()
    assert (wall.room, wall.name) == (first, name)


def test_rooms_and_walls_change_places_and_back(cast, client_of, hung):
    project = hung.wall.room.project
    second = WallFactory(room=hung.wall.room, position=1)
    before = order_of(project)
    client, _ = change(client_of, cast, project, wall=second.pk, do="earlier")
    assert order_of(project)[0].walls == (second.pk, hung.wall.pk)
    undo(client, project)
    assert order_of(project) == before
    client, _ = change(client_of, cast, project, room=hung.wall.room.pk, do="later")
    assert [one.room for one in order_of(project)] == [before[1].room, before[0].room]
    undo(client, project)
    assert order_of(project) == before


def test_deleting_says_what_hangs_there_and_brings_all_back(cast, client_of, hung):
    wall, project = hung.wall, hung.wall.room.project
    today = ArtworkFactory(studio=cast.studio, hung_wall=wall, hung_left_mm=10.0, hung_bottom_mm=1500.0)
    Comment.objects.create(project=project, wall=wall, author=cast.designer, author_name="D", text="Mind the cat.")
    before = {
        model: list(model.objects.order_by("pk").values()) for model in (Room, Wall, WallItem, Placement, Comment)
    }
    client, answer = change(client_of, cast, project, room=wall.room.pk, do="delete")
    text = answer.content.decode()
    assert hung.artwork.title in text
    assert today.title in text
    assert Wall.objects.filter(pk=wall.pk).exists()
    client.post(reverse("rooms_change", args=[project.pk]), {"room": wall.room.pk, "do": "delete", "sure": "1"})
    assert not Wall.objects.filter(pk=wall.pk).exists()
    assert not Placement.objects.exists()
    undo(client, project)
    assert {model: list(model.objects.order_by("pk").values()) for model in before} == before
    today.refresh_from_db()
    assert today.hung_wall == wall
    assert not Removal.objects.exists()
    assert Wall.history.filter(id=wall.pk).latest().history_change_reason == "brought back"


def test_what_cannot_come_back_whole_stays_away_whole(cast, client_of, hung):
    wall, project = hung.wall, hung.wall.room.project
    client, _ = change(client_of, cast, project, wall=wall.pk, do="delete", sure="1")
    other = WallFactory(room=wall.room)
    PlacementFactory(wall=other, revision=hung.revision, artwork=hung.artwork)  # it hangs elsewhere by now
    answer = client.post(reverse("rooms_undo", args=[project.pk]))
    assert answer.status_code == 409
    assert "cannot be brought back" in answer.content.decode()
    assert not Wall.objects.filter(pk=wall.pk).exists()
    assert Removal.objects.count() == 1


def test_what_a_signed_revision_shows_stays(cast, client_of, hung):
    hung.revision.state, hung.revision.sha256 = RevisionState.SIGNED, "0" * 64
    hung.revision.save()
    _, answer = change(client_of, cast, hung.wall.room.project, wall=hung.wall.pk, do="delete", sure="1")
    assert answer.status_code == 409
    assert "signed" in answer.content.decode()
    assert Wall.objects.filter(pk=hung.wall.pk).exists()


def test_a_room_is_copied_with_its_walls_but_not_what_hangs(cast, client_of, hung):
    project = hung.wall.room.project
    client, _ = change(client_of, cast, project, room=hung.wall.room.pk, do="copy")
    copy = Room.objects.get(name__endswith=", copy")
    assert [wall.name for wall in copy.walls.all()] == [hung.wall.name]
    assert copy.walls.get().items.count() == 1
    assert Placement.objects.count() == 1
    undo(client, project)
    assert not Room.objects.filter(pk=copy.pk).exists()


def test_a_colour_that_nobody_knows_is_refused_beside_its_field(cast, client_of, hung):
    room = hung.wall.room
    data = {"room": room.pk, "name": "Hall", "use": "hall", "colours": "ivory, mauvish"}
    client, answer = change(client_of, cast, room.project, **data)
    assert answer.status_code == 422
    assert "mauvish" in answer.content.decode()
    client.post(reverse("rooms_change", args=[room.project.pk]), data | {"colours": "ivory, #d8cfc0"})
    room.refresh_from_db()
    assert (room.name, room.colours) == ("Hall", ["ivory", "#d8cfc0"])


def test_old_deletions_are_forgotten(cast, client_of, hung):
    project = hung.wall.room.project
    for _ in range(KEPT):
        Removal.objects.create(project=project, label="old", rows=[])
    change(client_of, cast, project, wall=WallFactory(room=hung.wall.room).pk, do="delete")
    assert Removal.objects.count() == KEPT
    assert Removal.objects.first().label != "old"


def test_others_may_not(cast, client_of, hung):
    url = reverse("rooms", args=[hung.wall.room.project.pk])
    assert client_of(cast.coordinator).get(url).status_code == 403
    assert client_of(cast.stranger).get(url).status_code == 404
