"""What the engine answered is kept by its fingerprint alone: each input that changes is judged anew, none twice."""

from __future__ import annotations

import pickle

import pytest
from django.core.cache import caches
from django.urls import reverse
from redis.exceptions import RedisError

from placements import judged
from placements.engine import facade
from placements.models import HouseRule
from placements.selectors import walls
from studio.cache import RestingRedis
from studio.models import Artwork, Project, Room, Wall, WallItem
from studio.units import Units
from tests.factories import INCH
from tests.placements.hands import in_hand

pytestmark = pytest.mark.django_db


FEET = Units()


def set_to(**fields):
    """A change of one row, which can be taken back."""

    def change(row):
        before = {name: getattr(row, name) for name in fields}
        type(row).objects.filter(pk=row.pk).update(**fields)
        return lambda: type(row).objects.filter(pk=row.pk).update(**before)

    return change


@pytest.fixture
def asked(monkeypatch):
    """The questions that reached the engine itself."""
    reached = []

    def assess_wall(house, wall, hangings, **named):
        reached.append((house, wall, hangings, named))
        return facade.assess_wall(house, wall, hangings, **named)

    monkeypatch.setattr(judged, "assess_wall", judged.kept(assess_wall))
    return reached


def said_of(hung, words=FEET):
    """What is said of the wall now, by a request of its own."""
    revision = type(hung.revision).objects.select_related("plan__project__client__studio").get(pk=hung.revision_id)
    wall = Wall.objects.select_related("room").get(pk=hung.wall_id)
    return walls.assess(in_hand(revision, wall), words)[1]


def rows_of(hung):
    project = Project.objects.get(pk=hung.revision.plan.project_id)
    return {
        "piece": hung, "work": Artwork.objects.get(pk=hung.artwork_id), "wall": Wall.objects.get(pk=hung.wall_id),
        "room": Room.objects.get(pk=hung.wall.room_id), "project": project,
        "item": WallItem.objects.get(wall=hung.wall),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("row", "fields", "says_otherwise"),
    [
        ("piece", {"left_mm": 400.0}, True),
        ("piece", {"bottom_mm": 1400.0}, True),
        ("work", {"width_mm": 700.0}, True),
        ("work", {"title": "Another name"}, False),
        ("work", {"weight_kg": 90.0}, True),
        ("item", {"left_mm": 300.0}, True),
        ("item", {"kind": "bed"}, True),
        ("wall", {"length_mm": 5000.0}, True),
        ("wall", {"build": "brick"}, False),
        ("room", {"use": "bath"}, False),
        ("project", {"latitude": 48.0, "longitude": 2.0}, False),
    ],
)
def test_each_input_that_changes_is_judged_anew_and_what_was_is_found_again(hung, asked, row, fields, says_otherwise):
    before = said_of(hung)
    assert said_of(hung) == before
    assert len(asked) == 1
    take_back = set_to(**fields)(rows_of(hung)[row])
    after = said_of(hung)
    assert len(asked) == 2
    house, wall, hangings, named = asked[-1]
    assert after == facade.assess_wall(house, wall, hangings, **named)
    assert not says_otherwise or after != before
    take_back()
    assert said_of(hung) == before
    assert len(asked) == 2


def test_rules_units_bare_spaces_and_the_engine_itself_are_inputs(hung, asked, monkeypatch):
    first = said_of(hung)
    said_of(hung, Units("cm"))
    rule = HouseRule.objects.create(
        project=hung.revision.plan.project, studio=hung.revision.plan.project.client.studio,
        rule="clearance", limit="high", value=6.5 * INCH,
    )  # fmt: skip
    assert said_of(hung) != first
    rule.delete()
    bare = hung.revision.bares.create(wall=hung.wall, space="", reason="It rests the eye.")
    said_of(hung)
    assert len(asked) == 4
    bare.delete()
    monkeypatch.setattr(judged, "engine", lambda: "the next release")
    assert said_of(hung) == first
    assert len(asked) == 5


def test_a_fingerprint_holds_values_and_no_addresses_and_no_order_of_sets(hung, asked):
    said_of(hung)
    house, wall, hangings, named = asked[0]
    assert " at 0x" not in repr((house, wall, hangings, named))
    works = [f"work-{number}" for number in range(40)]
    assert judged.fingerprint(frozenset(works)) == judged.fingerprint(frozenset(reversed(works)))
    assert judged.fingerprint(house) == judged.fingerprint(pickle.loads(pickle.dumps(house)))
    assert judged.fingerprint("ab", "c") != judged.fingerprint("a", "bc")


def test_engine_is_known_by_its_text(monkeypatch, tmp_path):
    """A rule that is changed is another engine."""
    fresh = judged.engine.__wrapped__
    assert fresh() == judged.engine()
    (tmp_path / "facade.py").write_text("a = 1\n")
    monkeypatch.setattr(judged.inspect, "getfile", lambda _module: str(tmp_path / "facade.py"))
    one = fresh()
    (tmp_path / "facade.py").write_text("a = 2\n")
    assert len({one, fresh(), judged.engine()}) == 3


def test_without_a_cache_all_is_worked_out_and_the_cache_is_let_rest(hung, asked, monkeypatch, caplog, cast, client_of):
    away = RestingRedis("redis://127.0.0.1:1", {"OPTIONS": {"socket_connect_timeout": 1}})
    monkeypatch.setattr(RestingRedis, "_rests_until", 0.0)
    monkeypatch.setattr(judged, "caches", {"judged": away})
    assert said_of(hung) == said_of(hung)
    assert len(asked) == 2
    assert len([line for line in caplog.messages if "worked out anew" in line]) == 1
    address = reverse("wall", args=[hung.revision.plan.project_id, hung.wall_id])
    assert client_of(cast.designer).get(address).status_code == 200
    monkeypatch.setattr(RestingRedis, "_rests_until", 0.0)
    with pytest.raises(RedisError):
        super(RestingRedis, away).get("anything")
    away.set("anything", 1)  # fails silently, and rests
    assert away.get("anything", 7) == 7


def test_a_page_that_is_opened_again_asks_the_engine_nothing(hung, asked, cast, client_of):
    client = client_of(cast.designer)
    address = reverse("wall", args=[hung.revision.plan.project_id, hung.wall_id])
    svg = [client.get(address).content.decode().partition("<svg")[2].partition("</svg>")[0] for _ in range(2)]
    assert len(asked) == 1
    caches["judged"].clear()
    svg.append(client.get(address).content.decode().partition("<svg")[2].partition("</svg>")[0])
    assert len(asked) == 2
    assert len(set(svg)) == 1
