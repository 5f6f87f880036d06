"""Every cast in every place that takes one composition, and what it is worth there."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..groups.boxes import Floats, Ints
from ..house import House, Rect
from ..rule import INCH, Array, Mask
from ..rulebook import Rulebook
from .casts import Cast, Gaps, Outline, whole
from .merit import merits
from .places import HALF_OF_A_PAIR, HALF_OF_TWO_BAYS, Answer, Place
from .worth import Fit, Ground, fit

#: The quality at which a composition is worth no more than the bare wall. Common practice, no source.
FLOOR = 0.5
#: A composition that gains less than this leaves its place bare [points of 100]. Common practice, no source.
LEAST = 20.0
#: What one piece by itself lacks on a stair, where a run belongs. Common practice, no source.
ALONE_ON_A_STAIR = 0.35
#: Furniture lower than this takes a stack of two, since one piece over it stays below the eye line [mm].
LOW_FURNITURE = 26 * INCH
#: Rooms that one walks through, and what a grid or a stack lacks there, where a row goes along with one.
PASSED, STACKED_WHERE_ONE_WALKS = ("hall", "public_corridor"), 0.04
#: What each piece beyond so many takes from a row where nobody walks along it, and at the most: equal works stand in
#: rows above one another there, nine of them as three by three.
LONG_ROW, EACH_BEYOND, BEYOND_MOST = 5, 0.05, 0.2
#: A salon wants one piece of at least this share of its width to gather about; what it lacks without.
LEAD, NO_LEAD = 0.2, 0.15
#: By how much a salon's planned outline flatters it against a form that is known.
DOUBT = 0.05
#: What a second tier along a stair costs.
TIER = 0.08
#: How much of its outline a salon covers, and the widths it may take as shares of what a width is measured against.
SALON_FILL, SALON_SHARES = 0.8, (0.62, 0.68, 0.74)
#: Outlines that are compared at a time.
AT_ONCE = 64
#: Outlines that a salon may take where the wall is wide: width to height.
SALON_ASPECTS = (1.3, 1.7, 2.1)


@dataclass(frozen=True, slots=True)
class Filling:
    """What one place gets: an outline, and the lower left corner of it [mm]."""

    place: int
    outline: Outline
    left: float
    bottom: float

    @property
    def rect(self) -> Rect:
        """What the outline takes up."""
        return Rect(self.left, self.bottom, self.outline.width, self.outline.height)


@dataclass(frozen=True)
class Board:
    """C casts in P places.

    value : (C, P) points, -inf where a cast may not hang; quality : (C, P) how well it sits, before care
    chosen : (C, P) index of the outline that sits best; at : all sizes at their places; size : (O,) each outline's row
    salons : (cast, place) -> the outline that a salon would take there, by its area
    """

    casts: tuple[Cast, ...]
    places: tuple[Place, ...]
    value: Array
    quality: Array
    outlines: tuple[Outline, ...]
    chosen: Ints
    at: Fit
    size: Ints
    salons: dict[tuple[int, int], Filling]

    @cached_property
    def casts_with(self) -> dict[int, list[int]]:
        """Each kind -> the casts that it is in."""
        found: dict[int, list[int]] = defaultdict(list)
        for c, cast in enumerate(self.casts):
            for kind, _ in cast.uses:
                found[kind].append(c)
        return found

    def filling(self, cast: int, place: int) -> Filling:
        """A cast where it would hang."""
        if (cast, place) in self.salons:
            return self.salons[cast, place]
        o = int(self.chosen[cast, place])
        size = int(self.size[o])
        return Filling(place, self.outlines[o], float(self.at.left[size, place]), float(self.at.bottom[size, place]))


def board_of(
    house: House,
    casts: tuple[Cast, ...],
    places: tuple[Place, ...],
    answers: Sequence[Answer],
    rulebook: Rulebook,
    ground: Ground,
    left: Array,
    allowed: Mask,
) -> Board:
    """Judge every cast in every place.

    left : (K, P) what rules of care leave of each kind; allowed : (K, P) where each kind may hang at all
    """
    gaps = Gaps.of(rulebook)
    numbered = [(c, number, one) for c, cast in enumerate(casts) for number, one in enumerate(cast.outlines(gaps))]
    forms = tuple(one for _, _, one in numbered)
    sizes, size = _sizes(forms)
    at = fit(sizes[:, :1], sizes[:, 1:], ground, rulebook)
    shape = (len(casts), len(places))
    quality, chosen = np.full(shape, -np.inf), np.zeros(shape, dtype=np.intp)
    low = np.nan_to_num(ground.bearer_top, nan=np.inf) < LOW_FURNITURE
    free = np.array([one.bearer is None for one in places], dtype=bool)
    walked = passed(house, places)
    passing, still = free & walked, free & ~walked & ~ground.stair
    cast_of, turn = (np.array([one[at] for one in numbered], dtype=np.intp) for at in (0, 1))
    stacked = np.array([one.form in ("grid", "column") for one in forms], dtype=bool)
    beyond = [max(len(one.slots) - LONG_ROW, 0) * (one.form == "row") for one in forms]
    long = np.minimum(np.array(beyond, dtype=np.float64) * EACH_BEYOND, BEYOND_MOST)
    for number in range(turn.max(initial=-1) + 1):  # each cast's first outline, then each one's second …
        here = np.flatnonzero(turn == number)
        for start in range(0, len(here), AT_ONCE):
            some = here[start : start + AT_ONCE]
            rows = cast_of[some]
            sits = at.quality[size[some]] - STACKED_WHERE_ONE_WALKS * (stacked[some][:, None] & passing)
            sits -= long[some][:, None] * still
            better = sits > quality[rows] + 1e-9
            quality[rows] = np.where(better, sits, quality[rows])
            chosen[rows] = np.where(better, some[:, None], chosen[rows])
    salons: dict[tuple[int, int], Filling] = {}
    for c, cast in enumerate(casts):
        if cast.count == 1:
            quality[c][ground.stair] -= ALONE_ON_A_STAIR
        elif cast.stack:
            quality[c][~low] = -np.inf
    _lay_out_salons(casts, ground, rulebook, quality, salons)
    around = np.array([one.role == "around" for one in places], dtype=bool)
    regular = np.array([not cast.salon for cast in casts], dtype=bool)
    quality[regular[:, None] & around[None, :]] = -np.inf  # only a group goes around something
    worth = alone(places, answers)
    value = points(quality * over_uses(casts, left, np.minimum), worth) + merits(house, casts, places, worth)
    value[~np.isfinite(quality) | ~over_uses(casts, allowed, np.logical_and)] = -np.inf
    value[:, worth <= 0] = -np.inf
    return Board(casts, places, value, quality, forms, chosen, at, size, salons)


def passed(house: House, places: Sequence[Place]) -> Mask:
    """(P,) whether one walks along what hangs in a place, in a hall or a corridor, and does not stand before it."""
    return np.array([house.room_by_id[one.wall.room].use in PASSED for one in places], dtype=bool)


def _sizes(outlines: Sequence[Outline]) -> tuple[Floats, Ints]:
    """(S, 2) every width and height among outlines [mm], and (O,) which of them each has."""
    sides = np.array([(one.width, one.height) for one in outlines], dtype=np.float64).reshape(-1, 2)
    sizes, which = np.unique(sides, axis=0, return_inverse=True)
    return sizes, which.reshape(-1).astype(np.intp)


def points(quality: Array, worth: Floats) -> Array:
    """What a quality is worth in places that count so much [points]; no more than a bare wall at the floor."""
    with np.errstate(invalid="ignore"):
        return worth * 100 * (np.maximum(quality, 0.0) - FLOOR) / (1 - FLOOR)


def points_of(quality: float, worth: float) -> float:
    """The same of one quality in one place."""
    return worth * 100 * (max(quality, 0.0) - FLOOR) / (1 - FLOOR)


def over_uses(casts: Sequence[Cast], by_kind: Array, fold: np.ufunc) -> Array:
    """(C, P) of (K, P): folded over the kinds that each cast uses."""
    rows = [fold.reduce(by_kind[[kind for kind, _ in cast.uses]], axis=0) for cast in casts]
    return np.array(rows, dtype=by_kind.dtype).reshape(len(casts), by_kind.shape[1])


def alone(places: Sequence[Place], answers: Sequence[Answer]) -> Floats:
    """(P,) what each place counts for when it is filled by itself: little where another asks for the like."""
    worth = np.array([one.worth for one in places], dtype=np.float64)
    for answer in answers:
        if answer.bond == "flank" or (answer.bond == "bays" and len(answer.places) == 2):
            at, share = list(answer.places), HALF_OF_A_PAIR if answer.bond == "flank" else HALF_OF_TWO_BAYS
            worth[at] = np.minimum(worth[at], [share * places[place].worth for place in at])
    return worth


def _lay_out_salons(
    casts: Sequence[Cast],
    ground: Ground,
    rulebook: Rulebook,
    quality: Array,
    salons: dict[tuple[int, int], Filling],
) -> None:
    """The outline that each salon would take in each place; the exact one is composed when it is chosen."""
    index = [c for c, cast in enumerate(casts) if cast.salon]
    if not index or not quality.shape[1]:
        return
    gap = Gaps.of(rulebook).usual
    width = np.where(ground.over, ground.basis, ground.right - ground.left)
    tall = ground.top - ground.bottom
    area = np.array([casts[c].area for c in index])[:, None] / SALON_FILL
    shapes = [np.broadcast_to(share * width, (len(index), len(width))) for share in SALON_SHARES]
    shapes += [np.broadcast_to(np.sqrt(aspect * area), (len(index), len(width))) for aspect in SALON_ASPECTS]
    lead = np.array([casts[c].sizes[:, 0].max() for c in index])[:, None]
    outlines = [(w, area / w, DOUBT + NO_LEAD * (lead < LEAD * w)) for w in shapes]
    run = np.array([casts[c].sizes[:, 0].sum() + gap * (casts[c].count - 1) for c in index])[:, None]
    high = np.array([casts[c].sizes[:, 1].max() for c in index])[:, None]
    outlines += [(run / tiers, high * tiers, np.full_like(run, TIER * (tiers - 1))) for tiers in (1, 2)]
    for number, (w, h, cost) in enumerate(outlines):
        along = number >= len(shapes)
        at = fit(w, h, ground, rulebook)
        w, h = np.broadcast_to(w, at.quality.shape), np.broadcast_to(h, at.quality.shape)
        sound = ground.stair if along else (h >= 0.4 * w) & (h <= 1.4 * np.maximum(w, tall / 2)) & ~ground.stair
        worthier = np.where(sound, at.quality - cost, -np.inf)
        better = worthier > quality[index] + 1e-9
        for k, p in np.argwhere(better).tolist():
            c = index[k]
            quality[c, p] = worthier[k, p]
            outline = whole("salon", casts[c].slots, float(w[k, p]), float(h[k, p]))
            salons[c, p] = Filling(p, outline, float(at.left[k, p]), float(at.bottom[k, p]))
