"""Asking for a proposal, watching it come, comparing it with what hangs, and accepting it whole or wall by wall."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from placements import access
from placements.contexts.proposals import comparison
from placements.forms.projects import AcceptForm, ProposalForm
from placements.models import ProposalRun
from placements.selectors import projects as select
from placements.services import proposals as services
from studio.access import SignedRequest
from studio.errors import WrongState
from studio.forms import given
from studio.reader import units_for

_RUNS = ProposalRun.objects.select_related("project__client__studio", "project__designer", "requested_by")


@login_required
@require_POST
def proposal_start(request: SignedRequest, pk: int) -> HttpResponse:
    project = access.get(request.user, select.projects_of(request.user), pk)
    asked = given(ProposalForm(request.POST))
    run = services.proposal_request(by=request.user, project=project, as_usual=asked["as_usual"])
    if request.htmx:
        return render(request, "placements/_proposal.html", {"run": run, "project": project})
    return redirect("proposal", run.pk)


@login_required
@require_GET
def proposal(request: SignedRequest, pk: int) -> HttpResponse:
    """Progress while the engine works; then every wall before and after."""
    run = access.get(request.user, _RUNS, pk)
    if request.htmx:
        return render(request, "placements/_proposal.html", {"run": run, "project": run.project})
    project = run.project
    revision = select.current_revision(project)
    role = access.role_in(user=request.user, studio=project.client.studio)
    units = units_for(request.user, project)
    return render(
        request,
        "placements/proposal.html",
        {
            "here": "projects",
            "run": run,
            "project": project,
            "revision": revision,
            "units": units,
            "can_edit": role in access.DESIGN,
            "comparison": comparison(run, revision, units) if run.result else None,
        },
    )


@login_required
@require_POST
def proposal_cancel(request: SignedRequest, pk: int) -> HttpResponse:
    run = access.get(request.user, _RUNS, pk)
    try:
        run = services.proposal_cancel(by=request.user, run=run)
    except WrongState:
        run.refresh_from_db()  # it finished a moment before: show what it found
    if request.htmx:
        return render(request, "placements/_proposal.html", {"run": run, "project": run.project})
    return redirect("project", run.project_id)


@login_required
@require_POST
def proposal_accept(request: SignedRequest, pk: int) -> HttpResponse:
    """Hang what is proposed on the chosen walls, or on all."""
    run = access.get(request.user, _RUNS, pk)
    asked = given(AcceptForm(request.POST))
    chosen, whole = asked["walls"], asked["whole"]
    if not whole and not chosen:
        messages.warning(request, "Choose at least one wall, or accept the whole proposal.")
        return redirect("proposal", run.pk)
    accepted = services.proposal_accept(
        by=request.user, run=run, walls=None if whole else chosen, even_changed=asked["even_changed"]
    )
    count = len(accepted.changed)
    messages.success(request, f"{count} wall{'' if count == 1 else 's'} changed to what was proposed.")
    if accepted.changed_since:
        messages.warning(
            request,
            f"{len(accepted.changed_since)} were changed since the proposal was asked for, and stay as they are.",
        )
    if whole and not accepted.changed_since:
        return redirect("project", run.project_id)
    return redirect("proposal", run.pk)
