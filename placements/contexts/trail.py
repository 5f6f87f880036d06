"""The trail as people read it: days, who did what in a sentence, from what to what in the reader's units."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from placements.contexts.rules import said
from placements.engine.rulebook import entry_of
from placements.pieces import step_in_words
from placements.selectors.audit import TrailEntry
from studio.units import Units

#: What can be chosen to be shown, and which entries that is.
KINDS = {
    "plan": ("Plan and decisions", ("Plan", "Decision", "Signature")),
    "pieces": ("What hangs where", ("Piece",)),
    "survey": ("Survey", ("Project", "Client", "Room", "Wall", "On the wall")),
    "works": ("Works", ("Work",)),
    "rules": ("House rules", ("House rule",)),
    "talk": ("Comments", ("Comment",)),
}
#: Entries of one person and kind, nearer than this to one another, are shown as one.
TOGETHER = dt.timedelta(minutes=2)
FEWEST = 3
#: What says nothing to a reader of the page; the exports hold it.
_UNSAID = {"studio", "client", "project", "revision", "code", "position", "order", "why", "space", "group", "artwork",
           "rule", "limit", "value", "reason", "changed_by", "text", "sha256", "decision", "state"}  # fmt: skip
_NAMES = {
    "left": "left edge", "bottom": "bottom edge", "faces_deg": "faces", "hang_kind": "hangs by",
    "hang_below_top": "hook below the top", "hang_inset": "hook inset", "stud_first": "first stud",
    "stud_spacing": "studs every", "address_note": "address",
}  # fmt: skip
_STEPS = {
    "In review": "sent {subject} for review", "Signed": "signed {subject}", "Issued to the hanger": "issued {subject}",
    "Hung": "reported {subject} hung", "Closed": "closed {subject}", "Draft": "took {subject} back to draft",
}  # fmt: skip
_VERDICTS = {
    "Accept": "accepted", "Accept for the whole project": "accepted for the whole project", "Return": "returned",
    "House rule changed": "answered by a changed house rule",
}  # fmt: skip
_SENTENCES = {
    ("Piece", "added"): "hung {subject} on {where}",
    ("Piece", "removed"): "took {subject} down from {where}",
    ("Piece", "changed"): "changed {subject} on {where}",
    ("Work", "added"): "entered the work {subject}",
    ("On the wall", "added"): "put {subject} on the survey of {where}",
    ("On the wall", "removed"): "took {subject} off the survey of {where}",
    ("On the wall", "changed"): "measured {subject} on {where} anew",
    ("Wall", "added"): "surveyed the wall {subject}",
    ("Room", "added"): "opened the room {subject}",
    ("Project", "added"): "opened the project {subject}",
    ("Client", "added"): "entered the client {subject}",
}
_BUNDLES = {
    ("Piece", "added"): "hung {count} pieces", ("Piece", "removed"): "took down {count} pieces",
    ("Piece", "changed"): "moved {count} pieces", ("Work", "added"): "entered {count} works",
    ("Work", "changed"): "changed {count} works", ("On the wall", "added"): "put {count} things on the survey",
    ("On the wall", "changed"): "measured {count} things anew", ("Wall", "added"): "surveyed {count} walls",
    ("Room", "added"): "opened {count} rooms", ("Decision", "decided"): "decided {count} exceptions",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Change:
    """One value; `before` or `after` is empty where there was none."""

    name: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Line:
    """One entry in words: who (by the page) `said`; `quote` are somebody's own words."""

    said: str
    changes: tuple[Change, ...]
    quote: str
    note: str


@dataclass(frozen=True, slots=True)
class Moment:
    """One thing done, or several alike at once: then `lines` are those and `said` the sum of them."""

    at: dt.datetime
    who: str
    kind: str
    said: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Day:
    date: dt.date
    moments: tuple[Moment, ...]


def chosen(entries: Iterable[TrailEntry], *, who: str, kind: str) -> list[TrailEntry]:
    """The entries of one person, of one kind, or all."""
    wanted = KINDS[kind][1] if kind in KINDS else ()
    return [entry for entry in entries if (not who or entry.who == who) and (not wanted or entry.what in wanted)]


def bundles(entries: Sequence[TrailEntry]) -> list[list[TrailEntry]]:
    """Entries in order, those alike and near in time together."""
    found: list[list[TrailEntry]] = []
    for entry in entries:
        last = found[-1][-1] if found else None
        alike = last and (last.who, last.what, last.action) == (entry.who, entry.what, entry.action)
        if alike and last and abs(last.at - entry.at) <= TOGETHER and (entry.what, entry.action) in _BUNDLES:
            found[-1].append(entry)
        else:
            found.append([entry])
    return [part for one in found for part in ([one] if len(one) >= FEWEST else [[each] for each in one])]


def days(groups: Iterable[list[TrailEntry]], units: Units, zone: dt.tzinfo) -> list[Day]:
    """The bundles as moments, by the reader's own days."""
    moments = [_moment(group, units, zone) for group in groups]
    return [Day(date, tuple(those)) for date, those in groupby(moments, key=lambda one: one.at.date())]


