"""Rooms as wholes: what the works over a room's walls, and over a house's rooms, are to one another.

The packing weighs each composition by itself. Among plans that are worth nearly the same by that, this chooses the one
whose rooms hang together: makers kept in one room, palettes that go with each other, equal strength on walls that look
at each other, and visual weight balanced over them. It exchanges works between two places, or for works that wait, as
long as a room gains more than the places give up, and never more than a few points of those.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Protocol

from ..colour import palette_distance
from ..groups.unity import PALETTE_FAR, PALETTE_NEAR
from ..house import House, Room, Work
from .merit import FORM_STRENGTH, strength_of
from .places import Place

#: What each further room that a maker's works are spread over takes [points]. Common practice, no source.
MAKERS = 3.0
#: What palettes that are strangers to one another take from a room at the most [points]. Common practice, no source.
PALETTES = 6.0
#: What works of unlike strength on walls that look at each other take at the most [points]. Common practice, no source.
FACING = 6.0
#: What visual weight on one of two such walls alone takes [points], as the balance of Ngo, Teo and Byrne, "Modelling
#: interface aesthetics", Information Sciences 152 (2003) 25-46, has it: the difference over the greater of the two.
BALANCE = 4.0
#: What places may give up for a room, each exchange and together for each work that hangs [points].
GIVE_UP, A_WORK = 6.0, 1.0
#: An exchange must gain this much [points], and so many rounds of them are looked for.
GAIN, ROUNDS = 0.25, 6


#: Indices of choices.
Picks = tuple[int, ...]


class Chosen(Protocol):
    """A choice of the plan, as far as it matters here."""

    @property
    def uses(self) -> tuple[tuple[int, int], ...]: ...
    @property
    def places(self) -> tuple[int, ...]: ...
    @property
    def value(self) -> float: ...


@dataclass(frozen=True, slots=True)
class Part:
    """What hangs in one place of a room: one work for each piece."""

    place: Place
    works: tuple[Work, ...]

    @property
    def weight(self) -> float:
        """How much the eye weighs it: the area of its pieces, by their form [mm²]."""
        return sum(FORM_STRENGTH.get(work.form, 0.7) * work.width * work.height for work in self.works)


def together(house: House, parts: Iterable[Part]) -> dict[str, float]:
    """What the parts of a house take from one another [points, none above 0]: by "makers", "palettes", "facing" and
    "balance"."""
    by_room: dict[str, list[Part]] = defaultdict(list)
    for part in parts:
        by_room[part.place.wall.room].append(part)
    found = {"makers": _spread(by_room)}
    for name in ("palettes", "facing", "balance"):
        found[name] = 0.0
    for room_id, here in by_room.items():
        for name, points in _room(house.room_by_id[room_id], here).items():
            found[name] += points
    return found


def _spread(by_room: Mapping[str, Sequence[Part]]) -> float:
    rooms: dict[str, set[str]] = defaultdict(set)
    for room, parts in by_room.items():
        for part in parts:
            for work in part.works:
                rooms[work.maker.strip().lower()].add(room)
    return -MAKERS * sum(len(where) - 1 for maker, where in rooms.items() if maker)


def _room(room: Room, parts: Sequence[Part]) -> dict[str, float]:
    far = [
        min(1.0, max(0.0, (apart - PALETTE_NEAR) / (PALETTE_FAR - PALETTE_NEAR)))
        for one, two in combinations(parts, 2)
        if (apart := _apart(one, two)) is not None
    ]
    facing = balance = 0.0
    by_wall: dict[str, list[Part]] = defaultdict(list)
    for part in parts:
        by_wall[part.place.wall.id].append(part)
    for one, two in _opposite(room, by_wall):
        facing += abs(_strongest(one) - _strongest(two))
        weights = sum(part.weight for part in one), sum(part.weight for part in two)
        balance += abs(weights[0] - weights[1]) / max(weights)
    return {
        "palettes": -PALETTES * sum(far) / len(far) if far else 0.0,
        "facing": -FACING * facing,
        "balance": -BALANCE * balance,
    }


def _apart(one: Part, two: Part) -> float | None:
    """How far the palettes of two parts are apart, each by its largest work that has one."""
    palettes = [
        next((work.palette_lab for work in sorted(part.works, key=_area, reverse=True) if work.palette_lab), None)
        for part in (one, two)
    ]
    return palette_distance(palettes[0], palettes[1]) if palettes[0] and palettes[1] else None


def _area(work: Work) -> float:
    return work.width * work.height


def _strongest(parts: Sequence[Part]) -> float:
    return max(strength_of(part.works) for part in parts)


def _opposite(room: Room, by_wall: Mapping[str, list[Part]]) -> Iterator[tuple[list[Part], list[Part]]]:
    """The parts of every two walls that look at each other, where both carry some."""
    for wall in room.walls:
        other = room.opposite(wall)
        if other is not None and wall.id < other.id and wall.id in by_wall and other.id in by_wall:
            yield by_wall[wall.id], by_wall[other.id]


@dataclass
class Exchange:
    """A chosen plan to be bettered by exchanges.

    house, places : where it hangs; works : one work for each kind
    choices : all that may be chosen; free : those of them in one place that may be exchanged
    takes : of each choice, how much of each row of the packing it takes; limit : what each row has
    """

    house: House
    places: Sequence[Place]
    works: Sequence[Work]
    choices: Sequence[Chosen]
    free: Iterable[int]
    takes: Sequence[Mapping[int, float]]
    limit: Sequence[float]

    def __post_init__(self) -> None:
        self._at: dict[tuple[tuple[tuple[int, int], ...], int], int] = {}
        self._in: dict[int, list[int]] = defaultdict(list)
        self._known: dict[int, set[str]] = {}
        self._hung: dict[int, list[Part]] = {}
        for i in self.free:
            one = self.choices[i]
            key = one.uses, one.places[0]
            if key not in self._at or one.value > self.choices[self._at[key]].value:
                self._at[key] = i
        for (_, place), i in self._at.items():
            self._in[place].append(i)

    def settled(self, picks: Sequence[int]) -> tuple[int, ...]:
        """The picks after every exchange that a room gains by."""
        now = set(picks)
        left = A_WORK * sum(times for i in now for _, times in self.choices[i].uses)
        used: dict[int, float] = defaultdict(float)
        for i in picks:
            self._take(used, i, 1)
        for _ in range(ROUNDS):
            done: set[str] = set()
            for _, out, into, lost in self._gains(sorted(now), used):
                about = self._about(*out, *into)
                if about & done or lost > left or not self._fits(used, out, into):
                    continue  # what it would gain has changed, and is looked at in the next round
                for i in out:
                    self._take(used, i, -1)
                for i in into:
                    self._take(used, i, 1)
                now = (now - set(out)) | set(into)
                left -= lost
                done |= about
            if not done:
                break
        return tuple(sorted(now))

    def _gains(self, now: Sequence[int], used: Mapping[int, float]) -> list[tuple[float, Picks, Picks, float]]:
        """Every exchange that gains: how much in all, what goes, what comes, and what the places give up."""
        about: dict[str, list[int]] = defaultdict(list)
        for i in now:
            for one in self._about(i):
                about[one].append(i)
        found = []
        for out, into in self._moves(now):
            lost = sum(self.choices[i].value for i in out) - sum(self.choices[i].value for i in into)
            if lost <= GIVE_UP and self._fits(used, out, into):
                near = {i for one in self._about(*out, *into) for i in about[one]}
                gain = self._whole(sorted((near - set(out)) | set(into))) - self._whole(sorted(near)) - lost
                if gain > GAIN:
                    found.append((gain, out, into, lost))
        return sorted(found, key=lambda one: (-one[0], one[1:]))

    def _moves(self, now: Sequence[int]) -> Iterator[tuple[Picks, Picks]]:
        """What may go and what comes instead: two that change places, or one for works that wait."""
        single = [i for i in now if self._at.get((self.choices[i].uses, self.choices[i].places[0])) == i]
        for i, j in combinations(single, 2):
            one, two = self.choices[i], self.choices[j]
            there, here = self._at.get((one.uses, two.places[0])), self._at.get((two.uses, one.places[0]))
            if there is not None and here is not None and one.uses != two.uses:
                yield (i, j), (there, here)
        for i in single:
            floor = self.choices[i].value - GIVE_UP
            for other in self._in[self.choices[i].places[0]]:
                if other != i and self.choices[other].value >= floor:
                    yield (i,), (other,)

    def _take(self, used: dict[int, float], choice: int, sign: int) -> None:
        for row, amount in self.takes[choice].items():
            used[row] += sign * amount

    def _fits(self, used: Mapping[int, float], out: Sequence[int], into: Sequence[int]) -> bool:
        change: dict[int, float] = defaultdict(float)
        for sign, some in ((-1, out), (1, into)):
            for i in some:
                self._take(change, i, sign)
        return all(used.get(row, 0.0) + amount <= self.limit[row] + 1e-9 for row, amount in change.items())

    def _whole(self, picks: Iterable[int]) -> float:
        """What picks take from one another as rooms and as a house [points]."""
        return math.fsum(together(self.house, (part for i in picks for part in self._parts(i))).values())

    def _about(self, *choices: int) -> set[str]:
        """The rooms and the makers that choices have to do with."""
        if len(choices) == 1:
            if choices[0] not in self._known:
                parts = self._parts(choices[0])
                rooms = {f"room {part.place.wall.room}" for part in parts}
                makers = {f"maker {work.maker.strip().lower()}" for part in parts for work in part.works if work.maker}
                self._known[choices[0]] = rooms | makers
            return self._known[choices[0]]
        return {one for i in choices for one in self._about(i)}

    def _parts(self, choice: int) -> list[Part]:
        """What a choice hangs in each of its places, an equal share of its works."""
        if choice not in self._hung:
            places = list(dict.fromkeys(self.choices[choice].places))
            works = [self.works[kind] for kind, times in self.choices[choice].uses for _ in range(times)]
            share = max(1, len(works) // len(places))
            self._hung[choice] = [
                Part(self.places[place], tuple(works[at * share : (at + 1) * share])) for at, place in enumerate(places)
            ]
        return self._hung[choice]
