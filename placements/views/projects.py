"""The ledger of projects, one project room by room, and its overview for paper."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_POST

from placements import access
from placements.contexts.projects import ROOM_SCALE, ledger_strips, room_strips, shelf, standing_line
from placements.forms.lookups import ProjectsQuery
from placements.forms.projects import OpenForm
from placements.models import ProposalRun, RunState
from placements.selectors import projects as select
from placements.selectors.elsewhere import in_other_plans, said_of
from placements.selectors.first_steps import first_steps
from placements.services import plans
from studio.access import SignedRequest
from studio.forms import given
from studio.models import Client, Project, Studio
from studio.reader import units_for

PAGE = 20
#: Walls in small beside a project's line.
MOST_STRIPS = 10
_REMEMBERED = "projects"
STATES = ("none", "draft", "in_review", "signed", "issued", "hung", "closed")


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    return redirect("projects" if request.user.is_authenticated else "account_login")


@login_required
@require_GET
def projects(request: SignedRequest) -> HttpResponse:
    """What state each project is in, whom it waits for since when, what is late, exceptions open, what is unplaced.

    What was chosen to be shown is remembered; words that were looked for are not.
    """
    studio = access.visible(request.user, Studio).first() and access.acting_studio(request)
    if "state" in request.GET:
        request.session[_REMEMBERED] = {name: request.GET.get(name, "") for name in ("designer", "client", "state")}
    query = ProjectsQuery(request.session.get(_REMEMBERED, {}) | {"find": request.GET.get("find", "")}, studio=studio)
    chosen = query.cleaned_data if query.is_valid() else {}
    found = select.projects_of(request.user)
    if asked := chosen.get("find"):
        found = select.matching(found, asked)
    if chosen.get("designer"):
        found = found.filter(designer=chosen["designer"])
    if chosen.get("client"):
        found = found.filter(client=chosen["client"])
    if chosen.get("state"):
        found = select.with_state(found, chosen["state"])
    narrowed = any(chosen.values())
    page = Paginator(found, PAGE).get_page(request.GET.get("page"))
    lines = [standing_line(row) for row in select.standings(list(page.object_list))]
    context = {"here": "projects", "lines": lines, "page": page, "query": query, "narrowed": narrowed}
    return render(request, "placements/projects.html", context | ({} if narrowed else _way_in(request)))


def _way_in(request: SignedRequest) -> dict[str, object]:
    """The first steps of a studio, for those who may take them, and its sample."""
    studio = access.acting_studio(request)
    role = access.role_in(user=request.user, studio=studio)
    if role not in access.DESIGN:
        return {}
    return {
        "steps": first_steps(studio),
        "sample": Client.objects.filter(studio=studio, sample=True).first(),
        "may_edit": True,
        "may_settings": role in access.PRINCIPAL,
    }


@login_required
@require_GET
def project(request: SignedRequest, pk: int) -> HttpResponse:
    """All walls of a project in room order, with what hangs where and what is left over."""
    row = access.get(request.user, select.projects_of(request.user), pk)
    return render(request, "placements/project.html", project_context(request, row) | {"here": "projects"})


@login_required
@require_GET
def project_strip(request: SignedRequest, pk: int) -> HttpResponse:
    """The first walls of a project in small, asked for when its line of a list is seen."""
    row = access.get(request.user, select.projects_of(request.user), pk)
    walls, more = select.first_walls(row, MOST_STRIPS)
    hanging = select.hanging_by_wall(select.current_revision(row), walls)
    context = {"project": row, "strips": ledger_strips(walls, hanging), "more_walls": more}
    return render(request, "placements/_project_strip.html", context)


@login_required
@require_POST
def revision_open(request: SignedRequest, pk: int) -> HttpResponse:
    """A new draft that starts from the newest revision."""
    row = access.get(request.user, select.projects_of(request.user), pk)
    plans.revision_open(by=request.user, project=row)
    onward = given(OpenForm(request.POST))["next"]
    safe = onward.startswith("/") and url_has_allowed_host_and_scheme(onward, allowed_hosts=None)
    return redirect(onward if safe else reverse("project", args=[pk]))


@login_required
@require_GET
def project_overview(request: SignedRequest, pk: int) -> HttpResponse:
    """The whole project on paper: every wall to one scale with a list of what hangs on it."""
    row = access.get(request.user, select.projects_of(request.user), pk)
    return render(request, "placements/project_overview.html", project_context(request, row, scale=0.06))


def project_context(request: SignedRequest, row: Project, *, scale: float = ROOM_SCALE) -> dict[str, object]:
    revision = select.current_revision(row)
    role = access.role_in(user=request.user, studio=row.client.studio)
    hanging = select.hanging_by_wall(revision)
    twice = in_other_plans([one.artwork_id for each in hanging.values() for one in each], row)
    rooms = room_strips(
        select.rooms_with_walls(row),
        hanging,
        asking=select.asking_by_wall(revision),
        bare=select.bare_walls(revision),
        scale=scale,
    )
    return {
        "project": row,
        "units": units_for(request.user, row),
        "revision": revision,
        "rooms": rooms,
        "hanging": hanging,
        "twice": [(one, said_of(one)) for one in twice.values()],
        "shelf": shelf(list(select.unplaced_works(row, revision))),
        "can_edit": select.editable(revision) and role in access.DESIGN,
        "role": role,
        "run": ProposalRun.objects.filter(project=row).exclude(state=RunState.CANCELLED).order_by("-pk").first(),
        "wall_count": sum(len(room.walls) for room in rooms),
    }
