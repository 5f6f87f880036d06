"""The house rules page: each number, what it means drawn as a picture, its source, and whether it was changed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from placements.drawings.figures import FIGURES, draw_figure
from placements.drawings.figures.strictness import draw_strictness
from placements.engine.rule import Limit
from placements.engine.rulebook import MARGINS, TOLERANCES, WEIGHT, Entry, Rulebook, catalogue, weight_limit
from placements.models import HouseRule
from studio.units import Units, parse_length, parse_weight

from .drawn import boxed

#: The rules in the order in which a designer meets them; one that is named nowhere comes under `OTHERS`.
GROUPS = (
    ("Place on the wall", "Where one piece, or a group taken as one, hangs, and where nothing should.",
     ("eye-line", "clearance", "two-thirds", "fill", "shape", "fit", "standing-clear", MARGINS, "quiet-wall")),
    ("Pieces together", "How the pieces of a group stand to one another.",
     ("spacing", "even-row", "largest-central", "scale", "unity", "rail-line")),
    ("Care of the piece", "What would harm it over the years. Where much is at stake, ask a conservator.",
     ("light", "heat", "moisture")),
    ("People and house", "Weight, height and wiring. Local codes and licensed trades come before any number here.",
     ("load", "overhead", "protrusion", "services", "hang-data")),
    ("As it hangs", "What the hanger's sheets, the phone and the office hold a hung piece against.", (TOLERANCES,)),
)  # fmt: skip
OTHERS = ("Further rules", "", ())
#: Limits that set how a miss counts, not where the rule lies: shown after the others.
STRICTNESS = ("reach", WEIGHT)
LEVELS = {
    "stop": "stops a piece",
    "exception": "asks for a decision",
    "note": "only informs",
}
UNIT_WORDS = {
    "count": "", "lux_h": "lux hours a year", "lux": "lux", "deg": "degrees", "N": "newtons",
    "years": "years",
}  # fmt: skip

_MEASURE = re.compile(r"(?:(\d+) x )?(\d+(?:\.\d+)?) (in|mm|kg|lb)\b")

Given = Mapping[str, Mapping[str, float]]
Rows = Mapping[tuple[str, str], HouseRule]


@dataclass(frozen=True, slots=True)
class Typed:
    """What somebody typed and could not be taken as it is: texts and faults by field, "rule.limit"."""

    texts: Mapping[str, str]
    faults: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class LimitNote:
    """One number: as typed into its box, its default and range as printed, a ruler of where it lies."""

    field: str
    label: str
    was: str
    typed: str
    fault: str
    unit: str
    default: str
    allowed: str
    source: str
    changed: bool
    inherited: bool
    changed_by: str
    reason: str
    ruler: SafeString

    @property
    def waits(self) -> bool:
        return bool(self.fault) or self.typed != self.was


@dataclass(frozen=True, slots=True)
class RuleHead:
    """What a list of rules says of each."""

    id: str
    title: str
    sentence: str
    level: str
    weight: str
    headline: str
    changed: int


@dataclass(frozen=True, slots=True)
class RuleNote(RuleHead):
    """A rule with its numbers and its pictures, which are most of what a page of rules weighs."""

    why: str
    source: str
    good: str
    bad: str
    picture: SafeString
    curve: SafeString
    limits: tuple[LimitNote, ...]
    strictness: tuple[LimitNote, ...]

    @property
    def waits(self) -> bool:
        """Whether something typed over in it is not stored yet."""
        return any(note.waits for note in (*self.limits, *self.strictness))

    @property
    def strict_open(self) -> bool:
        return any(note.changed or note.waits for note in self.strictness)


@dataclass(frozen=True, slots=True)
class GroupNote:
    title: str
    sentence: str
    rules: tuple[RuleHead, ...]


def rule_groups(
    given: Given, rows: Rows, units: Units, typed: Typed | None = None, *, whole: bool = False
) -> list[GroupNote]:
    """Every rule by group; `rows` are the studio's (or the project's) own numbers; `whole`: with all its numbers."""
    book = Rulebook(given)
    entries = {entry.id: entry for entry in catalogue()}
    placed = {name for _, _, names in GROUPS for name in names}
    others = (*OTHERS[:2], tuple(name for name in entries if name not in placed))
    groups = []
    for title, sentence, names in (*GROUPS, others):
        notes = tuple(
            rule_note(entries[name], given, book, rows, units, typed)
            if whole
            else RuleHead(**_head(entries[name], book, rows, units))
            for name in names
            if name in entries
        )
        if notes:
            groups.append(GroupNote(title, sentence, notes))
    return groups


def _head(entry: Entry, book: Rulebook, rows: Rows, units: Units) -> dict[str, Any]:
    return {
        "id": entry.id,
        "title": entry.title,
        "sentence": doc_parts(entry.doc, units)["sentence"],
        "level": LEVELS[entry.level],
        "weight": _weighed(entry.id, book) if weight_limit(entry) else "",
        "headline": headline(entry, book, units),
        "changed": sum((entry.id, limit.name) in rows for limit in entry.numbers),
    }


def rule_note(
    entry: Entry, given: Given, book: Rulebook, rows: Rows, units: Units, typed: Typed | None = None
) -> RuleNote:
    """One rule with the numbers that hold now (`given`, which `book` was made of)."""
    typed, now = typed or Typed({}, {}), given.get(entry.id, {})
    limits = tuple(
        _limit(entry.id, limit, now.get(limit.name, limit.default), rows.get((entry.id, limit.name)), units, typed)
        for limit in entry.numbers
    )
    said_of = doc_parts(entry.doc, units)
    strict = tuple(note for note in limits if note.field.partition(".")[2] in STRICTNESS)
    return RuleNote(
        **_head(entry, book, rows, units),
        why=said_of["why"],
        source=said_of["source"],
        good=said_of["good"],
        bad=said_of["bad"],
        picture=picture_of(entry, book, units),
        curve=curve_of(entry, book, units),
        limits=tuple(note for note in limits if note not in strict),
        strictness=strict,
    )


def _weighed(rule_id: str, book: Rulebook) -> str:
    if book.rule(rule_id).deducts:
        return f"takes up to {book.most_taken(rule_id) * 100:.6g}%"
    return f"weighs {book.weight(rule_id):g}"


def doc_parts(doc: str, units: Units) -> dict[str, str]:
    """A rule's own words: its first sentence, why, where from, a good and a bad example.

    Measures are set in the reader's units, but for those of a source, which are quoted.
    """
    text = re.sub(r" \[\w+\]", "", " ".join(doc.split()))  # units in brackets are for programmers
    found = {"source": "", "good": "", "bad": ""}
    for name in found:
        match = re.search(rf"{name.capitalize()}: (.*?)(?= Source: | Good: | Bad: |$)", text)
        if match:
            found[name] = match[1]
            text = (text[: match.start()] + text[match.end() :]).strip()
    sentence, stop, why = text.partition(". ")
    source = found.pop("source")
    parts = {"sentence": sentence + stop.strip(), "why": why.strip()} | found
    return {name: in_units(part, units) for name, part in parts.items()} | {"source": source}


def in_units(text: str, units: Units) -> str:
    """A text with its measures ("8 in", "30 x 40 in", "12 kg") in the reader's units."""

    def reset(found: re.Match[str]) -> str:
        width, amount, unit = found.groups()
        if unit in ("kg", "lb"):
            return units.weight(parse_weight(amount, unit))
        mm = parse_length(amount, unit)
        return units.size(parse_length(width, unit), mm) if width else units.length(mm)

    return _MEASURE.sub(reset, text)


