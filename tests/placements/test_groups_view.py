"""Composing a group on the page, arranging it by hand, hanging it; and where a work would look best."""

from __future__ import annotations

import html
import itertools
import json
import re

import pytest
from django.urls import reverse

from placements.contexts.drawn import SheetRoom
from placements.contexts.groups import floor_picture
from placements.drawings import DrawnPiece
from placements.engine.house import Rect
from placements.engine.results import PlainWords
from placements.models import Placement
from placements.selectors.best import best_places
from studio.models import Artwork
from studio.units import Units
from tests.factories import (
    INCH,
    ArtworkFactory,
    ClientFactory,
    ItemFactory,
    ProjectFactory,
    RoomFactory,
    StudioFactory,
    WallFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def wall(cast):
    """An open wall 14 ft long, and a client with five equal prints and two others."""
    project = ProjectFactory(client=ClientFactory(studio=cast.studio))
    wall = WallFactory(room=RoomFactory(project=project))
    for number in range(5):
        ArtworkFactory(
            client=project.client, title=f"Print {number}", width_mm=16 * INCH, height_mm=20 * INCH, frame="black"
        )
    ArtworkFactory(client=project.client, title="Large", width_mm=30 * INCH, height_mm=40 * INCH, frame="oak")
    return wall


def url_of(wall, name="wall_groups"):
    return reverse(name, args=[wall.room.project_id, wall.pk])


def composed(client, wall):
    text = client.get(url_of(wall), {"compose": "1", "least": "2", "most": "4"}).content.decode()
    states = [html.unescape(one) for one in re.findall(r'name="state" value="([^"]+)"', text)]
    return text, states


def changed(client, wall, state, operation, **more):
    data = {"state": state, "do": operation} | more
    answer = client.post(url_of(wall, "wall_group"), data, headers={"HX-Request": "true"})
    text = answer.content.decode()
    found = re.search(r'name="state" value="([^"]+)"', text)
    return answer, json.loads(html.unescape(found.group(1))) if found else None


def test_layouts_are_offered_with_reasons(cast, client_of, wall):
    text, states = composed(client_of(cast.designer), wall)
    assert len(states) >= 2
    assert "Every gap is" in text
    assert text.count("Hang it") >= 1


def test_a_work_that_must_hang_is_in_every_layout(cast, client_of, wall):
    client = client_of(cast.designer)
    pool = re.findall(r'name="pin" value="(\d+)"', client.get(url_of(wall)).content.decode())
    assert len(pool) > 2
    for pinned in (pool[0], pool[-1]):
        answer = client.get(url_of(wall) + f"?compose=1&least=2&most=3&pin={pinned}")
        title = Artwork.objects.get(pk=pinned).title
        layouts = answer.context["layouts"]
        assert layouts
        assert all(title in layout.works for layout in layouts)
        assert f'name="pin" value="{pinned}" checked' in answer.content.decode()


def test_the_outer_edge_is_chosen_and_kept(cast, client_of, wall):
    """The choice reaches the composer (another edge gives other places), stays marked, and nonsense is refused."""
    client = client_of(cast.designer)
    for number, (wide, high) in enumerate(((8, 10), (12, 9), (14, 11), (9, 12), (20, 16), (24, 18), (18, 24))):
        ArtworkFactory(
            client=wall.room.project.client, title=f"Sketch {number}", width_mm=wide * INCH, height_mm=high * INCH
        )
    sketches = [one.pk for one in Artwork.objects.filter(title__startswith="Sketch")]
    places = {}
    for edge in ("rectangle", "oval", "diamond"):
        answer = client.get(url_of(wall), {"compose": "1", "all": "on", "work": sketches, "edge": edge})
        assert f'value="{edge}" checked' in answer.content.decode()
        salons = [one for one in answer.context["layouts"] if one.name == "A centred arrangement"]
        assert salons
        places[edge] = str(salons[0].state)
    assert len(set(places.values())) == 3
    assert client.get(url_of(wall), {"compose": "1", "edge": "star"}).status_code in (400, 422)


def test_before_asking_the_page_explains_itself(cast, client_of, wall):
    assert "Several layouts, clearly different" in client_of(cast.designer).get(url_of(wall)).content.decode()


def test_hung_group_stands_on_the_wall_as_offered(cast, client_of, wall):
    client = client_of(cast.designer)
    _, states = composed(client, wall)
    answer = client.post(url_of(wall, "wall_group_hang"), {"state": states[0], "version": "1"})
    assert answer.status_code == 302
    offered = {pk: (left, bottom) for pk, left, bottom in json.loads(states[0])["pieces"]}
    hung = {one.artwork_id: (one.left_mm, one.bottom_mm) for one in Placement.objects.filter(wall=wall)}
    assert hung.keys() == offered.keys()
    assert all(hung[pk] == pytest.approx(offered[pk], abs=0.01) for pk in hung)
    assert len({one.group for one in Placement.objects.all()}) == 1


def test_hung_group_stands_on_the_marks_of_a_tape(cast, client_of, wall):
    client = client_of(cast.designer)
    state = json.loads(composed(client, wall)[1][0])
    state["pieces"] = [[pk, left + 0.37, bottom + 0.61] for pk, left, bottom in state["pieces"]]
    client.post(url_of(wall, "wall_group_hang"), {"state": json.dumps(state), "version": "1"})
    for pk, left, bottom in state["pieces"]:
        one = Placement.objects.get(artwork=pk)
        for hung, asked in ((one.left_mm, left), (one.bottom_mm, bottom)):
            assert hung / INCH * 16 == pytest.approx(round(hung / INCH * 16), abs=1e-3)
            assert abs(hung - asked) < INCH / 16


def test_taking_out_adding_and_swapping(cast, client_of, wall):
    client = client_of(cast.designer)
    _, states = composed(client, wall)
    start = next(one for one in states if len(json.loads(one)["pieces"]) >= 3)
    pieces = [piece[0] for piece in json.loads(start)["pieces"]]
    _, fewer = changed(client, wall, start, "remove", work=pieces[0])
    assert {piece[0] for piece in fewer["pieces"]} == set(pieces[1:])
    _, more = changed(client, wall, json.dumps(fewer), "add", new=pieces[0])
    assert {piece[0] for piece in more["pieces"]} == set(pieces)
    answer, swapped = changed(client, wall, start, "swap", work=pieces[0], other=pieces[1])
    assert answer.status_code == 200
    assert {piece[0] for piece in swapped["pieces"]} == set(pieces)


def test_gaps_are_set_in_the_readers_units(cast, client_of, wall):
    client = client_of(cast.designer)
    _, states = composed(client, wall)
    row = next(one for one in states if json.loads(one)["form"] in ("row", "trio", "pair"))
    _, spread = changed(client, wall, row, "spread", gap='3"')
    edges = sorted((left, left + width_of(pk)) for pk, left, _ in spread["pieces"])
    gaps = [b[0] - a[1] for a, b in itertools.pairwise(edges)]
    assert gaps == pytest.approx([3 * INCH] * len(gaps), abs=0.5)


def width_of(pk):

    return Artwork.objects.get(pk=pk).width_mm


def test_edit_that_cannot_be_says_why_and_changes_nothing(cast, client_of, wall):
    client = client_of(cast.designer)
    _, states = composed(client, wall)
    answer, same = changed(client, wall, states[0], "spread", gap="wide")
    assert answer.status_code == 422
    assert "The gap" in answer.content.decode()
    assert same == json.loads(states[0])


def test_undo_and_redo_outlive_leaving_the_page(cast, client_of, wall):
    client = client_of(cast.designer)
    _, states = composed(client, wall)
    client.post(url_of(wall, "wall_group"), {"state": states[0]})
    _, mirrored = changed(client, wall, states[0], "mirror")
    assert client.get(url_of(wall)).status_code == 200, "the reader looks elsewhere"
    again = client.get(url_of(wall, "wall_group"))
    assert json.loads(again.context["state"]) == mirrored
    assert again.context["can_undo"]
    _, back = changed(client, wall, json.dumps(mirrored), "undo")
    assert back == json.loads(states[0])
    _, forth = changed(client, wall, json.dumps(back), "redo")
    assert forth == mirrored


def test_starting_from_another_layout_loses_nothing(cast, client_of, wall):
    client = client_of(cast.designer)
    _, states = composed(client, wall)
    for state in states[:2]:
        client.post(url_of(wall, "wall_group"), {"state": state})
    _, back = changed(client, wall, states[1], "undo")
    assert back == json.loads(states[0])


def test_without_a_group_in_hand_the_page_leads_to_composing(cast, client_of, wall):
    answer = client_of(cast.designer).get(url_of(wall, "wall_group"))
    assert answer.status_code == 302
    assert answer["Location"].startswith(url_of(wall))


def test_group_that_hangs_is_arranged_from_where_it_hangs(cast, client_of, wall):
    client = client_of(cast.designer)
    _, states = composed(client, wall)
    client.post(url_of(wall, "wall_group_hang"), {"state": states[0], "version": "1"})
    assert "Arrange the group" in client.get(url_of(wall, "wall")).content.decode()
    answer = client.post(url_of(wall, "wall_group"), {"space": ""})
    assert {piece[0] for piece in json.loads(answer.context["state"])["pieces"]} == {
        one.artwork_id for one in Placement.objects.filter(wall=wall)
    }


@pytest.mark.parametrize("count", [12, 20])
@pytest.mark.parametrize("chosen", ["", "7"], ids=["none chosen", "one chosen"])
def test_strings_of_a_large_group_keep_apart(count, chosen):
    """Lettering of the floor's strings: no two figures nearer than their own height, however many pieces."""
    pieces = tuple(
        DrawnPiece(str(n), f"Print {n}", Rect(100 + 270 * (n % 5) + 13 * (n // 5), 900 + 330 * (n // 5), 210, 280))
        for n in range(count)
    )
    outline = Rect(100, 900, max(p.rect.right for p in pieces) - 100, max(p.rect.top for p in pieces) - 900)
    svg = floor_picture(pieces, outline, Units("ft_in"), chosen, SheetRoom())
    figures = re.findall(r'<text [^>]*?x="([-\d.]+)" y="([-\d.]+)" font-size="([\d.]+)"( text-anchor)?', svg)
    spots = [(float(x), float(y)) for x, y, _, _ in figures]
    assert len(spots) >= 4
    for (x0, y0), (x1, y1) in itertools.combinations(spots, 2):
        assert max(abs(x0 - x1), abs(y0 - y1)) >= 12.0


@pytest.mark.parametrize(
    "state",
    [
        "",
        "{}",
        '{"pieces": [], "locked": [], "form": "row"}',
        '{"pieces": [[1]]}',
        '{"pieces": [[PK, NaN, 0]], "locked": [], "form": "row"}',
        '{"pieces": [[PK, 1e999, 0]], "locked": [], "form": "row"}',
        '{"pieces": [[PK, 1HUGE, 0]], "locked": [], "form": "row"}',
        '{"pieces": [[1e999, 0, 0]], "locked": [], "form": "row"}',
        '{"pieces": [[PK, 10, 10]], "locked": [], "form": "spiral"}',
        '{"pieces": [[PK, 10, 10]], "locked": [1e999], "form": "row"}',
        "DEEP",
    ],
)
def test_spoilt_layouts_are_refused(cast, client_of, wall, state):
    state = state.replace("PK", str(Artwork.objects.get(title="Large").pk))
    state = state.replace("HUGE", "0" * 400).replace("DEEP", "[" * 100_000)
    for name in ("wall_group", "wall_group_hang"):
        answer = client_of(cast.designer).post(url_of(wall, name), {"state": state, "version": "1"})
        assert answer.status_code in (404, 422)


def test_who_may_compose(cast, client_of, wall):
    assert client_of(cast.coordinator).get(url_of(wall)).status_code == 403
    assert client_of(cast.stranger).get(url_of(wall)).status_code == 404
    assert client_of(None).get(url_of(wall)).status_code == 302


def test_best_places_for_a_clients_work(cast, client_of, wall):
    work = ArtworkFactory(client=wall.room.project.client, title="Slack water")
    page = reverse("work_best", args=[work.pk])
    text = client_of(cast.designer).get(page).content.decode()
    assert wall.name in text
    assert "score" in text
    assert client_of(cast.stranger).get(page).status_code == 404


def test_best_place_asks_for_no_exception_though_another_scores_a_little_more(cast, client_of, wall):
    owner = wall.room.project.client
    work = ArtworkFactory(client=owner, width_mm=62 * INCH, height_mm=24 * INCH)
    over_sofa, open_wall = (
        WallFactory(room=RoomFactory(project=ProjectFactory(client=owner)), name=name, length_mm=length * INCH)
        for name, length in (("Over a sofa", 168), ("Nothing on it", 120))
    )
    ItemFactory(wall=over_sofa, left_mm=37 * INCH, width_mm=93 * INCH, height_mm=36 * INCH)
    first, second = best_places(work, PlainWords())[:2]
    assert (first.wall, second.wall) == (open_wall, over_sofa)
    assert first.pairing.score < second.pairing.score
    assert (first.pairing.exceptions, second.pairing.exceptions) == (0, 1)
    assert second.pairing.findings[0].rule == "eye-line", "9 in above the sofa its centre is 57 in up"
    text = client_of(cast.designer).get(reverse("work_best", args=[work.pk])).content.decode()
    places = text.split("<ol")[1].split("<li>")[1:]
    assert "exception" not in places[0]
    assert "1 exception</span>" in places[1]


def test_stock_is_tried_in_every_project(cast, client_of, wall):
    stock = ArtworkFactory(client=None, studio=cast.studio, title="Stock piece")
    other = WallFactory(
        room=RoomFactory(project=ProjectFactory(client=ClientFactory(studio=StudioFactory()))), name="Far"
    )
    text = client_of(cast.designer).get(reverse("work_best", args=[stock.pk])).content.decode()
    assert wall.room.project.name in text
    assert other.name not in text
