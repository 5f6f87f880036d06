"""The way into an empty studio, its sample, and works that two plans count on."""

from __future__ import annotations

import pytest
from django.urls import reverse

from placements.models import Placement, Revision
from placements.selectors.elsewhere import in_other_plans
from placements.selectors.first_steps import first_steps
from studio.models import Artwork, Client, Project, Wall
from tests.factories import ArtworkFactory, ClientFactory, PlacementFactory, ProjectFactory, WallFactory

pytestmark = pytest.mark.django_db


def done(studio):
    return [step.name for step in first_steps(studio) if step.done]


def test_an_empty_studio_is_shown_the_way_with_buttons_that_lead_on(cast, client_of):
    client = client_of(cast.designer)
    page = client.get(reverse("projects")).content.decode()
    assert "From an empty studio to the first proposal" in page
    assert [(step.done, step.open) for step in first_steps(cast.studio)] == [
        (False, True), (False, False), (False, True), (False, False),
    ]  # fmt: skip
    assert all(client.get(step.address).status_code == 200 for step in first_steps(cast.studio))
    assert "first proposal" not in client_of(cast.coordinator).get(reverse("projects")).content.decode()


def test_steps_are_done_one_by_one(cast):
    row = ClientFactory(studio=cast.studio)
    assert done(cast.studio) == ["Client"]
    project = ProjectFactory(client=row)
    assert first_steps(cast.studio)[1].address == reverse("wall_new", args=[project.pk])
    WallFactory(room__project=project)
    ArtworkFactory(client=row)
    assert done(cast.studio) == ["Client", "Rooms", "Art"]
    project.proposal_runs.create(requested_by=cast.designer)
    assert first_steps(cast.studio) == ()


def test_the_sample_is_added_once_and_removed_without_a_trace(cast, client_of):
    client = client_of(cast.designer)
    ArtworkFactory(client=ClientFactory(studio=cast.studio))
    before = {model: model.objects.count() for model in (Client, Project, Wall, Artwork, Placement, Revision)}
    address = client.post(reverse("sample_add")).url
    assert client.post(reverse("sample_add")).url == address
    assert client.get(address).status_code == 200
    project = Project.objects.get(client__sample=True)
    wall = Wall.objects.filter(room__project=project).first()
    PlacementFactory(
        revision__plan__project=project, wall=wall, artwork=Artwork.objects.filter(project=project).first()
    )
    assert done(cast.studio) == ["Client", "Art"]  # the sample's walls count for nothing
    assert "Remove the sample" in client.get(reverse("projects")).content.decode()
    assert client.post(reverse("sample_remove")).url == reverse("projects")
    assert {model: model.objects.count() for model in before} == before
    assert client.post(reverse("sample_remove")).status_code == 404


def test_a_signed_sample_and_a_client_of_that_name_are_left_alone(cast, client_of):
    client = client_of(cast.designer)
    client.post(reverse("sample_add"))
    project = Project.objects.get(client__sample=True)
    revision = PlacementFactory(revision__plan__project=project, wall__room__project=project).revision
    Revision.objects.filter(pk=revision.pk).update(state="signed", sha256="0" * 64)
    assert client.post(reverse("sample_remove")).status_code == 409
    Client.objects.filter(pk=project.client_id).update(sample=False)
    assert client.post(reverse("sample_add")).status_code == 409


def test_a_work_in_two_plans_is_said(cast, client_of):
    here = PlacementFactory(revision__plan__project__client__studio=cast.studio)
    there = PlacementFactory(revision__plan__project__client__studio=cast.studio, artwork=here.artwork)
    project, other = here.revision.plan.project, there.revision.plan.project
    assert in_other_plans([here.artwork], project) == {here.artwork_id: there}
    page = client_of(cast.designer).get(reverse("project", args=[project.pk])).content.decode()
    assert "In two plans at once" in page
    assert str(other) in page
    Revision.objects.filter(pk=there.revision_id).update(state="closed", sha256="0" * 64)
    assert in_other_plans([here.artwork], project) == {}
