"""The rooms of a project in plan."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from placements import access
from placements.contexts.floor import room_plans
from placements.scenes import hangings_of, scene_of
from placements.selectors import projects as select
from studio.access import SignedRequest
from studio.reader import units_for


@login_required
@require_safe
def floor_plan(request: SignedRequest, pk: int) -> HttpResponse:
    """Every room with its walls, doors, windows, furniture and art; what walls miss each other by is shared out on
    request."""
    project = access.get(request.user, select.projects_of(request.user), pk)
    revision, shared = select.current_revision(project), "shared" in request.GET
    scene = scene_of(project)
    hangings = hangings_of(revision, scene) if revision else ()
    rooms = room_plans(scene, hangings, list(project.rooms.all()), units_for(request.user, project), shared=shared)
    context = {
        "here": "projects",
        "project": project,
        "rooms": rooms,
        "shared": shared,
        "misfits": any("miss" in one.misfit for one in rooms),
    }
    return render(request, "placements/floor_plan.html", context)
