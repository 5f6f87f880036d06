"""The page of a project's rooms in plan."""

from __future__ import annotations

import pytest
from django.urls import reverse

from tests.factories import WallFactory

pytestmark = pytest.mark.django_db


def test_the_plan_shows_rooms_and_what_hangs_and_says_what_the_walls_miss(cast, hung, client_of):
    room, client = hung.wall.room, client_of(cast.designer)
    there = reverse("floor_plan", args=[room.project_id])
    page = client.get(there).content.decode()
    assert "“Slack water”" in page
    assert "Share the misfit out" not in page
    for name, length in (("East", 4000.0), ("South", hung.wall.length_mm - 30.0), ("West", 4000.0)):
        WallFactory(room=room, name=name, length_mm=length, position=9)
    room.around = True
    room.save()
    page = client.get(there).content.decode()
    assert "Its walls miss each other by" in page
    assert "sq ft" in page
    shared = client.get(there, {"shared": "yes"}).content.decode()
    assert "Show it as" in shared
    assert "“Slack water”" in shared


def test_a_project_without_walls_says_what_to_do_and_strangers_see_nothing(cast, hung, client_of):
    there = reverse("floor_plan", args=[hung.wall.room.project_id])
    assert client_of(cast.stranger).get(there).status_code == 404
    room = hung.wall.room
    hung.delete()
    room.walls.all().delete()
    assert "No wall of it is surveyed yet" in client_of(cast.designer).get(there).content.decode()
    room.delete()
    assert "No room yet" in client_of(cast.designer).get(there).content.decode()
