"""A proposal for a whole house: where each work hangs, proved, with reasons, findings and what does not hang."""

from __future__ import annotations

import dataclasses
import time
from collections.abc import Callable, Iterable, Sequence

import numpy as np

from .assess import arrangement_of, remedied
from .audit import audit
from .briefs import briefs
from .geometry import common
from .grouping import Together, house_as_hung, hung_today
from .groups.around import AROUND
from .house import House
from .names import place_of
from .plan.places import Place
from .plan.planner import LOCK_WORTH, Draft, Hung, Planner
from .plan.unplaced import unplaced, why_bare
from .remedies import Stock
from .results import Arrangement, Hanging, Optimality, Pairing, PlainWords, Proposal, Space, Unplaced, Words
from .rulebook import Rulebook
from .scene import build_scene
from .scoring import pairing, score
from .spaces import find_spaces
from .standing import Standing, dressed, only_stands, stand_up, standing
from .standing import arrangement_of as arrangement_of_standing
from .taste import NO_TASTE, Taste

#: What moving a piece out of the space where it hangs must at least gain, in score points of one space.
MOVED_PIECE_PRICE = 4.0
#: Up to so many pairs all are explained in full; beyond, the best of each space.
ALL_PAIRINGS, PAIRINGS_A_SPACE = 3000, 20

#: Why an object is left over.
NO_STAND = "It stands and does not hang, and no niche, shelf, mantel or console that is free takes it"

Progress = Callable[[float, str], None]


def propose(
    house: House,
    words: Words | None = None,
    *,
    bare: Iterable[str] = (),
    hangings: Sequence[Hanging] | None = None,
    moved_piece_price: float = MOVED_PIECE_PRICE,
    taste: Taste = NO_TASTE,
    alternatives: int = 2,
    pairings: bool = True,
    remedies: bool = True,
    progress: Progress | None = None,
) -> Proposal:
    """Plan a whole house.

    Args:
        words: how measures are set in sentences; millimetres when not given.
        bare: ids of spaces that stay bare.
        hangings: what hangs now, so that the plan does not reshuffle the house for little; when not given, what
            the works' own `hung` says.
        moved_piece_price: score points that taking a piece out of its space must gain.
        taste: what the studio usually hangs. It shifts the ranking of what the rules allow, and is told where followed.
        alternatives: how many further plans to look for, each clearly different.
        pairings: whether to tell every pair of work and space in full.
        remedies: whether to say what would mend each finding; of a large house that takes longer than the plan.
        progress: called with a share of the work done (0-1) and what is being done; what it raises ends the search.

    Raises:
        InvalidHouse: ids or sizes that contradict one another. UnknownRule: house rules that do not exist.
    """
    began = time.perf_counter()
    say = progress or _silent
    house.validate()
    words = words or PlainWords()
    rulebook = Rulebook.for_house(house)
    say(0.02, "Finding the free spaces")
    now = [
        hanging for hanging in (hung_today(house) if hangings is None else hangings) if hanging.work in house.work_by_id
    ]
    upright = standing(house, now)
    whole, house = house, _without(house, upright)
    spaces, today = _as_it_is(house, [hanging for hanging in now if hanging.work in house.work_by_id], rulebook, words)
    say(0.1, f"Judging {len(house.works)} works in {len(spaces)} spaces")
    planner = Planner.gather(
        house, spaces, rulebook, words, bare=bare, today=today, moved_piece_price=moved_piece_price, taste=taste
    )
    best = planner.draft(step=lambda: say(0.5, "Choosing the best plan"))
    seconds = time.perf_counter() - began
    say(0.7, "Looking for remedies" if remedies else "Hanging it")
    plan = _plan(planner, best)
    plan = _with_remedies(planner, plan) if remedies else plan
    plan = _with_objects(whole, plan, upright, words)
    hung = {piece.work for arrangement in plan for piece in arrangement.pieces}
    say(0.8, "Looking for other plans")
    others = tuple(
        _with_objects(whole, alternative, upright, words) for alternative in _alternatives(planner, best, alternatives)
    )
    say(0.9, "Writing the reasons")
    return Proposal(
        spaces=spaces,
        pairings=_pairings(planner) if pairings else (),
        plan=plan,
        audit=audit(whole, rulebook, words, with_remedies=remedies),
        unplaced=_unplaced(planner, best, hung),
        optimality=_optimality(planner, best, seconds, moved_piece_price, today),
        briefs=briefs(house, spaces, plan, words),
        alternatives=others,
    )


