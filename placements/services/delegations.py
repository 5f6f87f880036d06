"""Deputies: who decides and signs in a principal's place, from when to when, for what, how far."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from placements import access
from placements.engine.rulebook import entry_of
from placements.models import Delegation, ReviewFinding
from placements.selectors.delegations import delegations_to, why_not
from studio.errors import Conflict, Invalid, NotAllowed
from studio.models import Project, Role, Studio, User

from .notices import notice_send

#: The longest that somebody may be a deputy without being named again.
LONGEST = dt.timedelta(days=366)


@transaction.atomic
def delegation_make(
    *,
    by: User,
    studio: Studio,
    deputy: User,
    first_day: dt.date,
    last_day: dt.date,
    project: Project | None = None,
    rules: Sequence[str] = (),
    most_mm: float | None = None,
    most_share: float | None = None,
    may_sign: bool = False,
) -> Delegation:
    """Let a member of the studio decide in the principal's place; the deputy is told.

    rules : ids of the rules whose exceptions the deputy may accept, all where it is empty
    most_mm, most_share : how far out of their bands they may be [mm; 0-1], None for any distance

    Raises:
        Invalid: the days are in the wrong order, past or too far apart; a rule, a project or a person is not the
            studio's.
        NotAllowed: by role.
    """
    access.require(by=by, studio=studio, roles=access.PRINCIPAL, to="name a deputy")
    faults = []
    role = access.role_in(user=deputy, studio=studio)
    if role not in (Role.DESIGNER, Role.COORDINATOR):
        faults.append({"where": "deputy", "detail": f"{deputy} is no designer or coordinator of {studio}."})
    if last_day < first_day or last_day < timezone.localdate():
        faults.append({"where": "last_day", "detail": "The last day must not lie before the first, nor before today."})
    elif last_day - first_day > LONGEST:
        faults.append({"where": "last_day", "detail": "At most a year at a time."})
    if project is not None and project.client.studio_id != studio.pk:
        faults.append({"where": "project", "detail": f"That is no project of {studio}."})
    faults += [{"where": "rules", "detail": f"There is no rule “{name}”."} for name in rules if entry_of(name) is None]
    for name, most in (("most_mm", most_mm), ("most_share", most_share)):
        if most is not None and most < 0:
            faults.append({"where": name, "detail": "Nought or more."})
    if faults:
        raise Invalid(" ".join(fault["detail"] for fault in faults), faults=faults)
    made = Delegation.objects.create(
        studio=studio,
        principal=by,
        deputy=deputy,
        project=project,
        rules=sorted(set(rules)),
        most_mm=most_mm,
        most_share=most_share,
        may_sign=may_sign,
        first_day=first_day,
        last_day=last_day,
    )
    notice_send(
        studio=studio,
        to=[deputy],
        by=by,
        text=f"{by} made you deputy for {project or 'all projects'} from {first_day:%-d %b} to {last_day:%-d %b %Y}.",
        url=reverse("review_queue"),
    )
    return made


@transaction.atomic
def delegation_end(*, by: User, delegation: Delegation) -> Delegation:
    """End it now; what was decided by it stays decided."""
    access.require(by=by, studio=delegation.studio, roles=access.PRINCIPAL, to="end a deputy’s time")
    locked = Delegation.objects.select_for_update().select_related("studio", "deputy").get(pk=delegation.pk)
    if locked.ended_at is not None:
        raise Conflict("This has ended already.")
    locked.ended_at = timezone.now()
    locked.save(update_fields=["ended_at", "updated_at"])
    notice_send(
        studio=locked.studio,
        to=[locked.deputy],
        by=by,
        text=f"You are no longer deputy for {locked.project or 'all projects'}.",
        url=reverse("review_queue"),
    )
    return locked


def speaking_for(*, by: User, project: Project, findings: Sequence[ReviewFinding], verdict: str) -> User | None:
    """In whose name somebody gives a verdict: None in their own, as a principal.

    Raises:
        NotAllowed: neither a principal nor a deputy whose limits reach all of these findings.
    """
    studio = project.client.studio
    if access.role_in(user=by, studio=studio) in access.PRINCIPAL:
        return None
    given = delegations_to(by, project)
    if not given:
        access.require(by=by, studio=studio, roles=access.PRINCIPAL, to="decide an exception")
    refused = ""
    for delegation in given:
        reasons = [reason for finding in findings if (reason := why_not(delegation, finding, verdict))]
        if not reasons:
            return delegation.principal
        refused = f"As deputy of {delegation.principal} you cannot accept {reasons[0]}: leave it to a principal."
    raise NotAllowed(refused)


def signing_for(*, by: User, project: Project) -> User | None:
    """In whose name somebody signs a plan: None in their own, as a principal.

    Raises:
        NotAllowed: neither a principal nor a deputy who may sign.
    """
    if access.role_in(user=by, studio=project.client.studio) in access.PRINCIPAL:
        return None
    for delegation in delegations_to(by, project):
        if delegation.may_sign:
            return delegation.principal
    raise NotAllowed(f"Only a principal of {project.client.studio}, or a deputy who may sign, can sign a plan.")
