"""The vocabulary in which expectations of a hanging are written: each word makes a check.

A check looks at what hangs (`Seen`) and answers None, or a sentence of what it found instead. Lengths in inches.
Words and limits are of common practice, no source, not of any standard.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

from placements.engine.house import House, Item, Rect, Wall
from placements.engine.results import Hanging

from .proposing import INCH

LEVEL = 0.5
#: Works may not cover these; an object may stand in or on the second kind.
COVERED = frozenset(
    {
        *("window", "door", "opening", "television", "sconce", "floor_lamp", "tall_plant", "table_lamp", "ornament"),
        *("radiator", "thermostat", "switch", "outlet", "vent", "sprinkler", "alarm", "sofa", "bed", "console"),
        *("sideboard", "dresser", "chest", "nightstand", "end_table", "desk", "bench", "piano", "mantel"),
    }
)
STANDS = ("object", "basket", "clock")
HOLDS_OBJECTS = ("bookcase", "cabinet", "niche")

Check = Callable[["Seen"], str | None]
Ids = str | Iterable[str]


class NotHung(LookupError):
    """A work that the check speaks of hangs nowhere."""


def names(ids: Ids) -> list[str]:
    return ids.split() if isinstance(ids, str) else list(ids)


class Seen:
    """What hangs in a house, in inches."""

    def __init__(self, house: House, hangings: Iterable[Hanging]) -> None:
        self.house = house
        self.all = tuple(hangings)
        self.hung = {one.work: one for one in self.all}

    def wall_of(self, work: str) -> Wall:
        self.rect(work)
        return self.house.wall_by_id[self.hung[work].wall]

    def rect(self, work: str) -> Rect:
        """A hung work's outline [in]. Raises NotHung."""
        if work not in self.house.work_by_id:
            raise KeyError(work)
        if work not in self.hung:
            raise NotHung(work)
        one, size = self.hung[work], self.house.work_by_id[work]
        return Rect(one.left / INCH, one.bottom / INCH, size.width / INCH, size.height / INCH)

    def box(self, ids: Ids) -> Rect:
        """The outline of several works on one wall."""
        rects = [self.rect(one) for one in names(ids)]
        left, bottom = min(one.left for one in rects), min(one.bottom for one in rects)
        return Rect(left, bottom, max(one.right for one in rects) - left, max(one.top for one in rects) - bottom)

    def on(self, wall: str) -> list[str]:
        return [one.work for one in self.all if one.wall == wall]

    def items(self, item: str, wall: str | None = None) -> list[tuple[Wall, Rect]]:
        """The items of that id, with their walls."""
        found = [
            (here, inches(one.rect))
            for _, here in self.house.walls()
            for one in here.items
            if one.id == item and wall in (None, here.id)
        ]
        if not found:
            raise KeyError(item)
        return found

    def item_by(self, work: str, item: str) -> Rect | None:
        """The item on the wall where the work hangs; None where that wall has none such."""
        here = self.wall_of(work)
        self.items(item)
        found = here.item(item)
        return inches(found.rect) if found else None


def inches(rect: Rect) -> Rect:
    return Rect(rect.left / INCH, rect.bottom / INCH, rect.width / INCH, rect.height / INCH)


def looked(check: Check, seen: Seen) -> str | None:
    """What a check says; a work that it needs and that hangs nowhere is an answer, too."""
    try:
        return check(seen)
    except NotHung as error:
        return f"{error} is not hung"


def gaps(rects: Sequence[Rect]) -> list[float]:
    """The air between neighbours from left to right."""
    ordered = sorted(rects, key=lambda one: one.left)
    return [two.left - one.right for one, two in pairwise(ordered)]


def apart(one: Rect, two: Rect) -> float:
    """The air between two outlines, along the axis where they lie further apart; below zero where they overlap."""
    across = max(one.left, two.left) - min(one.right, two.right)
    up = max(one.bottom, two.bottom) - min(one.top, two.top)
    return max(across, up)


