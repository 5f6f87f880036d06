"""Composed groups keep the trade's rules; spacing, midpoint and forms are common practice, no source."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
import shapely

from placements.engine.groups.boxes import boxes_hung
from placements.engine.groups.compose import compose
from placements.engine.groups.setting import rail_clearance
from placements.engine.house import Rail, Rect
from placements.engine.stairs import over_treads
from tests.placements.engine.groups.scenes import IN, mixed_pool, over_sofa, prints, site, space, work


def boxes(layout, pool):
    return boxes_hung(layout.hangings, {w.id: w for w in pool})


def assert_hangs(layout, pool, place, obstacles=()):
    """No overlap, inside the space, clear of what stands there: judged by shapely, not by our own measures."""
    shapes = [shapely.box(*b) for b in boxes(layout, pool)]
    bounds = shapely.box(place.rect.left, place.rect.bottom, place.rect.right, place.rect.top).buffer(1e-3)
    for i, one in enumerate(shapes):
        assert bounds.contains(one)
        assert all(one.intersection(other).area < 1e-3 for other in shapes[i + 1 :])
        assert all(one.intersection(shapely.box(o.left, o.bottom, o.right, o.top)).area < 1 for o in obstacles)


@pytest.mark.parametrize("place", [over_sofa(), space()], ids=["over-sofa", "open-wall"])
def test_every_layout_can_be_hung(place):
    pool = mixed_pool(30, 7)
    found = compose(place, pool, seed=3)
    assert found.layouts
    for layout in found.layouts:
        assert_hangs(layout, pool, place)
        assert 0 <= layout.score <= 100
        assert layout.reasons


def test_same_seed_same_answer():
    pool = mixed_pool(12, 5)
    assert compose(space(), pool, seed=4, hang_all=True) == compose(space(), pool, seed=4, hang_all=True)


def test_order_of_the_pool_does_not_matter():
    pool = mixed_pool(12, 5)
    assert compose(space(), pool, seed=4) == compose(space(), pool[::-1], seed=4)


def test_same_size_prints_hang_only_in_rows_columns_and_grids():
    pool = prints(6)
    found = compose(space(), pool, hang_all=True)
    assert {layout.form for layout in found.layouts} == {"row", "grid"}
    for layout in found.layouts:
        b = boxes(layout, pool)
        assert len(np.unique(b[:, 1].round(3))) * len(np.unique(b[:, 0].round(3))) == 6
        assert layout.measures.mean_gap_mm == pytest.approx(2.5 * IN)


def test_grid_midpoint_sits_on_the_eye_line_of_an_open_wall():
    found = compose(space(), prints(9), hang_all=True)
    best = found.layouts[0]
    assert best.form == "grid"
    assert best.measures.outline.centre_y == pytest.approx(61.5 * IN)


def test_group_over_a_sofa_hangs_six_to_ten_inches_above_it():
    found = compose(over_sofa(), mixed_pool(30, 2), seed=1)
    for layout in found.layouts:
        above = (layout.measures.outline.bottom - 34 * IN) / IN
        assert 6 - 1e-6 <= above <= 10 + 1e-6


def test_largest_piece_of_a_trio_hangs_in_the_middle():
    pool = [work("a", 11, 14), work("b", 16, 20), work("c", 11, 14)]
    found = compose(space(ideal=((36, 60), (20, 30))), pool, hang_all=True)
    row = max((one for one in found.layouts if one.form == "trio"), key=lambda one: one.score)
    left_to_right = [h.work for h in sorted(row.hangings, key=lambda h: h.left)]
    assert left_to_right[1] == "b"
    assert row.hangings[0].work == "b"


def test_pins_hold_and_sets_stay_together():
    pool = mixed_pool(20, 3)
    pool[4] = dataclasses.replace(pool[4], set_name="pair")
    pool[9] = dataclasses.replace(pool[9], set_name="pair")
    found = compose(space(), pool, pins_in=["m04"], pins_out=["m01"], count=(3, 10))
    assert found.layouts
    for layout in found.layouts:
        assert {"m04", "m09"} <= set(layout.works)
        assert "m01" not in layout.works


def test_pinning_out_one_of_a_set_leaves_the_whole_set_out():
    pool = mixed_pool(12, 3)
    pool[4] = dataclasses.replace(pool[4], set_name="pair")
    pool[9] = dataclasses.replace(pool[9], set_name="pair")
    for layout in compose(space(), pool, pins_out=["m04"]).layouts:
        assert "m09" not in layout.works


def test_stair_run_follows_the_rail_and_no_corner_crosses_it():
    rail = Rail(0, 34 * IN, 120 * IN, 114 * IN)
    stair = space("stair", left=0, bottom=0, width=160, height=190, ideal=((60, 120), (40, 110)))
    pool = [
        work(f"s{i}", w, h, frame="oak") for i, (w, h) in enumerate([(11, 14), (16, 20), (14, 18), (11, 14), (12, 16)])
    ]
    found = compose(stair, pool, site=site(rail=rail), hang_all=True)
    assert {layout.form for layout in found.layouts} == {"stair"}
    run = next(one for one in found.layouts if len(one.works) == 5)
    b = boxes(run, pool)
    slope = 80 / 120
    for left, bottom, right, _ in b:
        for x in (left, right):
            assert bottom - (34 * IN + slope * x) >= 4 * IN - 1e-6
    seen = over_treads(b, rail)
    assert (seen[:, 1].min() + seen[:, 3].max()) / 2 == pytest.approx(61.5 * IN)


def test_tall_pieces_on_a_stair_keep_clear_of_the_rail_and_the_eye_line_gives_way():
    """Of pieces 36 in square on that slope, 36 + 4 + 12 + 18 = 70 in over the treads is the lowest for a free hand."""
    rail = Rail(0, 34 * IN, 120 * IN, 114 * IN)
    stair = space("stair", left=0, bottom=0, width=160, height=220, ideal=((60, 120), (40, 110)))
    pool = [work(f"s{i}", 36, 36, frame="oak") for i in range(3)]
    run = compose(stair, pool, site=site(rail=rail), hang_all=True).layouts[0]
    b = boxes(run, pool)
    assert rail_clearance(b, rail).min() == pytest.approx(4 * IN)
    seen = over_treads(b, rail)
    assert (seen[:, 1] + seen[:, 3]) / 2 == pytest.approx(70 * IN)
    assert run.terms["eye-line"] < 1
    assert any("70" in one.text or "1778" in one.text for one in run.reasons if one.rule == "eye-line")


@pytest.mark.parametrize("seed", range(3))
def test_salon_goes_round_sconces_without_touching_them(seed):
    sconces = [Rect(48 * IN, 52 * IN, 8 * IN, 16 * IN), Rect(108 * IN, 52 * IN, 8 * IN, 16 * IN)]
    pool = mixed_pool(10, 20 + seed)
    found = compose(space(), pool, site=site(obstacles=sconces), hang_all=True, seed=seed)
    assert found.layouts, found.why_none
    for layout in found.layouts:
        assert_hangs(layout, pool, space(), sconces)


@pytest.mark.parametrize("seed", range(4))
def test_salon_of_twelve_reaches_the_bars(seed):
    pool = mixed_pool(12, 900 + seed, frame="black")
    found = compose(space(width=170, height=88, ideal=((90, 120), (56, 76))), pool, hang_all=True, seed=seed)
    best = found.layouts[0].measures
    assert best.overlap_mm2 == 0
    assert best.band_share >= 0.95
    assert best.fill_ratio >= 0.75
    assert best.weight_offset_ratio <= 0.06


def test_safety_stop_returns_the_best_so_far_and_says_so():
    found = compose(space(), mixed_pool(12, 5), hang_all=True, stop=lambda: True)
    assert found.stopped
    assert found.layouts


def test_progress_reaches_the_end():
    seen = []
    compose(space(), mixed_pool(6, 5), hang_all=True, progress=seen.append)
    assert seen == sorted(seen)
    assert seen[-1] == 1


def test_too_many_works_for_the_space_is_said_in_words():
    found = compose(space(width=40, height=30), mixed_pool(20, 5), hang_all=True)
    assert not found.layouts
    assert "space" in found.why_none


def test_one_work_is_no_group():
    assert "at least two" in compose(space(), prints(1)).why_none


@pytest.mark.parametrize(
    ("pins", "message"),
    [
        ({"pins_in": ["nobody"]}, "not in the pool: nobody"),
        ({"pins_in": ["p00"], "pins_out": ["p00"]}, "both in and out: p00"),
    ],
)
def test_contradictory_pins_are_refused(pins, message):
    with pytest.raises(ValueError, match=message):
        compose(space(), prints(3), **pins)


def test_stair_without_its_rail_is_refused():
    with pytest.raises(ValueError, match="handrail line"):
        compose(space("stair"), prints(3))
