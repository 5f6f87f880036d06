"""The wall page: looking, trying a place, every edit, the second of two people, undo and redo."""

from __future__ import annotations

import html
import json
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from placements import scenes
from placements.engine import assess
from placements.models import Bare, Placement
from placements.services.moves import placement_move
from placements.services.walls import Edit
from tests.factories import (
    INCH,
    ArtworkFactory,
    ClientFactory,
    ItemFactory,
    PlacementFactory,
    ProjectFactory,
    RoomFactory,
    WallFactory,
)
from tests.placements.hands import taken_up

pytestmark = pytest.mark.django_db


def url_of(placement, action=None):
    args = [placement.revision.plan.project_id, placement.wall_id]
    return reverse("wall_edit", args=[*args, action]) if action else reverse("wall", args=args)


def edit(client, placement, action, htmx=True, **data):
    headers = {"HX-Request": "true"} if htmx else {}
    data = {"artwork": placement.artwork_id} | data
    return client.post(url_of(placement, action), data, headers=headers)


def version_in(page):
    return re.search(r'data-version="(\d+)"', page).group(1)


def test_members_see_the_wall(cast, client_of, hung):
    for member in cast.members:
        page = client_of(member).get(url_of(hung))
        assert page.status_code == 200
        text = page.content.decode()
        assert "Slack water" in text
        assert "Over the sofa" in text
        assert "4′ 8″" in text


def test_stranger_and_nobody_do_not(cast, client_of, hung):
    assert client_of(cast.stranger).get(url_of(hung)).status_code == 404
    assert client_of(None).get(url_of(hung)).status_code == 302


def test_coordinator_may_look_but_not_move(cast, client_of, hung):
    client = client_of(cast.coordinator)
    assert 'class="measure"' not in client.get(url_of(hung)).content.decode()
    assert edit(client, hung, "move", left_mm=0, bottom_mm=1000, version=1).status_code == 403
    hung.refresh_from_db()
    assert hung.left_mm == 56 * INCH


def test_wall_of_another_project_is_missing(cast, client_of, hung):
    other = WallFactory()
    url = reverse("wall", args=[hung.revision.plan.project_id, other.pk])
    assert client_of(cast.designer).get(url).status_code == 404


@pytest.mark.parametrize(
    ("measure", "text", "left_in", "bottom_in"),
    [
        ("left", "5' 3 1/2\"", 63.5, 42),
        ("left", "63.5", 63.5, 42),
        ("right", "4 ft", 64, 42),
        ("bottom", "3' 7\"", 56, 43),
        ("centre", "5' 1\"", 56, 44),
        ("above", "9", 56, 43),
    ],
)
def test_typed_measure_moves_the_piece(cast, client_of, hung, measure, text, left_in, bottom_in):
    answer = edit(client_of(cast.designer), hung, "move", measure=measure, version=1, **{measure: text})
    assert answer.status_code == 200
    hung.refresh_from_db()
    assert (hung.left_mm, hung.bottom_mm) == pytest.approx((left_in * INCH, bottom_in * INCH))


def test_fault_stands_beside_what_was_typed(cast, client_of, hung):
    answer = edit(client_of(cast.designer), hung, "move", measure="left", version=1, left="five feet-ish")
    text = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="five feet-ish"' in text
    assert 'aria-describedby="f-left"' in text
    hung.refresh_from_db()
    assert hung.left_mm == 56 * INCH


def test_trying_a_place_stores_nothing_and_shows_its_findings(cast, client_of, hung):
    url = reverse("wall_try", args=[hung.revision.plan.project_id, hung.wall_id])
    data = {"artwork": hung.artwork_id, "left_mm": 56 * INCH, "bottom_mm": 60 * INCH}
    text = client_of(cast.designer).post(url, data).content.decode()
    assert "pennant exception" in text
    hung.refresh_from_db()
    assert hung.bottom_mm == 42 * INCH


@pytest.mark.parametrize("bad", ["", "nan", "inf", "1e9", "left"])
def test_absurd_places_are_refused(cast, client_of, hung, bad):
    assert edit(client_of(cast.designer), hung, "move", left_mm=bad, bottom_mm=1000, version=1).status_code == 422