# --- What hangs -------------------------------------------------------------------------------------------------------


def all_hung(ids: Ids) -> Check:
    return lambda seen: _list("not hung", [one for one in names(ids) if one not in seen.hung])


def not_hung(ids: Ids) -> Check:
    return lambda seen: _list("hung", [one for one in names(ids) if one in seen.hung])


def none_hung(wall: str) -> Check:
    return lambda seen: _list(f"on wall {wall}", seen.on(wall))


def hung_on(wall: str, ids: Ids) -> Check:
    """Those works hang on that wall, whatever else does."""
    return lambda seen: _list(f"not on wall {wall}", sorted(set(names(ids)) - set(seen.on(wall))))


def not_on(wall: str, ids: Ids) -> Check:
    return lambda seen: _list(f"on wall {wall}", sorted(set(names(ids)) & set(seen.on(wall))))


def nothing_else(wall: str, ids: Ids) -> Check:
    """No other work hangs on that wall."""
    return lambda seen: _list(f"also on wall {wall}", sorted(set(seen.on(wall)) - set(names(ids))))


def at_least(count: int, ids: Ids) -> Check:
    def check(seen: Seen) -> str | None:
        found = sum(one in seen.hung for one in names(ids))
        return None if found >= count else f"{found} hung of at least {count}"

    return check


def at_most(count: int, wall: str) -> Check:
    def check(seen: Seen) -> str | None:
        found = len(seen.on(wall))
        return None if found <= count else f"{found} on wall {wall}, not at most {count}"

    return check


def whole_set_or_none(ids: Ids) -> Check:
    """All of them on one wall, or none."""

    def check(seen: Seen) -> str | None:
        hung = [one for one in names(ids) if one in seen.hung]
        if not hung:
            return None
        if len(hung) < len(names(ids)):
            return f"{len(hung)} of {len(names(ids))} hung"
        return None if len({seen.hung[one].wall for one in hung}) == 1 else "over several walls"

    return check


def one_a_wall(ids: Ids) -> Check:
    def check(seen: Seen) -> str | None:
        walls = [seen.wall_of(one).id for one in names(ids)]
        return None if len(set(walls)) == len(walls) else f"walls {', '.join(walls)}"

    return check


def in_different_rooms(one: str, other: str) -> Check:
    def check(seen: Seen) -> str | None:
        return "in one room" if seen.wall_of(one).room == seen.wall_of(other).room else None

    return check


def in_one_room(ids: Ids) -> Check:
    return lambda seen: "in several rooms" if len({seen.wall_of(one).room for one in names(ids)}) > 1 else None


def strongest_on(wall: str, work: str) -> Check:
    """That work hangs there, and no larger one beside it."""

    def check(seen: Seen) -> str | None:
        here = seen.wall_of(work).id
        if here != wall:
            return f"{work} hangs on wall {here}, not {wall}"
        areas = {one: seen.rect(one).width * seen.rect(one).height for one in seen.on(wall)}
        largest = max(areas, key=lambda one: (areas[one], one == work))
        return None if largest == work else f"{largest} beside it is larger"

    return check


# --- Where it hangs ---------------------------------------------------------------------------------------------------


def left_of(one: str, other: str) -> Check:
    def check(seen: Seen) -> str | None:
        if seen.wall_of(one).id != seen.wall_of(other).id:
            return f"{one} and {other} hang on different walls"
        return None if seen.rect(one).centre_x < seen.rect(other).centre_x else f"{one} is not left of {other}"

    return check


def in_order(ids: Ids) -> Check:
    """From left to right in the order given."""
    return every(*(left_of(one, two) for one, two in pairwise(names(ids))))


def above(one: str, other: str) -> Check:
    def check(seen: Seen) -> str | None:
        return None if seen.rect(one).bottom >= seen.rect(other).top else f"{one} is not above {other}"

    return check


