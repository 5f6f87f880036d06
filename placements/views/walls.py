"""The wall page: looking at a wall, trying a place, and every edit of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from placements import access
from placements.contexts.drawn import sheet_room, studio_picture
from placements.contexts.projects import room_strips
from placements.contexts.wall import (
    RankNote,
    RemedyNotes,
    WallPicture,
    rank_words,
    remedy_notes,
    wall_picture,
    why_behind,
)
from placements.forms.walls import WallEditForm, WallQuery
from placements.pieces import Piece, moved
from placements.scenes import works_for
from placements.selectors import projects as select
from placements.selectors import walls
from placements.selectors.walls import WallInHand
from placements.services.plans import revision_open
from placements.services.walls import Edit
from studio.access import SignedRequest
from studio.errors import Conflict, Invalid, Missing
from studio.formfields import use_units
from studio.forms import given
from studio.models import Artwork, Project
from studio.reader import units_for
from studio.units import Units
from studio.words import sentence

from . import edits, history
from .photos.under import STRENGTHS, strength, under_of


def load(request: SignedRequest, pk: int, wall_pk: int, *, whole: bool = False) -> WallInHand:
    """The wall in hand, of the plan as it is; `whole`: with every work that may hang."""
    project = access.get(request.user, Project.objects.select_related("client__studio", "designer"), pk)
    return walls.wall_in_hand(project, wall_pk, select.current_revision(project), whole=whole)


def open_to_change(request: SignedRequest, hand: WallInHand) -> None:
    """Take the wall to the plan's open revision; a new one begins where the last is frozen or there is none."""
    if hand.revision is None or hand.revision.is_frozen:
        hand.revision = revision_open(by=request.user, project=hand.project)
        hand.forget()


