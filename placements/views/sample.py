"""Adding and removing the sample project."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from placements.services import sample
from studio import access
from studio.access import SignedRequest


@login_required
@require_POST
def sample_add(request: SignedRequest) -> HttpResponse:
    project = sample.sample_add(by=request.user, studio=access.acting_studio(request))
    return redirect("project", project.pk)


@login_required
@require_POST
def sample_remove(request: SignedRequest) -> HttpResponse:
    sample.sample_remove(by=request.user, studio=access.acting_studio(request))
    messages.success(request, "The sample project is removed, with its walls, works and plan.")
    return redirect("projects")
