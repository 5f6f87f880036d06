"""2010 ADA Standards 307.2 at its boundaries; at exactly 80 in the sources differ, so it is not tested there."""

from __future__ import annotations

from dataclasses import replace

import pytest

from placements.engine.facade import propose
from tests import scenes
from tests.scenes import hang, judged, level, said, work


def corridor(
    bottom: float, depth: float, *, use: str = "public_corridor", items=(), over=None, way=None, **house_rules
):
    piece = work("a", 40, 20, depth=depth)
    house = scenes.house(piece, walls=(scenes.wall(*items),), use=use)
    if way is not None:
        house = replace(house, rooms=(replace(house.rooms[0], clear_width=way * scenes.INCH),))
    if over is None:
        where = house, scenes.space("open_wall", scenes.rect(20, 6, 120, 101))
    else:
        where = house, scenes.space("over_furniture", scenes.rect(20, 6, 120, 101), over=over)
    return judged(where, hang(piece, 60, bottom), **house_rules)


@pytest.mark.parametrize(
    ("bottom", "depth", "expected"),
    [
        pytest.param(27.0, 6.0, None, id="27 in is found by a cane"),
        pytest.param(27.0625, 4.0, None, id="27 1/16 in, 4 in deep"),
        pytest.param(27.0625, 4.0625, "stop", id="27 1/16 in, 4 1/16 in deep"),
        pytest.param(53, 4.0, None, id="at eye line, 4 in"),
        pytest.param(53, 5.0, "stop", id="at eye line, 5 in"),
        pytest.param(79.9375, 4.0625, "stop", id="79 15/16 in"),
        pytest.param(80.0625, 12.0, None, id="80 1/16 in clears heads"),
    ],
)
def test_the_band_from_27_to_80_inches(bottom: float, depth: float, expected: str | None) -> None:
    assert level(corridor(bottom, depth), "protrusion") == expected


def test_above_furniture_that_a_cane_finds_the_4_in_count_from_its_front() -> None:
    bench = scenes.item("bench", 50, 0, 60, 18, 14)
    assert level(corridor(53, 17.9, items=(bench,), over=bench), "protrusion") is None
    assert level(corridor(53, 18.1, items=(bench,), over=bench), "protrusion") == "stop"
    shelf = scenes.item("console", 50, 30, 60, 4, 14)  # hangs above the cane's sweep: finds nobody
    assert level(corridor(53, 5, items=(shelf,), over=shelf), "protrusion") == "stop"


def test_at_home_nothing_is_asked() -> None:
    assert "protrusion" not in corridor(53, 6, use="hall").terms


def test_an_unmeasured_depth_is_a_note_and_no_score() -> None:
    found = corridor(53, 0)
    assert level(found, "protrusion") == "note"
    assert "protrusion" not in found.terms


def test_the_words_name_the_section_and_both_ways_out() -> None:
    finding = said(corridor(53, 5), "protrusion")
    assert finding is not None
    assert "ADA 307.2" in finding.text
    assert "between 27–80 in the law allows 4 in" in finding.text
    assert "local code" in finding.text
    assert "cane" in finding.text


def test_what_the_law_stops_never_comes_into_a_plan() -> None:
    """Of 2,129 framed paintings with a depth on record at one museum 25 % are deeper than 4 in: the rule bites."""
    deep, shallow = work("deep", 60, 40, depth=4.5), work("shallow", 60, 40, depth=2)
    house = scenes.house(deep, shallow, walls=(scenes.wall(),), use="public_corridor")
    assert {h.work for one in propose(house).plan for h in one.pieces} == {"shallow"}
    alone = propose(scenes.house(deep, walls=(scenes.wall(),), use="public_corridor"))
    assert not [h for one in alone.plan for h in one.pieces]
    assert "must not hang" in alone.unplaced[0].why
    assert "ADA 307.2" in alone.unplaced[0].why


def test_a_studio_that_asks_for_less_depth_than_the_law_may_except_itself_from_its_own_number() -> None:
    own = {"depth": 2 * scenes.INCH}
    finding = said(corridor(53, 3, protrusion=own), "protrusion")
    assert finding is not None
    assert finding.level == "exception"
    assert "the studio asks for at most 2 in" in finding.text
    assert level(corridor(53, 4.5, protrusion=own), "protrusion") == "stop"


@pytest.mark.parametrize(
    ("way", "bottom", "depth", "expected"),
    [
        pytest.param(38, 53, 2.0, None, id="36 in are left"),
        pytest.param(38, 53, 2.0625, "stop", id="35 15/16 in are left"),
        pytest.param(60, 53, 4.0, None, id="a wide way asks nothing more"),
        pytest.param(38, 20, 3.0, "stop", id="below a cane's reach it narrows the way, too"),
        pytest.param(38, 79.98, 3.0, "stop", id="below heads it narrows the way"),
        pytest.param(38, 80.03, 3.0, None, id="above heads it narrows nothing"),
    ],
)
def test_nothing_narrows_a_surveyed_way_below_36_inches(way, bottom, depth, expected) -> None:
    """2010 ADA Standards 307.5 with 403.5.1."""
    assert level(corridor(bottom, depth, way=way), "protrusion") == expected


def test_what_stands_below_has_narrowed_the_way_already() -> None:
    bench = scenes.item("bench", 50, 0, 60, 18, 14)
    assert level(corridor(53, 13, items=(bench,), over=bench, way=48), "protrusion") is None
    assert level(corridor(53, 15, items=(bench,), over=bench, way=48), "protrusion") == "stop"


def test_a_narrowed_way_is_told_with_its_width_and_the_section() -> None:
    finding = said(corridor(53, 3, way=38), "protrusion")
    assert finding is not None
    assert "of a way of 38 in the law asks that 36 in stay clear (ADA 307.5; check the local code)" in finding.text
    own = said(corridor(53, 1.5, way=42, protrusion={"way": 41 * scenes.INCH}), "protrusion")
    assert own is not None
    assert (own.level, "the studio asks that 41 in stay clear" in own.text) == ("exception", True)


def test_at_home_a_way_may_be_narrow() -> None:
    assert level(corridor(53, 3, use="hall", way=38), "protrusion") is None
