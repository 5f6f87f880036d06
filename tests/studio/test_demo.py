import json
from io import StringIO
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from django.core.management import CommandError, get_commands, load_command_class
from jsonschema import Draft202012Validator

from placements.survey import read_survey, schema
from studio.demo import works
from studio.demo.paint import PAINTERS, paint
from studio.demo.paint.ground import PALETTES
from studio.management.commands import demo

NAMES = sorted(path.stem for path in works.SURVEYS.glob("*.json"))


@pytest.fixture(scope="module")
def surveys():
    return {name: read_survey(works.SURVEYS / f"{name}.json") for name in NAMES}


def test_two_clients_three_projects_many_walls_and_works(surveys):
    assert len(surveys) == 3
    assert len({survey.client for survey in surveys.values()}) == 2
    assert sum(len(survey.house.wall_by_id) for survey in surveys.values()) >= 14
    assert sum(len(survey.house.works) for survey in surveys.values()) >= 60


def test_the_walls_show_every_kind_of_place(surveys):
    walls = [(room, wall) for survey in surveys.values() for room, wall in survey.house.walls()]
    kinds = {item.kind for _, wall in walls for item in wall.items}
    assert kinds >= {
        *("sofa", "bed", "console", "mantel", "sconce", "bookcase", "floor_lamp", "window", "panel"),
        *("statement_light", "table_lamp", "radiator", "piano", "custom"),
    }
    assert any(wall.rail for _, wall in walls)
    assert any(room.use == "public_corridor" for room, _ in walls)
    assert any(room.use == "kitchen" for room, _ in walls)
    assert any(room.use == "bath" for room, _ in walls)
    assert any(not {item.kind for item in wall.items} & {"sofa", "bench"} and len(wall.items) < 2 for _, wall in walls)


def test_sconces_stand_wider_than_the_mantel(surveys):
    items = {item.id: item for item in surveys["marlow-house"].house.wall_by_id["sitting-chimney"].items}
    assert items["sconce-left"].rect.right < items["mantel"].left
    assert items["sconce-right"].left > items["mantel"].rect.right


def test_some_hardware_and_weights_are_unknown_and_some_works_hang_today(surveys):
    art = [work for survey in surveys.values() for work in survey.house.works]
    assert any(work.hang is None for work in art)
    assert any(work.weight_kg is None for work in art)
    assert any(work.hung for work in art)
    assert any(work.set_name for work in art)


def test_the_files_are_valid_by_the_published_schema(surveys):
    for survey in NAMES:
        Draft202012Validator(schema()).validate(json.loads((works.SURVEYS / f"{survey}.json").read_text()))


def test_every_work_has_a_recipe_and_every_recipe_a_work(surveys):
    for name, survey in surveys.items():
        assert works.recipes()[name].keys() == {work.id for work in survey.house.works}
        assert all(
            painter in PAINTERS and palette in PALETTES for painter, palette, _ in works.recipes()[name].values()
        )
    seeds = [seed for recipes in works.recipes().values() for _, _, seed in recipes.values()]
    assert len(set(seeds)) == len(seeds)


@pytest.mark.parametrize("painter", PAINTERS)
@pytest.mark.parametrize("ratio", [0.6, 1.7])
def test_a_recipe_always_gives_the_same_picture_of_the_shape_asked_for(painter, ratio):
    first, again = (paint(painter, "coast", seed=5, ratio=ratio, long_side_px=90) for _ in range(2))
    assert first.tobytes() == again.tobytes()
    assert first.width / first.height == pytest.approx(ratio, abs=0.03)
    assert np.asarray(first).std() > 5  # not one flat tone


def test_another_seed_gives_another_picture():
    assert paint("hills", "coast", seed=1, ratio=1, long_side_px=60).tobytes() != (
        paint("hills", "coast", seed=2, ratio=1, long_side_px=60).tobytes()
    )


def test_commands_of_ours_start_without_loading_every_page():
    """Django's checks import every page and what stands behind it: seconds. `migrate` and `check` make them."""
    ours = {name: app for name, app in get_commands().items() if app in {"studio", "placements", "reports"}}
    slow = [name for name, app in ours.items() if load_command_class(app, name).requires_system_checks != []]
    assert "demo" in ours
    assert slow == ["seed_scale"]  # made for measuring


def test_the_demo_waits_for_as_long_as_its_site_lives(monkeypatch):
    said = StringIO()
    command = demo.Command(stdout=said)
    ticks = iter(range(0, 10_000, 7))  # seven seconds pass at each look at the clock
    lives = iter([None] * 100)
    monkeypatch.setattr(demo.time, "monotonic", lambda: next(ticks))
    monkeypatch.setattr(demo.time, "sleep", lambda _: None)
    monkeypatch.setattr(demo.urllib.request, "urlopen", refuse)
    monkeypatch.setattr(demo.Command, "_logs", staticmethod(lambda: Path("/nowhere")))
    monkeypatch.setattr(Path, "read_text", lambda *_, **__: "No module named left")
    site = SimpleNamespace(poll=lambda: next(lives, 3), returncode=3)
    with pytest.raises(CommandError, match=r"web process ended with status 3(?s:.)+No module named left"):
        command._await_site({"web": site})
    assert said.getvalue().count("still starting") > 20


def refuse(*args, **given):
    raise OSError("refused")
