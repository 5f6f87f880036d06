"""Which works make one composition, and the forms that they can take: before any wall is looked at."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations
from typing import Literal

import numpy as np

from ..colour import palette_distance
from ..groups.boxes import Floats
from ..groups.forms import column, grid, largest_in_middle, row
from ..groups.unity import PALETTE_FAR
from ..house import Work
from ..rulebook import Rulebook
from .kinds import SAME_SIZE_MM, Kind

CastForm = Literal["single", "row", "column", "grid", "block", "salon"]

#: Width and height [mm].
Sides = tuple[float, float]

#: The most pieces of one composition.
MOST = 30
#: Widths that read as one column differ by no more than this share. Common practice, no source.
LIKE_WIDTH = 0.12
#: How many of very many works a salon takes: the larger ones, or the smaller.
SALON_SIZES = (30, 24, 18, 12, 9)
#: The most pieces of unequal sizes in one row.
MOST_UNEQUAL = 7
#: A salon takes at least so many pieces of mixed sizes.
SALON_FROM = 5
#: Forms of work that no regular group is made of, but as its middle.
ODD = frozenset({"mirror", "clock", "object", "basket"})


@dataclass(frozen=True, slots=True)
class Gaps:
    """Gaps between neighbours [mm]: the narrowest, the usual and the widest, and the widest of up to `few` pieces."""

    low: float
    usual: float
    high: float
    wide: float
    few: int

    @classmethod
    def of(cls, rulebook: Rulebook) -> Gaps:
        """As the rule of spacing has them."""
        limits = rulebook.limits("spacing")
        wide = limits.high + 0.5 * (limits.high_few - limits.high)
        return cls(limits.low, (limits.low + limits.high) / 2, limits.high, wide, int(limits.few))

    def in_a_row(self, count: int) -> tuple[float, ...]:
        """The gaps that a row of so many may have, the usual one first."""
        return (self.usual, self.high, self.wide) if count <= self.few else (self.usual, self.low, self.high)


@dataclass(frozen=True)
class Outline:
    """One form of a cast, so wide and high [mm]; the place of each piece is worked out where it is asked for.

    slots : each piece's kind, as an index; lay : boxes (k, 4) about a middle of their own [mm] in the order of `slots`
    """

    form: CastForm
    slots: tuple[int, ...]
    width: float
    height: float
    lay: Callable[[], Floats] = field(repr=False, compare=False)

    @cached_property
    def boxes(self) -> Floats:
        """(k, 4) about (0, 0) [mm] in the order of `slots`."""
        boxes = self.lay()
        centred: Floats = boxes - np.tile((boxes[:, :2].min(axis=0) + boxes[:, 2:].max(axis=0)) / 2, 2)
        return centred


def in_row(slots: Sequence[int], sides: Sequence[Sides], gap: float, form: CastForm = "row") -> Outline:
    """Side by side on one centre line; sides : width and height of each [mm]."""
    width, height = _run([w for w, _ in sides], gap), max(h for _, h in sides)
    return Outline(form, tuple(slots), width, height, lambda: row(np.array(sides), gap))


def in_column(slots: Sequence[int], sides: Sequence[Sides], gap: float) -> Outline:
    """One above the other on one centre line, from the bottom up."""
    width, height = max(w for w, _ in sides), _run([h for _, h in sides], gap)
    return Outline("column", tuple(slots), width, height, lambda: column(np.array(sides), gap))


def in_grid(slots: Sequence[int], sides: Sequence[Sides], across: int, gap: float) -> Outline:
    """Equal pieces in rows of so many."""
    cell = max(w for w, _ in sides), max(h for _, h in sides)
    width, height = _run([cell[0]] * across, gap), _run([cell[1]] * (len(sides) // across), gap)
    return Outline("grid", tuple(slots), width, height, lambda: grid(np.array(sides), across, gap))


def whole(form: CastForm, slots: Sequence[int], width: float, height: float) -> Outline:
    """An outline whose pieces are laid out elsewhere: one box."""
    return Outline(form, tuple(slots), width, height, lambda: np.array([(0.0, 0.0, width, height)]))


def _run(lengths: Sequence[float], gap: float) -> float:
    """How long pieces in a line are together, with the gaps between them."""
    return sum(lengths) + gap * (len(lengths) - 1)


@dataclass(frozen=True)
class Cast:
    """Works that hang as one composition.

    uses : (kind index, how many), in order
    set_name : the set that it is, whole; None where it was put together by choice
    whole : whether no work like its own is left over
    centre : the kind that the others hang about; salon : of mixed sizes, laid out when its place is known
    loose : with nothing in common; stack : one above the other and in no other form
    left_over : how many works like its own a salon, or equal works together, leave out
    """

    uses: tuple[tuple[int, int], ...]
    kinds: tuple[Kind, ...] = field(repr=False)
    set_name: str | None = None
    whole: bool = True
    centre: int | None = None
    salon: bool = False
    loose: bool = False
    stack: bool = False
    left_over: int = 0

    @property
    def count(self) -> int:
        return sum(times for _, times in self.uses)

    @cached_property
    def slots(self) -> tuple[int, ...]:
        """The kind of each piece, the largest first."""
        return tuple(kind for kind, times in self.uses for _ in range(times))

    @cached_property
    def sizes(self) -> Floats:
        """(k, 2) [mm] in the order of `slots`."""
        return np.array(self.sides)

    @property
    def area(self) -> float:
        """What the pieces cover together [mm²]."""
        return float(self.sizes.prod(axis=1).sum())

    @property
    def equal(self) -> bool:
        """Whether all pieces are of one size."""
        return bool((np.ptp(self.sizes, axis=0) <= SAME_SIZE_MM).all())

    @cached_property
    def sides(self) -> tuple[Sides, ...]:
        """Width and height of each piece [mm] in the order of `slots`."""
        works = [self.kinds[kind].work for kind in self.slots]
        return tuple((one.width, one.height) for one in works)

    def outlines(self, gaps: Gaps) -> Iterator[Outline]:
        """The regular forms; a salon has none, its outline is chosen for the place."""
        if self.salon:
            return
        if self.count == 1:
            yield in_row(self.slots, self.sides, 0.0, "single")
        elif self.centre is not None:
            yield from _blocks(self, gaps)
        elif self.stack:
            yield _stacked(self, gaps)
        elif self.equal:
            yield from _equal(self, gaps)
        else:
            yield from _unequal(self, gaps)


def _equal(cast: Cast, gaps: Gaps) -> Iterator[Outline]:
    """Rows and columns, and every complete grid."""
    count = cast.count
    for gap in gaps.in_a_row(count):
        yield in_row(cast.slots, cast.sides, gap)
    if count <= 3:
        yield in_column(cast.slots, cast.sides, gaps.usual)
    for across in range(2, count // 2 + 1):
        if count % across == 0:
            yield in_grid(cast.slots, cast.sides, across, gaps.usual)


def _unequal(cast: Cast, gaps: Gaps) -> Iterator[Outline]:
    """A row on one centre line, the largest in the middle."""
    order = largest_in_middle(cast.sizes).tolist()
    slots, sides = [cast.slots[i] for i in order], [cast.sides[i] for i in order]
    if cast.count <= MOST_UNEQUAL:
        for gap in gaps.in_a_row(cast.count):
            yield in_row(slots, sides, gap)
    if cast.count == 2:
        yield in_column(slots, sides, gaps.usual)


def _stacked(cast: Cast, gaps: Gaps) -> Outline:
    """One above the other, the larger below."""
    order = sorted(range(cast.count), key=lambda i: -cast.sides[i][0] * cast.sides[i][1])
    return in_column([cast.slots[i] for i in order], [cast.sides[i] for i in order], gaps.usual)


def _blocks(cast: Cast, gaps: Gaps) -> Iterator[Outline]:
    """The large piece in the middle, the others mirrored about it: stacked, or in a row, on each side."""
    assert cast.centre is not None
    middle = cast.kinds[cast.centre].work
    others = sorted((kind for kind in cast.slots if kind != cast.centre), key=lambda kind: (-_area(cast, kind), kind))
    wings = others[0::2][::-1], others[1::2]
    stacks = [in_column(wing, _sides(cast, wing), _flush(cast, wing, middle.height, gaps)) for wing in wings]
    if all(one.height <= middle.height * 1.25 for one in stacks):
        yield _joined(cast.centre, middle, stacks, gaps.usual)
    if len(wings[0]) > 1:
        yield _joined(cast.centre, middle, [in_row(wing, _sides(cast, wing), gaps.usual) for wing in wings], gaps.usual)


def _joined(centre: int, middle: Work, wings: Sequence[Outline], gap: float) -> Outline:
    """Both wings set against the middle piece, on its centre line."""

    def lay() -> Floats:
        half = middle.width / 2
        placed = [np.array([(-half, -middle.height / 2, half, middle.height / 2)])]
        for wing, sign in zip(wings, (-1.0, 1.0), strict=True):
            x = sign * (half + gap + wing.width / 2)
            placed.append(wing.boxes + np.array([x, 0.0, x, 0.0]))
        return np.vstack(placed)

    width = _run([wings[0].width, middle.width, wings[1].width], gap)
    height = max(middle.height, *(wing.height for wing in wings))
    return Outline("block", (centre, *wings[0].slots, *wings[1].slots), width, height, lay)


def _flush(cast: Cast, wing: Sequence[int], height: float, gaps: Gaps) -> float:
    """The gap of a stack whose ends are flush with the middle piece's, where that is near the usual one."""
    if len(wing) < 2:
        return gaps.usual
    gap = (height - sum(h for _, h in _sides(cast, wing))) / (len(wing) - 1)
    return gap if gaps.low <= gap <= gaps.high else gaps.usual


