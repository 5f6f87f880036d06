"""One line of shorthand for what stands on a wall.

    sofa 84 x 32 centred; floor lamp right of sofa 4; window 48 x 60 at 96 up 24

Things stand between semicolons. Each is a kind, then in any order a size, a place and a height:

    2 sconces 7 x 14 both sides of bed 6 up 60

    what        [number of them] the kind's name or its usual one; `same` is another like the last; `mirrored` the last
                once more, as far from the other end
    size        84 x 32, or 84 x 32 x 36 with its depth; left out: the usual size
    place       centred · at 96 (from the left end) · from right 12 · right of sofa 4 · left of sofa 4 · both sides of
                bed 6 · beside last 4 · on console (in its middle) · on console 6 (from its left end)
    height      up 24 (above the floor); left out: as is usual, or on top of what it stands on
    depth       deep 14
    name        "Grandmother's sofa"

Without a place a nightstand stands beside the bed, an end table or a floor lamp beside the sofa, a lamp or an object on
furniture that is free; all else in the middle of the widest stretch of floor or wall that is left. Lengths are read as
everywhere: in the reader's unit where they carry none.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from studio.models.furniture import ItemKind
from studio.units import BadMeasure, Units, parse_length

from .typical import TYPICAL, Typical

LONGEST = 1000
MOST = 30
#: Other usual names of kinds. Common practice, no source.
_ALSO: Mapping[str, str] = {
    "couch": "sofa", "settee": "sofa", "console table": "console", "credenza": "sideboard", "buffet": "sideboard",
    "chest of drawers": "chest", "bedside table": "nightstand", "night stand": "nightstand", "side table": "end_table",
    "upright piano": "piano", "mantelpiece": "mantel", "fireplace": "mantel", "french door": "door",
    "cased opening": "opening", "bookshelf": "bookcase", "tall cabinet": "cabinet", "lamp": "table_lamp",
    "standing lamp": "floor_lamp", "plant": "tall_plant", "wall light": "sconce", "tv": "television",
    "moulding panel": "panel", "panel": "panel",
    "dado rail": "chair_rail", "socket": "outlet", "light switch": "switch",
    "thermostat": "thermostat", "grille": "vent", "smoke alarm": "alarm", "chandelier": "statement_light",
    "pendant": "statement_light", "vase": "ornament", "queen bed": "bed", "king bed": "bed", "single bed": "bed",
}  # fmt: skip
_NAMES: Mapping[str, str] = {
    **{value.replace("_", " "): value for value in ItemKind.values if value != "custom"},
    **{str(label).lower(): value for value, label in ItemKind.choices if value != "custom"},
    **_ALSO,
}
_USUAL: Mapping[str, Typical] = {typical.kind: typical for typical in reversed(TYPICAL)}
_SIZED: Mapping[str, Typical] = {typical.name.lower().split(" with ")[0]: typical for typical in TYPICAL}
_PARTS = r"(?:[ -][0-9]+/[0-9]+)"
_FEET = rf"[0-9]+ *(?:'|ft)(?: *[0-9]+(?:{_PARTS}|\.[0-9]+)? *(?:\"|in)?)?"
_LENGTH = rf"(?:{_FEET}|[0-9]*[.,]?[0-9]+(?:{_PARTS}|/[0-9]+)? *(?:mm|cm|m|in|\"|ft|')?)"
_SIZE = re.compile(rf"({_LENGTH}) *[x×] *({_LENGTH})(?: *[x×] *({_LENGTH}))?")
_TAKE = re.compile(_LENGTH)
#: What stands on furniture unless a place is given, what it stands on, and how high that is at most. Common practice.
_ON_FURNITURE = frozenset({"table_lamp", "ornament"})
_TABLES = frozenset({"console", "sideboard", "dresser", "chest", "nightstand", "end_table", "desk", "piano"})
HIGHEST_TOP_MM = 1300.0
#: What usually stands beside what, on one side or both. Common practice, no source.
_BESIDE: Mapping[str, str] = {"nightstand": "bed", "end_table": "sofa", "floor_lamp": "sofa"}


@dataclass(frozen=True, slots=True)
class Put:
    """A thing at its place [mm], from the wall's left end and the floor."""

    kind: str
    left: float
    bottom: float
    width: float
    height: float
    depth: float
    label: str = ""

    @property
    def called(self) -> str:
        return self.label or str(ItemKind(self.kind).label)

    @property
    def right(self) -> float:
        return self.left + self.width


