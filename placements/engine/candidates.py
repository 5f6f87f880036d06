"""What may hang where and what it is worth: a house turned into an assignment problem."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from .assignment import Column, Match, Problem
from .grouping import Together
from .groups.columns import GroupCasts, group_columns
from .groups.setting import Site
from .house import House, Work
from .results import Hanging, Pairing, Space, Words
from .rule import Array, Mask
from .rulebook import Rulebook
from .scene import build_scene
from .scoring import Scores, judge, pairing, score
from .twins import make_a_pair, twins
from .worth import BARE_WORTH, HUNG_WORTH, PAIR_WORTH, PIECE_PRICE, may_hang, price_of, worth_of

#: Pairs told in full before the first plan: the best few of each space; others when a plan wants them.
TOLD_A_SPACE = 8
#: What a locked piece in its place counts for beside its score; larger than any plan without it could gain.
LOCK_WORTH = 1e4
#: Groups looked at closely in one space, and in all of them together.
GROUPS_A_SPACE, GROUPS_IN_ALL = 12, 1500
#: Works of each of two spaces that are looked at for pairs, and pairs that a plan may choose from there.
PAIRED_FROM, PAIRS = 20, 6


@dataclass(frozen=True)
class Candidates:
    """The problem, and what its columns stand for.

    hangings : pieces of each group column, by space and works; singles hang at the scores' places
    home : work index -> space index where it hangs today
    places : work index -> its place today
    allowed : (N, M) bool, where locks and spaces that stay bare let each work hang
    sets : work indices of each set, which hangs together or not at all
    bonus : (N, M) what hanging at all, a lock, and staying where it hangs add to a work's worth in a space
    told : (work, space) indices of the pairs whose exceptions the problem's values already hold. Other pairs are worth
        their score there, which is never less than what they are worth in truth.
    """

    house: House
    rulebook: Rulebook
    words: Words
    spaces: tuple[Space, ...]
    scores: Scores
    problem: Problem
    hangings: dict[tuple[int, tuple[int, ...]], tuple[Hanging, ...]]
    allowed: Mask
    sets: tuple[frozenset[int], ...] = ()
    home: dict[int, int] = field(default_factory=dict)
    places: dict[int, Hanging] = field(default_factory=dict)
    bonus: Array = field(default_factory=lambda: np.zeros((0, 0)))
    told: dict[tuple[int, int], Pairing] = field(default_factory=dict)

    def tell(self, i: int, j: int) -> Pairing:
        """Work i in space j in full; from then on the problem holds what that is truly worth."""
        if (i, j) not in self.told:
            one = pairing(self.house, self.spaces[j], self.house.works[i], self.rulebook, self.words)
            self.told[i, j] = one
            self.problem.singles[i, j] -= price_of(one.findings) if one.fits else np.inf
        return self.told[i, j]

    def tell_best(self, count: int) -> None:
        """Tell the best so many works of each space."""
        for j in range(len(self.spaces)):
            values = self.problem.singles[:, j]
            for i in np.argsort(-values, kind="stable")[:count]:
                if np.isfinite(values[i]):
                    self.tell(int(i), j)

    def pieces(self, column: Column) -> tuple[Hanging, ...]:
        """The pieces of a column at their places."""
        if len(column.works) == 1:
            i, j = column.works[0], column.space
            left, bottom = float(self.scores.left[i, j]), float(self.scores.bottom[i, j])
            return (Hanging(self.house.works[i].id, self.spaces[j].wall, left, bottom),)
        return self.hangings.get((column.space, column.works), ())

    def pool(self, j: int) -> list[int]:
        """Works that a group in space j may draw on: none larger than the space, no set that is not wholly there."""
        area = self.spaces[j].rect
        fits = [work.width <= area.width and work.height <= area.height for work in self.house.works]
        return unbroken([i for i, one in enumerate(fits) if one and self.allowed[i, j]], self.sets)

    def with_pairs(self) -> Candidates:
        """Works that make a pair, in spaces that flank another alike, for more than each by itself."""
        matches = [one for spaces in twins(self.spaces) for one in self._pairs(*spaces)]
        return dataclasses.replace(self, problem=dataclasses.replace(self.problem, matches=matches))

    def _pairs(self, j: int, k: int) -> list[Match]:
        values, works = self.problem.singles, self.house.works
        left, right = (
            [
                int(i)
                for i in np.argsort(-values[:, space], kind="stable")[:PAIRED_FROM]
                if np.isfinite(values[i, space])
            ]
            for space in (j, k)
        )
        pairs = [(a, b) for a in left for b in right if make_a_pair(works[a], works[b])]
        pairs.sort(key=lambda pair: -(values[pair[0], j] + values[pair[1], k]))
        for a, b in pairs[:PAIRS]:
            self.tell(a, j)
            self.tell(b, k)
        worth = [(a, b, float(values[a, j] + values[b, k])) for a, b in pairs[:PAIRS]]
        return [Match((j, k), (a, b), value + PAIR_WORTH) for a, b, value in worth if np.isfinite(value)]

    def with_groups(self, more: Sequence[tuple[int, tuple[Hanging, ...], float]]) -> Candidates:
        """Further groups as (space index, pieces, worth)."""
        index = {work.id: i for i, work in enumerate(self.house.works)}
        columns, hangings = list(self.problem.groups), dict(self.hangings)
        for space, pieces, value in more:
            works = tuple(sorted(index[one.work] for one in pieces))
            if (space, works) not in hangings:
                hangings[space, works] = pieces
                columns.append(_column(self.house, self.bonus, space, works, value))
        problem = dataclasses.replace(self.problem, groups=columns)
        return dataclasses.replace(self, problem=problem, hangings=hangings)


def gather(
    house: House,
    spaces: Sequence[Space],
    rulebook: Rulebook,
    words: Words,
    *,
    bare: Iterable[str] = (),
    today: Sequence[Together] = (),
    moved_piece_price: float = 0.0,
) -> Candidates:
    """Score every pair and the groups that could hang, and set the plan up as a problem.

    bare : ids of spaces that stay bare; today : the arrangements that hang now, in these spaces
    moved_piece_price : what it costs, in score points, to take a piece out of the space where it hangs
    """
    spaces = tuple(spaces)
    scores = score(build_scene(house, spaces, rulebook.margins), rulebook)
    allowed = _allowed(house, spaces, set(bare))
    sets = _sets(house)
    singles = np.where(scores.veto | ~allowed, -np.inf, scores.total)
    singles[sorted(i for members in sets for i in members)] = -np.inf
    found = _groups(house, spaces, rulebook, words, allowed, sets)
    found |= _as_grouped(house, spaces, today, rulebook, words, allowed, sets)
    home, places = _homes(house, spaces, today)
    bonus = np.full((len(house.works), len(spaces)), HUNG_WORTH)
    for i, j in home.items():
        bonus[i, j] += moved_piece_price
    bonus[[i for i, work in enumerate(house.works) if work.locked]] += LOCK_WORTH
    columns = [_column(house, bonus, j, works, value) for (j, works), (_, value) in found.items()]
    index = {work.id: i for i, work in enumerate(house.works)}
    rooms = {room.id: number for number, room in enumerate(house.rooms)}
    problem = Problem(
        singles=singles + bonus,
        bare=np.array([BARE_WORTH[space.advice] for space in spaces]),
        groups=columns,
        apart=tuple((index[a], index[b]) for a, b in house.apart if a in index and b in index),
        room=np.array([rooms[space.room] for space in spaces], dtype=np.intp),
    )
    pieces = {key: hung for key, (hung, _) in found.items()}
    candidates = Candidates(house, rulebook, words, spaces, scores, problem, pieces, allowed, sets, home, places, bonus)
    candidates.tell_best(TOLD_A_SPACE)
    return candidates.with_pairs()


def allowed_spaces(work: Work, spaces: Sequence[Space]) -> Mask:
    """(M,) bool: where the work's lock lets it hang; everywhere without one."""
    return np.array([may_hang(work, space) for space in spaces], dtype=bool)


