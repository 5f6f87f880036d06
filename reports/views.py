"""The office's pages: sheets of a revision with their progress, jobs and how they stand."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import FileResponse, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from placements.models import Estimate, Revision
from studio.access import OFFICE, SignedRequest, acting_studio, get, role_in, studio_of, visible
from studio.errors import Missing
from studio.forms import given
from studio.models import Artwork, Wall
from studio.reader import zone_for, zone_of

from .files import sheet_file
from .forms import DocumentForm, IssueForm, SheetForm
from .models import OF_AN_ESTIMATE, Job, JobAction, JobLink, Report, ReportKind
from .producing import qr_svg
from .selectors import documents_of, job_board, jobs_of, reports_of
from .services.documents import document_request
from .services.jobs import Issued, job_close, job_issue, link_add, link_revoke
from .services.sheets import report_request, report_retry


def _revisions() -> Any:
    return Revision.objects.select_related("plan__project__client__studio")


def _jobs() -> Any:
    return Job.objects.select_related("revision__plan__project__client__studio", "follows__revision")


@login_required
@require_http_methods(["GET", "POST"])
def documents(request: SignedRequest, pk: int) -> HttpResponse:
    """The documents of one estimate: ask for them, watch them being drawn, fetch them."""
    estimate = get(request.user, Estimate.objects.select_related("revision__plan__project__client__studio"), pk)
    if request.method == "POST":
        asked = given(DocumentForm(request.POST))
        document_request(by=request.user, estimate=estimate, kind=asked["kind"], paper=asked["paper"])
        return redirect("estimate_documents", pk=pk)
    page = {
        "here": "projects",
        "studio": studio_of(estimate.revision),
        "estimate": estimate,
        "project": estimate.revision.plan.project,
        "reports": list(documents_of(estimate)),
        "kinds": [(kind.value, kind.label) for kind in OF_AN_ESTIMATE],
        "zone": zone_for(request.user),
    }
    return render(request, "reports/documents.html", page)


@login_required
@require_GET
def sheets(request: SignedRequest, pk: int) -> HttpResponse:
    """The sheets of one signed revision: ask for them, watch them being drawn, fetch them."""
    revision = get(request.user, _revisions(), pk)
    placements = list(
        revision.placements.select_related("artwork", "wall__room").order_by("wall__room__position", "wall")
    )
    page = {
        "here": "jobs",
        "studio": studio_of(revision),
        "revision": revision,
        "project": revision.plan.project,
        "reports": list(reports_of(revision)),
        "placements": placements,
        "walls": list({placement.wall_id: placement.wall for placement in placements}.values()),
        "jobs": list(revision.jobs.all()),
        "may_issue": role_in(user=request.user, studio=studio_of(revision)) in OFFICE,
        "zone": zone_for(request.user),
    }
    return render(request, "reports/sheets.html", page)


@login_required
@require_POST
def sheet_request(request: SignedRequest, pk: int) -> HttpResponse:
    revision = get(request.user, _revisions(), pk)
    asked = given(SheetForm(request.POST))
    of, _, which = asked["of"].partition("-")
    wall = artwork = None
    kind: str = ReportKind.INSTALL
    if of in ("wall", "full"):
        kind = ReportKind.INSTALL if of == "wall" else ReportKind.TEMPLATE
        wall = get(request.user, Wall.objects.select_related("room"), which)
    elif of == "template":
        kind, artwork = ReportKind.TEMPLATE, get(request.user, Artwork, which)
    report = report_request(
        by=request.user,
        revision=revision,
        kind=kind,
        wall=wall,
        artwork=artwork,
        paper=asked["paper"],
    )
    if request.htmx:
        return render(
            request,
            "reports/_report_rows.html",
            {"reports": list(reports_of(revision)), "zone": zone_for(request.user)},
        )
    messages.success(request, f"{report.get_kind_display()}: being drawn.")
    return redirect("sheets", pk=revision.pk)


@login_required
@never_cache
@require_GET
def report_row(request: SignedRequest, pk: int) -> HttpResponse:
    """One report's row, asked for again and again while it is being drawn."""
    report = get(request.user, Report.objects.select_related("revision", "wall", "artwork", "requested_by"), pk)
    return render(request, "reports/_report_row.html", {"report": report, "zone": zone_for(request.user)})


