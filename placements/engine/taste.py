"""What a studio usually hangs, learnt from what it signed off: habits that shift the ranking of a plan, and no rule.

A habit is what two in three of at least five accepted hangings in places of one kind have in common, over two projects
or more. How many make a habit, and what one is worth, is common practice, no source.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from .groups.boxes import boxes_of, clusters, outline_of
from .house import Rect, Wall
from .names import an
from .obstacles import bearer_below

Trait = Literal["one", "several", "form", "width", "bare"]

#: So many hangings at the least, of so many projects, and so large a share of them make a habit.
LEAST_CASES, LEAST_PROJECTS, USUALLY = 5, 2, 2 / 3
#: Widths that are the same to the eye differ by no more, as shares of the furniture's.
LIKE_WIDTH = 0.06
#: What following a habit that was never broken would gain in the places that count most, and what hanging something
#: where the studio leaves the wall bare costs [points of 100].
FOLLOWED, AGAINST_BARE = 6.0, 8.0
#: What hangs over nothing, and what follows a rail.
OPEN_WALL, STAIR = "open wall", "stair"


@dataclass(frozen=True, slots=True)
class Accepted:
    """A composition that a studio signed off, or with no `forms` a place that it left bare.

    project : which of the studio's projects; over : kind of the furniture below, `OPEN_WALL` or `STAIR`; use : the
    room's; forms : of its works; width : as a share of the furniture's, None over none
    """

    project: str
    over: str
    use: str
    forms: tuple[str, ...]
    width: float | None = None


@dataclass(frozen=True, slots=True)
class Habit:
    """What a studio does in `times` of `of` places: over one kind of furniture, or in rooms of one use.

    form : of the works, where the trait is "form"; width : as a share of the furniture's, where it is "width"
    """

    trait: Trait
    times: int
    of: int
    over: str = ""
    use: str = ""
    form: str = ""
    width: float = 0.0

    @property
    def strength(self) -> float:
        """0-1, by the rule of succession: the fewer cases, the nearer to nothing."""
        return max(0.0, 2 * (self.times + 1) / (self.of + 2) - 1)

    def holds(self, over: str, use: str) -> bool:
        """Whether it says something of a place."""
        return self.over == over if self.over else self.use == use

    def followed(self, forms: Sequence[str], width: float | None) -> bool:
        """Whether a composition does as it says."""
        if self.trait == "width":
            return width is not None and abs(width - self.width) <= LIKE_WIDTH
        if self.trait == "form":
            return all(form == self.form for form in forms)
        return self.trait == ("one" if len(forms) == 1 else "several")

    @property
    def text(self) -> str:
        """In a sentence: "this studio usually hangs one piece over a sofa (7 of 8)"."""
        where = f"in {an(_named(self.use))}" if self.use else _place(self.over)
        said = {
            "one": f"hangs one piece {where}",
            "several": f"hangs several pieces together {where}",
            "form": f"hangs {self.form}s {where}",
            "width": f"fills about {100 * self.width:.0f} % of the width {where}",
            "bare": f"leaves the wall bare {where}",
        }[self.trait]
        return f"this studio usually {said} ({self.times} of {self.of})"


@dataclass(frozen=True, slots=True)
class Taste:
    """A studio's habits; none shift nothing."""

    habits: tuple[Habit, ...] = ()

    def followed(self, over: str, use: str, forms: Sequence[str], width: float | None) -> tuple[Habit, ...]:
        """The habits that a composition in such a place follows; with no `forms`, the habit of leaving it bare."""
        here = [habit for habit in self.habits if habit.holds(over, use)]
        if not forms:
            return tuple(habit for habit in here if habit.trait == "bare")
        return tuple(habit for habit in here if habit.trait != "bare" and habit.followed(forms, width))

    def points(self, over: str, use: str, forms: Sequence[str], width: float | None) -> float:
        """What a composition gains in such a place, or loses where the studio leaves the wall bare [points of 100]."""
        best: dict[Trait, float] = {}
        for habit in self.followed(over, use, forms, width):
            best[habit.trait] = max(best.get(habit.trait, 0.0), habit.strength)
        against = max([0.0, *(habit.strength for habit in self.followed(over, use, (), None))])
        return FOLLOWED * sum(best.values()) - AGAINST_BARE * against


#: A studio that has no habits, or is not to be followed.
NO_TASTE = Taste()


