"""Whole proposals on a small invented house. Facts of the trade: common practice, no source. Inches."""

from __future__ import annotations

import dataclasses

import pytest

from placements.engine.errors import InvalidHouse
from placements.engine.facade import propose, rank, rank_spaces, why_not
from placements.engine.house import House, Hung, Room, Work
from placements.engine.results import Hanging
from tests.scenes import INCH, SOFA, WORDS, item, wall, work

CONSOLE = item("console", 24, 0, 48, 32, 14)
WALLS = (
    wall(SOFA, id="sofa-wall", room="living", name="Sofa wall"),
    wall(CONSOLE, id="hall-wall", room="hall", name="Hall wall", length=96, height=102),
    wall(id="long-wall", room="hall", name="Long wall", length=140, height=102),
)


def home(*works: Work, **more) -> House:
    rooms = (Room("living", "Living room", "living", walls=WALLS[:1]), Room("hall", "Hall", "hall", walls=WALLS[1:]))
    return House(rooms, works, **more)


COAST = work("coast", 56, 36)
PEAR = work("pear", 33, 40)
STRIP = work("strip", 84, 40)
TINY = work("tiny", 6, 8)
HUGE = work("huge", 200, 120)


def placed(proposal) -> dict[str, str]:
    return {piece.work: one.space for one in proposal.plan for piece in one.pieces}


def test_each_work_goes_where_it_suits():
    found = propose(home(COAST, PEAR, STRIP), WORDS)
    assert placed(found) == {"coast": "sofa-wall:sofa", "pear": "hall-wall:console", "strip": "long-wall:open:|..|"}
    assert found.optimality.gap == 0
    assert found.unplaced == ()


def test_every_space_has_one_arrangement_and_every_work_one_place():
    found = propose(home(COAST, PEAR, STRIP, TINY), WORDS)
    assert [one.space for one in found.plan] == [space.id for space in found.spaces]
    works = [piece.work for one in found.plan for piece in one.pieces]
    assert len(works) == len(set(works))


def test_the_order_of_the_inventory_does_not_change_the_plan():
    works = [COAST, PEAR, STRIP, TINY]
    assert placed(propose(home(*works))) == placed(propose(home(*reversed(works))))


def test_the_same_input_gives_the_same_answer():
    one, other = propose(home(COAST, PEAR, TINY), WORDS), propose(home(COAST, PEAR, TINY), WORDS)
    timeless = [dataclasses.replace(p, optimality=dataclasses.replace(p.optimality, seconds=0)) for p in (one, other)]
    assert timeless[0] == timeless[1]


def test_what_is_too_large_says_so():
    (left_out,) = propose(home(HUGE), WORDS).unplaced
    assert left_out.work == "huge"
    assert "200 × 120 in is larger than every free space" in left_out.why


def test_what_loses_its_place_says_to_whom():
    twin = work("twin", 56, 36, title="Twin")
    rooms = (Room("living", "Living room", "living", walls=WALLS[:1]),)
    (left_out,) = propose(House(rooms, (COAST, twin)), WORDS).unplaced
    assert "over the sofa" in left_out.why
    assert "“coast”" in left_out.why or "“Twin”" in left_out.why


@pytest.mark.parametrize("lock", ["hall-wall:console", "hall-wall", "hall"])
def test_a_lock_is_kept_though_the_piece_would_do_better_elsewhere(lock):
    fixed = dataclasses.replace(COAST, width=44 * INCH, locked=lock)
    found = propose(home(fixed), WORDS)
    space = {space.id: space for space in found.spaces}[placed(found)["coast"]]
    assert lock in (space.id, space.wall, space.room)
    assert (
        0 <= found.optimality.objective <= 100 * len(found.spaces)
    )  # the lock's own weight is not part of what is reported


def test_a_lock_on_an_unknown_place_leaves_the_piece_out_with_the_reason():
    (left_out,) = propose(home(dataclasses.replace(COAST, locked="attic"))).unplaced
    assert "attic" in left_out.why