@login_required
@require_GET
def wall(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    hand = load(request, pk, wall_pk)
    context = page_context(request, hand)
    if request.htmx:
        return render(request, "placements/_wall.html", context)
    if "help" in request.GET:  # without scripts
        context["remedies"] = remedies_in(hand, context["units"])
    order = list(hand.scene().walls.values())
    at = next(i for i, wall in enumerate(order) if wall.pk == wall_pk)
    beside = [wall for wall in order if wall.room_id == hand.wall.room_id]
    context |= {
        "room": room_strips([(hand.wall.room, beside)], hand.hanging_by_wall(), scale=0.035)[0],
        "before": order[at - 1] if at else None,
        "after": order[at + 1] if at + 1 < len(order) else None,
    }
    return render(request, "placements/wall.html", context)


def page_context(
    request: SignedRequest,
    hand: WallInHand,
    *,
    pieces: Sequence[Piece] | None = None,
    selected: int | None = None,
    space_id: str | None = None,
) -> dict[str, Any]:
    """Everything that the wall's fragment shows; `pieces` instead of what the plan hangs while a place is tried.

    What would help is worked out when the page asks for it: it takes far longer than all the rest.
    """
    units = units_for(request.user, hand.project)
    scene, assessment = walls.assess(hand, units, pieces=pieces)
    shown = hand.pieces if pieces is None else tuple(pieces)
    query = WallQuery(request.GET if request.method == "GET" else request.POST)
    query.is_valid()  # what an edit sends badly is its own fault, said there
    asked = {"piece": None, "space": "", **query.cleaned_data}
    if selected is None:
        selected = asked["piece"]
    if selected is None and space_id is None and not asked["space"] and shown:
        selected = shown[0].artwork.pk
    role = access.role_in(user=request.user, studio=hand.project.client.studio)
    can_edit = select.editable(hand.revision) and role in access.DESIGN
    room = sheet_room(request.COOKIES, lambda window: window - (314 if window < 1200 else 626), may_enlarge=True)
    under = under_of(request, hand.wall)
    picture: WallPicture = wall_picture(
        wall=hand.wall,
        hung=shown,
        assessment=assessment,
        scene=scene,
        units=units,
        selected=selected,
        space_id=(asked["space"] if space_id is None else space_id),
        bares=hand.bares,
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
        "project": hand.project,
        "wall": hand.wall,
        "revision": hand.revision,
        "in_review": hand.in_review,
        "version": hand.version,
        "units": units,
        "picture": picture,
        "enlarged": room.enlarged,
        "can_edit": can_edit,
        "can_open": role in access.DESIGN and not select.editable(hand.revision),
        "role": role,
        "undo": history.last(request, hand, "undo"),
        "redo": history.last(request, hand, "redo"),
        "left_bare": hand.bares.get(""),
        "helps": pieces is None and any(finding.level != "note" for finding in assessment.findings),
    }


@login_required
@require_POST
def wall_try(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    """How the wall would read with a piece at another place. Nothing is stored."""
    hand = load(request, pk, wall_pk)
    tried = given(WallEditForm(request.POST))
    artwork = _work(hand, tried["artwork"])
    left, bottom = edits.place(tried, units_for(request.user, hand.project))
    context = page_context(request, hand, pieces=moved(hand.pieces, artwork, left, bottom), selected=artwork.pk)
    return render(request, "placements/_wall.html", context)


@login_required
@require_GET
def wall_help(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    """What would help against the wall's findings."""
    hand = load(request, pk, wall_pk, whole=True)
    role = access.role_in(user=request.user, studio=hand.project.client.studio)
    return render(
        request,
        "placements/_wall_help.html",
        {
            "project": hand.project,
            "wall": hand.wall,
            "version": hand.version,
            "can_edit": select.editable(hand.revision) and role in access.DESIGN,
            "remedies": remedies_in(hand, units_for(request.user, hand.project)),
        },
    )


def remedies_in(hand: WallInHand, units: Units) -> RemedyNotes:
    return remedy_notes(walls.assess(hand, units, remedies=True)[1])


@login_required
@require_GET
def wall_works(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    """The ranked works for a space of the wall."""
    hand = load(request, pk, wall_pk, whole=True)
    units = units_for(request.user, hand.project)
    space = given(WallQuery(request.GET))["space"]
    notes = rank_notes(hand, space, units)
    role = access.role_in(user=request.user, studio=hand.project.client.studio)
    return render(
        request,
        "placements/_wall_works.html",
        {
            "project": hand.project,
            "wall": hand.wall,
            "works": notes,
            "space": space,
            "version": hand.version,
            "can_edit": select.editable(hand.revision) and role in access.DESIGN,
            "in_review": hand.in_review,
            "units": units,
        },
    )


def rank_notes(hand: WallInHand, space: str, units: Units) -> list[RankNote]:
    here = {piece.artwork.pk for piece in hand.pieces}
    ranked = walls.ranked(hand, space, units)
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
            behind=why_behind(pairing, [one for _, one in ranked[: i - 1]]),
        )
        for i, (work, pairing) in enumerate(ranked, 1)
    ]


@login_required
@require_POST
def wall_edit(request: SignedRequest, pk: int, wall_pk: int, action: str) -> HttpResponse:
    """One edit of the wall, by its version. The second of two people gets the newer wall and a choice."""
    if action not in edits.ACTIONS:
        raise Missing("There is no such change of a wall.")
    hand = load(request, pk, wall_pk)
    open_to_change(request, hand)
    before = hand.pieces, hand.bares
    units = units_for(request.user, hand.project)
    try:
        form = WallEditForm(request.POST)
        use_units(form, units)
        asked = given(form)
        if action in ("undo", "redo"):
            asked["step"] = history.last(request, hand, action)
        edit = Edit(request.user, asked["version"], asked["take_back"])
        done = edits.ACTIONS[action](edit, hand, asked, units)
    except Conflict as conflict:
        return _with_choice(request, hand, conflict, action)
    except Invalid as fault:
        return _with_fault(request, hand, fault)
    history.remember(request, hand, before, done=done.said, action=action)
    if not request.htmx:
        messages.success(request, done.said)
        return redirect("wall", pk, wall_pk)
    context = page_context(request, hand, selected=done.selected, space_id=done.space)
    response = render(request, "placements/_wall.html", context | {"said": done.said})
    if done.works_changed:
        response["HX-Trigger-After-Settle"] = "works-changed"
    return response


def _with_choice(request: SignedRequest, hand: WallInHand, conflict: Conflict, action: str) -> HttpResponse:
    """The newer wall as it is now, with the reader's own change ready to be made on it, or dropped."""
    again = [(key, value) for key, value in request.POST.items() if key not in ("version", "csrfmiddlewaretoken")]
    context = page_context(request, hand) | {
        "conflict": conflict,
        "again_url": reverse("wall_edit", args=[hand.project.pk, hand.wall.pk, action]),
        "again": again,
    }
    template = "placements/_wall.html" if request.htmx else "placements/wall.html"
    return render(request, template, context, status=409)


def _with_fault(request: SignedRequest, hand: WallInHand, fault: Invalid) -> HttpResponse:
    """The wall as it is, with the fault beside what was typed."""
    if not request.htmx:
        raise fault
    context = page_context(request, hand) | {"fault": fault, "typed": request.POST}
    return render(request, "placements/_wall.html", context, status=422)


def _work(hand: WallInHand, pk: int | None) -> Artwork:
    """The work that is tried: it hangs here already, or may hang in the project."""
    if pk in hand.here:
        return hand.here[pk].artwork
    work = None if pk is None else works_for(hand.project).filter(pk=pk).first()
    if work is None:
        raise Missing(sentence(f"this work may not hang in {hand.project}"))
    return work