def _as_it_is(
    house: House, now: Sequence[Hanging], rulebook: Rulebook, words: Words
) -> tuple[tuple[Space, ...], list[Together]]:
    """The spaces to plan for, and the arrangements that hang in them today."""
    spaces, today = house_as_hung(house, now, rulebook, words)
    if _share_wall(spaces):  # a plan fills each stretch of wall once: back to the plain spaces
        spaces = find_spaces(house, rulebook, words)
        plain = {space.id for space in spaces}
        today = [one for one in today if one[0].id in plain]
    return tuple(spaces), today


def _without(house: House, upright: Sequence[Standing]) -> House:
    """The house to hang: what stands today stays, among the walls' items and no longer among the works."""
    stays = {standing.work.id for standing in upright}
    works = tuple(work for work in house.works if work.id not in stays)
    apart = tuple(pair for pair in house.apart if not stays & set(pair))
    return dataclasses.replace(dressed(house, upright), works=works, apart=apart) if stays else house


def _with_objects(
    house: House, plan: tuple[Arrangement, ...], upright: Sequence[Standing], words: Words
) -> tuple[Arrangement, ...]:
    """A plan with what stands today, and with the objects that hang nowhere where they may stand."""
    hung = [*(piece for arrangement in plan for piece in arrangement.pieces), *(standing.piece for standing in upright)]
    left_over = {work.id for work in house.works} - {hanging.work for hanging in hung}
    found = (*upright, *stand_up(house, hung, left_over))
    return (*plan, *(arrangement_of_standing(standing, words) for standing in found))


def _unplaced(planner: Planner, best: Draft, hung: set[str]) -> tuple[Unplaced, ...]:
    """What neither hangs nor stands, with the reason."""
    work_by_id = planner.house.work_by_id
    return tuple(
        Unplaced(one.work, NO_STAND) if only_stands(work_by_id[one.work]) else one
        for one in unplaced(planner, best)
        if one.work not in hung
    )


def _share_wall(spaces: Sequence[Space]) -> bool:
    """Whether the wider space of a group that hangs around something covers another space that holds a piece."""
    return any(
        space.wall == other.wall and common(space.rect, other.rect) is not None
        for space in spaces
        if space.id.endswith(AROUND)
        for other in spaces
        if other.id != space.id
    )


def _silent(_share: float, _text: str) -> None:
    """Nobody listens."""


def _plan(planner: Planner, draft: Draft) -> tuple[Arrangement, ...]:
    """What hangs in each space, and the spaces that stay bare, in the order of the spaces."""
    by_space: dict[int, list[Arrangement]] = {}
    for one in draft.hung:
        by_space.setdefault(one.place.index, []).append(_as_usual(planner, one.place, _told(planner, draft, one)))
    found: list[Arrangement] = []
    for index, space in enumerate(planner.spaces):
        bare = Arrangement(space.id, space.wall, "bare", (), 0.0, why=why_bare(planner, draft, index))
        found += by_space.get(index) or [_as_usual(planner, planner.places[index], bare)]
    return tuple(found)


