"""Composing and assessing are one truth: a group hung as composed is found as one, with the findings it was offered."""

from __future__ import annotations

import dataclasses
from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from placements.engine.assess import assess_wall
from placements.engine.composing import with_findings
from placements.engine.facade import propose
from placements.engine.geometry import common
from placements.engine.groups import mixed
from placements.engine.groups.around import around
from placements.engine.groups.compose import compose
from placements.engine.groups.joins import Taking
from placements.engine.groups.salon import Effort
from placements.engine.groups.setting import Site
from placements.engine.groups.slicing import Effort as Tiling
from placements.engine.house import House, Rail, Room, Wall, Work
from placements.engine.results import Hanging
from placements.engine.rulebook import Rulebook
from placements.engine.spaces import wall_spaces
from tests.placements.engine.groups.scenes import mixed_pool, prints
from tests.scenes import INCH, WORDS, item, wall, work

SLOPE = 7.75 / 10
WALLS: dict[str, Wall] = {
    "bare wall": wall(length=200),
    "sofa": wall(item("sofa", 60, 0, 96, 34), length=216),
    "bench": wall(item("bench", 30, 0, 66, 19), length=126, height=114),
    "mantel": wall(item("mantel", 66, 0, 60, 50), *(item("sconce", x, 66, 5, 12, id=f"s{x}") for x in (54, 133))),
    "panel": wall(item("panel", 30, 30, 100, 70), length=160),
    "stair": wall(rail=Rail(0, 34 * INCH, 160 * INCH, (34 + 160 * SLOPE) * INCH), length=180, height=250),
}
AROUND: dict[str, Wall] = {
    "two sconces": wall(*(item("sconce", x, 58, 5, 12, id=f"s{x}") for x in (60, 135)), length=200),
    "lamp over the sofa": wall(item("sofa", 50, 0, 96, 34), item("floor_lamp", 84, 0, 14, 60), length=200),
    "plant": wall(item("tall_plant", 100, 0, 20, 50), length=220),
}


@pytest.fixture(autouse=True)
def searched_quickly(monkeypatch: pytest.MonkeyPatch) -> None:
    """With a tenth of the search: whatever it finds is to be judged as it was offered, the best or not."""
    monkeypatch.setattr(mixed, "tiling_for", lambda _: Tiling(64, Taking(8, 12, 8), turns=8, chains=32, rounds=30))
    monkeypatch.setattr(mixed, "effort_for", lambda _: Effort(batch=48, rounds=12, keep=24))


def layouts(on: Wall, pool: list[Work], *, wider: bool = False, seed: int = 0, count: tuple[int, int] = (2, 9)):
    """Every layout composed in every space of a wall, with its house."""
    house = House((Room("r", "Room", "living", walls=(on,)),), tuple(pool))
    book = Rulebook()
    for narrow in wall_spaces(house, on, book, WORDS):
        space = around(house, narrow, book, WORDS) if wider else narrow
        if space is None:
            continue
        site = Site.on(on, space, book)
        for layout in compose(space, pool, site=site, count=count, seed=seed, most=8, words=WORDS).layouts:
            yield house, space, with_findings(house, layout, WORDS)


def assert_one_truth(house, space, layout) -> None:
    found = assess_wall(house, "w", layout.hangings, words=WORDS)
    assert found.findings == layout.findings
    (arrangement,) = found.arrangements
    assert {piece.work for piece in arrangement.pieces} == set(layout.works)
    assert not [finding for finding in layout.findings if finding.level == "stop"]
    # What the composer measured and what the rules say must not contradict one another.
    broken = {finding.rule for finding in layout.findings if finding.level == "exception"}
    for rule in ("eye-line", "clearance", "rail-line"):
        if layout.terms.get(rule, 0) >= 1 - 1e-9:
            assert rule not in broken, (rule, layout)
    if layout.measures.band_share > 1 - 1e-9:
        assert "spacing" not in broken
    assert arrangement.space in {
        space.id,
        *(space.id for space in wall_spaces(house, house.wall_by_id["w"], Rulebook())),
    }
    assert any(space.id == arrangement.space for space in found.spaces)


@cache
def composed(name: str) -> tuple:
    pool = [*mixed_pool(8, 5, frame="black"), *prints(4)]
    wider = name in AROUND
    pools = [mixed_pool(14, 43, frame="black")] if wider else [pool, prints(3), prints(6)]
    count = (5, 9) if wider else (2, 7)
    on = AROUND[name] if wider else WALLS[name]
    return tuple(layout for works in pools for layout in layouts(on, works, wider=wider, count=count))


@pytest.mark.parametrize("name", WALLS)
def test_every_form_is_found_as_it_was_composed(name: str) -> None:
    assert composed(name)
    for one in composed(name):
        assert_one_truth(*one)


def test_every_form_that_is_composed_is_among_them() -> None:
    seen = {layout.form for name in WALLS for _, _, layout in composed(name)}
    assert seen == {"pair", "trio", "row", "column", "grid", "block", "salon", "stair"}


@pytest.mark.parametrize("name", AROUND)
def test_a_group_around_sconces_lamps_and_plants_is_judged_in_the_wider_space(name: str) -> None:
    wide = 0
    for house, space, layout in composed(name):
        assert_one_truth(house, space, layout)
        found = assess_wall(house, "w", layout.hangings, words=WORDS)
        if found.arrangements[0].space == space.id:
            wide += 1
            # The places that the group takes up are not offered beside it.
            assert not [one for one in found.spaces if one.id != space.id and common(one.rect, space.rect)]
    assert wide


def test_two_that_flank_a_plant_are_no_group_around_it() -> None:
    """They hang 26 in apart: each by itself."""
    pieces = [work("a", 20, 24), work("b", 20, 24)]
    place = House((Room("r", "Room", walls=(AROUND["plant"],)),), tuple(pieces))
    found = assess_wall(place, "w", [Hanging("a", "w", 77 * INCH, 51 * INCH), Hanging("b", "w", 123 * INCH, 51 * INCH)])
    assert [len(arrangement.pieces) for arrangement in found.arrangements] == [1, 1]


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 10_000), name=st.sampled_from([*WALLS, *AROUND]), even=st.booleans())
def test_any_pool_on_any_wall(seed: int, name: str, even: bool) -> None:
    pool = prints(5, 9 + seed % 8, 11 + seed % 7) if even else mixed_pool(7, seed, frame="oak")
    for house, space, layout in layouts(WALLS.get(name) or AROUND[name], pool, wider=name in AROUND, seed=seed):
        assert_one_truth(house, space, layout)


def test_a_group_around_sconces_keeps_its_home_when_the_house_is_planned_anew() -> None:
    house, space, layout = max(composed("two sconces"), key=lambda one: one[2].score)
    hung = tuple(work for work in house.works if work.id in layout.works)
    few = dataclasses.replace(house, works=hung)
    again = propose(few, words=WORDS, hangings=layout.hangings, moved_piece_price=20)
    (kept,) = [one for one in again.plan if one.pieces]
    assert kept.space == space.id
    assert {(h.work, h.left, h.bottom) for h in kept.pieces} == {(h.work, h.left, h.bottom) for h in layout.hangings}