@login_required
@require_POST
def report_again(request: SignedRequest, pk: int) -> HttpResponse:
    report = get(request.user, Report.objects.select_related("revision__plan__project__client__studio"), pk)
    report = report_retry(by=request.user, report=report)
    if request.htmx:
        return render(request, "reports/_report_row.html", {"report": report, "zone": zone_for(request.user)})
    return redirect("sheets", pk=report.revision_id)


@login_required
@require_GET
def report_file(request: SignedRequest, pk: int) -> FileResponse:
    return sheet_file(get(request.user, Report.objects.select_related("revision__plan__project"), pk))


@login_required
@require_GET
def jobs(request: SignedRequest) -> HttpResponse:
    """Every job of the studio, those under way first."""
    studio = acting_studio(request)
    page = Paginator(jobs_of(studio), 30).get_page(request.GET.get("page"))
    return render(request, "reports/jobs.html", {"here": "jobs", "studio": studio, "page": page})


@login_required
@require_POST
def issue(request: SignedRequest, pk: int) -> HttpResponse:
    """Issue a revision; the link is shown on the answer and never again."""
    revision = get(request.user, _revisions(), pk, roles=OFFICE, to="issue a job to a hanger")
    issued = job_issue(
        by=request.user,
        revision=revision,
        **given(IssueForm(request.POST)),
    )
    return _with_link(request, issued)


@login_required
@never_cache
@require_GET
def job(request: SignedRequest, pk: int) -> HttpResponse:
    """How a job stands, piece by piece; the board renews itself."""
    return _job_page(request, get(request.user, _jobs(), pk))


@login_required
@never_cache
@require_GET
def job_progress(request: SignedRequest, pk: int) -> HttpResponse:
    found = get(request.user, _jobs(), pk)
    page = {"job": found, "board": job_board(found), "zone": zone_of(found.revision.plan.project)}
    return render(request, "reports/_job_board.html", page)


@login_required
@require_POST
def job_link(request: SignedRequest, pk: int) -> HttpResponse:
    found = get(request.user, _jobs(), pk, roles=OFFICE, to="make a link to a job")
    return _with_link(request, link_add(by=request.user, job=found))


@login_required
@require_POST
def job_link_revoke(request: SignedRequest, pk: int) -> HttpResponse:
    link = get(request.user, JobLink.objects.select_related("job__revision__plan__project__client__studio"), pk)
    link_revoke(by=request.user, link=link)
    messages.success(request, "The link is withdrawn and no longer works.")
    return redirect("job", pk=link.job_id)


@login_required
@require_POST
def job_close_out(request: SignedRequest, pk: int) -> HttpResponse:
    found = get(request.user, _jobs(), pk, roles=OFFICE, to="close a job")
    report = job_close(by=request.user, job=found)
    messages.success(request, "The job is closed; its record is being drawn.")
    return redirect("sheets", pk=report.revision_id)


@login_required
@require_GET
def action_photo(request: SignedRequest, pk: int) -> FileResponse:
    action = get(request.user, JobAction, pk)
    if not action.photo:
        raise Missing("There is no photo with this.")
    return FileResponse(action.photo.open("rb"), content_type="image/jpeg")


def _job_page(request: SignedRequest, found: Job, **more: Any) -> HttpResponse:
    page = {
        "here": "jobs",
        "studio": studio_of(found),
        "job": found,
        "project": found.revision.plan.project,
        "board": job_board(found),
        "zone": zone_of(found.revision.plan.project),
        "links": list(visible(request.user, found.links.select_related("created_by"))),
        "may_issue": role_in(user=request.user, studio=studio_of(found)) in OFFICE,
        **more,
    }
    return render(request, "reports/job.html", page)


def _with_link(request: SignedRequest, issued: Issued) -> HttpResponse:
    answer = _job_page(request, issued.job, address=issued.address, qr=qr_svg(issued.address), link=issued.link)
    answer["Cache-Control"] = "no-store"
    return answer