def _sides(cast: Cast, slots: Sequence[int]) -> list[Sides]:
    return [(cast.kinds[kind].work.width, cast.kinds[kind].work.height) for kind in slots]


def _area(cast: Cast, kind: int) -> float:
    work = cast.kinds[kind].work
    return work.width * work.height


def casts_of(kinds: Sequence[Kind], *, stacks: bool = True) -> tuple[Cast, ...]:
    """Every cast that the works make: each alone, whole sets, equal works together, a large piece with what matches it,
    and salons of what belongs together. None depends on the order of the inventory.
    """
    kinds = tuple(kinds)
    found: dict[tuple[tuple[tuple[int, int], ...], bool], Cast] = {}

    def add(cast: Cast) -> None:
        if cast.count <= MOST:
            found.setdefault((cast.uses, cast.salon), cast)

    sets = _sets(kinds)
    free = [index for index, one in enumerate(kinds) if index not in {i for uses in sets.values() for i, _ in uses}]
    classes = [*_size_classes(kinds, free)]
    mates = {index for members in classes for index in members}
    for index in free:
        add(Cast(((index, 1),), kinds, whole=index not in mates))
    for name, uses in sorted(sets.items()):
        for cast in _of_set(kinds, name, uses):
            add(cast)
    for members in classes:
        for cast in _of_equals(kinds, members):
            add(cast)
    for cast in _stacks(kinds, free) if stacks else ():
        add(cast)
    for cast in _with_a_centre(kinds, free, sets, classes):
        add(cast)
    for cast in _salons(kinds, free, sets):
        add(cast)
    return tuple(found.values())


