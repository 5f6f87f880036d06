"""Whole sets hang as one, whatever their number: facts of the trade, common practice, no source."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
import shapely

from placements.engine.groups.boxes import boxes_hung
from placements.engine.groups.offers import hang_as_one
from placements.engine.groups.setting import GroupLimits, setting_of
from placements.engine.house import Rail, Rect
from placements.engine.stairs import rail_at
from tests.placements.engine.groups.scenes import IN, over_sofa, prints, site, space, work

LIMITS = GroupLimits.of()


def offered(works, place=None, **kwargs):
    """(k, 4) boxes [in] of each offer, in the order of the works."""
    setting = setting_of(place or space(width=220, height=90), site())
    by_id = {w.id: w for w in works}
    found = []
    for pieces in hang_as_one(works, setting, LIMITS, **kwargs):
        assert sorted(h.work for h in pieces) == sorted(by_id)
        assert [h.order for h in pieces] == list(range(1, len(works) + 1))
        at = {h.work: h for h in pieces}
        found.append(boxes_hung([at[w.id] for w in works], by_id) / IN)
    return found


def lines(boxes):
    """How many middles stand side by side, and how many above one another."""
    middle = np.round((boxes[:, :2] + boxes[:, 2:]) / 2, 2)
    return len(np.unique(middle[:, 0])), len(np.unique(middle[:, 1]))


def mirrored(boxes):
    """Whether the shape that the pieces draw is its own mirror image, judged by shapely."""
    whole = shapely.union_all([shapely.box(*b) for b in boxes])
    left, _, right, _ = whole.bounds
    turned = shapely.transform(whole, lambda xy: np.column_stack([left + right - xy[:, 0], xy[:, 1]]))
    return whole.symmetric_difference(turned).area < 1e-3 * whole.area


@pytest.mark.parametrize("count", range(2, 31))
def test_equal_pieces_hang_whole_to_thirty(count):
    """No piece is left over, and no grid is incomplete where a whole form fits."""
    found = offered(prints(count, 8, 10), space(width=400, height=90))
    assert found
    for boxes in found:
        across, upright = lines(boxes)
        assert across * upright == count
        assert shapely.union_all([shapely.box(*b) for b in boxes]).area == pytest.approx(count * 80)


@pytest.mark.parametrize(("count", "wanted"), [(9, {(3, 3)}), (10, {(5, 2)}), (12, {(4, 3), (6, 2)})])
def test_the_squarest_whole_grid_that_fits_comes_first(count, wanted):
    assert lines(offered(prints(count, 12, 12), space(width=130, height=90))[0]) in wanted


def test_seven_prints_in_a_narrow_space_hang_in_rows_with_the_odd_one_in_the_middle():
    for boxes in offered(prints(7, 12, 12), space(width=50, height=90)):
        assert mirrored(boxes)
        assert lines(boxes)[0] == 3


def test_any_order_of_the_works_hangs_alike():
    works = [work("a", 30, 40), *prints(8, 12, 14)]
    setting = setting_of(space(), site())
    assert hang_as_one(works, setting, LIMITS) == hang_as_one(works[::-1], setting, LIMITS)


def test_a_triptych_reads_from_left_to_right():
    works = [dataclasses.replace(w, title=f"Tide {n}") for n, w in zip((3, 1, 2), prints(3), strict=True)]
    row = offered(works)[0]
    assert [works[int(i)].title for i in np.argsort(row[:, 0])] == ["Tide 1", "Tide 2", "Tide 3"]


@pytest.mark.parametrize("small", [2, 4, 6, 8, 12])
def test_a_large_piece_stands_in_the_middle_of_its_matching_ones(small):
    works = [work("large", 30, 40), *prints(small, 11, 14)]
    found = offered(works, space(width=220, height=100))
    assert found
    for boxes in found:
        assert mirrored(boxes)
        middle = (boxes[:, 0].min() + boxes[:, 2].max()) / 2
        assert (boxes[0, 0] + boxes[0, 2]) / 2 == pytest.approx(middle)


def test_three_stacked_beside_a_tall_piece_end_in_line_with_it():
    works = [work("tall", 30, 40), *prints(6, 11, 11.5)]
    best = next(b for b in offered(works) if lines(b)[0] == 3)
    assert best[:, 1].min() == pytest.approx(best[0, 1])
    assert best[:, 3].max() == pytest.approx(best[0, 3])


def test_two_large_and_a_small_one_put_the_small_one_between():
    works = [work("a", 24, 30), work("b", 24, 30), work("c", 11, 14)]
    row = next(b for b in offered(works) if lines(b)[0] == 3)
    assert np.argsort(row[:, 0])[1] == 2


def test_over_a_sofa_a_pair_spreads_towards_two_thirds_and_keeps_the_clearance():
    best = offered(prints(2, 20, 24), over_sofa())[0]
    gap = best[:, 0].max() - best[:, 2].min()
    assert 2.5 < gap <= 5
    assert 6 - 1e-6 <= best[:, 1].min() - 34 <= 10 + 1e-6


def test_it_hangs_about_the_axis_and_the_height_that_are_given():
    setting = setting_of(space(), site()).about(Rect(0, 30 * IN, 80 * IN, 60 * IN), axis=38 * IN, centre_y=58 * IN)
    works = prints(6, 8, 10)
    for pieces in hang_as_one(works, setting, LIMITS):
        boxes = boxes_hung(pieces, {w.id: w for w in works}) / IN
        assert (boxes[:, 0].min() + boxes[:, 2].max()) / 2 == pytest.approx(38)
        assert (boxes[:, 1].min() + boxes[:, 3].max()) / 2 == pytest.approx(58)


@pytest.mark.parametrize("count", [2, 7, 12, 20])
def test_a_run_of_any_length_keeps_its_middles_on_a_line_along_the_rail(count):
    rail = Rail(0, 34 * IN, 400 * IN, 254 * IN)
    stair = space("stair", left=0, bottom=0, width=420, height=400, ideal=((60, 380), (20, 110)))
    rng = np.random.default_rng(count)
    works = [work(f"s{i:02}", *rng.integers(8, 19, 2)) for i in range(count)]
    found = hang_as_one(works, setting_of(stair, site(rail=rail)), LIMITS)
    boxes = boxes_hung(found[0], {w.id: w for w in works})
    over = (boxes[:, 1] + boxes[:, 3]) / 2 - rail_at(rail, (boxes[:, 0] + boxes[:, 2]) / 2)
    assert np.ptp(over) < 1e-6
    for x in (boxes[:, 0], boxes[:, 2]):
        assert (boxes[:, 1] - rail_at(rail, x)).min() >= 4 * IN - 1e-6


def test_what_does_not_fit_is_not_offered():
    assert offered(prints(4, 60, 60), space(width=100, height=60)) == []


def test_nothing_to_hang_is_no_offer():
    assert hang_as_one([], setting_of(space(), site()), LIMITS) == ()
