"""In whose place somebody may decide and sign."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from django.db.models import F, Q, QuerySet
from django.utils import timezone

from placements.access import PRINCIPAL, role_in
from placements.models import Delegation, ReviewFinding, SignOff, Verdict
from studio.models import Project, Role, Studio, User
from studio.reader import zone_for

from .decisions import deviation


def in_force(day: dt.date | None = None) -> QuerySet[Delegation]:
    """Every delegation that holds on a day, today by default; one ends with either person's place in the studio."""
    day = day or timezone.localdate()
    return (
        Delegation.objects.filter(
            first_day__lte=day,
            last_day__gte=day,
            ended_at=None,
            principal__is_active=True,
            principal__memberships__studio=F("studio"),
            principal__memberships__role=Role.PRINCIPAL,
            deputy__memberships__studio=F("studio"),
        )
        .select_related("principal", "deputy", "project", "studio")
        .order_by("first_day", "pk")
        .distinct()
    )


def delegations_in_hand(user: User) -> Iterator[tuple[int, int | None]]:
    """The studio and the project (None for all) of each delegation to the user that holds today."""
    if Delegation.objects.filter(deputy=user, ended_at=None).exists():
        rows = in_force(timezone.localdate(timezone=zone_for(user))).filter(deputy=user)
        yield from rows.values_list("studio", "project")


def delegations_to(user: User, project: Project) -> list[Delegation]:
    """By which the user may act on a project's plans today, by the user's own clock."""
    if not user.is_authenticated:
        return []
    rows = in_force(timezone.localdate(timezone=zone_for(user)))
    return list(rows.filter(Q(project=None) | Q(project=project), deputy=user, studio=project.client.studio))


def may_review(user: User, project: Project) -> bool:
    """Whether the user decides exceptions of a project's plans: as a principal, or for one."""
    return role_in(user=user, studio=project.client.studio) in PRINCIPAL or bool(delegations_to(user, project))


def may_sign(user: User, project: Project) -> bool:
    if role_in(user=user, studio=project.client.studio) in PRINCIPAL:
        return True
    return any(one.may_sign for one in delegations_to(user, project))


def why_not(delegation: Delegation, finding: ReviewFinding, verdict: str) -> str | None:
    """What keeps a deputy from giving this verdict on a finding, in words; None where nothing does."""
    if verdict == Verdict.RETURN:
        return None
    if verdict != Verdict.ACCEPT:
        return "what holds for a whole project"
    if delegation.rules and finding.rule not in delegation.rules:
        return "this rule"
    most = {"mm": delegation.most_mm, "ratio": delegation.most_share}.get(finding.unit)
    if most is None:
        limited = delegation.most_mm is not None or delegation.most_share is not None
        return "what is not measured in lengths or shares" if limited and finding.unit not in ("mm", "ratio") else None
    return "anything so far out" if abs(deviation(finding) or 0.0) > most + 1e-6 else None


def delegations_of(studio: Studio) -> QuerySet[Delegation]:
    """All that were ever given in a studio, those that hold first."""
    rows = Delegation.objects.filter(studio=studio).select_related("principal", "deputy", "project")
    return rows.order_by(F("ended_at").asc(nulls_first=True), "-first_day", "-pk")


def signed_for(signature: SignOff) -> str:
    """In whose name a plan was signed, where it was not the signer's own."""
    return str(signature.in_name_of) if signature.in_name_of else ""
