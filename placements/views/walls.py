"""The wall page: looking at a wall, trying a place, and every edit of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from placements import access
from placements.contexts.drawn import sheet_room, studio_picture, units_for
from placements.contexts.projects import room_strips
from placements.contexts.wall import RankNote, WallPicture, rank_words, wall_picture
from placements.scenes import works_for
from placements.selectors import projects as select
from placements.selectors import walls
from placements.selectors.walls import Hung, PlannedWall
from placements.services.plans import revision_open
from placements.services.walls import wall_state
from studio.errors import Conflict, Invalid, Missing
from studio.models import Artwork, Project
from studio.units import Units

from . import edits, history
from .photos.under import STRENGTHS, strength, under_of


def load(request: HttpRequest, pk: int, wall_pk: int) -> PlannedWall:
    project = access.get(request.user, select.projects_of(request.user), pk)
    wall = walls.wall_in(project, wall_pk)
    if wall is None:
        raise Missing("There is no such wall in this project.")
    return walls.planned_wall(project, wall, select.current_revision(project))


@login_required
@require_GET
def wall(request: HttpRequest, pk: int, wall_pk: int) -> HttpResponse:
    planned = load(request, pk, wall_pk)
    context = page_context(request, planned)
    if request.htmx:
        return render(request, "placements/_wall.html", context)
    rooms = [(room, found) for room, found in select.rooms_with_walls(planned.project)]
    order = [one for _, found in rooms for one in found]
    at = next(i for i, one in enumerate(order) if one.pk == wall_pk)
    context |= {
        "room": next(
            iter(
                room_strips(
                    [(room, found) for room, found in rooms if room.pk == planned.wall.room_id],
                    select.hanging_by_wall(planned.revision),
                    scale=0.035,
                )
            )
        ),
        "before": order[at - 1] if at else None,
        "after": order[at + 1] if at + 1 < len(order) else None,
    }
    return render(request, "placements/wall.html", context)


def page_context(
    request: HttpRequest,
    planned: PlannedWall,
    *,
    hung: Sequence[Hung] | None = None,
    selected: int | None = None,
    space_id: str | None = None,
) -> dict[str, Any]:
    """Everything that the wall's fragment shows; `hung` instead of what the plan hangs while a place is tried."""
    units = units_for(request.user, planned.project)
    scene, assessment = walls.assess(planned, units, hung=hung, mending=hung is None)
    shown = planned.hung if hung is None else tuple(hung)
    asked = request.GET if request.method == "GET" else request.POST
    if selected is None:
        selected = _number(asked.get("piece"))
    if selected is None and space_id is None and not asked.get("space") and shown:
        selected = shown[0].artwork.pk
    role = access.role_in(user=request.user, studio=planned.project.client.studio)
    can_edit = select.editable(planned.revision) and role in access.DESIGN
    room = sheet_room(request.COOKIES, lambda window: window - (314 if window < 1200 else 626), may_enlarge=True)
    under = under_of(request, planned.wall)
    picture: WallPicture = wall_picture(
        wall=planned.wall,
        hung=shown,
        assessment=assessment,
        scene=scene,
        units=units,
        selected=selected,
        space_id=(asked.get("space", "") if space_id is None else space_id),
        bares=planned.bares,
        interactive=can_edit,
        manner=room.manner,
        width=room.width,
        height=room.height,
        under=under,
    )
    return {
        "here": "projects",
        "under": under,
        "strengths": STRENGTHS,
        "strength": strength(request),
        "project": planned.project,
        "wall": planned.wall,
        "revision": planned.revision,
        "in_review": walls.in_review(planned),
        "version": planned.version,
        "units": units,
        "picture": picture,
        "enlarged": room.enlarged,
        "can_edit": can_edit,
        "can_open": role in access.DESIGN and not select.editable(planned.revision),
        "role": role,
        "undo": history.last(request, planned.revision, planned.wall, "undo"),
        "redo": history.last(request, planned.revision, planned.wall, "redo"),
        "left_bare": planned.bares.get(""),
    }


@login_required
@require_POST
def wall_try(request: HttpRequest, pk: int, wall_pk: int) -> HttpResponse:
    """How the wall would read with a piece at another place. Nothing is stored."""
    planned = load(request, pk, wall_pk)
    artwork = _work(planned.project, request.POST.get("artwork"))
    left, bottom = edits.number(request.POST, "left_mm"), edits.number(request.POST, "bottom_mm")
    hung = walls.with_moved(planned.hung, artwork, left, bottom)
    context = page_context(request, planned, hung=hung, selected=artwork.pk)
    return render(request, "placements/_wall.html", context)