def test_a_space_left_bare_on_purpose_stays_bare():
    found = propose(home(COAST, PEAR), bare=("sofa-wall:sofa",))
    assert "sofa-wall:sofa" not in placed(found).values()


def test_no_group_is_composed_for_a_space_left_bare_on_purpose():
    prints = [work(f"p{n}", 10 + n % 3, 12 + n % 4, frame="oak", form="print") for n in range(9)]
    homes = set(placed(propose(home(*prints))).values())
    assert homes
    found = propose(home(*prints), bare=tuple(homes))
    assert not homes & set(placed(found).values())


def test_no_composed_group_tears_a_set():
    prints = [work(f"p{n}", 10 + n % 3, 12 + n % 4) for n in range(6)]
    trio = [work("t0", 14, 18, set_name="trio"), work("t1", 14, 18, set_name="trio")]
    trio.append(work("t2", 14, 110, set_name="trio"))  # taller than every wall, so none of the three can hang
    assert not {one.id for one in trio} & set(placed(propose(home(*trio, *prints))))


def test_a_set_hangs_together_or_not_at_all():
    trio = [work(f"t{n}", 24, 30, set_name="trio") for n in range(3)]
    found = propose(home(COAST, *trio), WORDS)
    homes = {placed(found).get(one.id) for one in trio}
    assert len(homes) == 1
    assert homes != {None}
    narrow = [work(f"n{n}", 100, 60, set_name="wide") for n in range(3)]
    left_out = propose(home(*narrow), WORDS).unplaced
    assert {one.work for one in left_out} == {one.id for one in narrow}
    assert all("stays together" in one.why or "larger" in one.why for one in left_out)


def test_works_kept_apart_do_not_share_a_room():
    works = [PEAR, dataclasses.replace(STRIP)]
    together = propose(home(*works))
    assert {space.split(":")[0] for space in placed(together).values()} == {"hall-wall", "long-wall"}
    apart = placed(propose(home(*works, apart=(("pear", "strip"),))))
    rooms = ["living" if one.startswith("sofa") else "hall" for one in apart.values()]
    assert len(rooms) == len(set(rooms))


def test_a_small_gain_does_not_reshuffle_the_house():
    """Two works that suit two places almost alike stay where they hang, unless moving costs nothing."""
    nearly = work("nearly", 55.5, 36)
    hung = [Hanging("nearly", "sofa-wall", (84 - 55.5 / 2) * INCH, 42 * INCH)]
    dear = propose(home(COAST, nearly), hangings=hung, moved_piece_price=10)
    assert placed(dear)["nearly"] == "sofa-wall:sofa"


def test_a_kept_piece_without_exceptions_stays_exactly_where_it_hangs():
    at = Hanging("coast", "sofa-wall", 56.5 * INCH, 43 * INCH)
    found = propose(home(COAST), hangings=[at])
    (one,) = [one for one in found.plan if one.pieces]
    assert (one.pieces[0].left, one.pieces[0].bottom) == (at.left, at.bottom)


def test_alternatives_are_other_plans():
    found = propose(home(COAST, PEAR, STRIP, work("other", 58, 38), work("third", 34, 38)), alternatives=2)
    plans = [
        {(one.space, tuple(p.work for p in one.pieces)) for one in plan} for plan in (found.plan, *found.alternatives)
    ]
    assert len(plans) == 3
    assert len({frozenset(plan) for plan in plans}) == 3


def test_a_space_without_a_good_match_gets_a_brief():
    found = propose(home(TINY), WORDS)
    brief = found.briefs["sofa-wall:sofa"]
    assert brief.shape == "landscape"
    assert brief.width == pytest.approx((50.4 * INCH, 63 * INCH))
    assert "50.4–63 in wide" in brief.text


def test_every_pair_is_told():
    found = propose(home(COAST, PEAR), WORDS)
    assert {(pairing.space, pairing.work) for pairing in found.pairings} == {
        (space.id, name) for space in found.spaces for name in ("coast", "pear")
    }
    assert propose(home(COAST), pairings=False).pairings == ()