class BadWord(ValueError):
    """A word that cannot be read: where it stands in the line, and what is expected instead."""

    def __init__(self, detail: str, start: int, end: int) -> None:
        super().__init__(detail)
        self.detail, self.start, self.end = detail, start, end


def read_line(line: str, *, length: float, height: float, there: Sequence[Put], units: Units) -> list[Put]:
    """What a line puts on a wall of this length and height [mm], beside what is there.

    Raises:
        BadWord: the first word that cannot be read, or that puts something off the wall.
    """
    if len(line) > LONGEST:
        raise BadWord(f"The line is too long: at most {LONGEST} characters.", LONGEST, len(line))
    put: list[Put] = []
    at = 0
    for part in line.split(";"):
        start, at = at, at + len(part) + 1
        if part.strip():
            new = _Part(line, start, start + len(part), units, length, height, [*there, *put]).read()
            put += new
        if len(put) > MOST:
            raise BadWord(f"At most {MOST} things at once.", start, start + len(part))
    return put


class _Part:
    """One thing of the line, read word by word from the left."""

    def __init__(
        self, line: str, start: int, end: int, units: Units, length: float, height: float, there: list[Put]
    ) -> None:
        self.line, self.at, self.end = line.lower(), start, end
        self.given, self.units, self.length, self.height, self.there = line, units, length, height, there
        self.first = start

    def read(self) -> list[Put]:
        self._blank()
        self.first = self.at
        count = self._count()
        thing, same = self._what()
        places: list[float] | None = None
        up: float | None = None
        if same == "mirrored":
            places = [self.length - thing.right]
            up = thing.bottom
        while self._blank():
            word = self.at
            if size := self._matched(_SIZE):
                width, tall, deep = (self._length(size, n) for n in (1, 2, 3))
                thing = replace(
                    thing, width=width or 0.0, height=tall or 0.0, depth=thing.depth if deep is None else deep
                )
            elif self._word("up"):
                up = self._take("a height, such as up 24", zero=True)
            elif self._word("deep"):
                thing = replace(thing, depth=self._take("a depth, such as deep 14", zero=True))
            elif label := self._matched(re.compile(r'"([^";]{1,80})"')):
                thing = replace(thing, label=self.given[label.start(1) : label.end(1)].strip())
            else:
                places, stands_at = self._place(thing, count, word)
                up = stands_at if up is None else up
        up = (thing.bottom if same or thing.bottom else 0.0) if up is None else up
        thing = replace(thing, bottom=up)
        if places is None:
            on = self._bearers()[:count] if thing.kind in _ON_FURNITURE and up == thing.bottom else []
            if len(on) == count:
                return [self._fitting(self._upon(thing, one)) for one in on]
            places = self._beside_usual(thing, count) or self._free(thing, count)
        return [self._fitting(replace(thing, left=left)) for left in places]

    # What

    def _count(self) -> int:
        match = self._matched(re.compile(r"([2-9]|two|three|four) +(?=[a-z])"))
        if match is None:
            return 1
        return {"two": 2, "three": 3, "four": 4}.get(match[1]) or int(match[1])

    def _what(self) -> tuple[Put, str]:
        """The thing at nought, and `same` or `mirrored` where it is like the last."""
        for word in ("same again", "same", "mirrored"):
            if self._word(word):
                if not self.there:
                    raise self._bad("Nothing stands before it", self.first, self.at)
                return self.there[-1], word.split()[0]
        names = sorted({*_NAMES, *_SIZED}, key=len, reverse=True)
        for name in names:
            if self._word(name) or self._word(_many(name)):
                typical = _SIZED.get(name) or _USUAL[_NAMES[name]]
                return Put(typical.kind, 0, typical.bottom, typical.width, typical.height, typical.depth), ""
        end = self._word_end()
        near = [name for name in _NAMES if name[:3] == self.line[self.at : self.at + 3]][:3]
        raise self._bad(
            "Expected what it is, such as " + ", ".join(near or ["sofa", "window", "floor lamp"]), self.at, end
        )

    # Where

    def _place(self, thing: Put, count: int, word: int) -> tuple[list[float], float | None]:
        """The left edges of the things, and the height of what they stand on, if any."""
        if self._word("centred") or self._word("centered") or self._word("centre") or self._word("center"):
            return self._row((self.length - count * thing.width) / 2, thing, count), None
        if self._word("at"):
            return self._row(self._take("a distance from the left end, such as at 96", zero=True), thing, count), None
        if self._word("from right") or self._word("from the right"):
            gap = self._take("a distance from the right end, such as from right 12", zero=True)
            return self._row(self.length - gap - count * thing.width, thing, count), None
        for side in ("right of", "left of", "both sides of", "beside"):
            if self._word(side):
                return self._beside(side, thing, count), None
        if self._word("on"):
            return self._on(thing, count)
        raise self._bad(
            "Expected a size or a place: 84 x 32, centred, at 96, right of sofa 4, up 24", word, self._word_end()
        )

    def _beside(self, side: str, thing: Put, count: int) -> list[float]:
        other = self._other()
        gap = self._take("", zero=True) if self._blank() and _TAKE.match(self.line, self.at, self.end) else 0.0
        before, behind = other.left - gap - thing.width, other.right + gap
        if side == "both sides of":
            return [before, behind]
        if side == "left of":
            return self._row(other.left - gap - count * thing.width, thing, count)
        return self._row(behind, thing, count)

    def _on(self, thing: Put, count: int) -> tuple[list[float], float]:
        other = self._other()
        if self._blank() and _TAKE.match(self.line, self.at, self.end):
            left = other.left + self._take("", zero=True)
        else:
            left = other.left + (other.width - count * thing.width) / 2
        return self._row(left, thing, count), other.bottom + other.height

    def _other(self) -> Put:
        """The thing that is named: the nearest before it in the line, else on the wall; `last` is the last one."""
        self._blank()
        start = self.at
        if self._word("last") or self._word("the last"):
            found = self.there[-1:]
        else:
            found = [one for one in reversed(self.there) if self._called(one)][:1]
        if not found:
            names = ", ".join(dict.fromkeys(one.called.lower() for one in self.there)) or "nothing yet"
            raise self._bad(f"Expected something that stands there: {names}", start, self._word_end())
        return found[0]

    def _called(self, one: Put) -> bool:
        """Past a thing's name, where it stands here: its own, or one of its kind's."""
        names = {one.called.lower(), *(name for name, kind in _NAMES.items() if kind == one.kind)}
        return any(self._word(name) for name in sorted(names, key=len, reverse=True))

    def _bearers(self) -> list[Put]:
        """Furniture that a lamp or an object may stand on and where nothing stands yet, the last first."""
        tables = [
            one
            for one in reversed(self.there)
            if one.kind in _TABLES and one.bottom == 0 and one.height <= HIGHEST_TOP_MM
        ]
        return [one for one in tables if not any(_stands_on(other, one) for other in self.there)]

    def _upon(self, thing: Put, one: Put) -> Put:
        """In the middle of a thing, on top of it."""
        return replace(thing, left=one.left + (one.width - thing.width) / 2, bottom=one.height)

    def _beside_usual(self, thing: Put, count: int) -> list[float]:
        """Beside what it usually stands beside, on the sides that are free; empty where there are too few."""
        host = next((one for one in reversed(self.there) if one.kind == _BESIDE.get(thing.kind)), None)
        if host is None:
            return []
        gap = 50.0 if self.units.metric else 50.8
        sides = (host.left - gap - thing.width, host.right + gap)
        free = [left for left in sides if self._is_free(replace(thing, left=left))]
        return free[:count] if len(free) >= count else []

    def _is_free(self, thing: Put) -> bool:
        """Whether it lies on the wall, and in no other thing's way."""
        return (
            thing.left >= 0
            and thing.right <= self.length
            and not any(
                one.left < thing.right
                and one.right > thing.left
                and one.bottom < thing.bottom + thing.height
                and one.bottom + one.height > thing.bottom
                and _in_the_way(thing.kind, one.kind)
                for one in self.there
            )
        )

    def _free(self, thing: Put, count: int) -> list[float]:
        """The middle of the widest stretch that nothing stands in at its height."""
        low, high = thing.bottom, thing.bottom + thing.height
        taken = sorted(
            (one.left, one.right) for one in self.there
            if one.bottom < high and one.bottom + one.height > low and _in_the_way(thing.kind, one.kind)
        )  # fmt: skip
        best, start = (0.0, 0.0), 0.0
        for left, right in [*taken, (self.length, self.length)]:
            best = max(best, (left - start, start), key=lambda one: one[0])
            start = max(start, right)
        left = best[1] + (best[0] - count * thing.width) / 2
        return self._row(min(max(left, 0.0), max(self.length - count * thing.width, 0.0)), thing, count)

    def _row(self, left: float, thing: Put, count: int) -> list[float]:
        return [left + number * thing.width for number in range(count)]

    def _fitting(self, put: Put) -> Put:
        put = replace(put, left=self.units.rounded(put.left), bottom=self.units.rounded(put.bottom))
        long, high = self.units.length(self.length), self.units.length(self.height)
        if put.left < 0:
            raise self._bad(f"This lies {self.units.length(-put.left)} beyond the left end", self.first, self.end)
        if put.left >= self.length:
            raise self._bad(f"This lies beyond the wall, which is {long} long", self.first, self.end)
        if put.bottom >= self.height:
            raise self._bad(f"This lies above the wall, which is {high} high", self.first, self.end)
        return put

    # Words

    def _blank(self) -> bool:
        """Past blanks and commas; whether anything is left."""
        while self.at < self.end and self.line[self.at] in " ,\t\n\r":
            self.at += 1
        return self.at < self.end

    def _word(self, words: str) -> bool:
        """Past these words, where they stand here whole."""
        end = self.at + len(words)
        whole = self.line.startswith(words, self.at) and end <= self.end
        if not whole or (end < self.end and self.line[end].isalnum()):
            return False
        self.at = end
        return True

    def _word_end(self) -> int:
        match = re.compile(r"[^\s,;]+").match(self.line, self.at, self.end)
        return match.end() if match else max(self.at, self.end)

    def _matched(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        match = pattern.match(self.line, self.at, self.end)
        if match:
            self.at = match.end()
        return match

    def _take(self, expected: str, *, zero: bool) -> float:
        self._blank()
        match = self._matched(_TAKE)
        if match is None:
            start = (
                self.at
                if self.at < self.end
                else max(self.line.rfind(" ", 0, len(self.line[: self.end].rstrip())), -1) + 1
            )
            raise self._bad(f"Expected {expected}", start, self._word_end())
        return self._length(match, 0, zero=zero) or 0.0

    def _length(self, match: re.Match[str], group: int, *, zero: bool = False) -> float | None:
        if match[group] is None:
            return None
        try:
            return parse_length(match[group].strip(), self.units.unit, zero=zero or group == 3)
        except BadMeasure as error:
            raise self._bad(f"Expected {error.expected}", match.start(group), match.end(group)) from None

    def _bad(self, detail: str, start: int, end: int) -> BadWord:
        return BadWord(f"{detail}.", start, max(end, start + 1))


def _many(name: str) -> str:
    return f"{name}es" if name.endswith(("s", "x", "ch", "sh")) else f"{name}s"


def _stands_on(thing: Put, one: Put) -> bool:
    return thing.bottom == one.height and thing.left < one.right and thing.right > one.left


def _in_the_way(kind: str, other: str) -> bool:
    """Whether one keeps the place of the other: mouldings and outlets run behind furniture."""
    thin = {"outlet", "switch", "chair_rail", "wainscot", "picture_rail", "vent", "radiator", "panel"}
    return other not in thin or (kind in thin and kind == other)