@login_required
@require_GET
def wall_works(request: HttpRequest, pk: int, wall_pk: int) -> HttpResponse:
    """The ranked works for a space of the wall."""
    planned = load(request, pk, wall_pk)
    units = units_for(request.user, planned.project)
    space = request.GET.get("space", "")
    notes = rank_notes(planned, space, units)
    role = access.role_in(user=request.user, studio=planned.project.client.studio)
    return render(
        request,
        "placements/_wall_works.html",
        {
            "project": planned.project,
            "wall": planned.wall,
            "works": notes,
            "space": space,
            "version": planned.version,
            "can_edit": select.editable(planned.revision) and role in access.DESIGN,
            "in_review": walls.in_review(planned),
            "units": units,
        },
    )


def rank_notes(planned: PlannedWall, space: str, units: Units) -> list[RankNote]:
    here = {one.artwork.pk for one in planned.hung}
    ranked = walls.ranked(planned, space, units)
    return [
        RankNote(
            place=i,
            work=work,
            score=round(pairing.score),
            size=units.size(work.width_mm, work.height_mm),
            why=rank_words(pairing, ranked[0][1]),
            picture=studio_picture(work, "strip"),
            here=work.pk in here,
            fits=pairing.fits,
            exceptions=pairing.exceptions,
            left_mm=pairing.left,
            bottom_mm=pairing.bottom,
        )
        for i, (work, pairing) in enumerate(ranked, 1)
    ]


@login_required
@require_POST
def wall_edit(request: HttpRequest, pk: int, wall_pk: int, action: str) -> HttpResponse:
    """One edit of the wall, by its version. The second of two people gets the newer wall and a choice."""
    planned = load(request, pk, wall_pk)
    if action not in edits.ACTIONS:
        raise Missing("A wall cannot be changed like that.")
    revision = planned.revision if planned.revision and select.editable(planned.revision) else None
    revision = revision or revision_open(by=request.user, project=planned.project)
    planned = walls.planned_wall(planned.project, planned.wall, revision)
    before = wall_state(revision=revision, wall=planned.wall)
    units = units_for(request.user, planned.project)
    try:
        done = edits.ACTIONS[action](request, planned, units)
    except Conflict as conflict:
        return _with_choice(request, planned, conflict, action)
    except Invalid as fault:
        return _with_fault(request, planned, fault)
    if action in ("undo", "redo"):
        history.step(request, revision, planned.wall, action, before)
    else:
        history.remember(request, revision, planned.wall, before, done.said)
    if not request.htmx:
        messages.success(request, done.said)
        return redirect("wall", pk, wall_pk)
    planned = walls.planned_wall(planned.project, planned.wall, revision)
    context = page_context(request, planned, selected=done.selected, space_id=done.space)
    response = render(request, "placements/_wall.html", context | {"said": done.said})
    if done.works_changed:
        response["HX-Trigger-After-Settle"] = "works-changed"
    return response


def _with_choice(request: HttpRequest, planned: PlannedWall, conflict: Conflict, action: str) -> HttpResponse:
    """The newer wall as it is now, with the reader's own change ready to be made on it, or dropped."""
    planned = walls.planned_wall(planned.project, planned.wall, planned.revision)
    again = [(key, value) for key, value in request.POST.items() if key not in ("version", "csrfmiddlewaretoken")]
    context = page_context(request, planned) | {
        "conflict": conflict,
        "again_url": reverse("wall_edit", args=[planned.project.pk, planned.wall.pk, action]),
        "again": again,
    }
    template = "placements/_wall.html" if request.htmx else "placements/wall.html"
    return render(request, template, context, status=409)


def _with_fault(request: HttpRequest, planned: PlannedWall, fault: Invalid) -> HttpResponse:
    """The wall as it is, with the fault beside what was typed."""
    if not request.htmx:
        raise fault
    context = page_context(request, planned) | {"fault": fault, "typed": request.POST}
    return render(request, "placements/_wall.html", context, status=422)


def _work(project: Project, pk: str | None) -> Artwork:
    work = works_for(project).filter(pk=_number(pk) or 0).first()
    if work is None:
        raise Missing(f"This work may not hang in {project}.")
    return work


def _number(value: str | None) -> int | None:
    return int(value) if value and value.isdecimal() and len(value) < 12 else None