def _allowed(house: House, spaces: tuple[Space, ...], bare: set[str]) -> Mask:
    """(N, M) bool: locks kept, and spaces that stay bare closed to all but what is locked to them."""
    allowed = np.array([allowed_spaces(work, spaces) for work in house.works], dtype=bool)
    allowed = allowed.reshape(len(house.works), len(spaces))
    for j, space in enumerate(spaces):
        if space.id in bare:
            allowed[:, j] &= np.array([work.locked is not None for work in house.works], dtype=bool)
    return allowed


def _sets(house: House) -> tuple[frozenset[int], ...]:
    """Sets of two or more works."""
    found: dict[str, list[int]] = {}
    for i, work in enumerate(house.works):
        if work.set_name:
            found.setdefault(work.set_name, []).append(i)
    return tuple(frozenset(members) for members in found.values() if len(members) > 1)


def unbroken(works: Sequence[int], sets: Iterable[frozenset[int]]) -> list[int]:
    """The works without those of a set of which not all are there, in the order given."""
    torn = {i for members in sets if not members <= set(works) for i in members}
    return [i for i in works if i not in torn]


def _column(house: House, bonus: Array, j: int, works: tuple[int, ...], value: float) -> Column:
    """A group as the problem takes it: what it is worth to a plan, from what the arrangement is worth."""
    price = PIECE_PRICE * (len(works) - 1) * _chosen(house, works)
    return Column(j, works, value - price + float(bonus[list(works), j].sum()))


