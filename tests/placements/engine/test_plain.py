"""The array rules against the same rules in plain Python, pair by pair."""

from __future__ import annotations

import dataclasses

import numpy as np

from placements.engine import scoring
from placements.engine.rulebook import Rulebook
from placements.engine.scene import Scene, build_scene
from tests import scenes
from tests.benchmarks.bench_scoring import stock
from tests.placements.engine import plain
from tests.placements.engine.rules.test_contract import mixed_scene

BOOK = Rulebook({"clearance": {"low": 100.0}, "load": {"weight": 0.7}})


def assert_alike(scene: Scene) -> None:
    limits, weights = plain.tables(BOOK)
    found = scoring.score(scene, BOOK)
    for i, work in enumerate(plain.works_of(scene)):
        for j, space in enumerate(plain.spaces_of(scene)):
            total, veto = plain.score(work, space, limits, weights)
            assert abs(found.total[i, j] - total) < 1e-9, (i, j)
            assert found.veto[i, j] == veto, (i, j)
            assert abs(found.bottom[i, j] - plain.place(work, space, limits)) < 1e-9, (i, j)


def test_arrays_agree_with_the_plain_loop_on_every_kind_of_space() -> None:
    assert_alike(mixed_scene(7))


def test_arrays_agree_with_the_plain_loop_on_a_large_stock() -> None:
    assert_alike(stock(60, 100))


def test_arrays_agree_with_the_plain_loop_in_wet_hot_public_and_sunny_places() -> None:
    pool = mixed_scene(7).works
    lamps = scenes.item("table_lamp", 44, 34, 14, 26), scenes.item("ornament", 116, 34, 8, 12)
    public = scenes.wall(scenes.SOFA, scenes.item("radiator", 10, 4, 30, 20, 4), *lamps, faces_deg=0.0, accent=True)
    glass = scenes.wall(scenes.item("window", 20, 20, 60, 70), id="g", faces_deg=180.0, importance="focal")
    spaces = [
        scenes.space("over_furniture", scenes.rect(42, 34, 84, 68), over=scenes.SOFA),
        scenes.space("open_wall", scenes.rect(4, 30, 40, 70), id="o"),
        scenes.space("stair", scenes.rect(60, 40, 60, 60), id="s"),
    ]
    for use in ("public_corridor", "bath", "kitchen", "nursery"):
        house = scenes.house(*pool, walls=(public, glass), use=use, latitude=48.0, longitude=2.0)
        scene = build_scene(house, spaces)
        assert not np.isnan(scene.sun_hours).any()
        assert_alike(scene)
        sloping = dataclasses.replace(
            scene,
            rail=np.array([np.nan, np.nan, 1500.0]),
            slope=np.array([0.0, 0.0, 0.6]),
            datum=np.array([0, 0, 500.0]),
        )
        assert_alike(sloping)
