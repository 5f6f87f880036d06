"""Salons of mixed sizes as a designer would frame them: facts of the trade, common practice, no source.

Judged from the boxes by `judging`, never by the composer's own measures.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from placements.engine.groups.boxes import boxes_hung
from placements.engine.groups.compose import compose
from placements.engine.groups.mixed import salons
from placements.engine.groups.offers import hang_as_one
from placements.engine.groups.setting import GroupLimits, Site, setting_of
from tests.placements.engine.groups.judging import judge
from tests.placements.engine.groups.museum import IN, museum_sizes, salon_wall


@pytest.mark.parametrize(("count", "seeds"), [(12, (1, 2, 3)), (18, (1, 2)), (30, (1,))])
def test_a_salon_of_museum_sizes_reads_as_one(count, seeds):
    """Every layout hangs; on the mean of the seeds it fills the outline and holds its gaps and its middle."""
    found = []
    for seed in seeds:
        space, works = salon_wall(museum_sizes(count, seed), seed)
        best = next(
            one for one in compose(space, works, hang_all=True, count=(2, count)).layouts if one.form == "salon"
        )
        found.append(judge(boxes_hung(best.hangings, {w.id: w for w in works}) / IN))
    for one in found:
        assert one.overlap <= 1e-6
        assert one.facing >= 0.93
        assert one.fill >= 0.73
        assert 0.95 <= one.aspect <= 2.3
        assert max(one.across, one.upright) <= 0.05
        assert one.largest <= 0.25
        assert one.quarter <= 0.67
    assert np.mean([one.facing for one in found]) >= 0.95
    assert np.mean([one.fill for one in found]) >= 0.75
    assert np.mean([one.largest for one in found]) <= 0.15


def test_the_same_seed_gives_the_same_salon_in_any_order_of_the_works():
    space, works = salon_wall(museum_sizes(9, 4), 4)
    setting = setting_of(space, Site.plain())
    one, two = (hang_as_one(given, setting, GroupLimits.of(), salon=True) for given in (works, works[::-1]))
    assert one == two


def rim(boxes, edge):
    """Share of the outline where the pieces, with the gaps between them closed, differ from the shape of the edge."""
    pieces = shapely.union_all([shapely.box(*b).buffer(1.3, join_style="mitre") for b in boxes])
    pieces = pieces.buffer(-1.3, join_style="mitre")
    left, bottom, right, top = pieces.bounds
    half = np.array([(right - left) / 2, (top - bottom) / 2])
    round_ = np.linspace(0, 2 * np.pi, 200)[:-1]
    corners = {
        "rectangle": np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]),
        "oval": np.stack([np.cos(round_), np.sin(round_)], axis=1),
        "diamond": np.array([(0, -1), (1, 0), (0, 1), (-1, 0)]),
    }[edge]
    shape = shapely.Polygon(corners * half + [(left + right) / 2, (bottom + top) / 2])
    return pieces.symmetric_difference(shape).area / (4 * half.prod())


def test_the_edge_is_a_choice():
    """Of three arrangements of the same works each comes nearest to its own shape."""
    space, works = salon_wall(museum_sizes(18, 7), 7)
    setting, by_edge = setting_of(space, Site.plain()), {}
    for edge in ("rectangle", "oval", "diamond"):
        boxes = salons(works, setting, GroupLimits.of(), np.random.default_rng(0), edge)[0] / IN
        assert judge(boxes).overlap <= 1e-6
        by_edge[edge] = {other: rim(boxes, other) for other in ("rectangle", "oval", "diamond")}
    for edge in by_edge:
        assert min(by_edge, key=lambda one, edge=edge: by_edge[one][edge]) == edge, by_edge