def on_axis(ids: Ids, axis: str | float, within: float = 0.75) -> Check:
    """The middle of the works' outline is on the axis of an item, of the wall ("wall"), or at a given x."""

    def check(seen: Seen) -> str | None:
        x = _axis(seen, names(ids)[0], axis)
        if x is None:
            return f"{names(ids)[0]} hangs on another wall than {axis}"
        off = seen.box(ids).centre_x - x
        return None if abs(off) <= within else f"{_short(ids)} {abs(off):.1f} in off the axis of {axis}"

    return check


def mirrored_about(axis: str | float, ids: Ids, within: float = 0.75) -> Check:
    """Each of the works has an equal one at the mirrored place, or stands on the axis itself."""

    def check(seen: Seen) -> str | None:
        rects = [seen.rect(one) for one in names(ids)]
        x = _axis(seen, names(ids)[0], axis)
        if x is None:
            return f"{names(ids)[0]} hangs on another wall than {axis}"
        for name, one in zip(names(ids), rects, strict=True):
            mirror = 2 * x - one.centre_x
            if not any(
                abs(two.centre_x - mirror) <= 2 * within
                and abs(two.centre_y - one.centre_y) <= LEVEL
                and abs(two.width - one.width) + abs(two.height - one.height) < 0.5
                for two in rects
            ):
                return f"{name} has no equal at its mirrored place about {axis}"
        return None

    return check


def level(ids: Ids) -> Check:
    """Centre lines within ½ in, on whichever walls."""
    return lambda seen: _same("centre lines", [seen.rect(one).centre_y for one in names(ids)], LEVEL)


def answer(one: Ids, other: Ids) -> Check:
    """Two groups, as on opposite walls, share their centre line."""
    return lambda seen: _same("centre lines", [seen.box(one).centre_y, seen.box(other).centre_y], 1.0)


def upright(ids: Ids) -> Check:
    """One above the other on one axis."""
    return lambda seen: _same("axes", [seen.rect(one).centre_x for one in names(ids)], LEVEL)


def even_intervals(ids: Ids, within: float = 1.0) -> Check:
    """The air between neighbours, or the step between their middles, is equal."""

    def check(seen: Seen) -> str | None:
        rects = sorted((seen.rect(one) for one in names(ids)), key=lambda one: one.left)
        air = gaps(rects)
        steps = [two.centre_x - one.centre_x for one, two in pairwise(rects)]
        if min(_range(air), _range(steps)) <= within:
            return None
        return f"air between from {min(air):.1f} to {max(air):.1f} in"

    return check


def not_clumped(ids: Ids, least: float) -> Check:
    """At least that much air between neighbours."""

    def check(seen: Seen) -> str | None:
        air = min(gaps([seen.rect(one) for one in names(ids)]))
        return None if air >= least - 0.01 else f"neighbours {air:.1f} in apart, not {least:g}"

    return check


def close_knit(ids: Ids, low: float = 1.5, high: float = 4.5) -> Check:
    """Every work's nearest neighbour among them is that far away, and they make one group."""

    def check(seen: Seen) -> str | None:
        rects = {one: seen.rect(one) for one in names(ids)}
        reached = {names(ids)[0]}
        for _ in rects:
            near = {b for a in reached for b in rects if b not in reached and apart(rects[a], rects[b]) <= high}
            reached |= near
        lost = [one for one in rects if one not in reached]
        if lost:
            return _list("apart from the rest of the group", lost)
        least = min(apart(rects[a], rects[b]) for a in rects for b in rects if a != b)
        return None if least >= low else f"neighbours {least:.1f} in apart"

    return check


def grid_of(ids: Ids, *across: int) -> Check:
    """A full grid with so many columns (any of those given)."""

    def check(seen: Seen) -> str | None:
        rects = [seen.rect(one) for one in names(ids)]
        columns = _steps([one.centre_x for one in rects])
        rows = _steps([one.centre_y for one in rects])
        full = columns * rows == len(rects)
        return None if full and columns in across else f"{columns} columns and {rows} rows for {len(rects)} works"

    return check