def _told(planner: Planner, draft: Draft, one: Hung) -> Arrangement:
    """An arrangement, with the reason that it answers others where it does."""
    made = arrangement_of(one.place.space, one.pieces, one.judged)
    if one.choice.across is None:
        return made
    mates = [other for other in draft.hung if other.choice is one.choice and other.place is not one.place]
    bond = one.choice.across.answer.bond
    if bond == "bays":
        return dataclasses.replace(
            made, why=f"One of {len(mates) + 1} alike, at one height in equal places; {made.why}"
        )
    other = mates[0]
    title = planner.house.work_by_id[other.pieces[0].work].title
    where = place_of(other.place.space.name)
    wall = "" if other.place.wall.id == one.place.wall.id else f" on {other.place.wall.name}"
    said = "Makes a pair with" if bond == "flank" else "Answers"
    return dataclasses.replace(made, why=f"{said} “{title}” {where}{wall}; {made.why}")


def _as_usual(planner: Planner, place: Place, one: Arrangement) -> Arrangement:
    """An arrangement, with what of the studio's habits it follows."""
    works = [planner.house.work_by_id[piece.work] for piece in one.pieces]
    width = 0.0
    if works:
        right = max(piece.left + work.width for piece, work in zip(one.pieces, works, strict=True))
        width = right - min(piece.left for piece in one.pieces)
    usual = tuple(habit.text for habit in planner.liking.followed(place, [work.form for work in works], width))
    return dataclasses.replace(one, why="; ".join([one.why, *usual]), usual=usual) if usual else one


def _with_remedies(planner: Planner, plan: tuple[Arrangement, ...]) -> tuple[Arrangement, ...]:
    """The plan with what would mend each arrangement that breaks a rule."""
    occupied: dict[str, tuple[Hanging, ...]] = {}
    for arrangement in plan:
        if arrangement.pieces:
            occupied[arrangement.space] = (*occupied.get(arrangement.space, ()), *arrangement.pieces)
    hung = frozenset(piece.work for pieces in occupied.values() for piece in pieces)
    stock = Stock(planner.house, planner.rulebook, planner.words, planner.spaces, hung, occupied)
    return tuple(remedied(stock, arrangement) for arrangement in plan)


def _alternatives(planner: Planner, best: Draft, count: int) -> tuple[tuple[Arrangement, ...], ...]:
    """Further plans, each clearly different from those before it."""
    drafts = [best]
    for _ in range(count):
        other = planner.draft(against=[one.picks for one in drafts])
        if not other.picks or any(other.picks == one.picks for one in drafts):
            break
        drafts.append(other)
    return tuple(_plan(planner, one) for one in drafts[1:])


def _optimality(planner: Planner, best: Draft, seconds: float, price: float, today: Sequence[Together]) -> Optimality:
    """Objective and bound on the scale of scores: locks and kept pieces count the same in both, so both lose them."""
    locked = {work.id for work in planner.house.works if work.locked}
    kept = LOCK_WORTH * sum(piece.work in locked for one in best.hung for piece in one.pieces)
    kept += price * sum(len(pieces) for _, pieces in today)
    objective = best.chosen.objective - kept
    gap = best.chosen.gap
    taste = sum(planner.choices[i].taste for i in best.picks)
    return Optimality(objective, objective if gap == 0 else best.chosen.bound - kept, gap, seconds, taste)


def _pairings(planner: Planner) -> tuple[Pairing, ...]:
    """Every pair in full, or the best of each space where there are very many; the best of a space first."""
    house, rulebook, words = planner.house, planner.rulebook, planner.words
    if not house.works or not planner.spaces:
        return ()
    scores = score(build_scene(house, planner.spaces, rulebook.margins), rulebook)
    few = scores.total.size <= ALL_PAIRINGS
    pairings = []
    for j, space in enumerate(planner.spaces):
        order = np.argsort(-np.where(scores.veto[:, j], scores.total[:, j] - 1000, scores.total[:, j]), kind="stable")
        chosen = order if few else order[:PAIRINGS_A_SPACE]
        pairings += [pairing(house, space, house.works[int(i)], rulebook, words) for i in chosen]
    return tuple(pairings)
