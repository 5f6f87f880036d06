"""Works that hang each by itself along one long wall, or two groups with air between, at even intervals on one line."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from types import MappingProxyType

import numpy as np

from ..rule import INCH, Array, Mask
from ..rulebook import Rulebook
from .board import FLOOR, Filling, points_of
from .casts import Cast, Gaps, Outline, in_row
from .kinds import SAME_SIZE_MM, Kind
from .merit import COUNTED, EACH, STRENGTH, WHOLE, strength_of, wholeness
from .places import Place
from .worth import Fit, Fits, Ground, fit

#: A wall is long from here on [mm]; works smaller than this hang in groups instead, but for equal ones along a way that
#: one passes. Common practice, no source.
LONG, ALONE_FROM, ALONE_IN_PASSING = 144 * INCH, 22 * INCH, 12 * INCH
#: The best rhythms of one place that a plan may choose from.
A_PLACE = 60
#: Forms of work that hang in a rhythm.
PICTURES = frozenset({"painting", "print", "drawing", "photograph", "textile", "relief"})
#: The most works in one rhythm, and of equal ones in passing.
MOST, MOST_IN_PASSING = 8, 24
#: The interval between works is at least this [mm], and this share of their mean width.
LEAST_INTERVAL, INTERVAL_SHARE = 12.5 * INCH, 0.3
#: The share of the wall that works in a rhythm take together, and the widest of them at the most: a wider one fills
#: the wall by itself.
COVERED, WIDEST = (0.35, 0.62), 0.31
#: The air between two groups at the least [mm], and the most pieces of each.
BETWEEN_GROUPS, MOST_GROUP = 24 * INCH, 16
#: Heights of works in a rhythm differ by no more than this share; the smallest has this share of the largest one;
#: unlike works lack this much.
ALIKE_HEIGHT, ALIKE_AREA, UNLIKE = 0.35, 0.4, 0.04
#: The most times over that a long wall counts where works keep time along it.
MOST_STRETCH = 2.0
#: What lowness takes, as a share of the height that a work by itself wants; less where equal ones march along a way.
SMALL, SMALL_IN_PASSING = 1.5, 0.5


@dataclass(frozen=True, slots=True)
class Rhythm:
    """Works along one place: their cast, each one's filling, and what that is worth [points]."""

    cast: Cast
    fillings: tuple[Filling, ...]
    value: float


def rhythms(
    kinds: tuple[Kind, ...],
    casts: Sequence[Cast],
    places: Sequence[Place],
    worth: Array,
    ground: Ground,
    rulebook: Rulebook,
    left: Array,
    allowed: Mask,
    passed: Mask,
    looks: Mapping[int, int],
) -> Iterator[Rhythm]:
    """Every rhythm of equal works, of works of about one height and of two whole groups, on every long open stretch.

    worth : (P,) what places count for; left, allowed : (K, P) as for the board; passed : (P,) where one walks along
    looks : kind -> which look it has, of those that several works share
    """
    free = [k for k, kind in enumerate(kinds) if not kind.work.set_name and kind.work.form in PICTURES]
    free = [k for k in free if kinds[k].work.width >= ALONE_FROM]
    like = {k: sum(kinds[one].count for one in looks if looks[one] == look) for k, look in looks.items()}
    runs = [_Run.of(kinds, slots, like=like) for slots in (*_runs(kinds, free), *_sets(kinds))]
    runs += [_Run.of(kinds, cast.slots, cast) for cast in casts if _marches(cast)]
    marching = np.array([run.marching for run in runs], dtype=bool)
    groups = [cast for cast in casts if cast.set_name and cast.equal and 2 < cast.count <= MOST_GROUP]
    gaps = Gaps.of(rulebook)
    pairs = [_Pair.of(one, other, gaps) for one, other in combinations(groups, 2)]
    fits = Fits(ground, rulebook)
    sizes = np.array([(kind.work.width, kind.work.height) for kind in kinds]).reshape(-1, 2)
    single = fit(sizes[:, :1], sizes[:, 1:], ground, rulebook)
    count, total, widest = (np.array([of(run.widths) for run in runs], dtype=np.float64) for of in (len, sum, max))
    for place in places:
        if place.role not in ("open", "side") or worth[place.index] <= 0 or place.box.width < LONG:
            continue
        counts = float(worth[place.index]) * stretch(place.box.width)
        takes = _takes(place.box.width, count, total, widest) & (passed[place.index] | ~marching)
        here = [
            (-value, runs[i].uses, runs[i])
            for i in np.flatnonzero(takes).tolist()
            if (value := _worth_along(runs[i], place, counts, single, left, allowed)) > FLOOR
        ]
        for value, _, run in sorted(here, key=lambda one: one[:2])[:A_PLACE]:
            yield _along(kinds, run, place, -value, single)
        for pair in pairs:
            two = _two_groups(pair, place, counts, fits, left, allowed)
            if two is not None:
                yield two