def headline(entry: Entry, book: Rulebook, units: Units) -> str:
    """The rule's band in a word, for a list: `5′ 0″–5′ 6″`, `up to 25%`; empty where one number does not say it."""
    record = limits_of_entry(entry, book)
    limits = {limit.name: limit for limit in entry.limits}
    low, high = (getattr(record, name, None) for name in ("low", "high"))
    if low is not None and high is not None and limits["low"].unit == "mm":
        return units.band(low, high)
    ends = [said(getattr(record, name), limits[name], units) for name in ("low", "high") if name in limits]
    if len(ends) == 2:
        return "–".join(ends)
    return f"{'from' if high is None else 'up to'} {ends[0]}" if ends else ""


def limits_of_entry(entry: Entry, book: Rulebook) -> Any:
    return {MARGINS: book.margins, TOLERANCES: book.tolerances}.get(entry.id) or book.limits(entry.id)


def picture_of(entry: Entry, book: Rulebook, units: Units) -> SafeString:
    """What the rule's numbers in `book` mean, drawn; empty for a rule that has no picture yet."""
    if entry.id not in FIGURES:
        return mark_safe("")
    # Every text in the drawing is escaped by `placements.drawings`.
    return mark_safe(draw_figure(entry.id, entry.title, limits_of_entry(entry, book), units))


