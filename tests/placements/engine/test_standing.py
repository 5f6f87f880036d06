"""Objects that stand: found, judged and proposed where they do. Common practice, no source."""

from __future__ import annotations

import dataclasses

import pytest

from placements.engine.facade import assess_wall, propose
from placements.engine.house import Hardware, House, Item, Room, Wall, Work
from placements.engine.results import Arrangement, Hanging
from placements.engine.rule import INCH
from placements.engine.standing import dressed, standing


def item(name: str, kind: str, left: float, bottom: float, width: float, height: float, depth: float = 0) -> Item:
    return Item(name, kind, *(one * INCH for one in (left, bottom, width, height)), depth=depth * INCH)


def house(*works: Work, items: tuple[Item, ...], **wall: bool) -> House:
    return House(
        (Room("r", "Parlour", "living", walls=(Wall("w", "r", "w", 3600, 2600, items=items, **wall),)),), works
    )


def work(name: str, width: float, height: float, form: str = "object", depth: float = 4, **more) -> Work:
    return Work(name, name.title(), width * INCH, height * INCH, depth * INCH, form=form, **more)


def at(name: str, left: float, bottom: float) -> Hanging:
    return Hanging(name, "w", left * INCH, bottom * INCH)


MANTEL = item("mantel", "mantel", 40, 0, 62, 52, 9)
NICHE = item("niche", "niche", 60, 44, 20, 30, 8)


def told(plan: tuple[Arrangement, ...], name: str) -> Arrangement:
    return next(one for one in plan if any(piece.work == name for piece in one.pieces))


@pytest.mark.parametrize(
    ("piece", "stands"),
    [
        (at("vase", 50, 52), True),
        (at("vase", 50, 52.2), True),
        (at("vase", 50, 58), False),
        (at("vase", 36, 52), False),
        (at("vase", 10, 60), False),
    ],
)
def test_a_piece_stands_with_its_foot_on_a_top_and_all_of_it_over_it(piece: Hanging, stands: bool) -> None:
    assert bool(standing(house(work("vase", 8, 12), items=(MANTEL,)), [piece])) is stands


def test_pictures_do_not_stand() -> None:
    assert not standing(house(work("print", 8, 12, "print"), items=(MANTEL,)), [at("print", 50, 52)])


def test_things_stand_inside_a_bookcase() -> None:
    case = item("case", "bookcase", 10, 0, 40, 80, 12)
    (found,) = standing(house(work("bowl", 8, 6), items=(case,)), [at("bowl", 20, 30)])
    assert found.stand.on == "case"


def test_a_standing_object_is_judged_as_such_and_not_as_a_hung_one() -> None:
    found = assess_wall(house(work("vase", 8, 12), items=(MANTEL,)), "w", [at("vase", 50, 52)])
    (one,) = found.arrangements
    assert (one.why, one.findings) == ("Stands on the mantel", ())
    assert one.space == found.stands[0].id


def test_one_that_is_too_deep_gets_a_finding_with_both_measures() -> None:
    found = assess_wall(house(work("urn", 8, 12, depth=12), items=(MANTEL,)), "w", [at("urn", 50, 52)])
    (one,) = found.findings
    assert (one.level, one.measured, one.high) == ("exception", 12 * INCH, 9 * INCH)
    assert "305 mm deep" in one.text
    assert "229 mm" in one.text


def test_a_picture_behind_a_standing_object_is_told() -> None:
    here = house(work("vase", 8, 20), work("view", 40, 28, "painting"), items=(MANTEL,))
    found = assess_wall(here, "w", [at("vase", 60, 52), at("view", 51, 59)])
    assert any(finding.rule == "standing-clear" and finding.level == "exception" for finding in found.findings)


def test_a_plan_stands_an_object_in_its_niche() -> None:
    plan = propose(house(work("jug", 8, 16), items=(NICHE,)))
    piece = told(plan.plan, "jug").pieces[0]
    assert piece.bottom == pytest.approx(44 * INCH)
    assert piece.left + 4 * INCH == pytest.approx(70 * INCH)
    assert not plan.unplaced


def test_beside_the_picture_over_a_mantel_and_never_before_it() -> None:
    here = house(work("vase", 7, 14), work("view", 40, 28, "painting"), items=(MANTEL,))
    plan = propose(here).plan
    vase, view = told(plan, "vase").pieces[0], told(plan, "view").pieces[0]
    assert vase.bottom == pytest.approx(52 * INCH)
    assert vase.left + 7 * INCH <= view.left or vase.left >= view.left + 40 * INCH


def test_two_flank_it() -> None:
    here = house(work("one", 7, 14), work("two", 7, 14), work("view", 38, 28, "painting"), items=(MANTEL,))
    plan = propose(here).plan
    middles = sorted(told(plan, name).pieces[0].left + 3.5 * INCH for name in ("one", "two"))
    assert sum(middles) / 2 == pytest.approx(71 * INCH)


def test_where_nothing_takes_it_the_reason_says_so() -> None:
    (one,) = propose(house(work("vase", 8, 12), items=())).unplaced
    assert one.why == "It stands and does not hang, and no niche, shelf, mantel or console that is free takes it"


def test_an_object_with_hardware_may_hang_and_a_bare_wall_takes_none() -> None:
    hung = work("relic", 30, 30, hang=Hardware("wire", 50, inset=50))
    assert not [one for one in propose(house(hung, items=())).unplaced if one.why.startswith("It stands")]
    assert not [one for one in propose(house(work("vase", 8, 12), items=(MANTEL,), keep_bare=True)).plan if one.pieces]


def test_what_stands_today_stays_and_is_audited() -> None:
    here = house(work("vase", 8, 12), items=(MANTEL,))
    plan = propose(here, hangings=[at("vase", 80, 52)])
    assert told(plan.plan, "vase").pieces == (at("vase", 80, 52),)


def test_dressing_a_house_leaves_the_survey_alone() -> None:
    here = house(work("vase", 8, 12), items=(MANTEL,))
    before = dataclasses.replace(here)
    assert len(dressed(here, standing(here, [at("vase", 50, 52)])).wall_by_id["w"].items) == 2
    assert here == before
