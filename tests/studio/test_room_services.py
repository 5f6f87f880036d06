import pytest

from studio.errors import Conflict, Invalid, NotAllowed, WrongState
from studio.models import Wall
from studio.services import rooms
from tests.factories import (
    INCH,
    ClientFactory,
    ItemFactory,
    PlacementFactory,
    ProjectFactory,
    RoomFactory,
    WallFactory,
    make_cast,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast():
    return make_cast()


@pytest.fixture
def project(cast):
    return ProjectFactory(client=ClientFactory(studio=cast.studio))


@pytest.fixture
def wall(project):
    return WallFactory(room=RoomFactory(project=project))


def where(caught):
    return {fault["where"] for fault in caught.value.faults}


def test_rooms_and_walls_are_put_at_the_end_with_free_codes(cast, project):
    first = rooms.room_create(by=cast.designer, project=project, name="Sitting room", use="living")
    second = rooms.room_create(by=cast.designer, project=project, name="Sitting room", use="living")
    assert [(room.code, room.position) for room in (first, second)] == [("sitting-room", 0), ("sitting-room-2", 1)]
    north = rooms.wall_create(by=cast.designer, room=first, name="North", length_mm=4267.2, height_mm=2743.2)
    east = rooms.wall_create(by=cast.designer, room=first, name="North", length_mm=3000.0, height_mm=2743.2)
    assert [(wall.code, wall.position) for wall in (north, east)] == [
        ("sitting-room-north", 0),
        ("sitting-room-north-2", 1),
    ]


def test_every_change_of_a_wall_or_its_items_counts_as_a_version(cast, wall):
    item = rooms.item_create(
        by=cast.designer,
        wall=wall,
        version=1,
        kind="sofa",
        left_mm=0.0,
        bottom_mm=0.0,
        width_mm=84 * INCH,
        height_mm=34 * INCH,
    )
    assert (item.code, wall.version) == ("sofa", 2)
    rooms.item_update(by=cast.designer, item=item, version=2, left_mm=100.0)
    rooms.wall_update(by=cast.designer, wall=wall, version=3, length_mm=5000.0)
    rooms.item_delete(by=cast.designer, item=item, version=4)
    wall.refresh_from_db()
    assert (wall.version, wall.length_mm, wall.items.count()) == (5, 5000.0, 0)
    assert wall.history.first().history_user == cast.designer


def test_the_second_of_two_editors_is_shown_the_newer_wall(cast, wall):
    rooms.wall_update(by=cast.principal, wall=wall, version=1, length_mm=5000.0)
    with pytest.raises(Conflict, match=f"{cast.principal} changed “North wall”") as caught:
        rooms.wall_update(by=cast.designer, wall=wall, version=1, height_mm=2500.0)
    assert caught.value.extra["current"]["length_mm"] == 5000.0
    wall.refresh_from_db()
    assert wall.height_mm == 108 * INCH


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"length_mm": 0}, "length_mm"),
        ({"length_mm": float("nan")}, "length_mm"),
        ({"height_mm": 100_001}, "height_mm"),
        ({"stud_first_mm": 100.0}, "stud_spacing_mm"),
        ({"faces_deg": 360.0}, "faces_deg"),
        ({"build": "straw"}, "build"),
        ({"name": ""}, "name"),
        ({"rail_from_x_mm": 0.0, "rail_from_y_mm": 800.0}, "rail_to_x_mm"),
        ({"rail_from_x_mm": 1.0, "rail_from_y_mm": 800.0, "rail_to_x_mm": 1.0, "rail_to_y_mm": 2.0}, "rail_to_x_mm"),
        ({"importance": "grand"}, "importance"),
        ({"ceiling_mm": "sloped"}, "ceiling_mm"),
        ({"ceiling_mm": [[0, 1200], [4267.2]]}, "ceiling_mm"),
        ({"ceiling_mm": [[0, 1200], [4000, 108 * INCH]]}, "ceiling_mm"),
        ({"ceiling_mm": [[0, 1200], [4267.2, 3000]]}, "ceiling_mm"),
    ],
    ids=str,
)
def test_a_wall_that_makes_no_sense_is_refused(cast, wall, changes, fault):
    with pytest.raises(Invalid) as caught:
        rooms.wall_update(by=cast.designer, wall=wall, version=None, **changes)
    assert fault in where(caught)
    assert Wall.objects.get(pk=wall.pk).version == 1


def test_a_wall_is_not_cut_so_short_that_an_item_is_off_it(cast, wall):
    ItemFactory(wall=wall, left_mm=4000.0)
    with pytest.raises(Invalid, match="This wall") as caught:
        rooms.wall_update(by=cast.designer, wall=wall, version=None, length_mm=3900.0)
    assert "Sofa would stand wholly off the wall" in caught.value.faults[0]["detail"]