def curve_of(entry: Entry, book: Rulebook, units: Units) -> SafeString:
    """How the score falls beyond the band; empty where the rule only notes or stops."""
    record, unit = limits_of_entry(entry, book), {limit.name: limit.unit for limit in entry.limits}
    reach = getattr(record, "reach", None)
    if reach is None or not entry.weight:
        return mark_safe("")
    banded = {name: getattr(record, name) for name in ("low", "high") if unit.get(name) == unit["reach"]}
    if entry.id in ("shape", "light"):  # they count by proportion, on an axis of their own
        banded = {}

    limit = next(
        limit for limit in entry.limits if limit.name == ("high" if "high" in banded else "low" if banded else "reach")
    )

    def on_axis(value: float) -> str:
        text = said(value, limit, units)
        return text if banded else f"{text} beyond" if value else "what is allowed"

    # Only numbers and units of our own setting come in.
    return mark_safe(draw_strictness(entry.id, entry.title, banded.get("low"), banded.get("high"), reach, on_axis))


def _limit(rule: str, limit: Limit, value: float, row: HouseRule | None, units: Units, given: Typed) -> LimitNote:
    field, was = f"{rule}.{limit.name}", typed(value, limit, units)
    return LimitNote(
        field=field,
        label=limit.label,
        was=was,
        typed=given.texts.get(field, was),
        fault=given.faults.get(field, ""),
        unit=UNIT_WORDS.get(limit.unit, ""),
        default=said(limit.default, limit, units),
        allowed=f"{said(limit.low, limit, units)} to {said(limit.high, limit, units)}",
        source=limit.source,
        changed=row is not None,
        inherited=row is None and abs(value - limit.default) > 1e-9,
        changed_by=str(row.changed_by) if row and row.changed_by else "",
        reason=row.reason if row else "",
        ruler=_ruler(limit, value),
    )


def is_share(limit: Limit) -> bool:
    """Whether a ratio reads as a share of a whole, in per cent, rather than as a proportion."""
    return limit.unit == "ratio" and limit.high <= 1.2


def said(value: float, limit: Limit, units: Units) -> str:
    """A limit's value as printed, in the reader's units."""
    if limit.unit == "mm":  # half a millimetre is no sixteenth of an inch, and yet not nothing
        return f"{value:g} mm" if 0 < value < 0.8 else units.length(value)
    if limit.unit == "kg":
        return units.weight(value)
    if is_share(limit):
        return f"{value * 100:.6g}%"
    return f"{value:,.10g}".replace(",", " ")


def typed(value: float, limit: Limit, units: Units) -> str:
    if limit.unit == "mm":
        return boxed(value, units)
    if limit.unit == "kg":
        return units.typed_weight(value)
    return f"{value * 100:.10g}%" if is_share(limit) else f"{value:.10g}"


def read(text: str, limit: Limit, units: Units) -> float:
    """The number as typed, in the limit's own unit.

    Raises:
        ValueError: saying what was found and what is expected.
    """
    if limit.unit == "mm":
        return parse_length(text, units.unit, zero=True)
    if limit.unit == "kg":
        return units.parse_weight(text)
    digits = text.replace(",", ".").replace(" ", "")
    try:
        value = float(digits.removesuffix("%"))
    except ValueError:
        raise ValueError(f"found “{text}”, expected a number") from None
    # 60 can only mean per cent where nothing above 1.2 is allowed.
    return value / 100 if digits.endswith("%") or (is_share(limit) and value > limit.high) else value


def _ruler(limit: Limit, value: float) -> SafeString:
    """Where the value lies in its allowed range: the default as a tick, the value as a mark."""
    span = (limit.high - limit.low) or 1.0
    at, usual = (6 + 148 * min(max((x - limit.low) / span, 0), 1) for x in (value, limit.default))
    ticks = "".join(f"M{6 + 14.8 * i:.1f} 15v{-5 if i % 5 == 0 else -3}" for i in range(11))
    return mark_safe(
        '<svg class="ruler" viewBox="0 0 160 20" width="160" height="20" aria-hidden="true">'
        f'<path class="scale" d="M6 15H154{ticks}"/><path class="usual" d="M{usual:.1f} 4v13"/>'
        f'<path class="mark" d="M{at:.1f} 15l-4 -8h8z"/></svg>'
    )
