"""Equal works over places that answer one another: one each, or an equal stack or row each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..rule import Array, Mask
from .board import DOUBT, FLOOR, SALON_FILL, Filling, points_of
from .casts import Cast, CastForm, Outline, in_column, in_grid, in_row, kindred, whole
from .merit import STRENGTH, lasting, strength_of, works_of
from .places import Answer
from .worth import Fits

#: What places that answer one another gain by equal works [points]. Common practice, no source.
ANSWERED = {"flank": 6.0, "bays": 10.0, "facing": 10.0, "round": 6.0}
#: How well each must sit at the least.
SOUND = FLOOR + 0.05
#: Pieces of mixed sizes in each half of a group that goes either side of something, the shares of the place's width
#: that a half may take, and its width to its height. Common practice, no source.
HALF, HALF_SHARES, HALF_ASPECT = (3, 12), (0.55, 0.65, 0.75), (0.5, 2.0)
#: The pieces in one of the places: side by side or stacked, and as a grid two wide.
EACH, IN_A_GRID = (1, 2, 3), (4, 6)


def _evenly_parted(cast: Cast) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """The kinds of a cast's pieces in two halves of nearly equal area: from the largest on, each to the lighter one."""
    halves: tuple[list[int], list[int]] = ([], [])
    areas = [0.0, 0.0]
    for kind in cast.slots:
        lighter = 0 if (areas[0], len(halves[0])) <= (areas[1], len(halves[1])) else 1
        halves[lighter].append(kind)
        areas[lighter] += cast.kinds[kind].work.width * cast.kinds[kind].work.height
    return tuple(halves[0]), tuple(halves[1])


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
            if answer.bond == "flank" and answer.level is not None:
                yield from self._halves(casts, answer)

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

    def _halves(self, casts: Sequence[Cast], answer: Answer) -> Iterator[Across]:
        """Mixed works either side of what stands in the middle: two groups of one width and nearly one weight."""
        for cast in casts:
            if not cast.salon or cast.loose or cast.set_name or not 2 * HALF[0] <= cast.count <= 2 * HALF[1]:
                continue
            halves = _evenly_parted(cast)
            found = [one for share in HALF_SHARES if (one := self._both(cast, answer, halves, share))]
            if found:
                yield max(found, key=lambda one: one.value)

    def _both(
        self, cast: Cast, answer: Answer, halves: tuple[tuple[int, ...], tuple[int, ...]], share: float
    ) -> Across | None:
        """The halves in outlines that take such a share of their places' width; None where one does not sit well."""
        ground, fillings, total = self.fits.ground, [], 0.0
        for slots, place in zip(halves, answer.places, strict=True):
            kinds = sorted(set(slots))
            width = share * float(ground.right[place] - ground.left[place])
            works = [cast.kinds[kind].work for kind in slots]
            height = sum(work.width * work.height for work in works) / SALON_FILL / width
            if not self.allowed[kinds, place].all() or not HALF_ASPECT[0] <= width / height <= HALF_ASPECT[1]:
                return None
            at = self.fits.of(width, height)
            quality = float(at.quality[0, place] * self.left[kinds, place].min()) - DOUBT
            if not quality >= SOUND:
                return None
            outline = whole("salon", slots, width, height)
            bottom = self._level(answer, place, outline, float(at.bottom[0, place]))
            fillings.append(Filling(place, outline, float(at.left[0, place]), bottom))
            total += points_of(quality, answer.worth) + STRENGTH * strength_of(works) * answer.worth
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