def on_a_line(ids: Ids, within: float = 1.5) -> Check:
    """Middles on a line parallel to the wall's rail."""

    def check(seen: Seen) -> str | None:
        rail = seen.wall_of(names(ids)[0]).rail
        if rail is None:
            return f"{names(ids)[0]} hangs on a wall without a rail"
        slope = (rail.to_y - rail.from_y) / (rail.to_x - rail.from_x)
        rects = [seen.rect(one) for one in names(ids)]
        return _same("heights over the rail", [one.centre_y - slope * one.centre_x for one in rects], 2 * within)

    return check


def one_each(ids: Ids, bays: Sequence[str | tuple[float, float]], wall: str, centred: float = 0.75) -> Check:
    """One of the works in every bay, on its axis: bays are panels, furniture, or stretches from x to x."""

    def check(seen: Seen) -> str | None:
        for bay in bays:
            low, high = _stretch(seen, wall, bay)
            inside = [
                one for one in names(ids) if one in seen.on(wall) and low - 0.1 <= seen.rect(one).centre_x <= high + 0.1
            ]
            if len(inside) != 1:
                return f"{len(inside)} in bay {bay}"
            off = abs(seen.rect(inside[0]).centre_x - (low + high) / 2)
            if off > centred:
                return f"{inside[0]} {off:.1f} in off the middle of bay {bay}"
        return None

    return check


def bay_or_none(ids: Ids, bays: Sequence[str | tuple[float, float]], wall: str) -> Check:
    """One in every bay, or none of the works on that wall."""
    return either(one_each(ids, bays, wall), not_on(wall, ids))


def gap_over(ids: Ids, item: str, low: float = 6, high: float = 10) -> Check:
    """The air between the item's top and the lowest of the works over it."""

    def check(seen: Seen) -> str | None:
        on = seen.item_by(names(ids)[0], item)
        if on is None:
            return f"{names(ids)[0]} hangs on another wall than {item}"
        air = seen.box(ids).bottom - on.top
        return None if low - 0.1 <= air <= high + 0.1 else f"{air:.1f} in over {item}, not {low:g}–{high:g}"

    return check


def share_of(ids: Ids, item: str, low: float = 0.5, high: float = 0.9) -> Check:
    """The works' width as a share of the item's."""

    def check(seen: Seen) -> str | None:
        on = seen.item_by(names(ids)[0], item)
        if on is None:
            return f"{names(ids)[0]} hangs on another wall than {item}"
        share = seen.box(ids).width / on.width
        return None if low <= share <= high else f"{share:.2f} of {item}'s width"

    return check


def over_item(ids: Ids, item: str) -> Check:
    """On the item's axis and 5½ to 10 in over it."""
    return every(on_axis(ids, item), gap_over(ids, item, 5.5, 10))


def centre_line(ids: Ids, low: float = 57, high: float = 66) -> Check:
    """The middle of the works' outline above the floor."""

    def check(seen: Seen) -> str | None:
        y = seen.box(ids).centre_y
        return None if low <= y <= high else f"centre line at {y:.1f} in, not {low:g}–{high:g}"

    return check


def clear_of(item: str, air: float, wall: str | None = None) -> Check:
    """Everything on the item's wall keeps that far from it."""

    def check(seen: Seen) -> str | None:
        for here, rect in seen.items(item, wall):
            for one in seen.on(here.id):
                if apart(seen.rect(one), rect) < air - 0.05:
                    return f"{one} {apart(seen.rect(one), rect):.1f} in from {item}, not {air:g}"
        return None

    return check


def nothing_over(item: str, wall: str | None = None) -> Check:
    """No work's middle is above the item."""

    def check(seen: Seen) -> str | None:
        for here, rect in seen.items(item, wall):
            for one in seen.on(here.id):
                if rect.left < seen.rect(one).centre_x < rect.right and seen.rect(one).bottom >= rect.top - 1:
                    return f"{one} hangs over {item}"
        return None

    return check


