"""Equal works over places that answer one another: one each, or an equal stack or row each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..rule import Array, Mask
from .board import FLOOR, Filling, points_of
from .casts import Cast, CastForm, Outline, in_column, in_grid, in_row, kindred
from .merit import STRENGTH, lasting, strength_of, works_of
from .places import Answer
from .worth import Fits

#: What places that answer one another gain by equal works [points]. Common practice, no source.
ANSWERED = {"flank": 6.0, "bays": 10.0, "facing": 10.0, "round": 6.0}
#: How well each must sit at the least.
SOUND = FLOOR + 0.05
#: The pieces in one of the places: side by side or stacked, and as a grid two wide.
EACH, IN_A_GRID = (1, 2, 3), (4, 6)


@dataclass(frozen=True, slots=True)
class Across:
    """One cast dealt out over places, an equal share in each, and what that is worth [points]."""

    cast: Cast
    answer: Answer
    fillings: tuple[Filling, ...]
    value: float


@dataclass(frozen=True)
class Dealer:
    """What dealing needs. left, allowed : (K, P) as for the board; gap : between pieces in one of the places [mm]."""

    fits: Fits
    left: Array
    allowed: Mask
    gap: float

    def deal(self, casts: Sequence[Cast], answers: Sequence[Answer]) -> Iterator[Across]:
        """Every cast of equal works over every group of places that takes all of it."""
        by_count: dict[int, list[Cast]] = defaultdict(list)
        for cast in casts:
            if cast.count > 1 and cast.equal and not cast.salon and cast.centre is None:
                by_count[cast.count].append(cast)
        for answer in answers:
            for each in (1,) if answer.bond == "round" else (*EACH, *IN_A_GRID):
                for cast in by_count.get(len(answer.places) * each, ()):
                    if answer.bond == "round" and not kindred(works_of(cast)):
                        continue
                    forms: tuple[CastForm, ...] = ("single",) if each == 1 else ("column", "row")
                    forms = ("grid",) if each in IN_A_GRID else forms
                    dealt = [one for form in forms if (one := self._dealt(cast, answer, each, form))]
                    if dealt:
                        yield max(dealt, key=lambda one: one.value)

    def _dealt(self, cast: Cast, answer: Answer, each: int, form: CastForm) -> Across | None:
        """The cast in one form in each place; None where one of them does not take it well."""
        fillings, total = [], 0.0
        for number, place in enumerate(answer.places):
            slots = cast.slots[number * each : (number + 1) * each]
            kinds = sorted(set(slots))
            works = [cast.kinds[kind].work for kind in slots]
            if not self.allowed[kinds, place].all():
                return None
            outline = self._outline(cast, slots, form)
            at = self.fits.of(outline.width, outline.height)
            quality = float(at.quality[0, place] * self.left[kinds, place].min())
            if not quality >= SOUND:
                return None
            total += points_of(quality, answer.worth)
            total += STRENGTH * strength_of(works) * answer.worth
            bottom = self._level(answer, place, outline, float(at.bottom[0, place]))
            fillings.append(Filling(place, outline, float(at.left[0, place]), bottom))
        total += ANSWERED[answer.bond] * answer.worth + float(lasting(cast, answer.worth))
        return Across(cast, answer, tuple(fillings), total)

    def _level(self, answer: Answer, place: int, outline: Outline, bottom: float) -> float:
        """The lower edge on the centre line of what the places flank, as far as the place allows; else as it was."""
        if answer.level is None:
            return bottom
        lowest, highest = float(self.fits.ground.bottom[place]), float(self.fits.ground.top[place])
        return min(max(answer.level - outline.height / 2, lowest), highest - outline.height)

    def _outline(self, cast: Cast, slots: tuple[int, ...], form: CastForm) -> Outline:
        sides = [(cast.kinds[kind].work.width, cast.kinds[kind].work.height) for kind in slots]
        if form == "grid":
            return in_grid(slots, sides, 2, self.gap)
        return in_column(slots, sides, self.gap) if form == "column" else in_row(slots, sides, self.gap, form)
