"""Seats and small tables that stand together as one piece of furniture: two chairs with a table between."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence

from ..house import Item, Wall
from ..names import small
from ..obstacles import bearers
from ..rule import INCH

#: What may belong to a suite, and what makes one as its outer pair: a chair has no kind of its own in a survey.
#: Common practice, no source.
MEMBERS, PAIRS = frozenset({"custom", "end_table", "bench"}), frozenset({"custom", "bench"})
#: A seat of a pair is so wide, and no higher than this [mm]: what is longer carries a piece of its own.
SEAT, SEAT_TOP = (20 * INCH, 45 * INCH), 45 * INCH
#: Neighbours stand no farther apart than this [mm].
NEAR = 30 * INCH
#: Two are alike, and mirrored, within this [mm].
ALIKE = 3 * INCH


def suites(wall: Wall) -> Iterator[tuple[Item, ...]]:
    """Each row of seats and small tables that is mirrored about its middle, from left to right."""
    run: list[Item] = []
    for item in sorted(bearers(wall), key=lambda one: (one.left, one.id)):
        if run and (item.kind not in MEMBERS or item.left - run[-1].rect.right > NEAR):
            yield from _whole(run)
            run = []
        if item.kind in MEMBERS:
            run.append(item)
    yield from _whole(run)


def _whole(run: Sequence[Item]) -> Iterator[tuple[Item, ...]]:
    if len(run) > 1 and _is_pair(run[0], run[-1]) and _mirrored(run):
        yield tuple(run)


def _is_pair(one: Item, other: Item) -> bool:
    return all(
        item.kind in PAIRS and SEAT[0] <= item.width <= SEAT[1] and item.rect.top <= SEAT_TOP for item in (one, other)
    )


def _mirrored(run: Sequence[Item]) -> bool:
    middle = (run[0].left + run[-1].rect.right) / 2
    return all(
        one.kind == other.kind
        and abs(one.width - other.width) <= ALIKE
        and abs(one.rect.top - other.rect.top) <= ALIKE
        and abs(one.rect.centre_x + other.rect.centre_x - 2 * middle) <= 2 * ALIKE
        for one, other in zip(run, reversed(run), strict=True)
    )


def as_one(wall: Wall) -> tuple[Wall, dict[str, str]]:
    """The wall with each suite as one item, by the id of its highest piece; and what a sentence calls each of those."""
    found = list(suites(wall))
    if not found:
        return wall, {}
    gone = {item.id for suite in found for item in suite}
    whole = [_joined(suite) for suite in found]
    items = (*(item for item in wall.items if item.id not in gone), *whole)
    names = {one.id: _named(suite) for one, suite in zip(whole, found, strict=True)}
    return dataclasses.replace(wall, items=items), names


def _joined(suite: Sequence[Item]) -> Item:
    highest = max(suite, key=lambda item: (item.rect.top, -item.left))
    left, right = suite[0].left, suite[-1].rect.right
    return dataclasses.replace(highest, left=left, width=right - left, bottom=0.0, height=highest.rect.top)


def _named(suite: Sequence[Item]) -> str:
    names = [small(item.name) for item in suite]
    return f"{', '.join(names[:-1])} and {names[-1]}"
