"""The group of studios for measuring: as large as asked, the same every time, never in production."""

from __future__ import annotations

import pytest
from django.core.management import CommandError, call_command

from placements.models import Placement, ReviewFinding
from studio.models import Artwork, Project, Studio, User, Wall

pytestmark = pytest.mark.django_db
SIZE = {"studios": 2, "projects": 3, "walls": 5, "works": 7}


def test_counts_are_as_asked():
    call_command("seed_scale", **SIZE)
    assert (Studio.objects.count(), User.objects.count(), Project.objects.count()) == (2, 6, 6)
    assert (Wall.objects.count(), Artwork.objects.count()) == (30, 42)
    assert Placement.objects.count() == 30
    assert ReviewFinding.objects.exists()
    for placement in Placement.objects.select_related("wall__room__project", "artwork", "revision__plan"):
        assert placement.wall.room.project_id == placement.artwork.project_id == placement.revision.plan.project_id


def test_same_seed_makes_the_same():
    def titles():
        call_command("seed_scale", **SIZE)
        found = list(Artwork.objects.order_by("pk").values_list("title", "width_mm"))
        Placement.objects.all().delete()
        Studio.objects.all().delete()
        User.objects.all().delete()
        return found

    assert titles() == titles()


def test_second_group_is_refused():
    call_command("seed_scale", **SIZE)
    with pytest.raises(CommandError, match="here already"):
        call_command("seed_scale", **SIZE)


def test_production_is_refused(settings):
    settings.PRODUCTION = True
    with pytest.raises(CommandError, match="not in production"):
        call_command("seed_scale")
