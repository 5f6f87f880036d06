"""Forms of clients and their projects."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from studio import access
from studio.access import SignedRequest
from studio.forms import ClientForm, ProjectForm, attempt
from studio.models import Client, Project
from studio.reader import units_for
from studio.services import clients as services


@login_required
@require_http_methods(["GET", "POST"])
def client_new(request: SignedRequest) -> HttpResponse:
    studio = access.acting_studio(request)
    form = ClientForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        made = attempt(form, lambda: services.client_create(by=request.user, studio=studio, **form.cleaned_data))
        if made is not None:
            return redirect("client", made.pk)
    return _form(request, form, "A new client")


@login_required
@require_http_methods(["GET", "POST"])
def client_edit(request: SignedRequest, pk: int) -> HttpResponse:
    row = access.get(request.user, Client.objects.select_related("studio"), pk)
    form = ClientForm(request.POST or None, initial={name: getattr(row, name) for name in services.CLIENT_FIELDS})
    if request.method == "POST" and form.is_valid():
        done = attempt(form, lambda: services.client_update(by=request.user, client=row, **form.cleaned_data))
        if done is not None:
            return redirect("client", pk)
    return _form(request, form, f"Change {row}")


@login_required
@require_POST
def client_delete(request: SignedRequest, pk: int) -> HttpResponse:
    row = access.get(request.user, Client, pk, roles=access.PRINCIPAL, to="delete a client")
    services.client_delete(by=request.user, client=row)
    messages.success(request, f"{row} is deleted.")
    return redirect("clients")


@login_required
@require_http_methods(["GET", "POST"])
def project_new(request: SignedRequest) -> HttpResponse:
    studio = access.acting_studio(request)
    initial = {
        "client": request.GET.get("client"),
        "designer": request.user.pk,
        "survey_units": units_for(request.user, studio).unit,
    }
    form = ProjectForm(request.POST or None, studio=studio, initial=initial)
    if request.method == "POST" and form.is_valid():
        made = attempt(form, lambda: services.project_create(by=request.user, **form.cleaned_data))
        if made is not None:
            return redirect("project", made.pk)
    return _form(request, form, "A new project", here="projects", has_clients=studio.clients.exists())


@login_required
@require_http_methods(["GET", "POST"])
def project_edit(request: SignedRequest, pk: int) -> HttpResponse:
    row = access.get(request.user, Project.objects.select_related("client__studio"), pk)
    form = ProjectForm(
        request.POST or None,
        studio=row.client.studio,
        initial={"client": row.client_id, **{name: getattr(row, name) for name in services.PROJECT_FIELDS}},
    )
    del form.fields["client"]
    if request.method == "POST" and form.is_valid():
        done = attempt(form, lambda: services.project_update(by=request.user, project=row, **form.cleaned_data))
        if done is not None:
            return redirect("project", pk)
    return _form(request, form, f"Change “{row}”", here="projects")


def _form(request: SignedRequest, form: Any, heading: str, here: str = "clients", **more: Any) -> HttpResponse:
    context = {"here": here, "form": form, "heading": heading, **more}
    return render(request, "studio/form.html", context, status=422 if form.errors else 200)
