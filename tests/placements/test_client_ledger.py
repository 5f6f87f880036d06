"""The list of clients tells how far each project is, what the client said and when something last changed."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from placements.models import ClientAnswer, ClientLink
from placements.selectors.client_ledger import client_rows, clients_of
from tests.factories import (
    ArtworkFactory,
    ClientFactory,
    PlacementFactory,
    PlanFactory,
    ProjectFactory,
    RevisionFactory,
    RoomFactory,
    StudioFactory,
    WallFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def client_row(cast):
    return ClientFactory(studio=cast.studio, name="Ines Marlow", email="ines@example.test")


@pytest.fixture
def hung(client_row):
    """A piece on a wall of the client's house, in review, and one that hangs nowhere."""
    project = ProjectFactory(client=client_row, name="Marlow house")
    revision = RevisionFactory(plan=PlanFactory(project=project), state="in_review")
    ArtworkFactory(client=client_row, title="Left over")
    wall = WallFactory(room=RoomFactory(project=project))
    return PlacementFactory(revision=revision, wall=wall, artwork=ArtworkFactory(client=client_row))


def answer(project, wall, approved, by):
    link = ClientLink.objects.create(
        project=project, label="Ines", token_sha256=f"{ClientLink.objects.count():064}", created_by=by,
        expires_at=timezone.now() + dt.timedelta(days=9),
    )  # fmt: skip
    return ClientAnswer.objects.create(link=link, wall=wall, approved=approved)


def test_list_says_how_far_each_project_is(cast, client_of, hung):
    text = client_of(cast.designer).get(reverse("clients")).content.decode()
    for said in (
        "Ines Marlow",
        "ines@example.test",
        "Marlow house",
        "In review",
        "the principal",
        "1 hung, 1 unplaced",
    ):
        assert said in text
    assert "2 works" in text


def test_newest_answer_of_the_client_counts(cast, hung):
    project, wall = hung.revision.plan.project, hung.wall
    answer(project, wall, True, cast.designer)
    newest = answer(project, wall, False, cast.designer)
    (row,) = client_rows(list(clients_of(cast.studio)), cast.designer)
    assert (row.wishes, row.approved) == (1, 0)
    assert row.changed == newest.created_at


def test_last_change_is_the_last_move_of_a_piece(cast, hung):
    (before,) = client_rows(list(clients_of(cast.studio)), cast.designer)
    hung.left_mm += 10
    hung.save()
    (after,) = client_rows(list(clients_of(cast.studio)), cast.designer)
    assert after.changed > before.changed
    assert after.changed == hung.history.latest().history_date


@pytest.mark.parametrize("asked", ["marlow h", "INES", "@example"])
def test_clients_are_found_by_name_letter_or_project(cast, client_row, hung, asked):
    ClientFactory(studio=cast.studio, name="Other")
    assert list(clients_of(cast.studio, asked)) == [client_row]


def test_nobody_found_is_said(cast, client_of, client_row):
    text = client_of(cast.designer).get(reverse("clients"), {"find": "zzz"}).content.decode()
    assert "Nobody is called" in text


def test_other_studios_clients_are_not_listed(cast, client_of, client_row):
    ClientFactory(studio=StudioFactory(), name="Elsewhere")
    assert "Elsewhere" not in client_of(cast.designer).get(reverse("clients")).content.decode()


def test_clients_page_shows_the_projects_as_the_ledger_does(cast, client_of, client_row, hung):
    text = client_of(cast.designer).get(reverse("client", args=[client_row.pk])).content.decode()
    assert "project-line" in text
    assert "1 hung, 1 unplaced" in text
