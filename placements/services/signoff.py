"""Signing a plan: once, by a principal, with every exception decided, over bytes that never change."""

from __future__ import annotations

from collections.abc import Sequence

from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from placements.engine.rulebook import Rulebook
from placements.models import Revision, SignOff
from placements.scenes import ProjectScene, placed_scene
from placements.selectors.assessments import plan_found
from placements.selectors.decisions import AnsweredFinding, unsettled
from placements.snapshots import Signer, sha256_of, snapshot_text
from studio.errors import WrongState
from studio.models import Artwork, Role, User, Wall
from studio.reader import units_of
from studio.words import sentence

from .delegations import signing_for
from .findings import findings_refresh
from .lifecycle import STEPS, revision_lock, step_begin, step_end
from .notices import notice_send, people_with


def sign_off(*, by: User, revision: Revision, statement: str = "") -> SignOff:
    """Sign a plan in review and freeze it, in a principal's name where a deputy signs.

    The walls are judged once more under the lock: what the survey or the house rules brought up since the plan was
    sent is stored as new findings, and refuses the signature.

    Raises:
        WrongState: not in review, or an exception is undecided or returned, or a stop remains.
    """
    with transaction.atomic():
        locked = revision_lock(revision_id=revision.pk)
        project = locked.plan.project
        principal = signing_for(by=by, project=project)
        step_begin(revision=locked, name="sign", by=by if principal is None else None)
        _hold_survey_still(locked)
        scene = placed_scene(locked)
        found = plan_found(revision=locked, words=units_of(project), scene=scene)
        live = findings_refresh(revision=locked, found=found)
        in_the_way = unsettled(live)
        if not in_the_way:
            return _sign(locked, scene, live, by, principal, statement)
    # Outside the transaction: what the fresh look found stays stored, and is now in the queue.
    raise WrongState(
        f"{project} cannot be signed yet: {len(in_the_way)} of its findings must be settled first.",
        faults=[{"where": str(finding.wall), "detail": f"{_why(finding)}: {finding.text}"} for finding in in_the_way],
    )


def _sign(
    revision: Revision,
    scene: ProjectScene,
    live: Sequence[AnsweredFinding],
    by: User,
    principal: User | None,
    statement: str,
) -> SignOff:
    at, statement = timezone.now(), statement.strip()
    signer = Signer(by, principal, at.isoformat(), statement)
    revision.snapshot = snapshot_text(revision=revision, scene=scene, findings=live, signer=signer)
    revision.sha256 = sha256_of(revision.snapshot)
    revision.rules_fingerprint = Rulebook.for_house(scene.house).fingerprint
    signature = SignOff(
        revision=revision, by=by, in_name_of=principal, name=str(by), sha256=revision.sha256, statement=statement, at=at
    )
    try:
        signature.save()
    except IntegrityError as error:  # the whole step is rolled back
        raise WrongState(f"Revision {revision.number} is signed already: open a new revision to change it.") from error
    step_end(revision=revision, step=STEPS["sign"], by=by, note=statement)
    _send_hash(revision, by, principal)
    return signature


def _send_hash(revision: Revision, by: User, principal: User | None) -> None:
    """To all who answer for the plan, the signer too: so the proof does not lie beside the record alone."""
    project = revision.plan.project
    whose = f" for {principal}" if principal else ""
    coordinators = people_with(studio=project.client.studio, roles=[Role.COORDINATOR])
    said = sentence(f"{by}{whose} signed revision {revision.number} of {project}")
    notice_send(
        studio=project.client.studio,
        to=[by, principal, project.designer, revision.opened_by, *coordinators],
        text=f"{said} SHA-256 of the record: {revision.sha256}",
        url=reverse("plan_review", args=[revision.pk]),
    )


def _hold_survey_still(revision: Revision) -> None:
    """Keep walls and works from changing between the last look and the signature: their writers wait."""
    list(Wall.objects.select_for_update(of=("self",)).filter(room__project=revision.plan.project_id).order_by("pk"))
    list(Artwork.objects.select_for_update(of=("self",)).filter(placements__revision=revision).order_by("pk"))


def _why(finding: AnsweredFinding) -> str:
    if finding.level == "stop":
        return "Cannot hang like this"
    return "Returned" if finding.verdict else "Not decided"