def test_what_hangs_today_is_audited():
    high = dataclasses.replace(COAST, hung=Hung("sofa-wall", 56 * INCH, 48 * INCH))
    (one,) = propose(home(high), WORDS).audit
    assert (one.work, one.wall) == ("coast", "sofa-wall")
    assert "14 in above the sofa" in next(f.text for f in one.findings if f.rule == "clearance")
    assert one.remedies[0].text.startswith("Lower it by")


def test_progress_is_told_and_may_end_the_search():
    heard: list[float] = []
    propose(home(COAST), progress=lambda share, _: heard.append(share))
    assert heard == sorted(heard)

    class Stop(Exception):
        pass

    def stop(share: float, text: str) -> None:
        raise Stop

    with pytest.raises(Stop):
        propose(home(COAST), progress=stop)


def test_a_house_that_contradicts_itself_is_refused():
    with pytest.raises(InvalidHouse, match="twice"):
        propose(home(COAST, COAST))


def test_an_empty_house_gives_an_empty_proposal():
    found = propose(House(()))
    assert (found.spaces, found.plan, found.optimality.gap) == ((), (), 0.0)


def test_ranking_puts_what_fits_and_suits_first():
    ranked = rank(home(HUGE, TINY, COAST), "sofa-wall:sofa", words=WORDS)
    assert [one.work for one in ranked] == ["coast", "tiny", "huge"]
    assert [one.fits for one in ranked] == [True, True, False]
    assert rank_spaces(home(COAST), "coast", WORDS)[0].space == "sofa-wall:sofa"


def test_ranking_an_unknown_space_says_so():
    with pytest.raises(InvalidHouse, match="no space"):
        rank(home(COAST), "sofa-wall:armchair")


def test_why_not_sets_the_terms_side_by_side():
    told = why_not(home(COAST, TINY), "tiny", "sofa-wall:sofa", "coast", WORDS)
    terms = {name: (a, b) for name, a, b in told.terms}
    assert terms["two-thirds"][0] < terms["two-thirds"][1]
    assert told.terms[0][0] == "two-thirds"  # what counts most against it comes first
    assert "behind in two-thirds of the furniture" in told.text
    assert "cannot hang here" in why_not(home(COAST, HUGE), "huge", "sofa-wall:sofa", "coast", WORDS).text


def panelled(*works: Work, right: float = 40) -> House:
    """A centre panel between two narrow ones, the right one as wide as given."""
    panels = [("left", 12, 40), ("centre", 64, 88), ("right", 164, right)]
    items = [item("panel", left, 36, wide, 60, id=name) for name, left, wide in panels]
    return House((Room("r", "Room", "living", walls=(wall(*items, length=216),)),), works)


SOLOIST = work("soloist", 22, 30, frame="oak")
TWINS = work("first", 20, 28, form="print", frame="gilt"), work("second", 20, 28, form="print", frame="Gilt")


def test_a_pair_hangs_either_side_of_a_centre_panel():
    """A single that suits a little better by itself gives way to the pair; common practice, no source."""
    found = propose(panelled(SOLOIST, *TWINS, work("wide", 50, 36)), WORDS)
    where = placed(found)
    assert {where["first"], where["second"]} == {"w:left", "w:right"}
    assert "soloist" not in where
    assert found.optimality.gap == 0
    (left,) = [one for one in found.plan if one.space == "w:left"]
    assert left.why.startswith("Makes a pair with “second” in the right panel; ")


@pytest.mark.parametrize(
    "other",
    [
        pytest.param(panelled(SOLOIST, *TWINS, right=30), id="panels of two sizes"),
        pytest.param(panelled(SOLOIST, TWINS[0], dataclasses.replace(TWINS[1], frame="oak")), id="frames of two kinds"),
    ],
)
def test_only_what_matches_counts_as_a_pair(other):
    assert not any("Makes a pair" in one.why for one in propose(other, WORDS).plan)
