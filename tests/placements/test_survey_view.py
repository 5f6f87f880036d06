"""Surveying a wall by numbers: what is stored, what is refused and how that is said."""

from __future__ import annotations

import html
import re

import pytest
from django.urls import reverse

from placements.contexts.typical import TYPICAL
from studio.models import Wall, WallItem
from studio.models.furniture import ItemKind
from tests.factories import INCH, ClientFactory, ItemFactory, ProjectFactory, RoomFactory, WallFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def wall(cast):
    return WallFactory(room=RoomFactory(project=ProjectFactory(client=ClientFactory(studio=cast.studio))))


def url_of(wall, name="wall_survey"):
    return reverse(name, args=[wall.room.project_id, wall.pk])


def item_data(wall, **changes):
    data = {"kind": "sofa", "left": "3' 6\"", "bottom": "0", "width": "7 ft", "height": "34", "depth": "36"}
    return data | {"version": wall.version} | changes


def test_designers_survey_others_do_not(cast, client_of, wall):
    assert client_of(cast.designer).get(url_of(wall)).status_code == 200
    assert client_of(cast.coordinator).get(url_of(wall)).status_code == 403
    assert client_of(cast.stranger).get(url_of(wall)).status_code == 404
    assert client_of(None).get(url_of(wall)).status_code == 302


@pytest.mark.parametrize(("typed", "mm"), [("5' 3 1/2\"", 63.5 * INCH), ("63.5", 63.5 * INCH), ("161cm", 1610.0)])
def test_lengths_are_read_as_people_type_them(cast, client_of, wall, typed, mm):
    client_of(cast.designer).post(url_of(wall, "item_save"), item_data(wall, width=typed))
    assert WallItem.objects.get().width_mm == pytest.approx(mm)


def test_new_wall_in_a_new_room(cast, client_of, wall):
    url = reverse("wall_new", args=[wall.room.project_id])
    data = {
        "new_room": "Study", "use": "study", "name": "Desk wall", "length": "12 ft", "height": "2.6 m",
        "build": "plaster", "finish": "paint",
    }  # fmt: skip
    answer = client_of(cast.designer).post(url, data)
    stored = Wall.objects.get(name="Desk wall")
    assert answer.url == url_of(stored)
    assert (stored.length_mm, stored.height_mm) == pytest.approx((3657.6, 2600))
    assert stored.room.name == "Study"


def test_wall_without_a_room_or_length_says_both(cast, client_of, wall):
    url = reverse("wall_new", args=[wall.room.project_id])
    answer = client_of(cast.designer).post(url, {"name": "X", "length": "long", "height": "9 ft"})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "Choose a room, or name a new one." in text
    assert "long" in text
    assert Wall.objects.count() == 1


def test_fault_stands_beside_its_field_and_nothing_is_lost(cast, client_of, wall):
    data = item_data(wall, width="wide", height="-3")
    answer = client_of(cast.designer).post(url_of(wall, "item_save"), data, headers={"HX-Request": "true"})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="wide"' in text
    assert 'value="3&#x27; 6&quot;"' in text
    assert text.count('class="fault"') == 2
    assert not WallItem.objects.exists()


def test_item_off_the_wall_is_refused_in_place(cast, client_of, wall):
    data = item_data(wall, left="200 ft")
    answer = client_of(cast.designer).post(url_of(wall, "item_save"), data, headers={"HX-Request": "true"})
    assert answer.status_code == 422
    assert "fault" in answer.content.decode()
    assert not WallItem.objects.exists()


def test_item_is_changed_and_taken_off(cast, client_of, wall):
    item = ItemFactory(wall=wall)
    client = client_of(cast.designer)
    client.post(url_of(wall, "item_save"), item_data(wall, item=item.pk, left="4 ft"))
    item.refresh_from_db()
    assert item.left_mm == pytest.approx(48 * INCH)
    wall.refresh_from_db()
    client.post(url_of(wall, "item_delete"), {"item": item.pk, "version": wall.version})
    assert not WallItem.objects.exists()


def test_second_surveyor_keeps_what_was_typed(cast, client_of, wall):
    data = item_data(wall, version=wall.version + 5, label="Grandmother's sofa")
    answer = client_of(cast.designer).post(url_of(wall, "item_save"), data, headers={"HX-Request": "true"})
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "Grandmother&#x27;s sofa" in text
    assert not WallItem.objects.exists()


