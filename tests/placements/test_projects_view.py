"""The ledger, a project's page and its overview: who sees them, what they say, how many queries they take."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from placements.models import ReviewFinding
from tests.factories import (
    ArtworkFactory,
    ItemFactory,
    PlacementFactory,
    ProjectFactory,
    RevisionFactory,
    RoomFactory,
    WallFactory,
)

pytestmark = pytest.mark.django_db


def make_project(studio, name="Quay house", walls=2):
    project = ProjectFactory(client__studio=studio, name=name)
    room, revision = RoomFactory(project=project), RevisionFactory(plan__project=project)
    for number in range(walls):
        wall = WallFactory(room=room, name=f"Wall {number}")
        ItemFactory(wall=wall)
        PlacementFactory(revision=revision, wall=wall, artwork__title=f"Hung {number}")
    ArtworkFactory(client=project.client, title="Left over")
    return project


def pages_of(project):
    return [reverse("projects"), reverse("project", args=[project.pk]), reverse("project_overview", args=[project.pk])]


def test_members_see_the_project(cast, client_of):
    project = make_project(cast.studio)
    for member in cast.members:
        for url in pages_of(project):
            page = client_of(member).get(url)
            assert page.status_code == 200
            assert "Quay house" in page.content.decode()


def test_stranger_sees_no_trace(cast, client_of):
    project = make_project(cast.studio)
    ledger, *own = pages_of(project)
    assert "Quay house" not in client_of(cast.stranger).get(ledger).content.decode()
    assert [client_of(cast.stranger).get(url).status_code for url in own] == [404, 404]


def test_nobody_is_sent_to_sign_in(cast, client_of):
    for url in pages_of(make_project(cast.studio)):
        answer = client_of(None).get(url)
        assert answer.status_code == 302
        assert answer.url.startswith(reverse("account_login"))


def test_ledger_says_state_and_what_is_left(cast, client_of):
    make_project(cast.studio)
    page = client_of(cast.designer).get(reverse("projects")).content.decode()
    assert "Draft" in page
    assert "2 hung, 1 unplaced" in page


def test_a_lines_walls_come_when_it_is_seen(cast, client_of):
    project, client = make_project(cast.studio, walls=12), client_of(cast.designer)
    page = client.get(reverse("projects")).content.decode()
    address = reverse("project_strip", args=[project.pk])
    assert f'hx-get="{address}"' in page
    assert "<svg" not in page.partition("<main")[2]
    strip = client.get(address).content.decode()
    assert strip.count('class="elevation thumbnail"') == 10
    assert "Hung 9" in strip
    assert "and 2 more" in strip
    assert client_of(cast.stranger).get(address).status_code == 404


def test_ledger_counts_open_exceptions(cast, client_of):
    project = make_project(cast.studio)
    revision = project.plan.revisions.get()
    revision.state = "in_review"
    revision.save()
    wall = project.rooms.get().walls.first()
    for key in ("a", "b"):
        ReviewFinding.objects.create(
            revision=revision, wall=wall, key=key, rule="eye-line", level="exception", text="x"
        )
    page = client_of(cast.principal).get(reverse("projects")).content.decode()
    assert "2 open of 2" in page
    assert "the principal" in page


def test_ledger_finds_by_client_and_says_when_nothing_matches(cast, client_of):
    make_project(cast.studio)
    client = client_of(cast.designer)
    assert "Quay house" in client.get(reverse("projects"), {"find": "quay"}).content.decode()
    empty = client.get(reverse("projects"), {"find": "zzz"}).content.decode()
    assert "No project is like that" in empty


def test_empty_ledger_says_how_to_begin(cast, client_of):
    assert "From an empty studio" in client_of(cast.designer).get(reverse("projects")).content.decode()


def test_project_draws_every_wall_and_names_what_is_left(cast, client_of):
    project = make_project(cast.studio, walls=3)
    page = client_of(cast.designer).get(reverse("project", args=[project.pk])).content.decode()
    assert page.count('class="elevation strip"') == 3
    assert "Left over" in page


def test_overview_lists_positions_in_the_readers_units(cast, client_of):
    project = make_project(cast.studio)
    cast.designer.unit_style = "cm"
    cast.designer.save()
    page = client_of(cast.designer).get(reverse("project_overview", args=[project.pk])).content.decode()
    assert "left edge 142.2 cm, bottom 106.7 cm" in page


@pytest.mark.parametrize("name", ["projects", "project", "project_overview"])
def test_queries_do_not_grow_with_the_project(cast, client_of, name):
    client = client_of(cast.designer)
    counts = []
    for size in (2, 6):
        project = make_project(cast.studio, name=f"House {size}", walls=size)
        url = reverse(name, args=[] if name == "projects" else [project.pk])
        with CaptureQueriesContext(
            connection,
        ) as captured:
            assert client.get(url).status_code == 200
        counts.append(len(captured))
    assert counts[0] == counts[1]
    assert counts[1] <= 28


def test_new_revision_opens_from_a_frozen_one(cast, client_of):
    project = make_project(cast.studio)
    project.plan.revisions.update(state="signed", sha256="0" * 64)
    client = client_of(cast.designer)
    url = reverse("revision_open", args=[project.pk])
    assert client.post(url, {"next": "//elsewhere.example/"}).url == reverse("project", args=[project.pk])
    assert project.plan.revisions.filter(state="draft").count() == 1
