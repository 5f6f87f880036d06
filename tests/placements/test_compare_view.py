"""Comparing ways to hang a wall: what there is to choose from, what each would change, taking one, keeping one."""

from __future__ import annotations

import html
import json
import re

import pytest
from django.urls import reverse

from placements.estimating.prices import Prices
from placements.models import Bare, Option, Placement
from placements.services.money import price_list_save
from placements.services.moves import placement_move
from placements.services.walls import Edit
from tests.factories import (
    INCH,
    ArtworkFactory,
    ItemFactory,
    PlacementFactory,
    RevisionFactory,
    WallFactory,
)
from tests.placements.hands import taken_up

pytestmark = pytest.mark.django_db


@pytest.fixture
def hung(hung):
    """A second wall of the room with a print on it, besides, and another work of the client's."""
    PlacementFactory(
        revision=hung.revision,
        wall=WallFactory(room=hung.wall.room, name="East wall"),
        artwork__title="Harbour steps",
        artwork__width_mm=40 * INCH,
        artwork__height_mm=30 * INCH,
        left_mm=64 * INCH,
        bottom_mm=48 * INCH,
    )
    ArtworkFactory(client=hung.artwork.client, title="Three terraces", width_mm=58 * INCH)
    return hung


def at(placement, name="wall_compare", **asked):
    url = reverse(name, args=[placement.revision.plan.project_id, placement.wall_id])
    return url + ("?" + "&".join(f"{key}={value}" for key, value in asked.items()) if asked else "")


def edit(client, placement, action, **data):
    url = reverse("wall_edit", args=[placement.revision.plan.project_id, placement.wall_id, action])
    return client.post(url, {"artwork": placement.artwork_id} | data, headers={"HX-Request": "true"})


def page(client, placement, **asked):
    return html.unescape(client.get(at(placement, **asked)).content.decode())


def at_a_desk(client):
    """The browser has told its window."""
    client.cookies["window"] = "1440x900"
    return client


def states(text):
    """The arrangement of each side that can be taken or kept."""
    return [json.loads(one) for one in re.findall(r'name="state" value="(\{.*?\})">', text)]


def take(client, placement, text, key, **more):
    form = re.search(r'edit/take".*?name="version" value="(\d+)".*?name="state" value="(\{.*?\})">', text, re.S)
    assert form, f"{key} cannot be taken"
    url = reverse("wall_edit", args=[placement.revision.plan.project_id, placement.wall_id, "take"])
    return client.post(url, {"version": form.group(1), "state": form.group(2)} | more)


def test_wall_stands_beside_the_best_other_work_by_itself(cast, client_of, hung):
    text = page(at_a_desk(client_of(cast.designer)), hung)
    assert text.count('class="elevation ') == 2
    assert "As it hangs now" in text
    assert "Three terraces comes here." in text
    assert "Slack water goes back among the unplaced works." in text
    assert "Keep it as it is" in text


def test_both_drawings_have_one_scale(cast, client_of, hung):
    text = page(at_a_desk(client_of(cast.designer)), hung, a="now", b="bare")
    scales = re.findall(r'data-scale="([\d.]+)"', text)
    assert len(scales) == 2
    assert len(set(scales)) == 1


def test_until_the_window_is_known_each_way_is_drawn_for_a_desk_and_for_the_hand(cast, client_of, hung):
    client = client_of(cast.designer)
    assert re.findall(r'class="elevation (\w+)"', page(client, hung)) == ["screen", "hand"] * 2
    client.cookies["window"] = "390x844"
    assert re.findall(r'class="elevation (\w+)"', page(client, hung)) == ["hand"] * 2


def test_shelf_offers_every_kind_of_way(cast, client_of, hung):
    client = client_of(cast.designer)
    edit(client, hung, "move", left_mm=1000, bottom_mm=1100, version=1)
    Option.objects.create(wall=hung.wall, name="Option A", arrangement={"pieces": [], "bares": [["", "Rest."]]})
    signed = RevisionFactory(plan=hung.revision.plan, number=0, state="signed", sha256="0" * 64)
    PlacementFactory(revision=signed, wall=hung.wall, artwork=hung.artwork, left_mm=200)
    text = html.unescape(client.get(at(hung, "wall_options")).content.decode())
    for name in ("As it hangs now", "Option A", "Before the last change", "Revision 0", "Three terraces", "Left bare"):
        assert name in text
    assert "Before: Slack water moved." in text


def test_same_arrangement_is_offered_once(cast, client_of, hung):
    client = client_of(cast.designer)
    first = edit(client, hung, "move", left_mm=1000, bottom_mm=1100, version=1).content.decode()
    version = re.search(r'data-version="(\d+)"', first).group(1)
    edit(client, hung, "move", left_mm=56 * INCH, bottom_mm=42 * INCH, version=version)
    keys = re.findall(r"a=(back-\d+)&", html.unescape(client.get(at(hung, "wall_options")).content.decode()))
    assert set(keys) == {"back-1"}, "two changes ago the wall was as it is now"