def test_copy_takes_everything_on_the_wall(cast, client_of, wall):
    ItemFactory(wall=wall)
    client_of(cast.designer).post(url_of(wall, "wall_copy"), {"name": "South wall"})
    copy = Wall.objects.get(name="South wall")
    assert copy.items.get().width_mm == 84 * INCH


def test_wall_numbers_change(cast, client_of, wall):
    data = {
        "room": wall.room_id, "name": "North wall", "length": "15 ft", "height": "9 ft", "build": "brick",
        "finish": "brick", "version": wall.version,
    }  # fmt: skip
    client_of(cast.designer).post(url_of(wall, "wall_change"), data)
    wall.refresh_from_db()
    assert (wall.length_mm, wall.build) == (pytest.approx(4572), "brick")


def test_every_kind_has_a_usual_size() -> None:
    assert {one.kind for one in TYPICAL} == set(ItemKind.values)
    assert all(one.width > 0 and one.height > 0 and one.depth >= 0 and one.bottom >= 0 for one in TYPICAL)


def wall_data(wall, **changes):
    data = {
        "room": wall.room_id, "name": wall.name, "length": "168", "height": "108", "build": "drywall",
        "finish": "paint", "importance": "secondary",
    }  # fmt: skip
    return data | {"version": wall.version} | changes


def test_a_sloping_ceiling_is_typed_stored_and_shown_again(cast, client_of, wall):
    sent = wall_data(wall, ceiling="0 / 4'; 5' / 9'; 14' / 9'")
    assert client_of(cast.designer).post(url_of(wall, "wall_change"), sent).status_code in (200, 302)
    wall.refresh_from_db()
    assert wall.importance == "secondary"
    assert wall.ceiling_mm == [[0.0, 1219.2], [1524.0, 2743.2], [4267.2, 2743.2]]
    page = client_of(cast.designer).get(url_of(wall)).content.decode()
    assert "knee wall" in page
    shown = re.search(r'<input[^>]*name="ceiling"[^>]*>', page).group()
    shown = re.search(r'value="([^"]*)"', shown).group(1)
    again = wall_data(wall, ceiling=html.unescape(shown))
    client_of(cast.designer).post(url_of(wall, "wall_change"), again)
    wall.refresh_from_db()
    assert wall.ceiling_mm == [[0.0, 1219.2], [1524.0, 2743.2], [4267.2, 2743.2]]


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("0 / 4'; 14'", "Expected along / up"),
        ("0 / tall; 14' / 9'", "tall"),
        ("0 / 4'; 10' / 9'", "ends at its right end"),
        ("0 / 4'; 14' / 8'", "the highest point is the wall"),
    ],
)
def test_a_ceiling_that_makes_no_sense_is_told_beside_its_field(cast, client_of, wall, typed, told):
    sent = wall_data(wall, ceiling=typed)
    answer = client_of(cast.designer).post(url_of(wall, "wall_change"), sent, headers={"HX-Request": "true"})
    assert answer.status_code == 422
    assert told.lower() in html.unescape(answer.content.decode()).lower()
    wall.refresh_from_db()
    assert wall.ceiling_mm == []


def test_how_a_door_opens_is_stored_and_forgotten_when_it_is_no_door(cast, client_of, wall):
    swing = {"hinge": "left", "leaf": "30", "opens": "this_wall"}
    door = item_data(wall, kind="door", left="5'", width="36", height="84", **swing)
    client_of(cast.designer).post(url_of(wall, "item_save"), door)
    stored = WallItem.objects.get()
    assert (stored.swing_hinge, stored.swing_leaf_mm, stored.swing_opens) == ("left", 30 * INCH, "this_wall")
    wall.refresh_from_db()
    client_of(cast.designer).post(url_of(wall, "item_save"), item_data(wall, item=stored.pk, kind="opening", **swing))
    stored.refresh_from_db()
    assert (stored.kind, stored.swing_hinge, stored.swing_leaf_mm, stored.swing_opens) == ("opening", "", None, "")


def test_a_typed_room_wins_over_the_list(cast, client_of, wall):
    url = reverse("wall_new", args=[wall.room.project_id])
    data = {
        "room": wall.room.pk, "new_room": " Study ", "use": "study", "name": "Desk wall", "length": "12 ft",
        "height": "9 ft", "build": "plaster", "finish": "paint",
    }  # fmt: skip
    client = client_of(cast.designer)
    client.post(url, data)
    client.post(url, data | {"new_room": "study", "name": "Door wall"})
    assert {one.room.name for one in Wall.objects.filter(name__in=("Desk wall", "Door wall"))} == {"Study"}
    assert wall.room.project.rooms.count() == 2