def _moment(entries: list[TrailEntry], units: Units, zone: dt.tzinfo) -> Moment:
    first = entries[0]
    lines = tuple(_line(entry, units) for entry in entries)
    kind = next((name for name, (_, whats) in KINDS.items() if first.what in whats), "")
    summed = len(entries) > 1
    text = _BUNDLES[first.what, first.action].format(count=len(entries)) if summed else lines[0].said
    return Moment(first.at.astimezone(zone), first.who, kind, text, lines)


def _line(entry: TrailEntry, units: Units) -> Line:
    subject, quote = _named(entry), ""
    match entry.what:
        case "Plan":
            state = str(entry.after.get("state", ""))
            text = _STEPS.get(state, "moved {subject} to " + state.lower()).format(subject=subject)
            text = f"opened {subject}" if not entry.before else text
        case "Decision":
            verdict = str((entry.after or entry.before).get("decision", ""))
            text = (
                "withdrew the decision on" if entry.action == "withdrawn" else _VERDICTS.get(verdict, verdict.lower())
            )
            quote = entry.subject
        case "Signature":
            text = f"put the signature under {subject}, SHA-256 {str(entry.after.get('sha256', ''))[:12]}…"
        case "Comment":
            text, quote = f"said about {subject}", str(entry.after.get("text", ""))
        case "House rule":
            text, quote = _rule_said(entry, units), str(entry.after.get("reason") or "")
        case _:
            text = _moved(entry, units) or _SENTENCES.get(
                (entry.what, entry.action), f"{entry.action} the {entry.what.lower()} {{subject}}"
            ).format(subject=subject, where=entry.where or "a wall")
    return Line(text, _changes(entry, units), quote, entry.note)


def _named(entry: TrailEntry) -> str:
    if entry.what in ("Plan", "Signature"):
        return entry.subject[:1].lower() + entry.subject[1:]
    if entry.what == "On the wall":
        return f"the {entry.subject.replace('_', ' ')}"
    return f"“{entry.subject}”" if entry.what in ("Piece", "Work") else entry.subject


def _moved(entry: TrailEntry, units: Units) -> str:
    """How far a piece went, in words; empty where it was not only moved."""
    if (
        entry.what != "Piece"
        or entry.action != "changed"
        or not set(entry.before) | set(entry.after) <= {"left_mm", "bottom_mm"}
    ):
        return ""
    right, up = (
        float(entry.after.get(field) or 0.0) - float(entry.before.get(field) or 0.0)
        for field in ("left_mm", "bottom_mm")
    )
    step = step_in_words(right, up, units, least=0.05)
    return f"moved {_named(entry)} on {entry.where or 'its wall'} {step}" if step else ""


def _rule_said(one: TrailEntry, units: Units) -> str:
    rule, _, name = one.subject.partition(".")
    entry = entry_of(rule)
    limit = next((each for each in entry.numbers if each.name == name), None) if entry else None
    title = entry.title if entry else rule

    def shown(value: Any) -> str:
        return said(float(value), limit, units) if limit and value is not None else f"{value}"

    label = f"{title}{f' ({limit.label})' if limit else ''}{f' for {one.where}' if one.where else ''}"
    if one.action == "added":
        return f"set {label} to {shown(one.after.get('value'))}"
    if one.action == "removed":
        return f"took {label} back from {shown(one.before.get('value'))} to what it was before"
    if "value" in one.after:
        return f"changed {label} from {shown(one.before.get('value'))} to {shown(one.after['value'])}"
    return f"gave another reason for {label}"


def _changes(entry: TrailEntry, units: Units) -> tuple[Change, ...]:
    if entry.what in ("House rule", "Plan", "Decision", "Signature", "Comment"):
        return ()
    found = []
    for name in dict.fromkeys((*entry.before, *entry.after)):
        in_sentence = name in ("wall", "name", "title", "label") and entry.action != "changed"
        if name in _UNSAID or in_sentence:
            continue
        shown = name.removesuffix("_mm").removesuffix("_kg")
        found.append(
            Change(
                _NAMES.get(shown, shown.replace("_", " ")),
                value_said(name, entry.before.get(name), units),
                value_said(name, entry.after.get(name), units),
            )
        )
    return tuple(found)


def value_said(name: str, value: Any, units: Units) -> str:
    """A value of a history row as people write it."""
    if value in (None, "", [], {}):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float) and name.endswith("_mm"):
        return units.length(value)
    if isinstance(value, int | float) and name.endswith("_kg"):
        return units.weight(value)
    if isinstance(value, float):
        return f"{value:g}°" if name.endswith("_deg") else f"{value:g}"
    if isinstance(value, list):
        return ", ".join(str(one) for one in value)
    return str(value).replace("_", " ") if name in ("hang_kind", "kind", "finish") else str(value)