def looks(kinds: Sequence[Kind]) -> dict[int, int]:
    """Kind -> which look it has, of those that several works of no set share: size, form and frame."""
    free = [index for index, one in enumerate(kinds) if not one.work.set_name]
    return {index: look for look, members in enumerate(_size_classes(kinds, free)) for index in members}


def _sets(kinds: Sequence[Kind]) -> dict[str, list[tuple[int, int]]]:
    """Sets of two or more works, as uses; one work that is called a set hangs like any other."""
    found: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for index, one in enumerate(kinds):
        if one.work.set_name:
            found[one.work.set_name].append((index, one.count))
    return {name: uses for name, uses in found.items() if sum(times for _, times in uses) > 1}


def _of_set(kinds: tuple[Kind, ...], name: str, uses: Sequence[tuple[int, int]]) -> Iterator[Cast]:
    whole = Cast(tuple(uses), kinds, set_name=name)
    yield whole
    if whole.equal or whole.count < 3:
        return
    largest = max(uses, key=lambda one: (kinds[one[0]].work.width * kinds[one[0]].work.height, -one[0]))[0]
    if dict(uses)[largest] == 1 and whole.count % 2 == 1 and _in_pairs(kinds, [u for u in uses if u[0] != largest]):
        yield Cast(tuple(uses), kinds, set_name=name, centre=largest)
    if whole.count >= SALON_FROM and (np.ptp(whole.sizes, axis=0) > SAME_SIZE_MM).all():
        yield Cast(tuple(uses), kinds, set_name=name, salon=True)