def test_a_line_is_shown_first_then_put_on_the_wall_in_one_edit(cast, client_of, wall):
    client, version = client_of(cast.designer), wall.version
    line = {"line": "sofa 84 x 32 centred; floor lamp right of sofa 4"}
    shown = client.post(url_of(wall, "survey_line"), line).content.decode()
    assert "<b>Floor lamp</b>" in shown
    assert not WallItem.objects.exists()
    client.post(url_of(wall, "survey_line"), line | {"add": "1"})
    assert sorted(WallItem.objects.values_list("kind", "left_mm")) == [("floor_lamp", 3302.0), ("sofa", 1066.8)]
    wall.refresh_from_db()
    assert wall.version == version + 1


def test_a_line_at_fault_stays_and_marks_its_word(cast, client_of, wall):
    line = {"line": "sofa; lammp", "add": "1"}
    answer = client_of(cast.designer).post(url_of(wall, "survey_line"), line, headers={"HX-Request": "true"})
    assert answer.status_code == 422
    assert "sofa; <mark>lammp</mark>" in answer.content.decode()
    assert 'value="sofa; lammp"' in answer.content.decode()
    assert not WallItem.objects.exists()


def test_several_are_moved_mirrored_put_again_and_taken_off(cast, client_of, wall):
    one, two = (
        ItemFactory(wall=wall, left_mm=0.0, width_mm=500.0),
        ItemFactory(wall=wall, left_mm=600.0, width_mm=500.0),
    )
    client = client_of(cast.designer)

    def do(what, *chosen, **more):
        wall.refresh_from_db()
        data = {"do": what, "chosen": [item.pk for item in chosen], "version": wall.version, **more}
        return client.post(url_of(wall, "items_change"), data)

    do("move", one, two, across="1 in", up='2"')
    assert sorted(WallItem.objects.values_list("left_mm", "bottom_mm")) == [(25.4, 50.8), (625.4, 50.8)]
    assert do("move", one, across='-2"').status_code == 422  # beyond the left end
    do("mirror", one)
    assert WallItem.objects.latest("pk").left_mm == pytest.approx(wall.length_mm - 525.4)
    do("again", two)
    assert WallItem.objects.latest("pk").left_mm == pytest.approx(1125.4)
    do("delete", one, two)
    assert WallItem.objects.count() == 2
    assert do("delete").status_code == 422


@pytest.mark.parametrize(
    ("place", "left", "mm"),
    [("end", "12", 1828.8), ("centred", "", 1066.8), ("right", "4", 2235.2), ("left", "0", -1.0), ("", "", -1.0)],
)
def test_a_place_is_typed_from_either_end_or_a_neighbour(cast, client_of, wall, place, left, mm):
    other = ItemFactory(wall=wall, left_mm=1524.0, width_mm=609.6)
    place = f"{place}-{other.pk}" if place in ("left", "right") else place
    data = item_data(wall, place=place, left=left, kind="bench")
    answer = client_of(cast.designer).post(url_of(wall, "item_save"), data)
    if mm < 0:
        assert answer.status_code == 422
    else:
        assert WallItem.objects.get(kind="bench").left_mm == pytest.approx(mm)


def test_a_stairs_rail_is_typed_drawn_with_its_treads_and_taken_away(cast, client_of, wall):
    client = client_of(cast.designer)
    client.post(url_of(wall, "wall_change"), wall_data(wall, rail="2' / 3'; 12' / 8' 6\""))
    wall.refresh_from_db()
    ends = (wall.rail_from_x_mm, wall.rail_from_y_mm, wall.rail_to_x_mm, wall.rail_to_y_mm)
    assert ends == pytest.approx((609.6, 914.4, 3657.6, 2590.8))
    drawn = re.search(r'class="treads" d="([^"]*)"', client.get(url_of(wall)).content.decode()).group(1)
    # 66 in of rise: 9 risers of 7 1/3 in, under the 7 3/4 in that IRC R311.7.5.1 allows (from memory).
    assert (drawn.count("V"), drawn.count("H")) == (10, 9)
    refused = client.post(url_of(wall, "wall_change"), wall_data(wall, version=wall.version, rail="2' / 3'"))
    assert "two ends" in refused.content.decode()
    client.post(url_of(wall, "wall_change"), wall_data(wall, version=wall.version, rail=""))
    wall.refresh_from_db()
    assert wall.rail_from_x_mm is None
