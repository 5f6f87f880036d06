"""The list of clients, and one client with projects and works."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from placements import access
from placements.contexts.projects import standing_line
from placements.forms.lookups import Find
from placements.selectors import client_ledger as select
from placements.selectors.projects import projects_of, standings
from studio.access import SignedRequest, acting_studio
from studio.forms import given
from studio.models import Client
from studio.reader import units_for
from studio.views.works import shelf

PAGE = 50
SHELF = 40


@login_required
@require_GET
def clients(request: SignedRequest) -> HttpResponse:
    """Each client's projects with their state and whom they wait for; what the client said; when it last changed."""
    asked = given(Find(request.GET))["find"]
    page = Paginator(select.clients_of(acting_studio(request), asked), PAGE).get_page(request.GET.get("page"))
    lines = [
        {"row": row, "projects": [standing_line(standing) for standing in row.standings]}
        for row in select.client_rows(list(page.object_list), request.user)
    ]
    return render(request, "placements/clients.html", {"here": "clients", "lines": lines, "page": page, "asked": asked})


@login_required
@require_GET
def client(request: SignedRequest, pk: int) -> HttpResponse:
    row = access.get(request.user, Client.objects.select_related("studio"), pk)
    role = access.role_in(user=request.user, studio=row.studio)
    projects = list(projects_of(request.user).filter(client=row))
    context = {
        "here": "clients",
        "client": row,
        "lines": [standing_line(row) for row in standings(projects)],
        "shelf": shelf(row.artworks.all()[:SHELF]),
        "work_count": row.artworks.count(),
        "units": units_for(request.user, row, row.studio),
        "may_delete": role in access.PRINCIPAL,
        "may_open": role in access.DESIGN,
    }
    return render(request, "placements/client.html", context)