def stands_in(work: str, item: str) -> Check:
    """An object within a niche or a bookcase."""

    def check(seen: Seen) -> str | None:
        on, one = seen.item_by(work, item), seen.rect(work)
        if on and on.left <= one.left and one.right <= on.right and on.bottom - 0.1 <= one.bottom < on.top:
            return None
        return f"{work} is not in {item}"

    return check


def stands_on(work: str, item: str) -> Check:
    """An object with its foot on the item's top."""

    def check(seen: Seen) -> str | None:
        on, one = seen.item_by(work, item), seen.rect(work)
        if on and on.left <= one.left and one.right <= on.right and abs(one.bottom - on.top) <= 0.5:
            return None
        return f"{work} does not stand on {item}"

    return check


def near_middle(work: str, ids: Ids, share: float = 0.25) -> Check:
    """The work's middle within that share of the group's size from the group's middle, both ways."""

    def check(seen: Seen) -> str | None:
        box, one = seen.box(ids), seen.rect(work)
        off = max(abs(one.centre_x - box.centre_x) / box.width, abs(one.centre_y - box.centre_y) / box.height)
        return None if off <= share else f"{work} {off:.2f} of the group off its middle"

    return check


def outline(ids: Ids, low: float, high: float) -> Check:
    """Width to height of the group's outline."""

    def check(seen: Seen) -> str | None:
        box = seen.box(ids)
        ratio = box.width / box.height
        return None if low <= ratio <= high else f"outline {ratio:.2f} : 1, not {low:g}–{high:g}"

    return check


def air_between(one: Ids, other: Ids, least: float) -> Check:
    """Two groups keep that much air between them."""

    def check(seen: Seen) -> str | None:
        air = apart(seen.box(one), seen.box(other))
        return None if air >= least else f"{air:.1f} in between the two groups, not {least:g}"

    return check


def as_many_on(one: str, other: str) -> Check:
    """Two walls carry equally many works."""

    def check(seen: Seen) -> str | None:
        counts = len(seen.on(one)), len(seen.on(other))
        return None if counts[0] == counts[1] else f"{counts[0]} and {counts[1]} works"

    return check


def balanced(wall: str, axis: float, within: float = 0.15) -> Check:
    """The works' areas weigh alike at both sides of x, to that share."""

    def check(seen: Seen) -> str | None:
        rects = [seen.rect(one) for one in seen.on(wall)]
        moments = [one.width * one.height * (one.centre_x - axis) for one in rects]
        whole = sum(map(abs, moments)) or 1.0
        share = abs(sum(moments)) / whole
        return None if share <= within else f"{100 * share:.0f} % more weight at one side"

    return check


def those_hung(ids: Ids, word: Callable[[Ids], Check]) -> Check:
    """A check of those of the works that hang; nothing to say where none does."""

    def check(seen: Seen) -> str | None:
        hung = [one for one in names(ids) if one in seen.hung]
        return word(hung)(seen) if len(hung) > 1 else None

    return check


def every(*checks: Check) -> Check:
    """All of them."""
    return lambda seen: next((said for check in checks if (said := looked(check, seen))), None)


def either(*checks: Check) -> Check:
    """At least one of them."""

    def check(seen: Seen) -> str | None:
        said = [looked(one, seen) for one in checks]
        return None if None in said else "neither: " + "; ".join(filter(None, said))

    return check


# --- What every hanging keeps to --------------------------------------------------------------------------------------


def no_overlap(seen: Seen) -> str | None:
    for place, one in enumerate(seen.all):
        for two in seen.all[place + 1 :]:
            if one.wall == two.wall and apart(seen.rect(one.work), seen.rect(two.work)) < -0.02:
                return f"{one.work} and {two.work} overlap"
    return None


