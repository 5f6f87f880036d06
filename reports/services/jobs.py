"""Writes: issue a job to a hanger, add and withdraw its links, close it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from placements.models import Revision, RevisionState
from placements.services.lifecycle import revision_step
from studio.access import OFFICE, require, studio_of
from studio.errors import Invalid, WrongState
from studio.models import User
from studio.tokens import new_token, token_hash

from .. import access
from ..contexts.progress import piece_states
from ..models import Job, JobAction, JobLink, Report, ReportKind
from ..selectors import SignedJob, by_placement, signed_job
from .carrying import carry_over, job_before
from .sheets import report_request


@dataclass(frozen=True, slots=True)
class Issued:
    """A job with the one showing of its link's token."""

    job: Job
    link: JobLink
    token: str

    @property
    def address(self) -> str:
        return access.link_address(self.token)


@transaction.atomic
def job_issue(
    *,
    by: User,
    revision: Revision,
    hanger_name: str,
    note: str = "",
    days: int | None = None,
    to_studs: bool = False,
) -> Issued:
    """Issue a signed revision to a hanger: a job, its link, and its sheets on the way. Hooks move within tolerance to
    meet studs where that is asked for (`to_studs`).

    Raises:
        Invalid: no name.
        WrongState: the revision is not signed, or a newer one is.
    """
    require(by=by, studio=studio_of(revision), roles=OFFICE, to="issue a job to a hanger")
    if not hanger_name.strip():
        raise Invalid("Say who hangs it.", faults=[{"where": "hanger_name", "detail": "Say who hangs it."}])
    revision.refresh_from_db(fields=["state"])
    if revision.state != RevisionState.ISSUED:
        revision = revision_step(by=by, revision=revision, name="issue")
    job = Job.objects.create(
        revision=revision, hanger_name=hanger_name.strip(), note=note.strip(), issued_by=by, to_studs=to_studs
    )
    link, token = _link(job, by, days)
    _follow(job)
    report_request(by=by, revision=revision, job=job)
    return Issued(job, link, token)


def _follow(job: Job) -> None:
    """Let a job take over what is up and right of the job of an earlier revision, where there is one."""
    follows = job_before(job)
    if follows is None:
        return
    job.follows = follows
    job.save(update_fields=["follows", "updated_at"])
    signed = signed_job(job.revision, to_studs=job.to_studs)
    if carried := carry_over(job=job, follows=follows, signed=signed):
        job_move(job, signed, carried)


@transaction.atomic
def link_add(*, by: User, job: Job, days: int | None = None) -> Issued:
    """Another link to the same job, for a second phone or a lost one."""
    require(by=by, studio=studio_of(job), roles=OFFICE, to="manage a job")
    link, token = _link(job, by, days)
    return Issued(job, link, token)


def _link(job: Job, by: User, days: int | None) -> tuple[JobLink, str]:
    days = settings.JOB_LINK_DAYS if days is None else days
    if not 1 <= days <= 365:
        raise Invalid("A link works for 1 to 365 days.", faults=[{"where": "days", "detail": f"Found {days}."}])
    token = new_token()
    link = JobLink.objects.create(
        job=job,
        token_sha256=token_hash(token),
        created_by=by,
        expires_at=timezone.now() + timedelta(days=days),
    )
    return link, token


@transaction.atomic
def link_revoke(*, by: User, link: JobLink) -> None:
    """Withdraw a link. Withdrawing twice changes nothing."""
    require(by=by, studio=studio_of(link), roles=OFFICE, to="withdraw a link")
    JobLink.objects.filter(pk=link.pk, revoked_at=None).update(revoked_at=timezone.now())


def job_lock(pk: int) -> Job:
    """The job, locked until the transaction ends, with its revision as it is now.

    The revision is read after the lock is held: read along with it, it would be as old as the wait.
    """
    job = Job.objects.select_for_update().get(pk=pk)
    job.revision = Revision.objects.select_related("plan__project__client__studio").get(pk=job.revision_id)
    return job


def job_move(job: Job, signed: SignedJob, actions: Sequence[JobAction]) -> bool:
    """Note when a job starts and when its last piece is up, by what was done and not by when it came. Taking one down
    reopens it. What was carried over began before. Returned is whether this was the last piece."""
    states = piece_states(by_placement(signed), actions, signed.units, signed.tolerances)
    finished = all(state.up for state in states.values())
    before = (job.started_at, job.finished_at)
    job.started_at = min((action.at for action in actions if "carried" not in action.payload), default=None)
    job.finished_at = max((state.up_at for state in states.values() if state.up_at), default=None) if finished else None
    if (job.started_at, job.finished_at) != before:
        job.save(update_fields=["started_at", "finished_at", "updated_at"])
    if finished and job.revision.state == RevisionState.ISSUED:
        revision_step(by=None, revision=job.revision, name="hung", note=f"All up, by {job.hanger_name}.")
    elif not finished and job.revision.state == RevisionState.HUNG:
        revision_step(by=None, revision=job.revision, name="rehang", note="A piece was taken down again.")
    return finished and before[1] is None


@transaction.atomic
def job_close(*, by: User, job: Job) -> Report:
    """Close a finished job: its revision is hung and closed, its record is drawn.

    Its links show nothing any more; until they expire they take what phones still have to send, as late notes.
    """
    require(by=by, studio=studio_of(job), roles=OFFICE, to="manage a job")
    locked = job_lock(job.pk)
    if locked.finished_at is None:
        raise WrongState("Not every piece is up yet. Close the job when the hanger has finished.")
    revision = locked.revision
    if revision.state == RevisionState.ISSUED:
        revision = revision_step(by=by, revision=revision, name="hung")
    if revision.state == RevisionState.HUNG:
        revision = revision_step(by=by, revision=revision, name="close")
    return report_request(by=by, revision=revision, kind=ReportKind.CLOSE_OUT, job=locked)
