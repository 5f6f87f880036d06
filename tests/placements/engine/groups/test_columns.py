"""Quick groups for a plan: what a space is offered can be hung and keeps sets whole."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
import shapely

from placements.engine.groups.boxes import boxes_hung, neighbour_gaps
from placements.engine.groups.columns import GroupCasts, group_columns
from placements.engine.groups.setting import rail_clearance
from placements.engine.house import Rail
from placements.engine.stairs import over_treads
from tests.placements.engine.groups.scenes import IN, mixed_pool, over_sofa, prints, site, space, work


@pytest.mark.parametrize("place", [over_sofa(), space()], ids=["over-sofa", "open-wall"])
def test_every_column_can_be_hung(place):
    pool = mixed_pool(60, 4)
    by_id = {w.id: w for w in pool}
    found = group_columns(place, GroupCasts(pool))
    assert found
    assert [c.value for c in found] == sorted((c.value for c in found), reverse=True)
    room = shapely.box(place.rect.left, place.rect.bottom, place.rect.right, place.rect.top).buffer(1e-6)
    for one in found:
        boxes = boxes_hung(one.hangings, by_id)
        shapes = [shapely.box(*b) for b in boxes]
        assert len(shapes) >= 2
        assert all(room.contains(s) for s in shapes)
        assert sum(s.area for s in shapes) == pytest.approx(shapely.union_all(shapes).area)
        gaps = neighbour_gaps(boxes).gap_mm / IN
        assert gaps.min() >= 2 - 1e-6
        assert gaps.max() <= (5 if len(shapes) <= 3 else 3) + 1e-6


def test_a_set_hangs_whole_or_not_at_all():
    pool = [dataclasses.replace(w, set_name="triptych") for w in prints(3)] + prints(6, 8, 10)[3:]
    for one in group_columns(space(), GroupCasts(pool)):
        members = set(one.works) & {"p00", "p01", "p02"}
        assert members in (set(), {"p00", "p01", "p02"})
    assert any(len(one.works) == 3 and "p00" in one.works for one in group_columns(space(), GroupCasts(pool)))


def test_a_larger_piece_goes_between_two_of_one_size():
    pool = [work("a", 11, 14, form="print"), work("b", 16, 20, form="print"), work("c", 11, 14, form="print")]
    trio = next(c for c in group_columns(space(ideal=((36, 60), (20, 30))), GroupCasts(pool)) if len(c.works) == 3)
    assert trio.works[0] == "b"
    left_to_right = [h.work for h in sorted(trio.hangings, key=lambda h: h.left)]
    assert left_to_right == ["a", "b", "c"] or np.ptp([h.left for h in trio.hangings]) < 11 * IN


def test_a_stair_is_offered_runs_along_its_rail():
    pool = prints(6)
    rail = Rail(0, 34 * IN, 120 * IN, 114 * IN)
    stair = space("stair", left=0, bottom=0, width=160, height=190, ideal=((30, 120), (20, 110)))
    found = group_columns(stair, GroupCasts(pool), site=site(rail=rail))
    assert {c.form for c in found} == {"stair"}
    for one in found:
        boxes = boxes_hung(one.hangings, {w.id: w for w in pool})
        assert rail_clearance(boxes, rail).min() >= 4 * IN - 1e-6
        seen = over_treads(boxes, rail)
        middles = (seen[:, 1] + seen[:, 3]) / 2
        assert (middles.min() + middles.max()) / 2 == pytest.approx(61.5 * IN)  # at eye line over the treads
        assert len(boxes) > 3 or np.ptp(middles) < 1e-6


def test_same_works_same_columns():
    pool = mixed_pool(40, 8)
    assert group_columns(space(), GroupCasts(pool)) == group_columns(space(), GroupCasts(pool[::-1]))


def test_unlike_works_make_no_columns():
    assert group_columns(space(), GroupCasts([work("a", 10, 12), work("b", 20, 30)])) == []
