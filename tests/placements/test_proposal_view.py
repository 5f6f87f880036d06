"""Asking for a proposal on the page, watching it, comparing and accepting it."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from placements.models import DueDate, Placement, ProposalRun, RunState
from studio.models import Artwork
from tests.factories import (
    INCH,
    ArtworkFactory,
    PlacementFactory,
    WallFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def ready(cast, hung):
    """A finished run: the piece moves 2 in up, another comes to a wall that was empty."""
    project, stays = hung.revision.plan.project, hung.artwork
    first, second = hung.wall, WallFactory(room=hung.wall.room, name="South wall")
    comes = ArtworkFactory(client=project.client, title="Marram")

    def piece(work, left, bottom):
        return {
            "artwork": work.pk,
            "left_mm": left * INCH,
            "bottom_mm": bottom * INCH,
            "order": 1,
            "space": "s",
            "group": "",
            "why": "Right width.",
        }

    walls = [
        {"wall": first.pk, "score": 91.0, "pieces": [piece(stays, 56, 44)], "bares": [], "findings": []},
        {"wall": second.pk, "score": 80.0, "pieces": [piece(comes, 50, 50)], "bares": [], "findings": []},
    ]
    return ProposalRun.objects.create(
        project=project,
        requested_by=cast.designer,
        state=RunState.READY,
        progress=1.0,
        options={"revision": hung.revision_id, "versions": {}},
        result={"walls": walls, "unplaced": [], "optimality": {"objective": 1, "bound": 1, "gap": 0.0, "seconds": 0}},
    )


def test_comparison_says_what_would_change(cast, client_of, ready):
    page = client_of(cast.designer).get(reverse("proposal", args=[ready.pk])).content.decode()
    assert "2 walls would change" in page
    assert "Slack water moves 2″ up." in page
    assert "Marram comes here." in page
    assert "no plan scores higher" in page


def test_wall_by_wall_only_the_chosen_change(cast, client_of, ready):
    wall = ready.result["walls"][1]["wall"]
    client_of(cast.designer).post(reverse("proposal_accept", args=[ready.pk]), {"walls": [wall]})
    assert Placement.objects.get(artwork__title="Marram").wall_id == wall
    assert Placement.objects.get(artwork__title="Slack water").bottom_mm == 42 * INCH


def test_whole_proposal_is_taken_over(cast, client_of, ready):
    answer = client_of(cast.designer).post(reverse("proposal_accept", args=[ready.pk]), {"whole": "1"})
    assert answer.url == reverse("project", args=[ready.project_id])
    assert Placement.objects.get(artwork__title="Slack water").bottom_mm == 44 * INCH


def test_it_says_as_many_walls_after_as_before(cast, client_of, ready):
    """One of the two hangs as proposed already: one would change, and one did."""
    Placement.objects.filter(artwork__title="Slack water").update(bottom_mm=44 * INCH)
    client, there = client_of(cast.designer), reverse("proposal", args=[ready.pk])
    assert "1 wall would change" in client.get(there).content.decode()
    answer = client.post(reverse("proposal_accept", args=[ready.pk]), {"whole": "1"}, follow=True)
    assert "1 wall changed to what was proposed." in answer.content.decode()


def test_a_work_that_another_plan_hangs_is_said_with_its_day(cast, client_of, ready):
    work = Artwork.objects.get(title="Marram")
    other = PlacementFactory(artwork=work, revision__plan__project__client__studio=cast.studio)
    project = other.revision.plan.project
    DueDate.objects.create(project=project, kind="install", day=dt.date(2027, 3, 1))
    page = " ".join(client_of(cast.designer).get(reverse("proposal", args=[ready.pk])).content.decode().split())
    assert "<li>Marram. It is also planned in " in page
    assert f"{other.revision}, draft, to be hung by 1 March 2027." in page


def test_choosing_nothing_changes_nothing(cast, client_of, ready):
    client_of(cast.designer).post(reverse("proposal_accept", args=[ready.pk]), {})
    assert Placement.objects.count() == 1


def test_asking_shows_progress_that_polls_and_can_be_cancelled(cast, client_of, ready):
    client = client_of(cast.designer)
    text = client.post(
        reverse("proposal_start", args=[ready.project_id]), headers={"HX-Request": "true"}
    ).content.decode()
    run = ProposalRun.objects.first()
    assert 'hx-trigger="every 1s"' in text
    assert "<progress" in text
    cancelled = client.post(reverse("proposal_cancel", args=[run.pk]), headers={"HX-Request": "true"})
    assert "Nothing was changed" in cancelled.content.decode()


def test_what_is_usual_can_be_left_aside_and_stays_as_chosen(cast, client_of, ready):
    client, start = client_of(cast.designer), reverse("proposal_start", args=[ready.project_id])
    for sent, chosen in (({}, False), ({"as_usual": "1"}, True)):
        client.post(start, sent)
        run = ProposalRun.objects.first()
        assert run.as_usual is chosen
        page = client.post(reverse("proposal_cancel", args=[run.pk]), headers={"HX-Request": "true"}).content.decode()
        assert ('name="as_usual" value="True"' in page) is chosen
        ProposalRun.objects.filter(pk=run.pk).update(state=RunState.READY)
        project = client.get(reverse("project", args=[ready.project_id])).content.decode()
        assert ('name="as_usual" value="1" checked' in project) is chosen


def test_habits_are_told_beside_the_wall(cast, client_of, ready):
    ready.result["walls"][1]["usual"] = ["this studio usually hangs prints over a sofa (6 of 7)"]
    ready.options["as_usual"] = True
    ready.save()
    page = client_of(cast.designer).get(reverse("proposal", args=[ready.pk])).content.decode()
    assert "This studio usually hangs prints over a sofa (6 of 7)." in page
    assert "no plan scores higher under your house rules and what you usually hang" in page


def test_failed_run_says_why_and_offers_another(cast, client_of, ready):
    ready.state, ready.error, ready.result = RunState.FAILED, "The engine stopped: no walls.", None
    ready.save()
    page = client_of(cast.designer).get(reverse("proposal", args=[ready.pk])).content.decode()
    assert "The engine stopped: no walls." in page
    assert "Ask again" in page


def test_who_may(cast, client_of, ready):
    page, accept = reverse("proposal", args=[ready.pk]), reverse("proposal_accept", args=[ready.pk])
    assert client_of(cast.stranger).get(page).status_code == 404
    assert client_of(None).get(page).status_code == 302
    assert client_of(cast.coordinator).get(page).status_code == 200
    assert client_of(cast.coordinator).post(accept, {"whole": "1"}).status_code == 403
    assert client_of(cast.stranger).post(accept, {"whole": "1"}).status_code == 404
