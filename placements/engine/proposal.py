"""A proposal for a whole house: where each work hangs, proved, with reasons, findings and what does not hang."""

from __future__ import annotations

import dataclasses
import time
from collections.abc import Callable, Iterable, Sequence

import numpy as np

from .assess import arrangement_of, mended
from .assignment import Column, Solution, alternatives, solve
from .audit import audit
from .briefs import briefs
from .candidates import LOCK_WORTH, Candidates, gather, unbroken
from .composing import compose_for
from .geometry import common
from .grouping import house_as_hung, hung_today
from .groups.around import AROUND
from .house import House
from .names import place_of, small
from .remedies import Stock
from .results import Arrangement, Hanging, Optimality, Pairing, PlainWords, Proposal, Space, Words
from .rule import INCH
from .rulebook import Rulebook
from .scoring import judge
from .spaces import find_spaces
from .unplaced import unplaced
from .worth import worth_of

#: What moving a piece out of the space where it hangs must at least gain, in score points of one space.
MOVED_PIECE_PRICE = 4.0
#: Up to so many pairs all are told in full; beyond, the best of each space.
ALL_PAIRINGS, PAIRINGS_A_SPACE = 3000, 20

#: Groups are composed for spaces whose arrangement is worth less than this, at most for so many spaces, from so many
#: works, where there are so many millimetres across. Common practice, no source.
WANTING, COMPOSED_SPACES, COMPOSED_FROM, COMPOSED_WIDTH = 88.0, 8, 30, 36 * INCH
#: How often a plan looks at what would mend it and is made again with that.
MENDING_ROUNDS = 2

Progress = Callable[[float, str], None]


