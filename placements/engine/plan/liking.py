"""What a studio's taste says of compositions in their places."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from ..groups.boxes import Floats
from ..house import House
from ..taste import Habit, Taste, place_kind
from .board import Filling
from .kinds import Kind
from .places import Place


@dataclass(frozen=True)
class Liking:
    """A studio's taste before a house's places. worth : (P,) what each counts for when it is filled by itself"""

    taste: Taste
    house: House
    kinds: tuple[Kind, ...]
    places: tuple[Place, ...]
    worth: Floats

    def points(self, uses: Sequence[tuple[int, int]], fillings: Sequence[Filling]) -> float:
        """What works gain by hanging so: the mean in each place, by what the place counts for."""
        if not self.taste.habits:
            return 0.0
        by_place: dict[int, list[float]] = defaultdict(list)
        for filling in fillings:
            slots = filling.outline.slots or [kind for kind, times in uses for _ in range(times)]
            forms = [self.kinds[kind].work.form for kind in slots]
            where = self._where(self.places[filling.place])
            share = self._share(self.places[filling.place], filling.outline.width)
            by_place[filling.place].append(self.taste.points(*where, forms, share))
        return sum(float(self.worth[place]) * sum(each) / len(each) for place, each in sorted(by_place.items()))

    def followed(self, place: Place, forms: Sequence[str], width: float) -> tuple[Habit, ...]:
        """The habits that works of these forms follow in a place, so wide together [mm]; none: it stays bare."""
        return self.taste.followed(*self._where(place), forms, self._share(place, width))

    def _where(self, place: Place) -> tuple[str, str]:
        kind = place_kind(place.wall, place.bearer.kind if place.bearer else None)
        return kind, self.house.room_by_id[place.wall.room].use

    @staticmethod
    def _share(place: Place, width: float) -> float | None:
        return width / place.bearer.width if place.bearer else None
