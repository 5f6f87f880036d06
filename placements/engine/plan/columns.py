"""What may be chosen: every composition in every place worth hanging it in, and those that fill several places."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ..groups.boxes import Floats, Ints
from ..groups.forms import column, row
from ..house import House, Work
from ..rule import INCH, Array, Mask
from ..rulebook import Rulebook
from .casts import GAP, SALON_FILL, Cast, Outline, _outline
from .kinds import Kind
from .places import HALF_OF_A_PAIR, Answer, Place
from .worth import Fit, Ground, fit

#: The quality at which a composition is worth no more than the bare wall. Common practice, no source.
FLOOR = 0.5
#: A composition that gains less than this is not hung [points of 100]. Common practice, no source.
LEAST = 20.0
#: What the strength of a work adds in the places that count most [points]. Common practice, no source.
STRENGTH = 14.0
#: What a whole set, or the whole of equal works, counts for beside its place, and each work that hangs [points].
WHOLE, EACH = 7.0, 0.8
#: What each equal work costs that is left over while others of its size hang [points].
LEFT_OVER = 4.0
#: What places that answer one another gain by equal works [points].
ANSWERED = {"flank": 6.0, "bays": 10.0, "facing": 10.0}
#: What a salon of works with nothing in common loses [points].
LOOSE = 30.0
#: How strongly each form of work speaks at one size. Common practice, no source.
FORM_STRENGTH = {
    "painting": 1.0,
    "relief": 0.9,
    "textile": 0.85,
    "photograph": 0.8,
    "print": 0.75,
    "drawing": 0.7,
    "mirror": 0.6,
    "object": 0.4,
    "basket": 0.35,
    "clock": 0.15,
}
#: A work of this area speaks with full strength [mm²]: 40 x 60 in.
FULL_AREA = 2400 * INCH * INCH
#: What a form of work costs where pictures belong, over furniture and elsewhere [points]. Common practice, no source.
FORM_COST = {
    "mirror": (6.0, 4.0),
    "clock": (60.0, 12.0),
    "object": (60.0, 40.0),
    "basket": (20.0, 10.0),
}
#: Where a mirror is at home: over this furniture, in rooms of this use.
MIRROR_OVER = frozenset({"console", "dresser", "mantel", "chest"})
MIRROR_ROOMS = frozenset({"hall", "bath", "bedroom"})
#: What one piece by itself lacks on a stair, where a run belongs. Common practice, no source.
ALONE_ON_A_STAIR = 0.35
#: Widths that a salon may take, as shares of what a width is measured against.
SALON_SHARES = (0.62, 0.68, 0.74)


@dataclass(frozen=True, slots=True)
class Filling:
    """What one place gets: an outline with its middle across and its lower edge [mm]."""

    place: int
    outline: Outline
    left: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Column:
    """One choice: a cast in one place, or equal works in places that answer one another."""

    cast: Cast
    fillings: tuple[Filling, ...]
    value: float
    answer: Answer | None = None


@dataclass(frozen=True)
class Board:
    """All casts in all places.

    value : (C, P) points, -inf where a cast may not hang
    """

    house: House
    kinds: tuple[Kind, ...]
    casts: tuple[Cast, ...]
    places: tuple[Place, ...]
    answers: tuple[Answer, ...]
    value: Array
    outlines: tuple[Outline, ...]
    chosen: Ints
    at: Fit
    salons: dict[tuple[int, int], tuple[Outline, float, float]]
    across: tuple[Column, ...]

    def column(self, cast: int, place: int) -> Column:
        """The column of a cast in one place."""
        if (cast, place) in self.salons:
            outline, left, bottom = self.salons[cast, place]
        else:
            o = int(self.chosen[cast, place])
            outline, left, bottom = self.outlines[o], float(self.at.left[o, place]), float(self.at.bottom[o, place])
        filling = Filling(place, outline, left, bottom)
        return Column(self.casts[cast], (filling,), float(self.value[cast, place]))


def board(
    house: House,
    kinds: tuple[Kind, ...],
    casts: tuple[Cast, ...],
    places: tuple[Place, ...],
    answers: tuple[Answer, ...],
    rulebook: Rulebook,
    ground: Ground,
    left: Array,
    allowed: Mask,
) -> Board:
    """Every cast in every place.

    left : (K, P) what rules of care leave of each kind; allowed : (K, P) where each kind may hang at all
    """
    outlines = [(c, one) for c, cast in enumerate(casts) for one in cast.outlines()]
    owner = np.array([c for c, _ in outlines], dtype=np.intp)
    forms = tuple(one for _, one in outlines)
    at = fit(np.array([o.width for o in forms]), np.array([o.height for o in forms]), ground, rulebook)
    care = _over_uses(casts, left, np.minimum)
    may = _over_uses(casts, allowed, np.logical_and).astype(bool)
    shape = (len(casts), len(places))
    quality, chosen = np.full(shape, -np.inf), np.zeros(shape, dtype=np.intp)
    for o, c in enumerate(owner):
        better = at.quality[o] > quality[c] + 1e-9
        quality[c][better] = at.quality[o][better]
        chosen[c][better] = o
    salons: dict[tuple[int, int], tuple[Outline, float, float]] = {}
    for c, cast in enumerate(casts):
        if cast.count == 1:
            quality[c][ground.stair] -= ALONE_ON_A_STAIR
        if cast.salon:
            _salon(c, cast, places, ground, rulebook, quality, salons)
    alone = _alone(places, answers)
    value = np.where(may, _points(quality * care, alone), -np.inf)
    value += _extras(house, casts, places)
    value[~np.isfinite(quality)] = -np.inf
    value[:, alone <= 0] = -np.inf
    found = Board(house, kinds, casts, places, answers, value, forms, chosen, at, salons, ())
    across = tuple(_across(found, rulebook, ground, left, allowed))
    return Board(house, kinds, casts, places, answers, value, forms, chosen, at, salons, across)


def _points(quality: Array, worth: Floats) -> Array:
    return worth * 100 * (np.maximum(quality, 0.0) - FLOOR) / (1 - FLOOR)


def _over_uses(casts: Sequence[Cast], by_kind: Array, fold: np.ufunc) -> Array:
    return np.array([fold.reduce(by_kind[[kind for kind, _ in cast.uses]], axis=0) for cast in casts]).reshape(
        len(casts), by_kind.shape[1]
    )


def _alone(places: Sequence[Place], answers: Sequence[Answer]) -> Floats:
    """What each place counts for when it is filled by itself: little where another asks for the like."""
    worth = np.array([one.worth for one in places], dtype=np.float64)
    for answer in answers:
        if answer.bond == "flank":
            for place in answer.places:
                worth[place] = min(worth[place], HALF_OF_A_PAIR * max(places[place].worth, 0.0))
    return worth


def _salon(
    c: int,
    cast: Cast,
    places: Sequence[Place],
    ground: Ground,
    rulebook: Rulebook,
    quality: Array,
    salons: dict[tuple[int, int], tuple[Outline, float, float]],
) -> None:
    """The outline that a salon would take in each place, by its area; the exact one is composed when it is chosen."""
    width = np.where(ground.over, ground.basis, ground.right - ground.left)
    for share in SALON_SHARES:
        for p in range(len(places)):
            if ground.stair[p]:
                continue
            w = float(share * width[p])
            h = cast.area / SALON_FILL / w
            if not 0.4 * w <= h <= 1.15 * max(w, (ground.top[p] - ground.bottom[p]) * 0.5):
                continue
            one = fit(np.array([w]), np.array([h]), _only(ground, p), rulebook)
            if one.quality[0, 0] > quality[c, p]:
                quality[c, p] = one.quality[0, 0]
                box = np.array([(-w / 2, -h / 2, w / 2, h / 2)])
                salons[c, p] = (
                    Outline("salon", cast.slots, box, w, h),
                    float(one.left[0, 0]),
                    float(one.bottom[0, 0]),
                )


def _only(ground: Ground, p: int) -> Ground:
    return Ground(**{name: getattr(ground, name)[p : p + 1] for name in Ground.__dataclass_fields__})


def strength_of(works: Iterable[Work]) -> float:
    """How strongly works speak together, 0-1: by their area, their form, and most by the strongest of them."""
    works = tuple(works)
    each = [FORM_STRENGTH.get(one.form, 0.7) * min(1.0, one.width * one.height / FULL_AREA) ** 0.5 for one in works]
    area = sum(one.width * one.height for one in works)
    form = sum(FORM_STRENGTH.get(one.form, 0.7) * one.width * one.height for one in works) / area
    together = form * min(1.0, area / FULL_AREA) ** 0.5
    return max(each) if len(works) == 1 else 0.5 * max(each) + 0.45 * together


def _extras(house: House, casts: Sequence[Cast], places: Sequence[Place]) -> Array:
    """(C, P) what a cast is worth beside its fit: its strength where that counts, its form, wholeness."""
    worth = np.array([one.worth for one in places], dtype=np.float64)
    focal = np.array([one.wall.focal for one in places], dtype=bool)
    found = np.zeros((len(casts), len(places)))
    for c, cast in enumerate(casts):
        works = [cast.kinds[kind].work for kind in cast.slots]
        found[c] = STRENGTH * strength_of(works) * worth * np.where(focal, 1.5, 1.0) + EACH * cast.count
        found[c] += wholeness(cast)
        for kind, _ in cast.uses:
            cost = FORM_COST.get(cast.kinds[kind].work.form)
            if cost is None or cast.centre == kind:
                continue
            found[c] -= np.array([_form_cost(cast.kinds[kind].work.form, house, place) for place in places])
    return found


def wholeness(cast: Cast) -> float:
    """Points for a set or for all works of a size, less what is left over."""
    if cast.salon:
        return (WHOLE if cast.set_name else 0.0) - (LOOSE if cast.loose else 0.0)
    if cast.set_name or (cast.whole and cast.count >= 3):
        return WHOLE
    return 0.0 if cast.whole else -LEFT_OVER


def _form_cost(form: str, house: House, place: Place) -> float:
    over, elsewhere = FORM_COST[form]
    if form == "mirror":
        room = house.room_by_id[place.wall.room]
        if place.bearer is not None and place.bearer.kind in MIRROR_OVER:
            return -4.0 if room.use in MIRROR_ROOMS or place.bearer.kind == "dresser" else 2.0
    return over if place.bearer is not None else elsewhere


def _across(board: Board, rulebook: Rulebook, ground: Ground, left: Array, allowed: Mask) -> Iterator[Column]:
    """Equal works over places that answer one another: one each, or an equal stack each."""
    by_count: dict[int, list[tuple[int, Cast]]] = defaultdict(list)
    for c, cast in enumerate(board.casts):
        if cast.count > 1 and cast.equal and not cast.salon and cast.centre is None:
            by_count[cast.count].append((c, cast))
    for answer in board.answers:
        many = len(answer.places)
        for each in (1, 2, 3):
            for _, cast in by_count.get(many * each, ()):
                found = _dealt(board, cast, answer, each, rulebook, ground, left, allowed)
                if found is not None:
                    yield found


def _dealt(
    board: Board,
    cast: Cast,
    answer: Answer,
    each: int,
    rulebook: Rulebook,
    ground: Ground,
    left: Array,
    allowed: Mask,
) -> Column | None:
    """A cast dealt out over places, the same form in each; None where one of them does not take it well."""
    best: Column | None = None
    for form in ("column", "row") if each > 1 else ("single",):
        fillings: list[Filling] = []
        total, sound = 0.0, True
        for number, place in enumerate(answer.places):
            slots = cast.slots[number * each : (number + 1) * each]
            kinds = sorted(set(slots))
            if not allowed[kinds, place].all():
                sound = False
                break
            sizes = np.array([(cast.kinds[k].work.width, cast.kinds[k].work.height) for k in slots])
            boxes = column(sizes, GAP) if form == "column" else row(sizes, GAP)
            outline = _outline(form if each > 1 else "single", slots, boxes)  # type: ignore[arg-type]
            at = fit(np.array([outline.width]), np.array([outline.height]), _only(ground, place), rulebook)
            quality = float(at.quality[0, 0] * left[kinds, place].min())
            if not math.isfinite(quality) or quality < FLOOR + 0.05:
                sound = False
                break
            total += float(_points(np.array(quality), np.array(answer.worth)))
            works = [cast.kinds[k].work for k in slots]
            total += STRENGTH * strength_of(works) * answer.worth + EACH * each
            fillings.append(Filling(place, outline, float(at.left[0, 0]), float(at.bottom[0, 0])))
        if sound:
            value = total + ANSWERED[answer.bond] * answer.worth + wholeness(cast)
            if best is None or value > best.value:
                best = Column(cast, tuple(fillings), value, answer)
    return best