def _in_pairs(kinds: Sequence[Kind], uses: Sequence[tuple[int, int]]) -> bool:
    """Whether every size among some works comes an even number of times."""
    counts: dict[tuple[int, int], int] = defaultdict(int)
    for kind, times in uses:
        counts[_size(kinds[kind])] += times
    return all(count % 2 == 0 for count in counts.values())


def _size(kind: Kind) -> tuple[int, int]:
    return round(kind.work.width / SAME_SIZE_MM), round(kind.work.height / SAME_SIZE_MM)


def _size_classes(kinds: Sequence[Kind], free: Iterable[int]) -> Iterator[list[int]]:
    """Free kinds of one size, form and frame, two works or more, in order."""
    found: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for index in free:
        work = kinds[index].work
        if work.form not in ODD:
            found[(*_size(kinds[index]), work.form, work.frame.strip().lower())].append(index)
    for members in found.values():
        if sum(kinds[index].count for index in members) > 1:
            yield sorted(members, key=lambda i: (sorted(kinds[i].work.themes), kinds[i].work.maker, kinds[i].members))


def _of_equals(kinds: tuple[Kind, ...], members: Sequence[int]) -> Iterator[Cast]:
    """All of them, and every smaller number of neighbours."""
    slots = [index for index in members for _ in range(kinds[index].count)]
    starts = [0, *(at for at in range(1, len(slots)) if slots[at] != slots[at - 1])]
    for count in range(min(len(slots), MOST), 1, -1):
        for start in starts:
            chosen = slots[start : start + count]
            if len(chosen) == count:
                left, works = len(slots) - count, [kinds[index].work for index in sorted(set(chosen))]
                yield Cast(_uses(chosen), kinds, whole=not left, left_over=left, loose=strangers(works))


def _uses(slots: Iterable[int]) -> tuple[tuple[int, int], ...]:
    counts: dict[int, int] = defaultdict(int)
    for index in slots:
        counts[index] += 1
    return tuple(sorted(counts.items()))


def _stacks(kinds: tuple[Kind, ...], free: Sequence[int]) -> Iterator[Cast]:
    """Two works of like width, form and frame, to stand one above the other where the furniture is low."""
    pictures = [index for index in free if kinds[index].work.form not in ODD and kinds[index].work.frame.strip()]
    for at, one in enumerate(pictures):
        for other in pictures[at + 1 :]:
            a, b = kinds[one].work, kinds[other].work
            like = abs(a.width - b.width) <= LIKE_WIDTH * max(a.width, b.width)
            if like and (a.form, a.frame.strip().lower()) == (b.form, b.frame.strip().lower()):
                yield Cast(tuple(sorted(((one, 1), (other, 1)))), kinds, stack=True)


