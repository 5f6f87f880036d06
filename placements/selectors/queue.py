"""What waits for the principal, across all projects."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from django.db.models import Exists, OuterRef, Q, QuerySet

from placements.models import Decision, ReviewFinding, Revision, RevisionState, Transition
from studio.access import visible
from studio.models import Role, Studio, User

from .decisions import ASKING, SETTLED, AnsweredFinding, reaches, severity, with_verdicts
from .delegations import delegations_in_hand


@dataclass(frozen=True)
class Matter:
    """What is decided at once: the exceptions and stops of the same pieces on one wall, the heaviest first."""

    findings: tuple[AnsweredFinding, ...]

    @property
    def first(self) -> AnsweredFinding:
        return self.findings[0]

    @property
    def has_stop(self) -> bool:
        return any(finding.level == "stop" for finding in self.findings)

    @property
    def exceptions(self) -> tuple[AnsweredFinding, ...]:
        return tuple(finding for finding in self.findings if finding.level == "exception")

    @property
    def is_decided(self) -> bool:
        return all(finding.verdict for finding in self.findings)

    @property
    def is_returned(self) -> bool:
        return any(finding.verdict == "return" for finding in self.findings)


@dataclass(frozen=True)
class PlanInReview:
    """A plan in review with what is to be decided: stops first, then what costs most."""

    revision: Revision
    matters: tuple[Matter, ...]
    sent: Transition | None

    @property
    def findings(self) -> tuple[AnsweredFinding, ...]:
        return tuple(finding for matter in self.matters for finding in matter.findings)

    def like(self, matter: Matter) -> tuple[AnsweredFinding, ...]:
        """The undecided exceptions of other pieces that are no worse than one of this matter's: by the same rule, on
        the same side, no further out."""
        return tuple(
            finding
            for finding in self.undecided
            if finding not in matter.findings and any(reaches(ours, finding) for ours in matter.exceptions)
        )

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
    """How many exceptions wait for this principal's or deputy's decision; nought for everybody else.

    Every page asks: two small queries for most people, a third for those who decide.
    """
    mine = Q(revision__plan__project__client__studio__in=list(principal_studios(user).values_list("pk", flat=True)))
    given = list(delegations_in_hand(user))
    mine |= Q(revision__plan__project__client__studio__in=[studio for studio, project in given if project is None])
    mine |= Q(revision__plan__project__in=[project for _, project in given if project is not None])
    decided = Decision.objects.filter(finding=OuterRef("pk"), withdrawn_at=None)
    waiting = ReviewFinding.objects.filter(
        mine, ~Exists(decided), revision__state=RevisionState.IN_REVIEW, corrected_at=None, level__in=ASKING
    )
    return waiting.count()


def _with_findings(revisions: list[Revision]) -> list[PlanInReview]:
    findings = (
        with_verdicts(ReviewFinding.objects.filter(revision__in=revisions, corrected_at=None, level__in=ASKING))
        .select_related("wall__room")
        .prefetch_related("artworks")
        .order_by("revision", "wall__room__position", "wall__room", "wall__position", "wall", "rule", "pk")
    )
    by_revision = {pk: _matters(group) for pk, group in groupby(findings, key=lambda one: one.revision_id)}
    sent: dict[int, Transition] = {}
    steps = Transition.objects.filter(revision__in=revisions, to_state=RevisionState.IN_REVIEW).select_related("by")
    for step in steps.order_by("created_at", "pk"):
        sent[step.revision_id] = step
    return [PlanInReview(revision, by_revision.get(revision.pk, ()), sent.get(revision.pk)) for revision in revisions]


def _matters(findings: Iterable[AnsweredFinding]) -> tuple[Matter, ...]:
    """The findings of one revision, in room and wall order, as they are decided."""
    together: dict[tuple[object, ...], list[AnsweredFinding]] = {}
    for finding in findings:
        works = tuple(sorted(artwork.pk for artwork in finding.artworks.all()))
        together.setdefault((finding.wall_id, works) if works else (finding.pk,), []).append(finding)
    matters = [Matter(tuple(sorted(group, key=_heaviest_first))) for group in together.values()]
    return tuple(sorted(matters, key=lambda matter: _heaviest_first(matter.first)))


def _heaviest_first(finding: AnsweredFinding) -> tuple[bool, float]:
    return finding.level != "stop", -severity(finding)
