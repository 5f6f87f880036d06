"""Keeping a revision's stored findings true to what the engine says now, and decided what stays decided."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django.utils import timezone

from placements.models import Decision, ReviewFinding, Revision, Verdict
from placements.selectors.assessments import KeyedFinding, plan_found
from placements.selectors.decisions import AnsweredFinding, live_findings, reaches, standing_decisions
from studio.reader import units_of

#: A finding's fields that a fresh look may change.
WRITTEN = (
    *("wall", "rule", "level", "text", "space", "measured", "low", "high", "unit", "limit", "where", "remedies"),
    *("corrected_at", "justification", "justified_at"),
)
ACCEPTED = (Verdict.ACCEPT, Verdict.ACCEPT_PROJECT, Verdict.RULE_CHANGED)


def findings_refresh(
    *, revision: Revision, found: Iterable[KeyedFinding] | None = None, justifications: Mapping[str, str] | None = None
) -> list[AnsweredFinding]:
    """Store what the engine finds now on a revision that the caller has locked; the caller's transaction.

    Only what differs is written. A finding that no longer arises is marked as corrected and keeps its decisions. One
    that arises again is as it was. An exception that was accepted in an earlier revision, or that a decision for the
    whole project covers, is decided at once, with that decision as its basis.
    """
    found = plan_found(revision=revision, words=units_of(revision.plan.project)) if found is None else list(found)
    stored = {row.key: row for row in revision.findings.all()}
    given, now = justifications or {}, timezone.now()
    wanted: dict[str, dict[str, Any]] = {key: {"corrected_at": row.corrected_at or now} for key, row in stored.items()}
    new: dict[str, ReviewFinding] = {}
    for finding in found:
        row = stored.get(finding.key) or new.setdefault(finding.key, ReviewFinding(revision=revision, key=finding.key))
        wanted[finding.key] = _fields(finding, row)
        if given.get(finding.key):
            wanted[finding.key] |= {"justification": given[finding.key], "justified_at": now}
    changed = [row for row in (*stored.values(), *new.values()) if _set(row, wanted[row.key])]
    _write([row for row in changed if row.pk], new, found, now)
    live = list(live_findings(revision))
    return list(live_findings(revision)) if _decide_again(revision, live) else live


def _fields(one: KeyedFinding, row: ReviewFinding) -> dict[str, Any]:
    """The finding as the engine words it now: a changed house rule changes what is allowed, not what it is about."""
    finding, where = one.finding, one.finding.where
    return {
        "wall_id": one.wall,
        "rule": finding.rule,
        "level": finding.level,
        "text": finding.text,
        "space": finding.space or "",
        "measured": finding.measured,
        "low": finding.low,
        "high": finding.high,
        "unit": finding.unit,
        "limit": finding.limit,
        "where": [where.left, where.bottom, where.width, where.height] if where else None,
        # A later look asks for none: those on offer when the plan was sent stay.
        "remedies": json.loads(json.dumps(one.remedies)) or row.remedies,
        "corrected_at": None,
    }


def _set(row: ReviewFinding, fields: Mapping[str, Any]) -> bool:
    """Give a row these values; whether any was another before."""
    changed = {name: value for name, value in fields.items() if getattr(row, name) != value}
    for name, value in changed.items():
        setattr(row, name, value)
    return bool(changed)


def _write(
    changed: list[ReviewFinding], new: Mapping[str, ReviewFinding], found: Iterable[KeyedFinding], now: datetime
) -> None:
    """Store what is new and what changed, in one statement for each kind."""
    ReviewFinding.objects.bulk_create(new.values())
    through = ReviewFinding.artworks.through
    through.objects.bulk_create(
        through(reviewfinding_id=new[finding.key].pk, artwork_id=work)
        for finding in found
        if finding.key in new
        for work in finding.works
    )
    for row in changed:
        row.updated_at = now
    if changed:
        ReviewFinding.objects.bulk_update(changed, [*WRITTEN, "updated_at"])


def _decide_again(revision: Revision, live: Iterable[AnsweredFinding]) -> bool:
    """Decide the undecided exceptions that an earlier decision of this project covers; whether there were any."""
    project = revision.plan.project
    undecided = [row for row in live if row.level == "exception" and row.verdict is None]
    if not undecided:
        return False
    earlier: dict[str, Decision] = {}
    for decision in (
        Decision.objects.filter(
            finding__revision__plan=revision.plan,
            finding__key__in=[row.key for row in undecided],
            verdict__in=ACCEPTED,
            withdrawn_at=None,
        )
        .exclude(finding__revision=revision)
        .select_related("finding__revision", "by")
        .order_by("created_at", "pk")
    ):
        earlier[decision.finding.key] = decision
    standing = standing_decisions(project)
    refused = set(
        Decision.objects.filter(finding__in=undecided).exclude(withdrawn_at=None).values_list("finding_id", "basis_id")
    )
    followed = []
    for row in undecided:
        basis = earlier.get(row.key)
        if basis is not None and (row.pk, basis.pk) not in refused:
            followed.append(_following(row, basis, f"Accepted in revision {basis.finding.revision.number}."))
            continue
        covering = next(
            (
                decision
                for decision in standing
                if reaches(decision.finding, row) and (row.pk, decision.pk) not in refused
            ),
            None,
        )
        if covering is not None:
            followed.append(_following(row, covering, "Accepted for the whole project."))
    Decision.objects.bulk_create(followed)
    return bool(followed)


def _following(finding: ReviewFinding, basis: Decision, reason: str) -> Decision:
    return Decision(finding=finding, verdict=Verdict.ACCEPT, reason=reason, by=basis.by, basis=basis)
