"""The plan of a house: gathers what may hang where, chooses the best of it, and hangs it, with no stop in it."""

from __future__ import annotations

import dataclasses
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.sparse import csc_array

from ..explain import Judged
from ..grouping import Together
from ..groups.boxes import Floats, Ints
from ..house import House
from ..results import Hanging, Space, Words
from ..rule import Array, Mask
from ..rulebook import Rulebook
from ..scoring import judge
from ..standing import only_stands
from ..taste import NO_TASTE, Taste
from ..worth import may_hang
from .across import Across, Dealer
from .board import LEAST, LOW_FURNITURE, Board, Filling, alone, board_of, passed, points
from .casts import Cast, Gaps, casts_of, looks, whole
from .hanging import hang
from .kinds import Kind, kinds_of
from .levels import LEAST as LEAST_MOVE
from .levels import band_of, levelled
from .liking import Liking
from .merit import merits
from .packing import Chosen, Packing, pack
from .places import Place, answers_of, enters, places_of, touched
from .rhythm import Rhythm, rhythms
from .rooms import Exchange
from .worth import Fits, Ground, care, quality

#: What a locked piece in its place counts for; larger than any plan without it could gain.
LOCK_WORTH = 1e4
#: Of more cells than this only the best of each place and of each cast may be chosen.
MANY, BEST_A_PLACE, BEST_A_CAST = 20_000, 60, 10
#: What leaving a composition exactly as it hangs is worth over hanging the same works anew in that place [points].
AS_IT_HANGS, GROUP_AS_IT_HANGS = 6.0, 20.0

#: What it costs to part works of one look over compositions of one room, but for pairs and rows that answer one another
#: [points], and how often a room may; how much of a group each work by itself counts for, so that some may.
PARTED, MOST_PARTED, BY_ITSELF = 40.0, 2, 0.2

