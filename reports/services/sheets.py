"""Writes: ask for sheets, and ask again."""

from __future__ import annotations

from django.db import transaction

from placements.models import Revision
from studio.access import EVERYONE, require, studio_of
from studio.errors import Invalid, WrongState
from studio.models import Artwork, User, Wall
from studio.reader import paper_for

from ..models import Job, Report, ReportKind, ReportState
from ..producing import fingerprint
from ..rendering import SHEETS

PAPERS = ("letter", "a4", "roll")


@transaction.atomic
def report_request(
    *,
    by: User,
    revision: Revision,
    kind: str = ReportKind.INSTALL,
    wall: Wall | None = None,
    artwork: Artwork | None = None,
    paper: str = "",
    job: Job | None = None,
) -> Report:
    """Ask for a sheet of a frozen revision. Asking twice for the same sheet gives the same row.

    Raises:
        WrongState: the revision is not signed.
        Invalid: the kind, the paper, the wall or the piece does not make sense here.
    """
    studio = studio_of(revision)
    require(by=by, studio=studio, roles=EVERYONE, to="ask for sheets")
    paper = paper_for(studio, paper)
    _check(revision, kind, wall, artwork, paper, job)
    job = job or revision.jobs.order_by("-created_at", "-pk").first()
    # One request at a time for a revision, so that two clicks find one another.
    Revision.objects.select_for_update().get(pk=revision.pk)
    same = fingerprint(
        revision,
        kind=kind,
        paper=paper,
        wall=wall.pk if wall else None,
        artwork=artwork.pk if artwork else None,
        job=job,
    )
    found = Report.objects.filter(revision=revision, fingerprint=same).order_by("-pk").first()
    if found is not None and found.state != ReportState.FAILED:
        return found
    if found is not None:
        return report_retry(by=by, report=found)
    report = Report(
        revision=revision,
        kind=kind,
        wall=wall,
        artwork=artwork,
        paper=paper,
        job=job,
        requested_by=by,
        fingerprint=same,
    )
    SHEETS.queue(report)
    return report


def _check(
    revision: Revision, kind: str, wall: Wall | None, artwork: Artwork | None, paper: str, job: Job | None
) -> None:
    if not revision.is_frozen:
        raise WrongState(
            f"Revision {revision.number} is not signed yet: sheets are drawn from signed revisions only.",
            extra={"state": revision.state},
        )
    faults = []
    if kind not in (ReportKind.INSTALL, ReportKind.TEMPLATE, ReportKind.CLOSE_OUT):
        faults.append({"where": "kind", "detail": f"There is no sheet of the kind {kind!r}."})
    if paper not in PAPERS:
        faults.append({"where": "paper", "detail": f"Paper is one of {', '.join(PAPERS)}; this is {paper!r}."})
    if wall is not None and wall.room.project_id != revision.plan.project_id:
        faults.append({"where": "wall", "detail": "This wall is not in the revision's project."})
    if kind == ReportKind.TEMPLATE and artwork is None and wall is None:
        faults.append({"where": "artwork", "detail": "A full-size template is of one piece or one wall: say which."})
    if paper == "roll" and kind != ReportKind.TEMPLATE:
        faults.append({"where": "paper", "detail": "Only full-size templates go on a roll: choose Letter or A4."})
    if artwork is not None and not revision.placements.filter(artwork=artwork).exists():
        faults.append({"where": "artwork", "detail": "This piece does not hang in this revision."})
    if job is not None and job.revision_id != revision.pk:
        faults.append({"where": "job", "detail": "This job is for another revision."})
    if faults:
        raise Invalid(" ".join(fault["detail"] for fault in faults), faults=faults)


@transaction.atomic
def report_retry(*, by: User, report: Report) -> Report:
    """Queue a failed report again, or one whose file was lost."""
    require(by=by, studio=studio_of(report), roles=EVERYONE, to="ask for sheets")
    locked = Report.objects.select_for_update().get(pk=report.pk)
    if locked.state not in (ReportState.FAILED, ReportState.READY):
        return locked
    SHEETS.queue(locked)
    return locked
