"""What the studio learns from its own decisions: rules often broken and as often accepted, and what would fit."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from placements.engine.rule import Limit
from placements.engine.rulebook import catalogue
from placements.models import HouseRule, ReviewFinding, Verdict
from studio.models import Studio

from .decisions import SETTLED, AnsweredFinding, deviation, with_verdicts

#: Fewer decisions than this suggest nothing: a habit needs more than a case or two.
LEAST_EVIDENCE = 5
#: From this share of acceptances on, the rule is at odds with what the studio does.
ACCEPTED_SHARE = 0.8


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A changed limit, and how many of the accepted exceptions it would have spared the studio."""

    rule: str
    limit: str
    label: str
    unit: str
    now: float
    value: float
    spared: int
    accepted: int


@dataclass(frozen=True, slots=True)
class RuleRecord:
    """How often a rule was broken and what was decided, over the studio's sent plans; `cases` the newest first."""

    rule: str
    title: str
    broken: int
    accepted: int
    returned: int
    projects: int
    cases: tuple[ReviewFinding, ...]
    suggestion: Suggestion | None

    @property
    def decided(self) -> int:
        return self.accepted + self.returned

    @property
    def accepted_share(self) -> float:
        return self.accepted / self.decided if self.decided else 0.0


def rule_records(studio: Studio, *, since: dt.datetime | None = None) -> list[RuleRecord]:
    """One record a rule that was broken (since then), the most broken first; two queries."""
    broken = ReviewFinding.objects.filter(revision__plan__project__client__studio=studio, level="exception")
    findings = list(
        with_verdicts(broken if since is None else broken.filter(created_at__gte=since))
        .select_related("wall__room__project", "revision")
        .order_by("-created_at", "-pk")
    )
    once: dict[str, list[AnsweredFinding]] = {}
    seen: set[tuple[int, str]] = set()
    for finding in findings:  # the same finding in a later revision is no second case
        if (finding.revision.plan_id, finding.key) not in seen:
            seen.add((finding.revision.plan_id, finding.key))
            once.setdefault(finding.rule, []).append(finding)
    ours = {(row.rule, row.limit): row.value for row in HouseRule.objects.filter(studio=studio, project=None)}
    known = {entry.id: entry for entry in catalogue()}
    records = [
        RuleRecord(
            rule=rule,
            title=known[rule].title if rule in known else rule,
            broken=len(rows),
            accepted=sum(1 for finding in rows if finding.verdict in SETTLED),
            returned=sum(1 for finding in rows if finding.verdict == Verdict.RETURN),
            projects=len({finding.wall.room.project_id for finding in rows}),
            cases=tuple(rows),
            suggestion=_suggest(rule, rows, known[rule].limits, ours) if rule in known else None,
        )
        for rule, rows in once.items()
    ]
    return sorted(records, key=lambda record: (-record.broken, record.rule))


def _suggest(
    rule: str, rows: Iterable[AnsweredFinding], limits: tuple[Limit, ...], ours: dict[tuple[str, str], float]
) -> Suggestion | None:
    """The nearest end of the band, moved to where most of what was accepted lies.

    The value is the one that three in four of the accepted exceptions on that side keep to, held inside the limit's
    own range. Only limits called `low…` and `high…` that the findings were measured against are moved.
    """
    decided = [finding for finding in rows if finding.verdict in SETTLED or finding.verdict == Verdict.RETURN]
    accepted = [finding for finding in decided if finding.verdict in SETTLED]
    if len(accepted) < LEAST_EVIDENCE or len(accepted) < ACCEPTED_SHARE * len(decided):
        return None
    sides = {
        "low": [finding for finding in accepted if (deviation(finding) or 0.0) < 0],
        "high": [finding for finding in accepted if (deviation(finding) or 0.0) > 0],
    }
    side, cases = max(sides.items(), key=lambda pair: len(pair[1]))
    if len(cases) < LEAST_EVIDENCE:
        return None
    bound = [getattr(finding, side) for finding in cases]
    for limit in limits:
        now = ours.get((rule, limit.name), limit.default)
        matches = limit.name.startswith(side) and any(abs(given - now) < 1e-6 for given in bound)
        if not matches or limit.unit != cases[0].unit:
            continue
        measured = sorted(
            (finding.measured for finding in cases if finding.measured is not None), reverse=side == "low"
        )
        value = measured[min(len(measured) - 1, int(len(measured) * 0.75))]
        value = min(max(_round_out(value, limit.unit, side), limit.low), limit.high)
        spared = sum(1 for one in measured if (one >= value if side == "low" else one <= value))
        if abs(value - now) < 1e-9 or not spared:
            return None
        return Suggestion(rule, limit.name, limit.label, limit.unit, now, value, spared, len(accepted))
    return None


def _round_out(value: float, unit: str, side: str) -> float:
    """A number that people would write down, no tighter than `value`: whole half inches, or hundredths."""
    step = 12.7 if unit == "mm" else 0.01
    whole = value / step
    rounded = int(whole) if side == "low" or whole == int(whole) else int(whole) + 1
    return round(rounded * step, 6)
