"""Groups around sconces and lamps that stand within the space."""

from __future__ import annotations

import pytest
import shapely

from placements.engine.groups.around import around
from placements.engine.groups.boxes import boxes_hung
from placements.engine.groups.compose import compose
from placements.engine.groups.setting import Site
from placements.engine.house import House, Item, Room, Wall
from placements.engine.results import PlainWords
from placements.engine.rulebook import Rulebook
from placements.engine.spaces import wall_spaces
from tests.placements.engine.groups.scenes import IN, mixed_pool

BOOK, WORDS = Rulebook(), PlainWords()


def item(id, kind, left, bottom, width, height):
    return Item(id, kind, left * IN, bottom * IN, width * IN, height * IN)


def house_of(*items, length=200.0, height=108.0):
    wall = Wall("w1", "r1", "North", length * IN, height * IN, items=tuple(items))
    return House((Room("r1", "Hall", walls=(wall,)),))


SCONCES = house_of(item("s1", "sconce", 60, 58, 5, 12), item("s2", "sconce", 135, 58, 5, 12))
LAMP = house_of(item("sofa", "sofa", 50, 0, 96, 34), item("lamp", "floor_lamp", 84, 0, 14, 60))
WINDOW = house_of(item("w", "window", 80, 30, 40, 50))


def spaces(house):
    return wall_spaces(house, house.wall_by_id["w1"], BOOK, WORDS)


@pytest.mark.parametrize(("house", "over"), [(SCONCES, None), (LAMP, "sofa")], ids=["sconces", "lamp"])
def test_the_wider_space_takes_in_what_stands_within(house, over):
    inner = next(s for s in spaces(house) if s.over == over)
    wider = around(house, inner, BOOK, WORDS)
    assert wider is not None
    assert wider.rect.width > inner.rect.width
    site = Site.on(house.wall_by_id["w1"], wider, BOOK)
    assert len(site.obstacles) == sum(i.kind in ("sconce", "floor_lamp") for i in house.wall_by_id["w1"].items)


def test_a_window_is_not_gone_around():
    assert around(WINDOW, spaces(WINDOW)[0], BOOK, WORDS) is None


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(("house", "over"), [(SCONCES, None), (LAMP, "sofa")], ids=["sconces", "lamp"])
def test_a_group_goes_around_and_stays_together(house, over, seed):
    wall = house.wall_by_id["w1"]
    wider = around(house, next(s for s in spaces(house) if s.over == over), BOOK, WORDS)
    pool = mixed_pool(24, 40 + seed, frame="black")
    found = compose(wider, pool, site=Site.on(wall, wider, BOOK), count=(5, 10), seed=seed)
    salons = [one for one in found.layouts if one.form == "salon"]
    assert salons
    best = salons[0]
    boxes = boxes_hung(best.hangings, {w.id: w for w in pool})
    for box in boxes:
        for one in wall.items:
            if one.kind in ("sconce", "floor_lamp"):
                r = one.rect
                thing = shapely.box(r.left, r.bottom, r.right, r.top)
                assert shapely.box(*box).distance(thing) >= (4 if one.kind == "sconce" else 3) * IN - 1e-6
    middle = best.measures.outline.centre_x
    axis = Site.on(wall, wider, BOOK).axis or wider.rect.centre_x
    assert abs(middle - axis) < 0.12 * best.measures.outline.width
    assert best.measures.fill_ratio > 0.55
    assert best.measures.band_share > 0.9
