"""Weight on the wall, against what fixings hold."""

from __future__ import annotations

import pytest

from placements.engine.house import BUILDS, Studs
from placements.engine.surroundings import carrying
from tests import scenes
from tests.scenes import hang, judged, level, over_sofa, said, work

LB = 0.45359237  # exact
G = 9.80665  # m/s2, standard gravity


def on(build: str, kg: float | None, **more):
    piece = work("a", 56, 34, weight_kg=kg, **more.pop("piece", {}))
    house = scenes.house(piece, walls=(scenes.wall(scenes.SOFA, build=build, **more),))
    where = house, scenes.space("over_furniture", scenes.rect(42, 34, 84, 68), over=scenes.SOFA)
    return judged(where, hang(piece, 56, 43))


@pytest.mark.parametrize("build", BUILDS)
def test_every_build_has_its_own_limit(build: str) -> None:
    ordinary, utmost = carrying(scenes.wall(build=build))
    assert 0 < ordinary <= utmost
    assert level(on(build, ordinary - 0.01), "load") is None
    assert level(on(build, utmost + 0.01), "load") == "stop"


def test_hollow_board_is_trusted_with_a_quarter_of_its_ultimate_load() -> None:
    """Published hollow-wall loads are ultimate and to be divided by at least 4: 200 lb toggles, two points, 100 lb."""
    assert carrying(scenes.wall(build="drywall"))[0] == pytest.approx(2 * 200 / 4 * LB, rel=1e-6)


def test_over_ordinary_fixings_is_an_exception_where_studs_are_known() -> None:
    ordinary, utmost = carrying(scenes.wall(studs=Studs(200, 406.4)))
    assert ordinary < utmost
    found = on("drywall", (ordinary + utmost) / 2, studs=Studs(200, 406.4))
    finding = said(found, "load")
    assert finding is not None
    assert finding.level == "exception"
    assert "fix into studs" in finding.text


def test_an_unknown_weight_is_estimated_said_so_and_never_a_stop() -> None:
    piece = {"form": "mirror", "glazed": True, "depth": 2.0}
    house_sized = work("a", 80, 66, weight_kg=None, **piece)
    house = scenes.house(house_sized, walls=(scenes.wall(scenes.SOFA, build="tile"),))
    where = house, scenes.space("over_furniture", scenes.rect(42, 34, 84, 68), over=scenes.SOFA)
    finding = said(judged(where, hang(house_sized, 44, 35)), "load")
    assert finding is not None
    assert finding.level == "exception"
    assert finding.text.startswith("Not weighed, estimated at up to ")
    assert "weigh it before hanging" in finding.text


def test_the_stop_asks_for_a_professional() -> None:
    finding = said(on("drywall", 150.0), "load")
    assert finding is not None
    assert "licensed professional" in finding.text
    assert finding.measured == 150.0
    assert finding.unit == "kg"


def test_a_heavier_piece_never_scores_better() -> None:
    where = [on("tile", kg).terms["load"] for kg in (5, 10, 15, 20, 40, 80)]
    assert where == sorted(where, reverse=True)
    assert over_sofa(work("a", 1, 1))
