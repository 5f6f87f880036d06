"""Pairs of hangings of which a designer would choose the first: `python -m tests.judging.pairs MODULE:FUNCTION`.

Common practice, no source. The first is the hand-made hanging of one of the judges' surveys. The second is either
written beside it with its reason, or derived from it by a plain spoiler: a thing that one learns not to do. In the
`sound` ones nothing is wrong with the second; a designer would still choose the first.
FUNCTION takes a house and its hangings and returns what they are worth.
"""

from __future__ import annotations

import argparse
import hashlib
import importlib
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from placements.engine.house import House
from placements.engine.results import Hanging

from .building import Case
from .proposing import INCH
from .seeing import ALWAYS, Seen, apart, inches, looked
from .surveys import CASES

Worth = Callable[[House, Sequence[Hanging]], float]
BEARERS = ("sofa", "bed", "console", "sideboard", "dresser", "chest", "desk", "piano", "mantel", "bench")


@dataclass(frozen=True)
class Pair:
    """Two hangings of one case's house, the better first. `set_aside`: of the third that is not to be tuned on."""

    name: str
    house: House
    better: tuple[Hanging, ...]
    worse: tuple[Hanging, ...]
    why: str
    sound: bool

    @property
    def set_aside(self) -> bool:
        return hashlib.sha256(self.name.partition(":")[0].encode()).digest()[0] % 3 == 0


# --- Spoilers: each answers the spoiled hanging, or None where it does not apply --------------------------------------


def _moved(one: Hanging, right: float = 0, up: float = 0) -> Hanging:
    return replace(one, left=one.left + right * INCH, bottom=one.bottom + up * INCH)


def _raised(case: Case, up: float, gap: tuple[float, float], middle: tuple[float, float]) -> tuple[Hanging, ...] | None:
    """Everything higher by that, where it then clearly is what the spoiler says.

    On every wall with works either the air over its furniture or, free of furniture, the middle of the whole must come
    to lie within those limits; nothing is said of stairs.
    """
    raised = tuple(_moved(one, up=up) for one in case.hung)
    seen = Seen(case.house, raised)
    for wall in {one.wall for one in raised}:
        here = case.house.wall_by_id[wall]
        box = seen.box(seen.on(wall))
        under = [inches(one.rect) for one in here.items if one.kind in BEARERS]
        tops = [one.top for one in under if one.left < box.right and box.left < one.right and one.top < box.bottom - up]
        value, (low, high) = (box.bottom - max(tops), gap) if tops else (box.centre_y, middle)
        if here.rail or not low <= value <= high:
            return None
    return raised


def slid(case: Case) -> tuple[Hanging, ...] | None:
    """Every wall's works slid 11 in to the right; nothing is said of stairs."""
    if any(case.house.wall_by_id[one.wall].rail for one in case.hung):
        return None
    return tuple(_moved(one, right=11) for one in case.hung)


def sunk(case: Case) -> tuple[Hanging, ...] | None:
    """Everything 5 in lower, down on its furniture, or 9 in lower, free of furniture."""
    return _raised(case, -5, (0, 4), (0, 0)) or _raised(case, -9, (0, 0), (30, 53))


def floated(case: Case) -> tuple[Hanging, ...] | None:
    """Everything 10 in higher."""
    return _raised(case, 10, (14, 40), (68, 90))


def one_askew(case: Case) -> tuple[Hanging, ...] | None:
    """The right one of two or more level works hangs 3 in lower."""
    levels = [one for one in case.hung if any(two is not one and _level(case, one, two) for two in case.hung)]
    if not levels:
        return None
    last = max(levels, key=lambda one: (one.wall, one.left))
    return tuple(_moved(one, up=-3) if one is last else one for one in case.hung)


def one_short(case: Case) -> tuple[Hanging, ...] | None:
    """The last of a set left in store."""
    sets = [one for one in case.hung if case.house.work_by_id[one.work].set_name]
    return tuple(one for one in case.hung if one is not sets[-1]) if sets else None


def cluttered(case: Case) -> tuple[Hanging, ...] | None:
    """The smallest work in store hung 3 in beside the first piece."""
    store = [one for one in case.house.works if one.id not in {two.work for two in case.hung} and not one.set_name]
    if not store or not case.hung:
        return None
    seen, first = Seen(case.house, case.hung), case.hung[0]
    box = seen.box([one.work for one in case.hung if one.wall == first.wall])
    small = min(store, key=lambda one: (one.width * one.height, one.id))
    bottom = box.centre_y * INCH - small.height / 2
    return (*case.hung, Hanging(small.id, first.wall, (box.right + 3) * INCH, bottom))