def propose(
    house: House,
    words: Words | None = None,
    *,
    bare: Iterable[str] = (),
    hangings: Sequence[Hanging] | None = None,
    moved_piece_price: float = MOVED_PIECE_PRICE,
    alternatives: int = 2,
    pairings: bool = True,
    compose_groups: bool = True,
    progress: Progress | None = None,
) -> Proposal:
    """Plan a whole house.

    Args:
        words: how measures are set in sentences; millimetres when not given.
        bare: ids of spaces that stay bare.
        hangings: what hangs now, so that the plan does not reshuffle the house for little; when not given, what
            the works' own `hung` says.
        moved_piece_price: score points that taking a piece out of its space must gain.
        alternatives: how many further plans to look for, each clearly different.
        compose_groups: whether to compose groups, beyond rows and grids, for spaces that want more.
        pairings: whether to tell every pair of work and space in full.
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
    if hangings is None:
        hangings = hung_today(house)
    known = [one for one in hangings if one.work in house.work_by_id]
    spaces, today = house_as_hung(house, known, rulebook, words)
    if _share_wall(spaces):  # a plan fills each stretch of wall once: back to the plain spaces
        spaces = find_spaces(house, rulebook, words)
        plain = {space.id for space in spaces}
        today = [one for one in today if one[0].id in plain]
    say(0.1, f"Scoring {len(house.works)} works in {len(spaces)} spaces")
    found = gather(house, spaces, rulebook, words, bare=bare, today=today, moved_piece_price=moved_piece_price)
    say(0.5, "Choosing the best plan")
    best = _settled(found)
    if compose_groups:
        found, best = _composed(found, best, say)
    say(0.6, "Looking for remedies")
    found, best, plan = _mended(found, best)
    seconds = time.perf_counter() - began
    say(0.8, "Looking for other plans")
    others = _alternatives(found, best, alternatives)
    say(0.9, "Telling the reasons")
    return Proposal(
        spaces=spaces,
        pairings=_pairings(found) if pairings else (),
        plan=plan,
        audit=audit(house, rulebook, words),
        unplaced=unplaced(found, best),
        optimality=_optimality(found, best, seconds, moved_piece_price),
        briefs=briefs(house, spaces, plan, words),
        alternatives=others,
    )


def _share_wall(spaces: Sequence[Space]) -> bool:
    """Whether the wider space of a group that hangs around something covers another space that holds a piece."""
    return any(
        one.wall == other.wall and common(one.rect, other.rect) is not None
        for one in spaces
        if one.id.endswith(AROUND)
        for other in spaces
        if other.id != one.id
    )


def _settled(found: Candidates) -> Solution:
    """The best plan at true worth.

    A pair not yet told in full counts for at least what it is worth, so a plan made only of told pairs and groups that
    is best among all is best in truth; until then what the plan wants is told, and it is solved again.
    """
    while True:
        best = solve(found.problem)
        wanted = [(one.works[0], one.space) for one in best.columns if len(one.works) == 1]
        untold = [pair for pair in wanted if pair not in found.told]
        if not untold:
            return best
        for i, j in untold:
            found.tell(i, j)


def _composed(found: Candidates, best: Solution, say: Progress) -> tuple[Candidates, Solution]:
    """The plan with groups composed for the spaces that it serves poorly.

    First of what they hold and what hangs nowhere; where a rule stays broken, of all works, since what hangs well
    elsewhere may be spared there.
    """
    hung = {i for column in best.columns for i in column.works}
    wanting = [column for column in best.columns if _wanting(found, column)]
    wanting.sort(key=lambda column: (-found.spaces[column.space].rect.width, column.space))
    more = []
    for number, column in enumerate(wanting[:COMPOSED_SPACES]):
        space = found.spaces[column.space]
        say(0.52 + 0.08 * number / COMPOSED_SPACES, f"Composing a group {place_of(space.name)}")
        fitting = found.pool(column.space)
        spare = [i for i in fitting if i not in hung or i in column.works]
        for pool in (spare, [*spare, *(i for i in fitting if i not in spare)]):
            works = [found.house.works[i] for i in unbroken(pool[:COMPOSED_FROM], found.sets)]
            made = _judged(found, column.space, compose_for(found.house, space, works, found.rulebook, found.words))
            more += [(column.space, layout, worth) for layout, worth, _ in made]
            if len(pool) == len(fitting) or any(sound and worth >= WANTING for _, worth, sound in made):
                break
    if not more:
        return found, best
    found = found.with_groups(more)
    return found, _settled(found)


def _mended(found: Candidates, best: Solution) -> tuple[Candidates, Solution, tuple[Arrangement, ...]]:
    """The plan that follows its own remedies: what would mend an arrangement on the spot is a candidate too."""
    plan = _with_remedies(found, _plan(found, best))
    for _ in range(MENDING_ROUNDS):
        more = []
        for j, one in enumerate(plan):
            offers = [
                remedy.hangings for remedy in one.remedies if remedy.kind in ("stack", "group") and remedy.gain > 0
            ]
            more += [(j, pieces, worth) for pieces, worth, _ in _judged(found, j, offers)]
        wider = found.with_groups(more)
        if len(wider.problem.groups) == len(found.problem.groups):
            break
        found, best = wider, _settled(wider)
        plan = _with_remedies(found, _plan(found, best))
    return found, best, plan


def _judged(
    found: Candidates, j: int, groups: Iterable[tuple[Hanging, ...]]
) -> list[tuple[tuple[Hanging, ...], float, bool]]:
    """Groups that may hang in a space, what each is worth, and whether it keeps every rule."""
    told = []
    for pieces in groups:
        judged = judge(found.house, found.spaces[j], pieces, found.rulebook, found.words)
        if not judged.stopped:
            worth = worth_of(judged)
            told.append((pieces, worth, worth == judged.score))
    return told


def _wanting(found: Candidates, column: Column) -> bool:
    """Whether a larger space holds nothing, or nothing good."""
    space = found.spaces[column.space]
    if space.advice == "leave_bare" or space.kind == "stair" or space.rect.width < COMPOSED_WIDTH:
        return False
    own = column.value - float(found.bonus[list(column.works), column.space].sum())
    return own < WANTING


def _silent(_share: float, _text: str) -> None:
    """Nobody listens."""


def _plan(found: Candidates, solution: Solution) -> tuple[Arrangement, ...]:
    """Each space's arrangement, in the order of the spaces."""
    return tuple(
        _paired(found, _arrangement(found, column), solution.columns[column.twin])
        if column.twin is not None
        else _arrangement(found, column)
        for column in solution.columns
    )