@dataclass(frozen=True)
class _Run:
    """Works to hang each by itself along a wall.

    fault : what unlike and small works lack, wherever they hang; set_name : of the set that they are all of
    marching : equal works that keep time only where one walks along them; whole : points for being all of a kind or set
    """

    slots: tuple[int, ...]
    index: list[int]
    uses: tuple[tuple[int, int], ...]
    widths: list[float]
    heights: list[float]
    strength: float
    fault: float
    first_set: str | None
    set_name: str | None
    marching: bool
    whole: float

    @classmethod
    def of(
        cls,
        kinds: Sequence[Kind],
        slots: tuple[int, ...],
        cast: Cast | None = None,
        like: Mapping[int, int] = MappingProxyType({}),
    ) -> _Run:
        works = [kinds[k].work for k in slots]
        widths, heights = [work.width for work in works], [work.height for work in works]
        equal = max(max(widths) - min(widths), max(heights) - min(heights)) <= SAME_SIZE_MM
        small = max(0.0, 0.25 - min(heights) / (96 * INCH))
        fault = (0.0 if equal else UNLIKE) + (SMALL if cast is None else SMALL_IN_PASSING) * small
        index = sorted(set(slots))
        uses = tuple((k, slots.count(k)) for k in index)
        first = works[0].set_name
        name = first if first and all(work.set_name == first for work in works) else None
        left = like.get(slots[0], 0) - len(slots) if equal else 0
        whole = wholeness(cast or Cast(uses, tuple(kinds), set_name=name, whole=left <= 0, left_over=left))
        return cls(slots, index, uses, widths, heights, strength_of(works), fault, first, name, cast is not None, whole)


@dataclass(frozen=True)
class _Pair:
    """Two whole groups with the forms that go together: each form of the one, and the other's nearest in height."""

    casts: tuple[Cast, Cast]
    kinds: list[int]
    forms: list[tuple[Outline, Outline]]

    @classmethod
    def of(cls, one: Cast, other: Cast, gaps: Gaps) -> _Pair:
        theirs = list(other.outlines(gaps))
        forms = [(a, min(theirs, key=lambda b: abs(b.height - a.height))) for a in one.outlines(gaps)]
        return cls((one, other), sorted({kind for cast in (one, other) for kind, _ in cast.uses}), forms)


def _two_groups(pair: _Pair, place: Place, worth: float, fits: Fits, left: Array, allowed: Mask) -> Rhythm | None:
    """Two whole groups on one long wall, each about the middle of its half; None where the wall is too short."""
    p, free = place.index, place.box.width
    if not allowed[pair.kinds, p].all():
        return None
    best: Rhythm | None = None
    for a, b in pair.forms:
        interval = (free - a.width - b.width) / 3
        covered = (a.width + b.width) / free
        if interval < BETWEEN_GROUPS or covered < COVERED[0]:
            continue
        at = [fits.of(one.width, one.height) for one in (a, b)]
        if not all(np.isfinite(found.quality[0, p]) for found in at):
            continue
        fault = 0.1 * abs(covered - 0.5) + 0.2 * min(1.0, abs(a.height - b.height) / a.height)
        value = points_of((1.0 - fault) * float(left[pair.kinds, p].min()), worth)
        value += min(worth, 1.0) * sum(WHOLE + EACH * min(cast.count, COUNTED) for cast in pair.casts)
        if best is None or value > best.value:
            start = place.box.left + interval
            fillings = (
                Filling(p, a, start, float(at[0].bottom[0, p])),
                Filling(p, b, start + a.width + interval, float(at[1].bottom[0, p])),
            )
            uses = tuple(sorted(use for cast in pair.casts for use in cast.uses))
            best = Rhythm(Cast(uses, pair.casts[0].kinds), fillings, value)
    return best


