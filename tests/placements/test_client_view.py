"""The client's link: what it opens, what it never opens, how it ends, and what a client's answer does."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db.models import F
from django.urls import reverse
from django.utils import timezone

from placements.models import ClientAnswer, ClientLink, Comment, Notice
from placements.services import client_links
from placements.services.client_links import client_link_create
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

pytestmark = pytest.mark.django_db


@pytest.fixture
def shown(cast):
    """A link to the sitting room; the study, which it does not show, hangs a piece too."""
    project = ProjectFactory(client=ClientFactory(studio=cast.studio), designer=cast.designer)
    revision = RevisionFactory(plan=PlanFactory(project=project))
    for name, title in (("Sitting room", "Slack water"), ("Study", "Private view")):
        wall = WallFactory(room=RoomFactory(project=project, name=name), name=f"{name} wall")
        PlacementFactory(revision=revision, wall=wall, artwork=ArtworkFactory(client=project.client, title=title))
    rooms = list(project.rooms.filter(name="Sitting room"))
    link, token = client_link_create(by=cast.designer, project=project, rooms=rooms, label="Ines", days=30)
    return link, token


def url(token, name="client_view", *args):
    return reverse(name, args=[token, *args])


def test_link_opens_only_its_rooms_without_an_account(client, shown):
    _, token = shown
    answer = client.get(url(token))
    page = answer.content.decode()
    assert "Slack water" in page
    assert "Private view" not in page
    assert answer["Referrer-Policy"] == "strict-origin"  # no address in any referrer; a form still has an origin
    assert "no-store" in answer["Cache-Control"]


def test_only_the_digest_is_kept(shown):
    link, token = shown
    assert token not in link.token_sha256
    assert len(token) >= 43  # 256 bits in URL-safe base 64


@pytest.mark.parametrize("change", [{"revoked_at": timezone.now()}, {"expires_at": timezone.now() - dt.timedelta(1)}])
def test_ended_links_open_nothing(client, shown, change):
    link, token = shown
    ClientLink.objects.filter(pk=link.pk).update(**change)
    assert client.get(url(token)).status_code == 404


def test_spoilt_token_opens_nothing(client, shown):
    assert client.get(url(shown[1][:-1] + "A" * 2)).status_code == 404


def test_approval_and_remark_reach_the_designer(cast, client, shown, django_capture_on_commit_callbacks):
    link, token = shown
    wall = link.rooms.get().walls.get()
    client.post(url(token, "client_answer", wall.pk), {"answer": "approve", "text": "Lovely over the sofa."})
    stored = ClientAnswer.objects.get()
    assert (stored.approved, stored.wall) == (True, wall)
    assert Comment.objects.get().author_name == "Ines"
    assert Notice.objects.filter(user=cast.designer).exists()
    assert "You approved this wall" in client.get(url(token)).content.decode()


def test_wall_outside_the_link_takes_no_answer(client, shown):
    link, token = shown
    other = link.project.rooms.get(name="Study").walls.get()
    assert client.post(url(token, "client_answer", other.pk), {"answer": "approve"}).status_code == 404
    assert not ClientAnswer.objects.exists()


def test_empty_answer_is_said(client, shown):
    link, token = shown
    wall = link.rooms.get().walls.get()
    answer = client.post(url(token, "client_answer", wall.pk), {"text": " "})
    assert answer.status_code == 422
    assert "Nothing was written" in answer.content.decode()


def test_link_that_sends_answer_upon_answer_rests_and_says_for_how_long(cast, client, shown, monkeypatch):
    monkeypatch.setattr(client_links, "MOST_ANSWERS", ((3, dt.timedelta(minutes=10)), (4, dt.timedelta(days=1))))
    link, token = shown
    there = url(token, "client_answer", link.rooms.get().walls.get().pk)
    sent = [client.post(there, {"text": f"Remark {number}."}) for number in range(5)]
    assert [answer.status_code for answer in sent] == [302, 302, 302, 429, 429]
    page = sent[3].content.decode()
    assert "You have sent 3 answers within 10 minutes, so this one was not sent. Send it again in 10 minutes" in page
    assert ">Remark 3.</textarea>" in page, "what was typed stays"
    assert 590 <= int(sent[3]["Retry-After"]) <= 600
    other, another = client_link_create(
        by=cast.designer, project=link.project, rooms=list(link.rooms.all()), label="Tobias", days=1
    )
    assert client.post(there.replace(token, another), {"text": "Mine."}).status_code == 302, "another link is free"
    ClientAnswer.objects.update(created_at=F("created_at") - dt.timedelta(minutes=11))
    assert client.post(there, {"answer": "approve"}).status_code == 302
    assert "in 24 hours" in client.post(there, {"answer": "approve"}).content.decode()
    assert ClientAnswer.objects.filter(link=link).count() == Notice.objects.filter(text__contains="Ines").count() == 4
    assert other.answers.count() == 1


def test_pictures_of_other_rooms_stay_closed(client, shown):
    link, token = shown
    work = link.project.rooms.get(name="Study").walls.get().placements.get().artwork
    assert client.get(url(token, "client_picture", work.pk, "page")).status_code == 404


def test_office_makes_and_withdraws_links(cast, client_of, shown):
    project = shown[0].project
    page = reverse("client_links", args=[project.pk])
    browser = client_of(cast.coordinator)
    made = browser.post(page, {"label": "Tobias", "days": "7", "rooms": [project.rooms.first().pk]}).content.decode()
    assert "/client/" in made
    link = ClientLink.objects.get(label="Tobias")
    browser.post(reverse("client_link_revoke", args=[link.pk]))
    link.refresh_from_db()
    assert link.revoked_at is not None


@pytest.mark.parametrize(
    "bad", [{"label": ""}, {"days": "0"}, {"days": "900"}, {"days": "soon"}, {"rooms": []}, {"rooms": ["999999"]}]
)
def test_bad_links_are_not_made(cast, client_of, shown, bad):
    project = shown[0].project
    data = {"label": "Tobias", "days": "7", "rooms": [project.rooms.first().pk]} | bad
    answer = client_of(cast.designer).post(reverse("client_links", args=[project.pk]), data)
    assert answer.status_code == 422
    assert ClientLink.objects.count() == 1


def test_strangers_neither_see_nor_withdraw_links(cast, client_of, shown):
    link = shown[0]
    stranger = client_of(cast.stranger)
    assert stranger.get(reverse("client_links", args=[link.project_id])).status_code == 404
    assert stranger.post(reverse("client_link_revoke", args=[link.pk])).status_code == 404