def test_second_editor_gets_the_newer_wall_and_a_choice(cast, client_of, hung):
    placement_move(edit=Edit(cast.principal, 1), **taken_up(hung), left_mm=1000, bottom_mm=1100)
    answer = edit(client_of(cast.designer), hung, "move", left_mm=1500, bottom_mm=1200, version=1)
    text = answer.content.decode()
    assert answer.status_code == 409
    assert str(cast.principal) in text
    assert "Make my change on this wall" in text
    assert "Keep this wall, drop mine" in text
    hung.refresh_from_db()
    assert hung.left_mm == 1000
    again = edit(client_of(cast.designer), hung, "move", left_mm=1500, bottom_mm=1200, version=version_in(text))
    assert again.status_code == 200
    hung.refresh_from_db()
    assert hung.left_mm == pytest.approx(1500, abs=0.8)  # to the nearest 1/16 in


def test_undo_and_redo_go_back_and_forth(cast, client_of, hung):
    client = client_of(cast.designer)
    first = edit(client, hung, "move", left_mm=1000, bottom_mm=1100, version=1).content.decode()
    second = edit(client, hung, "undo", version=version_in(first)).content.decode()
    assert Placement.objects.get(artwork=hung.artwork).left_mm == 56 * INCH
    edit(client, hung, "redo", version=version_in(second))
    assert Placement.objects.get(artwork=hung.artwork).left_mm == pytest.approx(1000, abs=0.8)


def test_undo_brings_the_reasons_back_and_the_session_keeps_each_text_once(cast, client_of, hung):
    hung.why = "Bottom edge is 8 in above the sofa"
    hung.save()
    client = client_of(cast.designer)
    text = ""
    for left in (900, 1000, 1100):
        text = edit(client, hung, "move", left_mm=left, bottom_mm=1100, version=version_in(text) if text else 1)
        text = text.content.decode()
    assert json.dumps(client.session["wall_steps"]).count(hung.why) == 1
    removed = edit(client, hung, "remove", version=version_in(text)).content.decode()
    edit(client, hung, "undo", version=version_in(removed))
    assert Placement.objects.get(artwork=hung.artwork).why == hung.why


def test_nothing_to_undo_is_said(cast, client_of, hung):
    assert edit(client_of(cast.designer), hung, "undo", version=1).status_code == 422


def test_taking_down_puts_it_among_the_unplaced(cast, client_of, hung):
    assert edit(client_of(cast.designer), hung, "remove", version=1).status_code == 200
    assert not Placement.objects.exists()
    project = reverse("project", args=[hung.revision.plan.project_id])
    assert "Slack water" in client_of(cast.designer).get(project).content.decode()


def test_leaving_bare_needs_a_reason_and_keeps_it(cast, client_of, hung):
    client = client_of(cast.designer)
    assert edit(client, hung, "bare", reason=" ", space="", version=1).status_code == 422
    assert edit(client, hung, "bare", reason="The view is the picture.", space="", version=1).status_code == 200
    assert Bare.objects.get().reason == "The view is the picture."
    assert "The view is the picture." in client.get(url_of(hung)).content.decode()


def test_fixing_a_piece_is_shown(cast, client_of, hung):
    text = edit(client_of(cast.designer), hung, "lock", version=1).content.decode()
    assert "fixed here" in text
    hung.refresh_from_db()
    assert hung.locked


def test_unknown_edit_is_missing(cast, client_of, hung):
    assert edit(client_of(cast.designer), hung, "paint", version=1).status_code == 404


def test_frozen_revision_offers_a_new_one(cast, client_of, hung):
    hung.revision.state, hung.revision.sha256 = "signed", "0" * 64
    hung.revision.save()
    text = client_of(cast.designer).get(url_of(hung)).content.decode()
    assert "Open a new revision to change it" in text
    assert 'class="measure"' not in text


def test_without_a_script_an_edit_leads_back_to_the_wall(cast, client_of, hung):
    answer = edit(client_of(cast.designer), hung, "move", htmx=False, left_mm=900, bottom_mm=1000, version=1)
    assert (answer.status_code, answer.url) == (302, url_of(hung))