def end_of_band(case: Case) -> tuple[Hanging, ...] | None:
    """Everything 2½ in higher than its best: the end of what is allowed."""
    return _raised(case, 2.5, (9, 11), (62, 64))


def loose(case: Case) -> tuple[Hanging, ...] | None:
    """Each wall's works drawn apart from the wall's group by a quarter, about the group's middle."""
    seen = Seen(case.house, case.hung)
    drawn = []
    for one in case.hung:
        box = seen.box([two.work for two in case.hung if two.wall == one.wall])
        rect = seen.rect(one.work)
        drawn.append(_moved(one, 0.25 * (rect.centre_x - box.centre_x), 0.25 * (rect.centre_y - box.centre_y)))
    close = [
        apart(seen.rect(one.work), seen.rect(two.work)) < 4
        for one in case.hung
        for two in case.hung
        if one is not two and one.wall == two.wall
    ]
    return tuple(drawn) if any(close) else None


def _level(case: Case, one: Hanging, two: Hanging) -> bool:
    works = case.house.work_by_id
    middles = (one.bottom + works[one.work].height / 2, two.bottom + works[two.work].height / 2)
    return one.wall == two.wall and abs(middles[0] - middles[1]) < 1


#: Each spoiler with its reason, and whether what it leaves is still sound.
SPOILERS: tuple[tuple[Callable[[Case], tuple[Hanging, ...] | None], str, bool], ...] = (
    (slid, "Off the axis that governs, the wall tips.", False),
    (sunk, "Too low, it sits on the furniture or slides down the wall.", False),
    (floated, "Too high, it leaves its furniture and the eye.", False),
    (one_askew, "A row with one lower reads as a slip.", False),
    (one_short, "A set short of one reads as a gap.", False),
    (cluttered, "A crumb beside a good piece is clutter.", False),
    (end_of_band, "The middle of the band is calmer than its end.", True),
    (loose, "A close group reads as one, a loose one as many.", True),
)


def _fair(case: Case, worse: tuple[Hanging, ...], whole: bool) -> bool:
    """Whether a derived hanging is still possible: on its walls, over nothing, whole where that matters."""
    seen = Seen(case.house, worse)
    return all(looked(check, seen) is None for check, _ in (ALWAYS if whole else ALWAYS[:-1]))


def _pairs() -> Iterator[Pair]:
    for case in CASES:
        for number, less in enumerate(case.less, start=1):
            worse = case.others(less)
            yield Pair(f"{case.name}:{number}", case.house, case.hung, worse, less.why, less.sound)
        for spoil, why, sound in SPOILERS:
            spoiled = spoil(case)
            if spoiled and spoiled != case.hung and _fair(case, spoiled, spoil is not one_short):
                yield Pair(f"{case.name}:{spoil.__name__}", case.house, case.hung, spoiled, why, sound)


PAIRS: tuple[Pair, ...] = tuple(_pairs())


def misjudged(worth: Worth, pairs: Sequence[Pair] = PAIRS) -> list[tuple[Pair, float]]:
    """The pairs that `worth` orders the other way or not at all, with how much more the worse is worth."""
    found = []
    best: dict[int, float] = {}  # a case's own hanging is the better one of all its pairs
    for pair in pairs:
        if id(pair.better) not in best:
            best[id(pair.better)] = worth(pair.house, pair.better)
        more = worth(pair.house, pair.worse) - best[id(pair.better)]
        if more >= 0:
            found.append((pair, more))
    return found


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.judging.pairs", description=__doc__)
    parser.add_argument("worth", metavar="MODULE:FUNCTION")
    asked = parser.parse_args()
    module, _, name = asked.worth.partition(":")
    worth: Worth = getattr(importlib.import_module(module), name)
    wrong = misjudged(worth)
    for pair, more in wrong:
        aside = ", set aside" if pair.set_aside else ""
        sound = "sound, " if pair.sound else ""
        sys.stdout.write(f"{pair.name} ({sound}by {more:.2f}{aside}): {pair.why}\n")
    lost = {pair.name for pair, _ in wrong}
    for title, part in (
        ("with a fault", [one for one in PAIRS if not one.sound]),
        ("both sound", [one for one in PAIRS if one.sound]),
        ("to tune on", [one for one in PAIRS if not one.set_aside]),
        ("set aside", [one for one in PAIRS if one.set_aside]),
        ("all", list(PAIRS)),
    ):
        right = sum(one.name not in lost for one in part)
        sys.stdout.write(f"{title:<14} {right} of {len(part)} in order, {100 * right / len(part):.1f} %\n")


if __name__ == "__main__":
    main()
