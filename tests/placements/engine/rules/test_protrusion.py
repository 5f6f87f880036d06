"""2010 ADA Standards 307.2 at its boundaries; at exactly 80 in the sources differ, so it is not tested there."""

from __future__ import annotations

import pytest

from placements.engine.facade import propose
from tests import scenes
from tests.scenes import hang, judged, level, said, work


def corridor(bottom: float, depth: float, *, use: str = "public_corridor", items=(), over=None, **house_rules):
    piece = work("a", 40, 20, depth=depth)
    house = scenes.house(piece, walls=(scenes.wall(*items),), use=use)
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
    assert "would break a rule that stops" in alone.unplaced[0].why


def test_a_studio_that_asks_for_less_depth_than_the_law_may_except_itself_from_its_own_number() -> None:
    own = {"depth": 2 * scenes.INCH}
    finding = said(corridor(53, 3, protrusion=own), "protrusion")
    assert finding is not None
    assert finding.level == "exception"
    assert "the studio asks for at most 2 in" in finding.text
    assert level(corridor(53, 4.5, protrusion=own), "protrusion") == "stop"
