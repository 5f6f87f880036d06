"""What a hanging is worth, against judgements made apart from it: pairs of hangings, walls hung by hand, the plans.

Common practice, no source. The appraisal was tuned on two thirds of each; the third that is set aside is told apart.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence

import pytest

from placements.engine.appraisal.compare import SPEAKS
from placements.engine.facade import appraise, better
from placements.engine.house import House
from placements.engine.results import Hanging

from .hand_hung import Entry, entries
from .pairs import PAIRS, Pair, misjudged
from .proposing import INCH, proposed
from .surveys import CASES

NO_WALL = "the hand hangs an inch into the margin of the console below, which the rules keep clear"
WIDE = "the hand's own is wider than nine tenths of what it hangs over; the rule wants two-thirds to three quarters"
#: Pairs to tune on that the appraisal orders otherwise, and why.
DISAGREED = {
    "objects-on-shelves-not-nails:one_askew": "a bowl on a lower shelf of a bookcase stands as well: no fault is seen",
    "screen-flanked-by-equal-prints:loose": NO_WALL,
    "salon-around-a-screen:1": NO_WALL,
    "salon-around-a-screen:sunk": "lower, it comes nearer to the screen's own centre line",
    "salon-around-a-screen:floated": "higher, it comes nearer to the eye",
    "salon-around-a-screen:loose": NO_WALL,
    "lobby-desk-takes-the-strongest:3": "27 in over a bench it has left it: the gap over furniture comes first",
    "sideboard-mirror-and-flanks:2": WIDE,
    "largest-in-the-middle-of-seven:2": WIDE,
    "largest-in-the-middle-of-seven:one_askew": WIDE,
    "window-flanked-by-a-pair:4": "piers beside a window are worth little: bare or filled differ by 2 points of 100",
    "two-sets-with-air-between:loose": "drawn apart by a quarter, each set is still within the gaps of a few pieces",
    "tall-wall-twelve-in-a-grid:loose": "the close grid hangs too high for the eye, the loose one reaches down to it",
    "twelve-equal-on-a-landing:4": "a wall 14 ft wide takes six by two better, as a hand says of another such wall",
    "quiet-bedroom:1": "what the client means by quiet is in no field of the survey",
    "two-sizes-in-a-hall-of-two-walls:loose": "where one passes, a row drawn apart by a quarter still keeps time",
}
#: Entries whose ranks 1 and 2 are close, as they say who hung them: weighed lightly, so not ordered here.
CLOSE = frozenset(
    {
        "sofa-between-bookcase-and-lamp",
        "long-hall-five-lanes",
        "king-bed-sconces-textile",
        "salon-of-eight-over-sofa",
        "dining-sideboard-six-herbs",
        "grid-of-twelve-photograph-out",
    }
)


def worth(house: House, hangings: Sequence[Hanging]) -> float:
    return appraise(house, hangings).points


@functools.cache
def wrong() -> frozenset[str]:
    return frozenset(pair.name for pair, _ in misjudged(worth))


def share(pairs: Sequence[Pair]) -> float:
    return sum(one.name not in wrong() for one in pairs) / len(pairs)


def test_it_orders_pairs_to_tune_on_but_for_those_it_disagrees_with() -> None:
    to_tune = [one for one in PAIRS if not one.set_aside]
    assert wrong() & {one.name for one in to_tune} == DISAGREED.keys()
    assert share(to_tune) >= 0.96


def test_it_orders_pairs_that_were_set_aside() -> None:
    aside = [one for one in PAIRS if one.set_aside]
    assert share(aside) >= 0.96
    assert share([one for one in aside if one.sound]) >= 0.88


@functools.cache
def ordered(which: bool) -> list[tuple[str, int, int, bool]]:
    """Every pair of ranks that is not close, of the entries set aside or of those to tune on: in order or not."""
    found = []
    for entry in entries():
        if entry.set_aside is not which:
            continue
        points = {rank: worth(entry.house, hung) for rank, hung in entry.ranked.items()}
        for one, two in ((1, 2), (2, 3), (1, 3)):
            if two != 2 or entry.name not in CLOSE:
                found.append((entry.name, one, two, points[one] > points[two]))
    return found


@pytest.mark.parametrize("set_aside", [False, True])
def test_it_ranks_what_hands_hung_as_they_do(set_aside: bool) -> None:
    found = ordered(set_aside)
    assert sum(right for *_, right in found) / len(found) >= 0.95, [one for one in found if not one[3]]


@functools.cache
def against_the_hand() -> list[tuple[Entry, float]]:
    """What each proposal is worth beyond the hand's first."""
    return [
        (one, worth(one.house, proposed(one.house).hangings) - worth(one.house, one.ranked[1])) for one in entries()
    ]


def test_proposals_are_worth_as_much_as_the_hand_in_nine_of_ten() -> None:
    """To within a point of some hundred."""
    found = against_the_hand()
    assert sum(more >= -1 for _, more in found) / len(found) >= 0.9, [one.name for one, more in found if more < -1]


def test_it_says_of_plans_what_the_planner_says() -> None:
    """The planner's objective and the appraisal of its plan, on houses without mixed groups and alternatives of place:
    near to one another, so that they do not say different things. A quarter of the surveys shows it."""
    near = []
    for case in CASES[::4]:
        plan = proposed(case.house).proposal
        hung = [piece for one in plan.plan for piece in one.pieces]
        aim = plan.optimality.objective
        if aim > 0 and not case.house.apart:
            near.append(abs(worth(case.house, hung) - aim) <= 0.1 * aim)
    assert sum(near) / len(near) >= 0.75, (sum(near), len(near))


def test_marks_add_up_and_name_walls_and_works() -> None:
    entry = entries()[0]
    found = appraise(entry.house, entry.ranked[3])
    assert sum(one.points for one in found.marks) == pytest.approx(found.points)
    assert all(one.wall in entry.house.wall_by_id for one in found.marks)
    assert {work for one in found.marks for work in one.works} == {one.work for one in entry.ranked[3]}


def test_a_bare_house_is_worth_nothing_and_a_piece_off_the_wall_less() -> None:
    entry = entries()[0]
    assert appraise(entry.house, ()).points == 0
    piece = entry.ranked[1][0]
    outside = Hanging(piece.work, piece.wall, piece.left + 400 * INCH, piece.bottom)
    assert appraise(entry.house, [outside]).points < 0


@pytest.mark.parametrize("number", range(0, len(CASES), 9))
def test_the_order_of_lists_does_not_matter(number: int) -> None:
    case = CASES[number]
    assert worth(case.house, case.hung[::-1]) == pytest.approx(worth(case.house, case.hung))


def test_in_words_what_is_better_about_which() -> None:
    entry = next(one for one in entries() if one.name == "sofa-centred-two-thirds")
    first, last = better(entry.house, "wall", entry.ranked[1], entry.ranked[3])
    assert first[0] == "Nearer to its best height"
    assert last == ()
    assert better(entry.house, "wall", entry.ranked[1], entry.ranked[1]) == ((), ())
    assert better(entry.house, "wall", entry.ranked[3], entry.ranked[1]) == (last, first)


def test_each_mark_has_its_words() -> None:
    said = {name for names in SPEAKS.values() for name in names}
    for pair in PAIRS[::5]:
        assert {one.name for one in appraise(pair.house, pair.worse).marks} <= said