def test_taking_an_earlier_state_is_one_more_change_that_can_be_undone(cast, client_of, hung):
    client = client_of(cast.designer)
    edit(client, hung, "move", left_mm=1000, bottom_mm=1100, version=1)
    answer = take(client, hung, page(client, hung, b="back-1"), "back-1")
    assert answer.status_code == 302
    hung.refresh_from_db()
    assert hung.left_mm == pytest.approx(56 * INCH)
    edit(client, hung, "undo", version=3)
    hung.refresh_from_db()
    assert hung.left_mm == pytest.approx(1000, abs=0.8)


def test_work_from_another_wall_says_what_that_wall_loses(cast, client_of, hung):
    """A revision before this one hung the print here: taking that empties the other wall."""
    moved = Placement.objects.get(artwork__title="Harbour steps")
    earlier = RevisionFactory(plan=hung.revision.plan, number=0, state="signed", sha256="0" * 64)
    PlacementFactory(revision=earlier, wall=hung.wall, artwork=moved.artwork, left_mm=64 * INCH)
    client = client_of(cast.designer)
    text = page(client, hung, b="revision-0")
    assert "Harbour steps leaves East wall in the sitting room, where nothing would hang" in text
    take(client, hung, text, "revision-0")
    moved.refresh_from_db()
    assert moved.wall == hung.wall


def test_leaving_bare_asks_why(cast, client_of, hung):
    client = client_of(cast.designer)
    text = page(client, hung, b="bare")
    assert "Why does it stay bare?" in text
    assert take(client, hung, text, "bare").status_code == 422
    assert Placement.objects.filter(wall=hung.wall).exists()
    assert take(client, hung, text, "bare", reason="The sofa is the picture.").status_code == 302
    assert Bare.objects.get().reason == "The sofa is the picture."
    assert not Placement.objects.filter(wall=hung.wall).exists()


def test_second_of_two_people_gets_the_newer_wall(cast, client_of, hung):
    client = client_of(cast.designer)
    text = page(client, hung, b="bare")
    placement_move(edit=Edit(cast.principal, 1), **taken_up(hung), left_mm=900, bottom_mm=1100)
    answer = take(client, hung, text, "bare", reason="Quiet.")
    assert answer.status_code == 409
    assert "Make my change on this wall" in answer.content.decode()
    assert Placement.objects.filter(wall=hung.wall).exists()


def test_plan_in_review_is_taken_back_when_a_way_is_taken(cast, client_of, hung):
    hung.revision.state = "in_review"
    hung.revision.save()
    client = client_of(cast.designer)
    text = page(client, hung, b="bare")
    assert "takes the plan back from the principal" in text
    assert take(client, hung, text, "bare", reason="Quiet.", take_back="1").status_code == 302
    hung.revision.refresh_from_db()
    assert hung.revision.state == "draft"


def test_option_is_kept_by_name_compared_and_dropped(cast, client_of, hung):
    client = client_of(cast.designer)
    text = page(client, hung)
    kept = {"name": "Option A", "state": json.dumps(states(text)[-1]), "a": "now"}
    answer = client.post(at(hung, "option_keep"), kept)
    option = Option.objects.get()
    assert f"b=kept-{option.pk}" in answer["Location"]
    assert "Kept by" in html.unescape(client.get(answer["Location"]).content.decode())
    assert client.post(at(hung, "option_keep"), kept).status_code == 422, "the name is taken"
    assert client.post(reverse("option_drop", args=[option.pk])).status_code == 302
    assert not Option.objects.exists()


def test_option_outlives_a_piece_that_left_the_inventory(cast, client_of, hung):
    gone = {"artwork": 999_999, "left_mm": 0, "bottom_mm": 1000, "order": 1}
    gone |= {"space": "", "group": "", "locked": False, "why": ""}
    option = Option.objects.create(wall=hung.wall, name="Old", arrangement={"pieces": [gone], "bares": []})
    text = page(client_of(cast.designer), hung, b=f"kept-{option.pk}")
    assert "One piece is not in the inventory any more" in text


PIECE = '{"artwork": PK, "left_mm": LEFT, "bottom_mm": 1000, "space": "", "group": "", "locked": false, "why": "WHY"}'