@pytest.mark.parametrize(
    ("fields", "fault"),
    [
        ({"left_mm": -1.0}, "left_mm"),
        ({"left_mm": 4267.2}, "left_mm"),
        ({"bottom_mm": 2743.2}, "bottom_mm"),
        ({"width_mm": 0.0}, "width_mm"),
        ({"height_mm": None}, "height_mm"),
        ({"kind": "custom"}, "acts"),
        ({"acts": "bearer"}, "acts"),
        ({"kind": "throne"}, "kind"),
        ({"swing_hinge": "left", "swing_leaf_mm": 90.0, "swing_opens": "square"}, "swing_opens"),
        ({"kind": "door", "swing_leaf_mm": 90.0}, "swing_hinge"),
        ({"kind": "door", "swing_hinge": "both", "swing_leaf_mm": 90.0, "swing_opens": "out"}, "swing_leaf_mm"),
        ({"kind": "door", "swing_hinge": "top", "swing_leaf_mm": 90.0, "swing_opens": "out"}, "swing_hinge"),
    ],
    ids=str,
)
def test_an_item_that_makes_no_sense_is_refused(cast, wall, fields, fault):
    good = {"kind": "sofa", "left_mm": 0.0, "bottom_mm": 0.0, "width_mm": 100.0, "height_mm": 100.0}
    with pytest.raises(Invalid) as caught:
        rooms.item_create(by=cast.designer, wall=wall, version=None, **good | fields)
    assert fault in where(caught)
    wall.refresh_from_db()
    assert (wall.version, wall.items.count()) == (1, 0)


def test_a_wall_is_copied_with_what_stands_on_it(cast, wall):
    ItemFactory(wall=wall, code="sofa")
    copy = rooms.wall_copy(by=cast.designer, wall=wall, name="South wall")
    assert (copy.length_mm, copy.name, copy.code) == (wall.length_mm, "South wall", f"{wall.room.code}-south-wall")
    assert [item.code for item in copy.items.all()] == ["sofa"]
    with pytest.raises(Invalid, match="inside its project"):
        rooms.wall_copy(by=cast.designer, wall=wall, name="Elsewhere", room=RoomFactory())


def test_a_wall_with_planned_pieces_stays(cast, wall):
    PlacementFactory(revision__plan__project=wall.room.project, wall=wall)
    with pytest.raises(WrongState):
        rooms.wall_delete(by=cast.designer, wall=wall)
    with pytest.raises(WrongState):
        rooms.room_delete(by=cast.designer, room=wall.room)
    empty = WallFactory(room=wall.room)
    rooms.wall_delete(by=cast.designer, wall=empty)
    assert not Wall.objects.filter(pk=empty.pk).exists()


def test_coordinators_and_strangers_do_not_change_a_survey(cast, wall):
    for person in (cast.coordinator, cast.stranger):
        with pytest.raises(NotAllowed):
            rooms.wall_update(by=person, wall=wall, version=None, length_mm=5000.0)
        with pytest.raises(NotAllowed):
            rooms.room_create(by=person, project=wall.room.project, name="Hall")


def test_a_sloped_ceiling_and_a_doors_swing_are_kept_and_copied(cast, wall):
    line = [[0, 48 * INCH], [60 * INCH, 108 * INCH], [168 * INCH, 108 * INCH]]
    rooms.wall_update(by=cast.designer, wall=wall, version=None, ceiling_mm=line, importance="focal")
    door = {"kind": "door", "left_mm": 0.0, "bottom_mm": 0.0, "width_mm": 900.0, "height_mm": 2000.0}
    swing = {"swing_hinge": "left", "swing_leaf_mm": 750.0, "swing_opens": "this_wall"}
    rooms.item_create(by=cast.designer, wall=wall, version=None, **door, **swing)
    copy = rooms.wall_copy(by=cast.designer, wall=Wall.objects.get(pk=wall.pk), name="Across")
    copy.refresh_from_db()
    assert (copy.ceiling_mm, copy.focal) == (line, True)
    assert {name: getattr(copy.items.get(), name) for name in swing} == swing


def test_a_room_keeps_colours_that_are_known_and_refuses_others(cast, wall):
    rooms.room_update(by=cast.designer, room=wall.room, colours=["Ivory", "#3F5A52"], clear_width_mm=1100.0)
    wall.room.refresh_from_db()
    assert (wall.room.colours, wall.room.clear_width_mm) == (["Ivory", "#3F5A52"], 1100.0)
    with pytest.raises(Invalid) as caught:
        rooms.room_update(by=cast.designer, room=wall.room, colours=["ivory", "blurple"], clear_width_mm=-1.0)
    assert where(caught) == {"colours", "clear_width_mm"}
    assert "blurple" in str(caught.value.faults)