Stop = Callable[[], None]


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that may be chosen: works with where they go, and what that is worth to a plan [points].

    hung : the pieces where they hang today, None where they are hung anew
    taste : what of the value is the studio's taste and not how well it hangs [points]
    """

    uses: tuple[tuple[int, int], ...]
    fillings: tuple[Filling, ...]
    value: float
    cast: Cast | None = None
    across: Across | None = None
    hung: tuple[Hanging, ...] | None = None
    taste: float = 0.0

    @property
    def places(self) -> tuple[int, ...]:
        return tuple(one.place for one in self.fillings)


@dataclass(frozen=True, slots=True)
class Hung:
    """One composition of a plan in one space, judged."""

    place: Place
    pieces: tuple[Hanging, ...]
    judged: Judged
    choice: Choice


@dataclass(frozen=True)
class Draft:
    """A chosen plan: its compositions, what they are worth, and a bound on what any choice considered is worth."""

    hung: tuple[Hung, ...]
    chosen: Chosen
    picks: tuple[int, ...]


@dataclass
class Planner:
    """What may hang where in a house, and the best of it.

    look_of : kind -> which look it has, of those that several works share
    banned : choices that would break a rule that stops; parting : looks that a plan would part in a room, at a price
    stopped : what was tried and would break a rule that stops: the works' ids and the space -> the finding's text
    """

    house: House
    spaces: tuple[Space, ...]
    rulebook: Rulebook
    words: Words
    kinds: tuple[Kind, ...]
    places: tuple[Place, ...]
    board: Board
    choices: list[Choice]
    allowed: Mask
    liking: Liking
    look_of: dict[int, int]
    banned: set[int] = field(default_factory=set)
    parting: set[tuple[int, str]] = field(default_factory=set)
    stopped: dict[tuple[frozenset[str], str], str] = field(default_factory=dict)

    @classmethod
    def gather(
        cls,
        house: House,
        spaces: Sequence[Space],
        rulebook: Rulebook,
        words: Words,
        *,
        bare: Iterable[str] = (),
        today: Sequence[Together] = (),
        moved_piece_price: float = 0.0,
        taste: Taste = NO_TASTE,
    ) -> Planner:
        """Judge every cast in every place.

        bare : ids of spaces that stay bare; today : the arrangements that hang now, in these spaces
        moved_piece_price : what it costs, in points, to take a piece out of the space where it hangs
        taste : what the studio usually hangs; it ranks what may be chosen, and neither adds to that nor takes from it
        """
        spaces = tuple(spaces)
        kinds = kinds_of(house, frozenset(one.work for _, pieces in today for one in pieces))
        places = places_of(house, spaces, rulebook)
        answers = answers_of(house, places)
        ground = Ground.of(places, rulebook)
        left, stopped = care(house, kinds, places, rulebook, ground)
        left_bare = set(bare)
        allowed = np.array(
            [
                [
                    may_hang(kind.work, space) and (space.id not in left_bare or bool(kind.work.locked))
                    for space in spaces
                ]
                for kind in kinds
            ],
            dtype=bool,
        ).reshape(len(kinds), len(spaces))
        allowed &= ~stopped & ~np.array([only_stands(kind.work) for kind in kinds], dtype=bool)[:, None]
        casts = casts_of(kinds, stacks=bool((ground.bearer_top < LOW_FURNITURE).any()))
        board = board_of(house, casts, places, answers, rulebook, ground, left, allowed)
        dealt = Dealer(Fits(ground, rulebook), left, allowed, Gaps.of(rulebook).usual).deal(casts, answers)
        worth = alone(places, answers)
        look_of = looks(kinds)
        runs = rhythms(kinds, casts, places, worth, ground, rulebook, left, allowed, passed(house, places), look_of)
        liking = Liking(taste, house, kinds, places, worth)
        made = cls(house, spaces, rulebook, words, kinds, places, board, [], allowed, liking, look_of)
        made.choices = made._choices([*dealt], [*runs], today, moved_piece_price, ground, worth)
        return made

    def _choices(
        self,
        dealt: Sequence[Across],
        runs: Sequence[Rhythm],
        today: Sequence[Together],
        moved_piece_price: float,
        ground: Ground,
        worth: Floats,
    ) -> list[Choice]:
        """All that may be chosen, in an order that does not depend on the lists'."""
        at_home = self._at_home(today)
        value = self.board.value + self._staying(at_home, moved_piece_price) + self._locks()
        fixed = {kind for kind, place in at_home.items() if self.kinds[kind].work.locked}
        found = []
        for c, p in np.argwhere(_kept(value)).tolist():
            cast = self.board.casts[c]
            if not fixed or not any(kind in fixed for kind, _ in cast.uses):
                found.append(Choice(cast.uses, (self.board.filling(c, p),), float(value[c, p]), cast))
        found += [Choice(one.cast.uses, one.fillings, one.value, one.cast, one) for one in dealt if one.value >= LEAST]
        found += [Choice(one.cast.uses, one.fillings, one.value, one.cast) for one in runs if one.value >= LEAST]
        kept = self._as_they_hang(today, moved_piece_price, ground, worth)
        as_now = {(one.uses, one.places) for one in kept if len(one.uses) > 1}
        # A group that hangs is kept or another takes its place; it is not composed anew from the same works there.
        if as_now:
            found = [one for one in found if not (one.cast and one.cast.salon and (one.uses, one.places) in as_now)]
        return [self._liked(one) for one in sorted(found + kept, key=self._name)]

    def _liked(self, one: Choice) -> Choice:
        gained = self.liking.points(one.uses, one.fillings)
        return dataclasses.replace(one, value=one.value + gained, taste=gained) if gained else one

    def _name(self, one: Choice) -> tuple[tuple[str, ...], tuple[str, ...], bool]:
        works = tuple(f"{self.kinds[kind].members[0]}×{times}" for kind, times in one.uses)
        return works, tuple(self.spaces[place].id for place in one.places), one.hung is not None

    def _at_home(self, today: Sequence[Together]) -> dict[int, int]:
        """Kind -> the place where it hangs today."""
        kind_of = {member: k for k, kind in enumerate(self.kinds) for member in kind.members}
        place_of = {space.id: p for p, space in enumerate(self.spaces)}
        return {
            kind_of[one.work]: place_of[space.id] for space, pieces in today for one in pieces if one.work in kind_of
        }

    def _staying(self, at_home: dict[int, int], price: float) -> Array:
        """(C, P) what casts gain by staying in the place where their works hang."""
        found = np.zeros(self.board.value.shape)
        for c, cast in enumerate(self.board.casts):
            for kind, _ in cast.uses:
                if kind in at_home:
                    found[c, at_home[kind]] += price
        return found

    def _locks(self) -> Array:
        """(C, P) what casts gain by works that are locked to that place; a locked work hangs even where it is poor."""
        found = np.zeros(self.board.value.shape)
        for c, cast in enumerate(self.board.casts):
            locked = sum(times for kind, times in cast.uses if self.kinds[kind].work.locked)
            if locked:
                found[c] = LOCK_WORTH * locked
        return found

    def _as_they_hang(self, today: Sequence[Together], price: float, ground: Ground, worth: Floats) -> list[Choice]:
        """What hangs today where it hangs, for a plan that does not reshuffle the house for little."""
        kind_of = {member: k for k, kind in enumerate(self.kinds) for member in kind.members}
        place_of = {space.id: p for p, space in enumerate(self.spaces)}
        sets: dict[str, int] = defaultdict(int)
        for work in self.house.works:
            sets[work.set_name or ""] += 1
        found = []
        for space, pieces in today:
            works = [self.house.work_by_id[one.work] for one in pieces]
            names = {work.set_name for work in works if work.set_name and sets[work.set_name] > 1}
            torn = any(sum(work.set_name == name for work in works) < sets[name] for name in names)
            locked = sum(work.locked is not None for work in works)
            if torn and not locked:
                continue
            p = place_of[space.id]
            uses = tuple(sorted((kind_of[one.work], 1) for one in pieces))
            cast = Cast(uses, self.kinds, set_name=next(iter(names), None))
            left, bottom, right, top = self._outline_of(pieces)
            at = quality(
                np.array([[right - left]]),
                np.array([[top - bottom]]),
                np.array([[left]]),
                np.array([[bottom]]),
                ground.only(p),
                self.rulebook,
            )
            value = float(points(np.maximum(at, 0.0), worth[p : p + 1])[0, 0])
            value += float(merits(self.house, [cast], [self.places[p]], worth[p : p + 1])[0, 0])
            value += GROUP_AS_IT_HANGS if len(pieces) > 1 else AS_IT_HANGS
            value += price * len(pieces) + LOCK_WORTH * locked
            if value >= LEAST:
                found.append(
                    Choice(uses, (self._filling_of(p, left, bottom, right, top),), value, cast, hung=tuple(pieces))
                )
        return found

    @staticmethod
    def _filling_of(place: int, left: float, bottom: float, right: float, top: float) -> Filling:
        return Filling(place, whole("single", (), right - left, top - bottom), left, bottom)

    def draft(self, against: Sequence[tuple[int, ...]] = (), step: Stop = lambda: None) -> Draft:
        """The best plan without a stop; of those that share little with some others.

        against : the choices of plans to differ from; step : called before each solving, and what it raises ends it
        """
        while True:
            step()
            problem, index = self._packing(against)
            chosen = pack(problem)
            picks = tuple(int(index[i]) for i in chosen.columns if i < len(index))
            torn = self._torn(picks) - self.parting
            hung, bad = self._hang(picks)
            if not bad and not torn:
                return self._with_rooms(Draft(hung, chosen, picks), problem, index)
            self.banned.update(bad)
            self.parting |= torn

    def _with_rooms(self, draft: Draft, problem: Packing, index: Ints) -> Draft:
        """The draft, or one that is worth nearly the same and whose rooms hang better together."""
        ends, rows = problem.rows.indptr.tolist(), problem.rows.indices.tolist()
        amounts = problem.rows.data.tolist()
        takes: list[dict[int, float]] = [{} for _ in self.choices]
        for at, i in enumerate(index.tolist()):
            takes[i] = dict(zip(rows[ends[at] : ends[at + 1]], amounts[ends[at] : ends[at + 1]], strict=True))
        free = [
            i
            for i in index.tolist()
            if len((one := self.choices[i]).fillings) == 1
            and one.hung is None
            and not any(self.kinds[kind].work.locked for kind, _ in one.uses)
        ]
        limit = (problem.limit + self._parted(problem, draft)).tolist()
        works = [kind.work for kind in self.kinds]
        picks = Exchange(self.house, self.places, works, self.choices, free, takes, limit).settled(draft.picks)
        if picks == draft.picks:
            return draft
        hung, bad = self._hang(picks)
        return draft if bad else dataclasses.replace(draft, hung=hung, picks=picks)

    def _looks(self, one: Choice) -> dict[tuple[int, str], float]:
        """Each look that a choice hangs, with the room: 1 where it is in a group, little for one work by itself."""
        amount = 1.0 if sum(times for _, times in one.uses) > 1 else BY_ITSELF
        rooms = {self.places[place].wall.room for place in one.places}
        return {(self.look_of[kind], room): amount for kind, _ in one.uses if kind in self.look_of for room in rooms}

    def _torn(self, picks: Sequence[int]) -> set[tuple[int, str]]:
        """The looks of which a room hangs works in a group and outside it: the plan is to pay for that."""
        seen: dict[tuple[int, str], float] = defaultdict(float)
        for i in picks:
            for key, amount in self._looks(self.choices[i]).items():
                seen[key] += amount
        return {key for key, amount in seen.items() if amount > 1}

    @staticmethod
    def _parted(problem: Packing, draft: Draft) -> Floats:
        """(m,) by how much the plan may exceed each row, since it pays for parting works of one look."""
        paid = [i for i in draft.chosen.columns if problem.value[i] < 0]
        extra: Floats = -np.asarray(problem.rows[:, paid].sum(axis=1)).reshape(-1)
        return extra

    def _packing(self, against: Sequence[tuple[int, ...]]) -> tuple[Packing, Ints]:
        """The choices that are left as a problem: rows for places, kinds, works kept apart, other plans."""
        index = np.array([i for i in range(len(self.choices)) if i not in self.banned], dtype=np.intp)
        limit = [1.0] * len(self.places) + [float(kind.count) for kind in self.kinds]
        row_of = {index: row for row, index in enumerate(np.argsort([one.space.id for one in self.places]).tolist())}
        on_wall = touched(self.places)
        kind_of = {member: k for k, kind in enumerate(self.kinds) for member in kind.members}
        rooms = [one.wall.room for one in self.places]
        apart: dict[tuple[int, str], list[int]] = defaultdict(list)
        for a, b in sorted(tuple(sorted(pair)) for pair in self.house.apart):
            for room in sorted(set(rooms)):
                if a in kind_of and b in kind_of:
                    for member in (a, b):
                        apart[kind_of[member], room].append(len(limit))
                    limit.append(1.0)
        parting = {key: len(limit) + at for at, key in enumerate(sorted(self.parting))}
        limit += [1.0] * len(parting)
        others = []
        for earlier in against:
            others.append((frozenset(earlier), len(limit)))
            limit.append(float(int(0.7 * len(earlier))))
        beside = [[other for other in on_wall[one.wall.id] if other.index != one.index] for one in self.places]
        at_row: list[int] = []
        amount: list[float] = []
        ends = [0]
        for i in index.tolist():
            one = self.choices[i]
            once = {row_of[filling.place] for filling in one.fillings}
            for filling in one.fillings:
                rect = filling.rect
                once.update(row_of[other.index] for other in beside[filling.place] if enters(rect, other))
            if apart:
                in_rooms = {rooms[place] for place in one.places}
                once.update(row for kind, _ in one.uses for room in in_rooms for row in apart.get((kind, room), ()))
            once.update(row for picks, row in others if i in picks)
            part = {parting[key]: share for key, share in self._looks(one).items() if key in parting} if parting else {}
            at_row += [*sorted(once), *(len(self.places) + kind for kind, _ in one.uses), *part]
            amount += [*[1.0] * len(once), *(float(times) for _, times in one.uses), *part.values()]
            ends.append(len(at_row))
        for row in parting.values():
            for _ in range(MOST_PARTED):
                at_row.append(row)
                amount.append(-1.0)
                ends.append(len(at_row))
        rows = csc_array((amount, at_row, ends), shape=(len(limit), len(ends) - 1))
        value = np.array([*(self.choices[i].value for i in index), *[-PARTED] * (len(ends) - 1 - len(index))])
        return Packing(value, rows, np.array(limit)), index

    def _hang(self, picks: Sequence[int]) -> tuple[tuple[Hung, ...], list[int]]:
        """Every composition at its exact place, and the choices that would break a rule that stops."""
        spare = {k: list(kind.members) for k, kind in enumerate(self.kinds)}
        hung: list[Hung] = []
        bad: list[int] = []
        for i in picks:
            one = self.choices[i]
            parts = self._pieces(one, spare)
            for filling, pieces in parts:
                place = self.places[filling.place]
                judged = judge(self.house, place.space, pieces, self.rulebook, self.words) if pieces else None
                if judged is None or judged.stopped:
                    self._note(place, one, pieces, judged)
                    bad.append(i)
                    break
                hung.append(Hung(place, pieces, judged, one))
        hung = hung if bad else self._levelled(hung)
        return tuple(sorted(hung, key=lambda one: (one.place.index, one.pieces[0].left))), bad

    def _levelled(self, hung: Sequence[Hung]) -> list[Hung]:
        """The same with neighbours on one wall on one centre line; what hangs today, or answers another, stays."""
        found, bands = list(hung), defaultdict(list)
        for at, one in enumerate(hung):
            if one.choice.hung is None and one.choice.across is None:
                left, bottom, right, top = self._outline_of(one.pieces)
                band = band_of(one.place, bottom, top, right - left, self.rulebook)
                if band is not None:
                    bands[one.place.wall.id].append((at, band))
        for _, some in sorted(bands.items()):
            for (at, band), centre in zip(some, levelled([band for _, band in some]), strict=True):
                if abs(up := centre - band.centre) > LEAST_MOVE:
                    pieces = tuple(dataclasses.replace(one, bottom=one.bottom + up) for one in found[at].pieces)
                    judged = judge(self.house, found[at].place.space, pieces, self.rulebook, self.words)
                    if not judged.stopped:
                        found[at] = dataclasses.replace(found[at], pieces=pieces, judged=judged)
        return found

    def _outline_of(self, pieces: Sequence[Hanging]) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of pieces [mm]."""
        works = [self.house.work_by_id[one.work] for one in pieces]
        right = max(one.left + work.width for one, work in zip(pieces, works, strict=True))
        top = max(one.bottom + work.height for one, work in zip(pieces, works, strict=True))
        return min(one.left for one in pieces), min(one.bottom for one in pieces), right, top

    def _pieces(self, one: Choice, spare: dict[int, list[str]]) -> list[tuple[Filling, tuple[Hanging, ...]]]:
        if one.hung is not None:
            return [(one.fillings[0], one.hung)]
        found: list[tuple[Filling, tuple[Hanging, ...]]] = []
        for filling in one.fillings:
            works = [self.house.work_by_id[spare[kind].pop(0)] for kind in filling.outline.slots]
            pieces = hang(filling, self.places[filling.place], works, self.rulebook)
            before = found[-1] if found else None
            if before and before[0].place == filling.place and len(before[0].outline.slots) == len(pieces) == 1:
                # Singles along one wall are one arrangement.
                found[-1] = before[0], (*before[1], *(dataclasses.replace(h, order=len(before[1]) + 1) for h in pieces))
            else:
                found.append((filling, pieces))
        return found

    def _note(self, place: Place, one: Choice, pieces: Sequence[Hanging], judged: Judged | None) -> None:
        stop = next((found.text for found in judged.findings if found.level == "stop"), "") if judged else ""
        works = frozenset(piece.work for piece in pieces)
        self.stopped[works, place.space.id] = stop


def _kept(value: Array) -> Mask:
    """(C, P) the cells that a plan may choose from: all that are worth hanging, of very many the best of each row and
    column."""
    sound: Mask = value >= LEAST
    if np.count_nonzero(sound) <= MANY:
        return sound
    best = np.zeros(value.shape, dtype=bool)
    np.put_along_axis(best, np.argsort(-value, axis=0, kind="stable")[:BEST_A_PLACE], True, axis=0)
    np.put_along_axis(best, np.argsort(-value, axis=1, kind="stable")[:, :BEST_A_CAST], True, axis=1)
    return sound & best