@pytest.mark.parametrize(
    "state",
    [
        "",
        "{",
        "[]",
        '{"pieces": [{}], "bares": []}',
        '{"pieces": 5, "bares": []}',
        f'{{"pieces": [{PIECE.replace("LEFT", "NaN")}], "bares": []}}',
        f'{{"pieces": [{PIECE.replace("LEFT", "1e999")}], "bares": []}}',
        f'{{"pieces": [{PIECE.replace("LEFT", "1" + "0" * 400)}], "bares": []}}',
        f'{{"pieces": [{PIECE.replace("LEFT", "100").replace("WHY", chr(92) + "u0000")}], "bares": []}}',
        f'{{"pieces": [{PIECE.replace("LEFT", "100").replace("WHY", chr(92) + "ud800")}], "bares": []}}',
        pytest.param("[" * 100_000, id="deep"),
    ],
)
def test_spoilt_arrangement_is_refused(cast, client_of, hung, state):
    state = state.replace("PK", str(hung.artwork_id))
    url = reverse("wall_edit", args=[hung.revision.plan.project_id, hung.wall_id, "take"])
    assert client_of(cast.designer).post(url, {"version": 1, "state": state}).status_code == 422
    assert client_of(cast.designer).post(at(hung, "option_keep"), {"name": "A", "state": state}).status_code == 422


def test_space_left_bare_twice_is_left_bare_once(cast, client_of, hung):
    state = '{"pieces": [], "bares": [["", "Quiet."], ["", "Quieter."]]}'
    url = reverse("wall_edit", args=[hung.revision.plan.project_id, hung.wall_id, "take"])
    assert client_of(cast.designer).post(url, {"version": 1, "state": state}).status_code == 302
    assert Bare.objects.get().reason == "Quieter."


@pytest.mark.parametrize("key", ["back-9", "work-999999", "kept-1", "revision-7", "group-99", "nonsense"])
def test_way_that_is_gone_is_said_and_another_shown(cast, client_of, hung, key):
    answer = client_of(cast.designer).get(at(hung, b=key))
    assert answer.status_code == 200
    assert "not there any more" in answer.content.decode()


def test_coordinator_may_compare_but_not_take(cast, client_of, hung):
    client = client_of(cast.coordinator)
    text = page(client, hung)
    assert "Use this one" not in text
    data = {"name": "Option A", "state": '{"pieces": [], "bares": []}'}
    assert client.post(at(hung, "option_keep"), data).status_code == 403


@pytest.mark.parametrize("action", ["move", "remove", "lock", "bare"])
def test_every_edit_takes_a_plan_in_review_back_once_the_reader_was_told(cast, client_of, hung, action):
    hung.revision.state = "in_review"
    hung.revision.save()
    client = client_of(cast.designer)
    data = {"left_mm": 900, "bottom_mm": 1000, "reason": "Quiet.", "space": "", "version": 1}
    assert edit(client, hung, action, **data).status_code == 409
    assert edit(client, hung, action, **data, take_back="1").status_code == 200
    hung.revision.refresh_from_db()
    assert hung.revision.state == "draft"


def test_engine_proposes_for_the_space_that_is_asked_for(cast, client_of, hung):
    """A door parts the wall: an open stretch beside it is a second space, chosen by its link."""
    ItemFactory(wall=hung.wall, kind="door", left_mm=128 * INCH, width_mm=6 * INCH, height_mm=84 * INCH)
    ArtworkFactory(client=hung.artwork.client, title="Small tide", width_mm=14 * INCH, height_mm=18 * INCH)
    client = client_of(cast.designer)
    spaces = dict(client.get(at(hung)).context["spaces"])
    assert len(spaces) > 1
    beside = next(space for space in spaces if not space.endswith(":item-1") and "open" in space)
    answer = client.get(at(hung, "wall_options", space=beside))
    offered = [card.way for card in answer.context["cards"] if card.way.key.startswith("work-")]
    assert offered
    assert all("Slack water" in [one.artwork.title for one in way.hung] for way in offered), "the sofa keeps its own"


def test_each_side_says_what_speaks_for_it_against_the_other(cast, client_of, hung):
    text = page(at_a_desk(client_of(cast.designer)), hung, a="now", b="bare")
    sides = text.split('class="side-words"')[1:]
    assert "Fills more of the places that count" in sides[0]
    assert "Fills more" not in sides[1]
    assert "Better here" not in page(at_a_desk(client_of(cast.designer)), hung, a="now", b="now")


def test_each_way_says_what_it_takes_to_hang_and_the_second_how_it_differs(cast, client_of, hung):
    client = client_of(cast.designer)
    assert "not by your own prices" in page(client, hung, a="now", b="bare")
    price_list_save(by=cast.principal, studio=cast.studio, prices=Prices("USD"), based_on=0)
    bare = page(client, hung, a="now", b="bare")
    first, second = re.findall(r"To hang: (.*?)</p>", bare)
    assert re.fullmatch(r"USD [0-9]+\.[0-9]{2}, [^:]*hours?\.", first)
    amount = first.split(",")[0]
    assert second.startswith(f"Nothing: {amount} less, about ")
    assert second.endswith(" min shorter.")
    both = re.findall(r"To hang: (.*?)</p>", page(client, hung, a="now", b="now"))
    assert both == [first, f"{first[:-1]}: the same."]
