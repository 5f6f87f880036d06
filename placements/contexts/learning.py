"""What the studio learns, as its principal reads it: each rule's picture, its cases on a strip, what they suggest."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from placements.contexts.gauges import said
from placements.contexts.rules import picture_of
from placements.drawings.figures.strips import Case, Mark, draw_strip
from placements.engine.rulebook import Rulebook, catalogue
from placements.models import ReviewFinding, Verdict
from placements.selectors.decisions import SETTLED, deviation
from placements.selectors.learning import RuleRecord
from studio.units import Units

#: How far back the page looks [days]; nought is all.
PERIODS = ((0, "since the beginning"), (365, "in the last year"), (90, "in the last 90 days"))


@dataclass(frozen=True, slots=True)
class Share:
    """One stretch of a rule's bar, in per cent of the most broken rule's."""

    mark: Mark
    count: int
    x: float
    width: float


@dataclass(frozen=True, slots=True)
class RecordNote:
    record: RuleRecord
    open: int
    shares: tuple[Share, ...]
    picture: SafeString
    strip: SafeString
    now: str
    then: str
    examples: tuple[tuple[ReviewFinding, str], ...]


@dataclass(frozen=True, slots=True)
class Learned:
    """The page: those rules first whose numbers may not be the studio's."""

    notes: tuple[RecordNote, ...]
    broken: int
    accepted: int
    returned: int
    projects: int

    @property
    def open(self) -> int:
        return self.broken - self.accepted - self.returned

    @property
    def suggested(self) -> list[RecordNote]:
        return [note for note in self.notes if note.record.suggestion]

    @property
    def others(self) -> list[RecordNote]:
        return [note for note in self.notes if not note.record.suggestion]


def learned(records: Sequence[RuleRecord], given: dict[str, dict[str, float]], units: Units) -> Learned:
    """The records as the page shows them; `given` are the studio's own numbers."""
    book, entries = Rulebook(given), {entry.id: entry for entry in catalogue()}
    most = max((record.broken for record in records), default=1)
    notes = tuple(
        RecordNote(
            record=record,
            open=record.broken - record.decided,
            shares=_shares(record, most),
            picture=picture_of(entries[record.rule], book, units) if record.rule in entries else mark_safe(""),
            strip=strip_of(record, units),
            now=said(record.suggestion.now, record.suggestion.unit, units) if record.suggestion else "",
            then=said(record.suggestion.value, record.suggestion.unit, units) if record.suggestion else "",
            examples=tuple(
                (case, said(case.measured, case.unit, units) if case.measured is not None else "")
                for case in record.cases[:3]
            ),
        )
        for record in records
    )
    projects = {case.wall.room.project_id for record in records for case in record.cases}
    return Learned(
        notes,
        sum(record.broken for record in records),
        sum(record.accepted for record in records),
        sum(record.returned for record in records),
        len(projects),
    )


def _shares(record: RuleRecord, most: int) -> tuple[Share, ...]:
    counts: tuple[tuple[Mark, int], ...] = (
        ("accepted", record.accepted), ("returned", record.returned), ("open", record.broken - record.decided),
    )  # fmt: skip
    found, x = [], 0.0
    for mark, count in counts:
        width = 100 * count / most
        if count:
            found.append(Share(mark, count, x, width))
        x += width
    return tuple(found)


def strip_of(record: RuleRecord, units: Units) -> SafeString:
    """The cases against the band they were judged by; empty where the rule measures nothing.

    Where the band is another from case to case, as with what each wall holds, the axis counts from its end.
    """
    cases = [(finding, finding.measured) for finding in record.cases if finding.measured is not None]
    if not cases:
        return mark_safe("")
    unit = cases[0][0].unit
    (band, often), *_ = Counter((finding.low, finding.high) for finding, _ in cases).most_common(1)
    if often * 2 > len(cases) and band != (None, None):
        low, high = band
        marked = [Case(measured, mark_of(finding)) for finding, measured in cases]
        suggested = record.suggestion.value if record.suggestion else None

        def on_axis(value: float) -> str:
            return said(value, unit, units)

    else:
        away = [(finding, deviation(finding)) for finding, _ in cases]
        marked = [Case(by, mark_of(finding)) for finding, by in away if by is not None]
        if not marked:
            return mark_safe("")
        over = sum(case.value for case in marked) >= 0
        low, high, suggested = (None, 0.0, None) if over else (0.0, None, None)

        def on_axis(value: float) -> str:
            return f"{said(abs(value), unit, units)} {'over' if value > 0 else 'short'}" if value else "allowed"

    # Only numbers and units of our own setting come in.
    return mark_safe(draw_strip(record.rule, record.title, marked, low, high, on_axis, suggested))


def mark_of(finding: ReviewFinding) -> Mark:
    verdict = getattr(finding, "verdict", None)
    return "accepted" if verdict in SETTLED else "returned" if verdict == Verdict.RETURN else "open"