def _with_a_centre(
    kinds: tuple[Kind, ...],
    free: Sequence[int],
    sets: dict[str, list[tuple[int, int]]],
    classes: Sequence[Sequence[int]],
) -> Iterator[Cast]:
    """One large piece with an even number of smaller ones that match it, mirrored about it."""
    around: list[tuple[tuple[tuple[int, int], ...], int]] = []
    like = {index: sum(kinds[one].count for one in members) for members in classes for index in members}
    for _, uses in sorted(sets.items()):
        count = sum(times for _, times in uses)
        if count % 2 == 0 and count <= 8 and _in_pairs(kinds, uses):
            around.append((tuple(sorted(uses)), 0))
    pairs: list[tuple[tuple[int, int], ...]] = []
    for members in classes:
        slots = [index for index in members for _ in range(kinds[index].count)]
        for count in (2, 4, 6):
            if len(slots) >= count:
                around.append((_uses(slots[:count]), len(slots) - count))
        if len(slots) == 2:
            pairs.append(_uses(slots))
    for one, other in combinations(pairs, 2):
        a, b = kinds[one[0][0]].work, kinds[other[0][0]].work
        if (a.form, a.frame.strip().lower()) == (b.form, b.frame.strip().lower()):
            around.append((tuple(sorted((*one, *other))), 0))
    for beside, left in around:
        works = [kinds[index].work for index, _ in beside]
        if not bonded(works):
            continue
        largest = max(work.width * work.height for work in works)
        for index in free:
            middle = kinds[index]
            taken = dict(beside).get(index, 0)
            size = middle.work.width * middle.work.height
            if taken or not 1.3 * largest <= size <= 9 * largest or middle.work.form in ("clock", "object", "basket"):
                continue
            if bonded([middle.work, *works]):
                over = left + like.get(index, 1) - 1
                chosen = tuple(sorted([*beside, (index, 1)]))
                yield Cast(chosen, kinds, centre=index, whole=not over, left_over=over)


def bonded(works: Sequence[Work]) -> bool:
    """Whether works belong together: one frame for all, or a theme or maker for all."""
    return len({work.frame.strip().lower() for work in works}) == 1 or kindred(works)


def kindred(works: Sequence[Work]) -> bool:
    """Whether works are one set, or have a theme or a maker in common."""
    sets, makers = {work.set_name for work in works}, {work.maker.strip().lower() for work in works}
    themes = set.intersection(*({theme.lower() for theme in work.themes} for work in works))
    return bool(themes) or any(len(one) == 1 and "" not in one and None not in one for one in (sets, makers))


def strangers(works: Sequence[Work]) -> bool:
    """Whether some of works that are no kin have palettes with nothing in common, as far as those are known."""
    if len(works) < 2 or kindred(works):
        return False
    palettes = [work.palette_lab for work in works if work.palette_lab]
    apart = (palette_distance(one, two) for one, two in combinations(palettes, 2))
    return any(far is not None and far > PALETTE_FAR for far in apart)


def _salons(kinds: tuple[Kind, ...], free: Sequence[int], sets: dict[str, list[tuple[int, int]]]) -> Iterator[Cast]:
    """Five or more works of mixed sizes that share a frame, a theme or a maker; loosely, whatever is left."""
    shared: dict[tuple[str, str], list[int]] = defaultdict(list)
    hangable = [index for index in free if kinds[index].work.form not in ("clock", "object")]
    for index in hangable:
        work = kinds[index].work
        if work.frame.strip():
            shared["frame", work.frame.strip().lower()].append(index)
        if work.maker.strip():
            shared["maker", work.maker.strip().lower()].append(index)
        for theme in work.themes:
            shared["theme", theme.lower()].append(index)
        if not work.frame.strip():
            shared["look", work.form].append(index)
    for key in sorted(shared):
        yield from _mixed(kinds, shared[key], loose=False)
    yield from _mixed(kinds, hangable, loose=True)


def _mixed(kinds: tuple[Kind, ...], members: Sequence[int], *, loose: bool) -> Iterator[Cast]:
    slots = [index for index in members for _ in range(kinds[index].count)]
    if len(slots) < SALON_FROM:
        return
    slots.sort(key=lambda index: (-kinds[index].work.width * kinds[index].work.height, kinds[index].members))
    counts = [len(slots)] if len(slots) <= MOST else []
    counts += [count for count in SALON_SIZES if count < len(slots)]
    for count in counts:
        for chosen in (slots[:count], slots[-count:]):
            cast = Cast(_uses(chosen), kinds, salon=True, loose=loose, left_over=len(slots) - count)
            if not cast.equal:
                yield cast
