"""Editing a group: every operation leaves something that can be hung. Gap band: common practice, no source."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from placements.engine.groups.boxes import boxes_hung
from placements.engine.groups.compose import compose
from placements.engine.groups.edit import GroupScene, add, drag, lock, mirror, remove, spread, swap, unlock
from placements.engine.groups.setting import rail_clearance
from placements.engine.groups.settle import NoRoom
from placements.engine.house import Rail, Rect
from placements.engine.results import Hanging
from tests.placements.engine.groups.scenes import IN, mixed_pool, prints, site, space, work

POOL = mixed_pool(14, 31, frame="black")
SCENE = GroupScene.of(space(width=200, height=90, ideal=((90, 140), (50, 80))), POOL)
SALON = max(
    compose(SCENE.setting.space, POOL[:9], hang_all=True, seed=1).layouts, key=lambda one: one.measures.band_share
)


def boxes(layout, scene=SCENE):
    return {h.work: box for h, box in zip(layout.hangings, boxes_hung(layout.hangings, scene.work_by_id), strict=True)}


def assert_sound(layout, scene=SCENE):
    assert layout.measures.overlap_mm2 < 1e-3
    assert scene.setting.inside(boxes_hung(layout.hangings, scene.work_by_id))
    assert [h.order for h in layout.hangings] == list(range(1, len(layout.hangings) + 1))


def row(gap_in=2.5, count=4):
    pieces = prints(count)
    scene = GroupScene.of(space(), pieces)
    hangings = [Hanging(p.id, "w1", (20 + i * (11 + gap_in)) * IN, 56 * IN) for i, p in enumerate(pieces)]
    return scene.layout(hangings, "row"), scene


def test_taking_out_the_middle_of_a_row_closes_the_row_and_centres_it():
    start, scene = row()
    done = remove(start, "p01", scene)
    lefts = sorted(b[0] / IN for b in boxes(done, scene).values())
    assert np.diff(lefts) == pytest.approx([13.5, 13.5])
    assert done.measures.outline.centre_x == pytest.approx(scene.setting.bounds.centre_x)
    assert len(start.works) == 4


@pytest.mark.parametrize("piece", SALON.works)
def test_taking_out_any_piece_of_a_salon_leaves_a_sound_group(piece):
    done = remove(SALON, piece, SCENE)
    assert_sound(done)
    assert set(done.works) == set(SALON.works) - {piece}


@pytest.mark.parametrize(("one", "other"), [(0, 1), (1, 8), (3, 6), (2, 7)])
def test_swapping_restores_the_gaps(one, other):
    one, other = SALON.works[one], SALON.works[other]
    done = swap(SALON, one, other, SCENE)
    assert_sound(done)
    before, after = boxes(SALON), boxes(done)
    middle = SALON.measures.outline.centre_x
    if (before[one][0] + before[one][2]) / 2 < middle - 200 and (
        before[other][0] + before[other][2]
    ) / 2 > middle + 200:
        assert after[one][0] > after[other][0]


def test_swapping_equal_prints_changes_places_exactly():
    start, scene = row()
    done = swap(start, "p00", "p03", scene)
    before, after = boxes(start, scene), boxes(done, scene)
    shift = after["p01"] - before["p01"]
    assert after["p00"] == pytest.approx(before["p03"] + shift)
    assert after["p03"] == pytest.approx(before["p00"] + shift)


def test_an_added_piece_meets_the_group_and_moves_nothing():
    new = next(w.id for w in POOL if w.id not in SALON.works)
    done = add(SALON, new, SCENE)
    assert_sound(done)
    assert new in done.works
    before, after = boxes(SALON), boxes(done)
    assert all(after[i] == pytest.approx(before[i]) for i in SALON.works)
    assert done.measures.band_share > 0.85


def test_dragging_a_piece_onto_another_pushes_it_aside_and_restores_the_gap():
    start, scene = row()
    done = drag(start, "p00", (20 + 4) * IN, 56 * IN, scene)
    assert_sound(done, scene)
    after = boxes(done, scene)
    assert after["p00"][0] == pytest.approx(24 * IN)
    assert (after["p01"][0] - after["p00"][2]) / IN == pytest.approx(2.5, abs=0.51)
    assert done.measures.band_share == pytest.approx(1)


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(SALON.works), st.floats(0, 5000), st.floats(0, 2700))
def test_dragging_anywhere_never_overlaps_nor_leaves_the_space(piece, left, bottom):
    try:
        done = drag(SALON, piece, left, bottom, SCENE)
    except NoRoom:
        return
    assert_sound(done)


@pytest.mark.parametrize("gap_in", [2.0, 3.0, 4.0, 1.0])
def test_spreading_sets_the_gap(gap_in):
    start, scene = row()
    done = spread(start, gap_in * IN, scene)
    gaps = np.diff(sorted(b[0] / IN for b in boxes(done, scene).values())) - 11
    assert gaps == pytest.approx([gap_in] * 3)
    wider = spread(SALON, gap_in * IN, SCENE)
    assert_sound(wider)
    assert wider.works == tuple(h.work for h in wider.hangings)


def test_mirroring_twice_comes_back():
    once = mirror(SALON, SCENE)
    assert_sound(once)
    back = boxes(mirror(once, SCENE))
    assert all(back[i] == pytest.approx(box) for i, box in boxes(SALON).items())
    assert once.score == pytest.approx(SALON.score)


def test_locked_piece_stays_through_every_edit():
    piece = SALON.works[2]
    fixed = lock(SALON, piece)
    home = boxes(fixed)[piece]
    other = [i for i in SALON.works if i != piece]
    for done in (
        remove(fixed, other[0], SCENE),
        swap(fixed, other[1], other[5], SCENE),
        spread(fixed, 3 * IN, SCENE),
        drag(fixed, other[3], home[0] - 900, home[1], SCENE),
    ):
        assert boxes(done)[piece] == pytest.approx(home)
        assert done.locked == {piece}
        assert_sound(done)
    with pytest.raises(ValueError, match="locked"):
        drag(fixed, piece, 0, 0, SCENE)
    with pytest.raises(ValueError, match="unlock"):
        mirror(fixed, SCENE)
    assert mirror(unlock(fixed, piece), SCENE)


def test_no_room_between_locked_pieces_is_said():
    pieces = [work("a", 30, 20), work("b", 34, 20), work("c", 30, 20)]
    place = space(width=96, height=24, ideal=((80, 96), (20, 24)))
    scene = GroupScene.of(place, pieces)
    ends = [Hanging("a", "w1", 12 * IN, 21 * IN), Hanging("c", "w1", 78 * IN, 21 * IN)]
    start = scene.layout(ends, locked=["a", "c"])
    with pytest.raises(NoRoom, match="no place"):
        add(start, "b", scene)
    full = scene.layout([*ends, Hanging("b", "w1", 43 * IN, 21 * IN)], locked=["a", "c"])
    with pytest.raises(NoRoom, match="too little room"):
        drag(full, "b", 44 * IN, 21 * IN, scene)


def test_a_piece_dragged_over_a_lamp_is_pushed_clear_of_it():
    lamp = Rect(100 * IN, 20 * IN, 10 * IN, 50 * IN)
    scene = GroupScene.of(space(width=200, height=90), POOL, site=site(obstacles=[lamp]))
    start = scene.layout([Hanging("m00", "w1", 30 * IN, 60 * IN)])
    again = add(start, "m01", scene)
    done = drag(again, "m01", 96 * IN, 40 * IN, scene)
    assert scene.setting.inside(boxes_hung(done.hangings, scene.work_by_id))


@pytest.mark.parametrize(
    ("edit", "message"),
    [
        (lambda: remove(SALON, "nobody", SCENE), "does not hang"),
        (lambda: add(SALON, SALON.works[0], SCENE), "hangs in the group already"),
        (lambda: add(SALON, "nobody", SCENE), "not among the works"),
        (lambda: spread(SALON, -1, SCENE), "negative"),
    ],
)
def test_mistakes_are_refused_in_words(edit, message):
    with pytest.raises(ValueError, match=message):
        edit()


def test_edits_are_pure():
    before = dataclasses.asdict(SALON)
    remove(SALON, SALON.works[0], SCENE)
    drag(SALON, SALON.works[1], 0, 0, SCENE)
    assert dataclasses.asdict(SALON) == before


def test_edits_on_a_stair_keep_every_corner_above_the_rail():
    rail = Rail(0, 34 * IN, 160 * IN, 134 * IN)
    place = space("stair", left=0, bottom=0, width=200, height=220, ideal=((60, 140), (40, 150)))
    pieces = [work(f"s{i}", w, h) for i, (w, h) in enumerate([(11, 14), (16, 20), (14, 18), (8, 10), (12, 16)])]
    scene = GroupScene.of(place, pieces, site=site(rail=rail))
    run = compose(place, pieces, site=site(rail=rail), hang_all=True).layouts[0]
    first, second = run.works[0], run.works[1]
    for done in (
        swap(run, first, second, scene),
        spread(run, 3 * IN, scene),
        remove(run, first, scene),
        drag(run, first, 90 * IN, 20 * IN, scene),
        drag(run, second, 0, 0, scene),
    ):
        assert_sound(done, scene)
        above = rail_clearance(boxes_hung(done.hangings, scene.work_by_id), rail)
        assert above.min() >= 4 * IN - 1e-6
