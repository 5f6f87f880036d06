"""What was decided: the newest decision of each finding, standing decisions, similar past ones."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, TypedDict

from django.db.models import Count, F, OuterRef, Q, QuerySet, Subquery

from placements.engine.rulebook import Rulebook
from placements.models import Decision, ReviewFinding, Revision, Verdict
from studio.models import Project, Studio

ASKING = ("exception", "stop")
#: By whose weights exceptions are put in order: the same in every project.
USUAL = Rulebook()
SETTLED = (Verdict.ACCEPT, Verdict.ACCEPT_PROJECT, Verdict.RULE_CHANGED)


class Answered(TypedDict):
    """What `with_verdicts` adds to a finding."""

    verdict: str | None
    decision_id: int | None


if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

    AnsweredFinding = WithAnnotations[ReviewFinding, Answered]
else:
    AnsweredFinding = ReviewFinding


def with_verdicts(findings: QuerySet[ReviewFinding]) -> QuerySet[AnsweredFinding]:
    """Each finding with `verdict` and `decision_id` of its newest decision that was not withdrawn, None without."""
    newest = Decision.objects.filter(finding=OuterRef("pk"), withdrawn_at=None).order_by("-created_at", "-pk")
    return findings.annotate(
        verdict=Subquery(newest.values("verdict")[:1]), decision_id=Subquery(newest.values("pk")[:1])
    )


def live_findings(revision: Revision) -> QuerySet[AnsweredFinding]:
    """The findings of a revision that still arise, with their verdicts, in room and wall order."""
    return (
        with_verdicts(revision.findings.filter(corrected_at=None))
        .select_related("wall__room")
        .order_by("wall__room__position", "wall__room", "wall__position", "wall", "rule", "pk")
    )


def unsettled(live: Iterable[AnsweredFinding]) -> list[AnsweredFinding]:
    """Which of these keep a revision from being signed: undecided or returned exceptions, every stop."""
    return [row for row in live if row.level == "stop" or (row.level == "exception" and row.verdict not in SETTLED)]


def standing_decisions(project: Project) -> list[Decision]:
    """The decisions taken for the whole project that still stand, the newest first."""
    return list(_standing().filter(finding__revision__plan__project=project))


def standing_in(studio: Studio) -> list[Decision]:
    """The same of every project of a studio, each with how many exceptions follow it: `reached`."""
    rows = _standing().filter(finding__revision__plan__project__client__studio=studio)
    reached = Count("followers", filter=Q(followers__withdrawn_at=None), distinct=True)
    return list(rows.annotate(reached=reached).order_by("finding__revision__plan__project__name", "-created_at", "-pk"))


def _standing() -> QuerySet[Decision]:
    newest = Decision.objects.filter(finding=OuterRef("finding"), withdrawn_at=None).order_by("-created_at", "-pk")
    return (
        Decision.objects.filter(verdict=Verdict.ACCEPT_PROJECT, withdrawn_at=None)
        .annotate(newest=Subquery(newest.values("pk")[:1]))
        .filter(newest=F("pk"))
        .select_related("finding__wall__room__project", "finding__revision", "by", "in_name_of")
        .order_by("-created_at", "-pk")
    )


def similar_decisions(*, finding: ReviewFinding, studio: Studio, most: int = 6) -> list[Decision]:
    """What this studio decided of the same rule before, the nearest in measure first, then the newest."""
    rows = list(
        Decision.objects.filter(
            finding__revision__plan__project__client__studio=studio,
            finding__rule=finding.rule,
            finding__level="exception",
            withdrawn_at=None,
            basis=None,
        )
        .exclude(finding=finding)
        .select_related("finding__wall__room__project", "finding__revision", "by")
        .order_by("-created_at", "-pk")[:200]
    )
    ours = deviation(finding)

    def distance(decision: Decision) -> float:
        theirs = deviation(decision.finding)
        if ours is None or theirs is None:
            return 0.0 if ours is theirs else float("inf")
        return abs(ours - theirs)

    return sorted(rows, key=distance)[:most]


def severity(finding: ReviewFinding) -> float:
    """How much of a place's score a finding costs, 0-1: the most that its rule can cost, by how far out it measured.

    Half of that is lost one `reach` beyond the band; what measures nothing counts in full.
    """
    if finding.rule not in USUAL.all_limits:
        return 0.0
    reach = getattr(USUAL.limits(finding.rule), "reach", 0.0)
    out = abs(deviation(finding) or 0.0)
    return USUAL.most_lost(finding.rule) * (out / (out + reach) if out and reach else 1.0)


def reaches(accepted: ReviewFinding, finding: ReviewFinding) -> bool:
    """Whether what was accepted of one finding holds for another: the same rule, the same side, no further out."""
    if accepted.rule != finding.rule or finding.level != "exception":
        return False
    ours, theirs = deviation(finding), deviation(accepted)
    if ours is None or theirs is None:
        return ours is None and theirs is None
    return ours * theirs > 0 and abs(ours) <= abs(theirs) + 1e-6


def deviation(finding: ReviewFinding) -> float | None:
    """How far outside its band a finding measured, in its own unit: negative below, positive above, None unknown."""
    if finding.measured is None:
        return None
    if finding.low is not None and finding.measured < finding.low:
        return finding.measured - finding.low
    if finding.high is not None and finding.measured > finding.high:
        return finding.measured - finding.high
    return 0.0 if finding.low is not None or finding.high is not None else None