def test_first_edit_of_a_project_opens_its_plan(cast, client_of):
    project = ProjectFactory(client=ClientFactory(studio=cast.studio))
    wall = WallFactory(room=RoomFactory(project=project))
    ItemFactory(wall=wall)
    work = ArtworkFactory(client=project.client)
    url = reverse("wall_edit", args=[project.pk, wall.pk, "hang"])
    data = {"artwork": work.pk, "left_mm": 1400, "bottom_mm": 1100, "space": "", "version": 1}
    answer = client_of(cast.designer).post(url, data, headers={"HX-Request": "true"})
    assert answer.status_code == 200
    assert project.plan.revisions.get().placements.get().artwork == work


def test_queries_do_not_grow_with_the_pieces(cast, client_of, hung):
    client = client_of(cast.designer)
    client.get(url_of(hung))  # makes the session
    counts = []
    for extra in (0, 5):
        for number in range(extra):
            work = ArtworkFactory(client=hung.artwork.client, width_mm=150, height_mm=200)
            PlacementFactory(revision=hung.revision, wall=hung.wall, artwork=work, left_mm=300 + 200 * number)
        with CaptureQueriesContext(connection) as captured:
            client.get(url_of(hung))
        counts.append(len(captured))
    assert counts[0] == counts[1]


def works_url(placement, name="wall_works"):
    return reverse(name, args=[placement.revision.plan.project_id, placement.wall_id])


def sofa_space(client, placement):
    return re.search(r'data-space="([^":]+:item-\d+)"', client.get(url_of(placement)).content.decode()).group(1)


def test_ranked_works_give_their_reason_and_can_be_hung(cast, client_of, hung):
    client = client_of(cast.designer)
    other = ArtworkFactory(client=hung.artwork.client, title="Three terraces", width_mm=58 * INCH)
    space = sofa_space(client, hung)
    text = client.get(works_url(hung), {"space": space}).content.decode()
    assert "Three terraces" in text
    assert "of the sofa" in text
    form = re.search(
        rf'value="{other.pk}".*?name="left_mm" value="([\d.]+)".*?"bottom_mm" value="([\d.]+)"', text, re.S
    )
    left, bottom = form.groups()
    answer = edit(client, hung, "hang", artwork=other.pk, space=space, left_mm=left, bottom_mm=bottom, version=1)
    assert answer["HX-Trigger-After-Settle"] == "works-changed"
    assert Placement.objects.get(wall=hung.wall).artwork == other


def test_ranked_work_says_how_many_exceptions_it_would_ask_for(cast, client_of, hung):
    client, owner = client_of(cast.designer), hung.artwork.client
    wide = ArtworkFactory(client=owner, width_mm=58 * INCH, height_mm=36 * INCH)
    tall = ArtworkFactory(client=owner, width_mm=24 * INCH, height_mm=36 * INCH)
    space = sofa_space(client, hung)
    text = client.get(works_url(hung), {"space": space}).content.decode()
    asks = {}
    for row in text.split("<li")[1:]:
        told = re.search(r"(\d) exceptions?</span>", row)
        asks[re.search(r"<strong>(.*?)</strong>", row).group(1)] = int(told.group(1)) if told else 0
    assert asks[wide.title] == 0
    assert asks[tall.title] > 0
    form = re.search(rf'value="{tall.pk}".*?name="left_mm" value="([\d.]+)".*?"bottom_mm" value="([\d.]+)"', text, re.S)
    place = dict(zip(("left_mm", "bottom_mm"), form.groups(), strict=True))
    answer = edit(client, hung, "hang", artwork=tall.pk, space=space, version=1, **place).content.decode()
    assert len(re.findall(r'class="pennant exception"', answer)) == asks[tall.title], "as many as it has once it hangs"


def test_unknown_space_is_missing_and_none_is_empty(cast, client_of, hung):
    client = client_of(cast.designer)
    assert client.get(works_url(hung), {"space": "nonsense"}).status_code == 404
    assert "Choose a space" in client.get(works_url(hung)).content.decode()


def test_two_ways_stand_side_by_side(cast, client_of, hung):
    client = client_of(cast.designer)
    client.cookies["window"] = "1440x900"  # else each way is drawn for the hand, too
    other = ArtworkFactory(client=hung.artwork.client, title="Three terraces", width_mm=58 * INCH)
    asked = {"work": other.pk, "space": sofa_space(client, hung)}
    text = client.get(works_url(hung, "wall_compare"), asked).content.decode()
    assert text.count('class="elevation ') == 2
    assert "Use this one" in text
    assert "Keep it as it is" in text


