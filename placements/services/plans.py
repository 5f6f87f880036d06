"""Opening revisions of a plan."""

from __future__ import annotations

from django.db import transaction
from simple_history.utils import bulk_create_with_history

from placements import access
from placements.models import EDITABLE_STATES, Bare, Placement, Plan, Revision, RevisionState, Transition
from studio.models import Project, User


@transaction.atomic
def plan_open(*, project: Project) -> Plan:
    """The project's plan, made when first asked for, and locked until the transaction ends."""
    plan, _ = Plan.objects.get_or_create(project=project)
    return Plan.objects.select_for_update().get(pk=plan.pk)


@transaction.atomic
def revision_open(*, by: User, project: Project) -> Revision:
    """The project's open revision; when there is none, a new draft that starts from the newest one.

    A signed revision is never edited: this is how a later change begins.
    """
    access.require(by=by, studio=project.client.studio, roles=access.DESIGN, to="change a plan")
    plan = plan_open(project=project)
    newest = plan.revisions.order_by("-number").first()
    if newest is not None and newest.state in EDITABLE_STATES:
        return newest
    revision = Revision.objects.create(
        plan=plan, number=newest.number + 1 if newest else 1, based_on=newest, opened_by=by
    )
    note = ""
    if newest is not None:
        _copy_walls(source=newest, target=revision, by=by)
        note = f"Starts from revision {newest.number}."
    Transition.objects.create(revision=revision, to_state=RevisionState.DRAFT, by=by, note=note)
    return revision


def _copy_walls(*, source: Revision, target: Revision, by: User) -> None:
    kept = ("wall_id", "artwork_id", "space", "group", "left_mm", "bottom_mm", "order", "locked", "why")
    bulk_create_with_history(
        [
            Placement(revision=target, **{name: getattr(placement, name) for name in kept})
            for placement in source.placements.all()
        ],
        Placement,
        default_user=by,
        default_change_reason=f"copied from revision {source.number}",
    )
    Bare.objects.bulk_create(
        Bare(
            revision=target, wall_id=bare.wall_id, space=bare.space, reason=bare.reason, chosen_by_id=bare.chosen_by_id
        )
        for bare in source.bares.all()
    )