def inside_walls(seen: Seen) -> str | None:
    for one in seen.all:
        here, rect = seen.wall_of(one.work), seen.rect(one.work)
        high, long = here.height / INCH, here.length / INCH
        if rect.left < -0.02 or rect.bottom < -0.02 or rect.right > long + 0.02 or rect.top > high + 0.02:
            return f"{one.work} reaches beyond wall {here.id}"
        if rect.top > min(_ceiling(here, rect.left), _ceiling(here, rect.right)) + 0.02:
            return f"{one.work} reaches into the slope of {here.id}"
    return None


def covers_nothing(seen: Seen) -> str | None:
    """Nothing hangs over what must stay free; on the back of a niche a small piece may hang."""
    for one in seen.all:
        rect, form = seen.rect(one.work), seen.house.work_by_id[one.work].form
        for item in seen.wall_of(one.work).items:
            hole = inches(item.rect)
            within = item.kind == "niche" and rect.left >= hole.left and rect.right <= hole.right
            within = within and rect.bottom >= hole.bottom and rect.top <= hole.top
            if _minds(item, form) and not within and apart(rect, hole) < -0.02:
                return f"{one.work} covers {item.id}"
    return None


def once_each(seen: Seen) -> str | None:
    return None if len(seen.hung) == len(seen.all) else "a work hangs twice"


def sets_whole(seen: Seen) -> str | None:
    """No set is hung in part."""
    sets: dict[str, list[str]] = {}
    for work in seen.house.works:
        if work.set_name:
            sets.setdefault(work.set_name, []).append(work.id)
    for name, ids in sets.items():
        hung = sum(one in seen.hung for one in ids)
        if 0 < hung < len(ids):
            return f"{hung} of the set {name} of {len(ids)} hung"
    return None


#: What holds of every hanging, with why.
ALWAYS: tuple[tuple[Check, str], ...] = (
    (once_each, "A work hangs at one place."),
    (inside_walls, "A work hangs on its wall."),
    (no_overlap, "No work covers another."),
    (covers_nothing, "No work covers an opening, a lamp, a switch or the furniture."),
    (sets_whole, "A set hangs whole or not at all."),
)


def _minds(item: Item, form: str) -> bool:
    """Whether an item may not be covered by a work of that form."""
    if item.kind == "custom":
        return item.acts in ("bearer", "bound", "service")
    return item.kind in COVERED or (item.kind in HOLDS_OBJECTS and form not in STANDS)


def _ceiling(wall: Wall, x: float) -> float:
    """Height of the ceiling at x; at a step the lower. A ridge between two corners is higher, so corners will do."""
    points = [(at / INCH, high / INCH) for at, high in wall.ceiling]
    heights = [
        low + (high - low) * ((x - left) / (right - left) if right > left else 0)
        for (left, low), (right, high) in pairwise(points)
        if left - 0.01 <= x <= right + 0.01
    ]
    return min(heights, default=wall.height / INCH)


def _axis(seen: Seen, work: str, axis: str | float) -> float | None:
    if isinstance(axis, int | float):
        return axis
    if axis == "wall":
        return seen.wall_of(work).length / INCH / 2
    found = seen.item_by(work, axis)
    return found.centre_x if found else None


def _stretch(seen: Seen, wall: str, bay: str | tuple[float, float]) -> tuple[float, float]:
    if isinstance(bay, tuple):
        return bay
    rect = seen.items(bay, wall)[0][1]
    return rect.left, rect.right


def _list(what: str, ids: Sequence[str]) -> str | None:
    return f"{what}: {_short(ids)}" if ids else None


def _short(ids: Ids) -> str:
    found = names(ids)
    return ", ".join(found[:4]) + (f" and {len(found) - 4} more" if len(found) > 4 else "")


def _range(values: Sequence[float]) -> float:
    return max(values) - min(values)


def _same(what: str, values: Sequence[float], within: float) -> str | None:
    return None if _range(values) <= within + 0.01 else f"{what} {_range(values):.1f} in apart"


def _steps(values: Sequence[float]) -> int:
    """How many different values there are, half an inch apart or more."""
    ordered = sorted(values)
    return 1 + sum(two - one > LEVEL for one, two in pairwise(ordered))
