"""Keeping a revision's stored findings true to what the engine says now, and decided what stays decided."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from django.utils import timezone

from placements.models import Decision, Finding, Revision, Verdict
from placements.selectors.assessments import KeyedFinding, plan_found, units_of
from placements.selectors.decisions import deviation, live_findings, standing_decisions
from studio.models import User

ACCEPTED = (Verdict.ACCEPT, Verdict.ACCEPT_PROJECT, Verdict.RULE_CHANGED)


def findings_refresh(
    *, revision: Revision, found: Iterable[KeyedFinding] | None = None, justifications: Mapping[str, str] | None = None
) -> list[Finding]:
    """Store what the engine finds now on a revision that the caller has locked; the caller's transaction.

    A finding that no longer arises is marked as mended and keeps its decisions. One that arises again is as it was.
    An exception that was accepted in an earlier revision, or that a decision for the whole project covers, is
    decided at once, with that decision as its basis.
    """
    found = plan_found(revision=revision, words=units_of(revision.plan.project)) if found is None else list(found)
    stored = {row.key: row for row in revision.findings.all()}
    now = timezone.now()
    gone = [row.pk for key, row in stored.items() if key not in {one.key for one in found} and row.mended_at is None]
    Finding.objects.filter(pk__in=gone).update(mended_at=now, updated_at=now)
    back = [stored[one.key].pk for one in found if one.key in stored and stored[one.key].mended_at is not None]
    Finding.objects.filter(pk__in=back).update(mended_at=None, updated_at=now)
    given = justifications or {}
    for one in found:
        row = stored.get(one.key)
        if row is None:
            row = Finding(revision=revision, key=one.key, justification=given.get(one.key, ""))
            _write(row, one)
            row.artworks.set(one.works)
        else:
            row.justification = given.get(one.key, row.justification)
            _write(row, one)
    _decide_again(revision)
    return list(live_findings(revision))


def _write(row: Finding, one: KeyedFinding) -> None:
    """The finding as the engine words it now: a changed house rule changes what is allowed, not what it is about."""
    finding, where = one.finding, one.finding.where
    row.wall_id = one.wall
    row.rule, row.level, row.text, row.space = finding.rule, finding.level, finding.text, finding.space or ""
    row.measured, row.low, row.high, row.unit = finding.measured, finding.low, finding.high, finding.unit
    row.where = [where.left, where.bottom, where.width, where.height] if where else None
    row.remedies = list(one.remedies) or row.remedies  # a later look asks for none: those on offer when sent stay
    row.save()


def _decide_again(revision: Revision) -> None:
    """Decide the undecided exceptions that an earlier decision of this project covers."""
    project = revision.plan.project
    undecided = [row for row in live_findings(revision) if row.level == "exception" and row.verdict is None]
    if not undecided:
        return
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
    for row in undecided:
        basis = earlier.get(row.key)
        if basis is not None and (row.pk, basis.pk) not in refused:
            _follow(row, basis, f"Accepted in revision {basis.finding.revision.number}.")
            continue
        covering = next((one for one in standing if covers(one, row) and (row.pk, one.pk) not in refused), None)
        if covering is not None:
            _follow(row, covering, "Accepted for the whole project.")


def covers(standing: Decision, finding: Finding) -> bool:
    """Whether a decision for the whole project reaches a finding: the same rule, no further out than was accepted."""
    accepted = standing.finding
    if accepted.rule != finding.rule or finding.level != "exception":
        return False
    ours, theirs = deviation(finding), deviation(accepted)
    if ours is None or theirs is None:
        return ours is None and theirs is None
    return ours * theirs > 0 and abs(ours) <= abs(theirs) + 1e-6


def _follow(finding: Finding, basis: Decision, reason: str) -> None:
    by: User | None = basis.by
    Decision.objects.create(finding=finding, verdict=Verdict.ACCEPT, reason=reason, by=by, basis=basis)