def accepted_on(
    wall: Wall, *, project: str, use: str, pieces: Sequence[tuple[Rect, str]], bare: Iterable[str] = ()
) -> Iterator[Accepted]:
    """What a signed plan hangs on a wall, as compositions, and what it leaves bare there.

    pieces : each work's outer edge on the wall [mm] and its form; bare : ids of spaces that were left bare on purpose
    """
    over: dict[str, list[tuple[Rect, str]]] = defaultdict(list)
    for rect, form in pieces:
        bearer = bearer_below(wall, rect)
        if form != "object":
            over["" if bearer is None or wall.rail else bearer.id].append((rect, form))
    for item, here in sorted(over.items()):
        boxes = boxes_of(rect for rect, _ in here)
        bearer = wall.item(item)
        for joined in [list(range(len(here)))] if bearer else clusters(boxes):
            left, _, right, _ = outline_of(boxes[joined])
            share = float(right - left) / bearer.width if bearer else None
            forms = tuple(sorted(here[i][1] for i in joined))
            yield Accepted(project, place_kind(wall, bearer.kind if bearer else None), use, forms, share)
    for space in bare:
        kind = next((item.kind for item in wall.items if space.endswith(f":{item.id}") and item.acts == "bearer"), None)
        yield Accepted(project, place_kind(wall, kind), use, ())


def place_kind(wall: Wall, bearer: str | None) -> str:
    """The kind of a place, by what stands below it."""
    return STAIR if wall.rail else bearer or OPEN_WALL


def learn(accepted: Iterable[Accepted]) -> Taste:
    """The habits in what a studio accepted, whatever its order."""
    by_over: dict[str, list[Accepted]] = defaultdict(list)
    by_use: dict[str, list[Accepted]] = defaultdict(list)
    for case in accepted:
        by_over[case.over].append(case)
        by_use[case.use].append(case)
    found: list[Habit] = []
    for over, cases in sorted(by_over.items()):
        hung = [case for case in cases if case.forms]
        found += _habit(cases, [case for case in cases if not case.forms], "bare", over=over)
        found += _habit(hung, [case for case in hung if len(case.forms) == 1], "one", over=over)
        found += _habit(hung, [case for case in hung if len(case.forms) > 1], "several", over=over)
        found += _of_forms(hung, over=over)
        found += _of_widths([case for case in hung if case.width is not None], over)
    for use, cases in sorted(by_use.items()):
        found += _of_forms([case for case in cases if case.forms], use=use)
    return Taste(tuple(found))


def _habit(
    cases: Sequence[Accepted],
    alike: Sequence[Accepted],
    trait: Trait,
    *,
    over: str = "",
    use: str = "",
    form: str = "",
    width: float = 0.0,
) -> Iterator[Habit]:
    """A habit, where enough cases are alike."""
    several = len({case.project for case in alike}) >= LEAST_PROJECTS
    if several and len(cases) >= LEAST_CASES and len(alike) >= USUALLY * len(cases):
        yield Habit(trait, len(alike), len(cases), over, use, form, width)


def _of_forms(cases: Sequence[Accepted], *, over: str = "", use: str = "") -> Iterator[Habit]:
    """The form that nearly all works have there."""
    for form in sorted({form for case in cases for form in case.forms}):
        alike = [case for case in cases if set(case.forms) == {form}]
        yield from _habit(cases, alike, "form", over=over, use=use, form=form)


def _of_widths(cases: Sequence[Accepted], over: str) -> Iterator[Habit]:
    """The width about which most lie: their median."""
    shares = sorted(case.width for case in cases if case.width is not None)
    if shares:
        middle = (shares[(len(shares) - 1) // 2] + shares[len(shares) // 2]) / 2
        alike = [case for case in cases if case.width is not None and abs(case.width - middle) <= LIKE_WIDTH]
        yield from _habit(cases, alike, "width", over=over, width=middle)


def _place(over: str) -> str:
    if over == OPEN_WALL:
        return "on an open wall"
    return "along a stair" if over == STAIR else f"over {an(_named(over))}"


def _named(kind: str) -> str:
    """What a person calls it: "public corridor", "living room"."""
    rooms = {"living": "living room", "dining": "dining room", "media": "media room", "bath": "bathroom"}
    return rooms.get(kind, kind.replace("_", " "))