def _paired(found: Candidates, one: Arrangement, other: Column) -> Arrangement:
    """An arrangement with the reason that its work makes a pair with another's."""
    title, place = found.house.works[other.works[0]].title, place_of(found.spaces[other.space].name)
    return dataclasses.replace(one, why=f"Makes a pair with “{title}” {place}; {one.why}")


def _arrangement(found: Candidates, column: Column) -> Arrangement:
    space = found.spaces[column.space]
    if not column.works:
        return Arrangement(space.id, space.wall, "bare", (), 0.0, why=_why_bare(found, column.space))
    pieces = found.pieces(column)
    judged = judge(found.house, space, pieces, found.rulebook, found.words)
    kept = _as_it_hangs(found, column)
    if kept:
        now = judge(found.house, space, kept, found.rulebook, found.words)
        if not any(one.level != "note" for one in now.findings) or now.score >= judged.score:
            pieces, judged = kept, now
    return arrangement_of(space, pieces, judged)


def _with_remedies(found: Candidates, plan: tuple[Arrangement, ...]) -> tuple[Arrangement, ...]:
    """The plan with what would mend each arrangement that breaks a rule."""
    occupied = {one.space: one.pieces for one in plan if one.pieces}
    hung = frozenset(piece.work for pieces in occupied.values() for piece in pieces)
    stock = Stock(found.house, found.rulebook, found.words, found.spaces, hung, occupied)
    return tuple(mended(stock, one) for one in plan)


def _as_it_hangs(found: Candidates, column: Column) -> tuple[Hanging, ...]:
    """The same pieces where they hang today, when all of them hang in this space."""
    if any(found.home.get(i) != column.space for i in column.works):
        return ()
    pieces = [found.places[i] for i in column.works]
    return tuple(
        dataclasses.replace(one, order=order)
        for order, one in enumerate(sorted(pieces, key=lambda one: one.order), start=1)
    )


def _why_bare(found: Candidates, j: int) -> str:
    """Why a space stays bare: its own reasons, or what the works lack."""
    space = found.spaces[j]
    if space.advice == "leave_bare":
        return ". ".join(one.text for one in space.reasons) or "Better left bare"
    best = found.problem.singles[:, j].max(initial=-np.inf)
    if not np.isfinite(best):
        return "No work of the inventory fits here"
    text = "What fits here best hangs better elsewhere, or not well enough to beat the bare wall"
    return f"Optional: {small(text)}" if space.advice == "optional" else text


def _alternatives(found: Candidates, best: Solution, count: int) -> tuple[tuple[Arrangement, ...], ...]:
    if not count:
        return ()
    return tuple(_plan(found, one) for one in alternatives(found.problem, best, count))


def _optimality(found: Candidates, best: Solution, seconds: float, price: float) -> Optimality:
    """Objective and bound on the scale of scores: locks and kept pieces count the same in both, so both lose them."""
    constant = price * len(found.home)
    for column in best.columns:
        constant += LOCK_WORTH * sum(found.house.works[i].locked is not None for i in column.works)
    objective, bound = best.objective - constant, best.bound - constant
    gap = 0.0 if best.gap == 0 else (best.bound - best.objective) / max(abs(bound), 1e-9)
    return Optimality(objective, objective if best.gap == 0 else bound, gap, seconds)


def _pairings(found: Candidates) -> tuple[Pairing, ...]:
    """Every pair in full, or the best of each space where there are very many; the best of a space first."""
    works, spaces = found.scores.total.shape
    few = works * spaces <= ALL_PAIRINGS
    told = []
    for j in range(spaces):
        ranked = np.where(found.scores.veto[:, j], found.scores.total[:, j] - 1000, found.scores.total[:, j])
        order = np.argsort(-ranked, kind="stable")
        told += [found.tell(int(i), j) for i in (order if few else order[:PAIRINGS_A_SPACE])]
    return tuple(told)