def _chosen(house: House, works: tuple[int, ...]) -> bool:
    """Whether a group was put together by choice; a set hangs together whatever it costs."""
    names = {house.works[i].set_name for i in works}
    return names == {None} or len(names) > 1


def _groups(
    house: House,
    spaces: tuple[Space, ...],
    rulebook: Rulebook,
    words: Words,
    allowed: Mask,
    together: tuple[frozenset[int], ...],
) -> dict[tuple[int, tuple[int, ...]], tuple[tuple[Hanging, ...], float]]:
    """Groups that may hang: (space, works) -> pieces and worth."""
    in_sets = [house.works[i] for members in together for i in sorted(members)]
    names = {work.id for work in in_sets}
    free = [work for work in house.works if work.id not in names]
    free = [dataclasses.replace(work, set_name=None) for work in free]
    index = {work.id: i for i, work in enumerate(house.works)}
    sets, casts = GroupCasts(in_sets), GroupCasts(free)
    most = max(2, min(GROUPS_A_SPACE, GROUPS_IN_ALL // max(1, len(spaces))))
    found = {}
    for j, space in enumerate(spaces):
        if space.advice == "leave_bare" and not any(work.locked for work in house.works):
            continue
        site = Site.on(house.wall_by_id[space.wall], space, rulebook)
        columns = group_columns(space, sets, site=site, most=len(together) * 3)
        columns += group_columns(space, casts, site=site, most=most)
        for column in columns:
            works = tuple(sorted(index[one] for one in column.works))
            if (j, works) in found or not allowed[list(works), j].all():
                continue
            judged = judge(house, space, column.hangings, rulebook, words)
            if not judged.stopped:
                found[j, works] = column.hangings, worth_of(judged)
    return found


def _as_grouped(
    house: House,
    spaces: tuple[Space, ...],
    today: Sequence[Together],
    rulebook: Rulebook,
    words: Words,
    allowed: Mask,
    sets: tuple[frozenset[int], ...],
) -> dict[tuple[int, tuple[int, ...]], tuple[tuple[Hanging, ...], float]]:
    """The groups that hang now, as they hang: a plan that is made anew may always keep them."""
    index = {work.id: i for i, work in enumerate(house.works)}
    number = {space.id: j for j, space in enumerate(spaces)}
    found = {}
    for space, pieces in today:
        works = tuple(sorted(index[one.work] for one in pieces if one.work in index))
        j = number[space.id]
        whole = len(unbroken(works, sets)) == len(pieces)
        if len(pieces) > 1 and whole and allowed[list(works), j].all():
            judged = judge(house, space, pieces, rulebook, words)
            if not judged.stopped:
                found[j, works] = pieces, worth_of(judged)
    return found


def _homes(
    house: House, spaces: tuple[Space, ...], today: Sequence[Together]
) -> tuple[dict[int, int], dict[int, Hanging]]:
    """Which space each piece hangs in today, and where."""
    index = {work.id: i for i, work in enumerate(house.works)}
    number = {space.id: j for j, space in enumerate(spaces)}
    home, places = {}, {}
    for space, pieces in today:
        for one in pieces:
            if one.work in index:
                home[index[one.work]] = number[space.id]
                places[index[one.work]] = one
    return home, places