def _runs(kinds: Sequence[Kind], free: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """Works next to one another by height, two or more, each work once."""
    slots = [
        k for k in sorted(free, key=lambda k: (kinds[k].work.height, kinds[k].members)) for _ in range(kinds[k].count)
    ]
    seen = set()
    for count in range(2, min(MOST, len(slots)) + 1):
        for start in range(len(slots) - count + 1):
            run = tuple(slots[start : start + count])
            low, high = kinds[run[0]].work.height, kinds[run[-1]].work.height
            areas = [kinds[k].work.width * kinds[k].work.height for k in run]
            if run not in seen and high - low <= ALIKE_HEIGHT * high and min(areas) >= ALIKE_AREA * max(areas):
                seen.add(run)
                yield run


def _marches(cast: Cast) -> bool:
    """Whether equal works may hang in one line along a way that one passes, three or more of them."""
    work = cast.kinds[cast.slots[0]].work
    plain = not (cast.salon or cast.stack) and cast.centre is None and cast.equal
    wide = ALONE_IN_PASSING <= work.width < ALONE_FROM or (cast.count > MOST and work.width >= ALONE_FROM)
    return plain and wide and 3 <= cast.count <= MOST_IN_PASSING and work.form in PICTURES


def _sets(kinds: Sequence[Kind]) -> Iterator[tuple[int, ...]]:
    """Whole sets of large works."""
    found: dict[str, list[int]] = defaultdict(list)
    for k, kind in enumerate(kinds):
        if kind.work.set_name:
            found[kind.work.set_name] += [k] * kind.count
    for _, slots in sorted(found.items()):
        if 1 < len(slots) <= MOST and min(kinds[k].work.width for k in slots) >= ALONE_FROM:
            yield tuple(slots)


def _takes(free: float, count: Array, total: Array, widest: Array) -> Mask:
    """(R,) whether so many works, so wide together and the widest of them so wide, leave even intervals [mm]."""
    interval, covered = (free - total) / (count + 1), total / free
    sound: Mask = interval >= np.maximum(LEAST_INTERVAL, INTERVAL_SHARE * total / count)
    return sound & (widest <= WIDEST * free) & (covered >= COVERED[0]) & (covered <= COVERED[1])


def stretch(width: float) -> float:
    """How many times over a rhythm counts on a place so wide [mm]: it hangs all of what would be several places."""
    return min(MOST_STRETCH, math.sqrt(max(1.0, width / LONG)))


def _worth_along(run: _Run, place: Place, worth: float, single: Fit, left: Array, allowed: Mask) -> float:
    """What works at even intervals along a place that takes their widths are worth [points]; -inf where they may not
    hang there."""
    p, index = place.index, run.index
    if not allowed[index, p].all() or not np.isfinite(single.quality[index, p]).all():
        return -np.inf
    fault = run.fault + 0.1 * abs(sum(run.widths) / place.box.width - 0.5)
    value = points_of((1.0 - fault) * float(left[index, p].min()), worth)
    value += STRENGTH * worth * run.strength + min(run.whole, 0.0)
    return value + min(worth, 1.0) * (EACH * min(len(run.slots), COUNTED) + max(run.whole, 0.0))


def _along(kinds: tuple[Kind, ...], run: _Run, place: Place, value: float, single: Fit) -> Rhythm:
    """Works at even intervals along a place."""
    interval = (place.box.width - sum(run.widths)) / (len(run.slots) + 1)
    fillings = []
    x = place.axis - place.box.width / 2 + interval
    for i in _largest_in_middle(np.array(run.widths) * np.array(run.heights)):
        outline = in_row((run.slots[i],), [(run.widths[i], run.heights[i])], 0.0, "single")
        fillings.append(Filling(place.index, outline, x, float(single.bottom[run.slots[i], place.index])))
        x += run.widths[i] + interval
    return Rhythm(Cast(run.uses, kinds, set_name=run.first_set), tuple(fillings), value)


def _largest_in_middle(areas: Array) -> list[int]:
    """Indices from left to right: the largest in the middle, the others outward by size, left and right in turn."""
    by_size = np.argsort(-areas, kind="stable").tolist()
    return [*by_size[1::2][::-1], by_size[0], *by_size[2::2]]
