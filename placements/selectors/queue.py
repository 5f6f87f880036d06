"""What waits for the principal, across all projects."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from django.db.models import QuerySet

from placements.models import ReviewFinding, Revision, RevisionState, Transition
from studio.access import visible
from studio.models import Role, Studio, User

from .decisions import ASKING, SETTLED, AnsweredFinding, with_verdicts


@dataclass(frozen=True)
class PlanInReview:
    """A plan in review with its exceptions and stops in room and wall order, each with its `verdict`."""

    revision: Revision
    findings: tuple[AnsweredFinding, ...]
    sent: Transition | None

    @property
    def undecided(self) -> tuple[AnsweredFinding, ...]:
        return tuple(finding for finding in self.findings if finding.verdict is None)

    @property
    def returned(self) -> tuple[AnsweredFinding, ...]:
        return tuple(finding for finding in self.findings if finding.verdict == "return")

    @property
    def settled(self) -> tuple[AnsweredFinding, ...]:
        return tuple(finding for finding in self.findings if finding.verdict in SETTLED)

    @property
    def stops(self) -> tuple[AnsweredFinding, ...]:
        return tuple(finding for finding in self.findings if finding.level == "stop")

    @property
    def is_decided(self) -> bool:
        return not self.undecided

    @property
    def can_be_signed(self) -> bool:
        return self.is_decided and not self.returned and not self.stops


def principal_studios(user: User) -> QuerySet[Studio]:
    return Studio.objects.filter(memberships__user=user, memberships__role=Role.PRINCIPAL)


def plans_in_review(user: User, *, studio: Studio | None = None) -> list[PlanInReview]:
    """Every plan in review that the user may see, the longest waiting first; three queries."""
    revisions = visible(user, Revision).filter(state=RevisionState.IN_REVIEW)
    if studio is not None:
        revisions = revisions.filter(plan__project__client__studio=studio)
    rows = list(revisions.select_related("plan__project__client__studio", "opened_by").order_by("updated_at", "pk"))
    return _with_findings(rows)


def plan_in_review(revision: Revision) -> PlanInReview:
    """One revision with its exceptions and stops, in whatever state it is."""
    return _with_findings([revision])[0]


def queue_count(user: User) -> int:
    """How many exceptions wait for this principal's decision; nought for everybody else."""
    findings = ReviewFinding.objects.filter(
        revision__state=RevisionState.IN_REVIEW,
        revision__plan__project__client__studio__in=principal_studios(user),
        corrected_at=None,
        level__in=ASKING,
    )
    return with_verdicts(findings).filter(verdict=None).count()


def _with_findings(revisions: list[Revision]) -> list[PlanInReview]:
    findings = (
        with_verdicts(ReviewFinding.objects.filter(revision__in=revisions, corrected_at=None, level__in=ASKING))
        .select_related("wall__room")
        .prefetch_related("artworks")
        .order_by("revision", "wall__room__position", "wall__room", "wall__position", "wall", "rule", "pk")
    )
    by_revision = {pk: tuple(group) for pk, group in groupby(findings, key=lambda one: one.revision_id)}
    sent: dict[int, Transition] = {}
    steps = Transition.objects.filter(revision__in=revisions, to_state=RevisionState.IN_REVIEW).select_related("by")
    for step in steps.order_by("created_at", "pk"):
        sent[step.revision_id] = step
    return [PlanInReview(revision, by_revision.get(revision.pk, ()), sent.get(revision.pk)) for revision in revisions]