OFFERED = re.compile(r'name="remedy" value="([\d.]+)">\s*<input type="hidden" name="text" value="([^"]+)"')


@pytest.fixture
def high(hung):
    """26 in above the sofa."""
    hung.bottom_mm = 60 * INCH
    hung.save()
    return hung


def test_remedy_is_carried_out_with_one_click(cast, client_of, high):
    client = client_of(cast.designer)
    asked_for = re.search(r'hx-get="([^"]+/help)"', client.get(url_of(high)).content.decode())
    offered = OFFERED.search(client.get(asked_for.group(1)).content.decode())
    assert offered, "the engine offers nothing for a piece 26 in above a sofa"
    answer = edit(client, high, "remedy", remedy=offered.group(1), text=html.unescape(offered.group(2)), version=1)
    assert answer.status_code == 200
    assert not Placement.objects.filter(wall=high.wall, bottom_mm=60 * INCH).exists()
    for one in Placement.objects.filter(wall=high.wall):
        assert one.bottom_mm / INCH * 16 == pytest.approx(round(one.bottom_mm / INCH * 16), abs=1e-3)


def test_what_would_help_is_worked_out_when_it_is_asked_for(cast, client_of, high, monkeypatch):
    client, worked_out, remedied = client_of(cast.designer), [], assess.remedied
    monkeypatch.setattr(assess, "remedied", lambda *given: worked_out.append(given) or remedied(*given))
    assert not OFFERED.search(client.get(url_of(high)).content.decode())
    edit(client, high, "move", left_mm=1300, bottom_mm=60 * INCH, version=1)
    assert not worked_out
    assert OFFERED.search(client.get(url_of(high), {"help": ""}).content.decode())  # as the link without scripts asks
    assert worked_out


def test_nothing_is_asked_for_where_every_rule_holds(cast, client_of, hung):
    assert "/help" not in client_of(cast.designer).get(url_of(hung)).content.decode()


def test_remedy_that_is_not_offered_any_more_is_refused(cast, client_of, hung):
    assert edit(client_of(cast.designer), hung, "remedy", remedy="9.9", text="x", version=1).status_code == 422


def test_an_edit_reads_the_project_once(cast, client_of, hung, monkeypatch, django_assert_max_num_queries):
    client, read, scene_of = client_of(cast.designer), [], scenes.scene_of
    monkeypatch.setattr(scenes, "scene_of", lambda *given, **more: read.append(1) or scene_of(*given, **more))
    assert edit(client, hung, "move", left_mm=1300, bottom_mm=1100, version=1).status_code == 200
    read.clear()
    with django_assert_max_num_queries(32):
        assert edit(client, hung, "move", left_mm=1350, bottom_mm=1100, version=2).status_code == 200
    assert len(read) == 1


@pytest.mark.parametrize("htmx", [True, False])
def test_an_edit_reads_the_wall_once_however_much_hangs_there(cast, client_of, hung, monkeypatch, htmx):
    client = client_of(cast.designer)
    edit(client, hung, "move", htmx, left_mm=900, bottom_mm=1100, version=1)  # makes the session and the wall's version
    read, counts = [], []
    scene_of = scenes.scene_of
    monkeypatch.setattr(scenes, "scene_of", lambda *args, **kept: read.append(args) or scene_of(*args, **kept))
    for version, extra in ((2, 0), (3, 5)):
        for number in range(extra):
            work = ArtworkFactory(client=hung.artwork.client, width_mm=150, height_mm=200)
            PlacementFactory(revision=hung.revision, wall=hung.wall, artwork=work, left_mm=300 + 200 * number)
        read.clear()
        with CaptureQueriesContext(connection) as captured:
            answer = edit(client, hung, "move", htmx, left_mm=1000 + version, bottom_mm=1100, version=version)
        assert answer.status_code == (200 if htmx else 302)
        assert len(read) == 1
        counts.append(len(captured))
    assert counts[1] <= counts[0] <= (32 if htmx else 27)
