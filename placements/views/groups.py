"""Groups: composed for a space in several layouts, then edited on the floor and on the wall at once."""

from __future__ import annotations

import json
import time

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from placements import access
from placements.contexts.drawn import sheet_room
from placements.contexts.groups import group_picture, layout_note
from placements.engine.facade import Edge
from placements.forms.walls import EDGES, GroupForm, GroupsQuery
from placements.selectors import groups as select
from placements.selectors.walls import WallInHand
from placements.services.groups import group_hang
from placements.services.walls import Edit
from studio.access import SignedRequest
from studio.errors import Conflict
from studio.forms import given
from studio.reader import units_for

from . import carried, history
from .walls import load, open_to_change

#: A person waits this long for layouts at most.
PATIENCE_SECONDS = 6.0


def _load(request: SignedRequest, pk: int, wall_pk: int) -> WallInHand:
    hand = load(request, pk, wall_pk, whole=True)
    access.require(by=request.user, studio=hand.project.client.studio, roles=access.DESIGN, to="compose a group")
    return hand


@login_required
@require_GET
def wall_groups(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    """Several clearly different layouts for a space, ranked, from a pool that the designer narrows."""
    hand = _load(request, pk, wall_pk)
    units = units_for(request.user, hand.project)
    asked = given(GroupsQuery(request.GET))
    ground = select.ground_for(hand, asked["space"], units, around=asked["around"])
    chosen, pinned = set(asked["work"]), asked["pin"]
    pool = [artwork for artwork in ground.pool if not chosen or artwork.pk in chosen or artwork.pk in pinned]
    edge: Edge = asked["edge"] or "rectangle"
    composed, notes = None, []
    if asked["compose"]:
        until = time.monotonic() + PATIENCE_SECONDS
        composed = select.compose_for(
            ground,
            pool,
            hang_all=asked["all"],
            pinned=pinned,
            count=(_count(asked["least"], 2), _count(asked["most"], 9)),
            edge=edge,
            words=units,
            stop=lambda: time.monotonic() > until,
        )
        notes = [layout_note(hand, ground, layout, units, number) for number, layout in enumerate(composed.layouts, 1)]
    return render(
        request,
        "placements/wall_groups.html",
        {
            "here": "projects",
            "project": hand.project,
            "wall": hand.wall,
            "version": hand.version,
            "ground": ground,
            "pool": ground.pool,
            "chosen": {artwork.pk for artwork in pool},
            "pinned": set(pinned),
            "layouts": notes,
            "composed": composed,
            "asked": request.GET,
            "edges": EDGES,
            "edge": edge,
            "units": units,
            "in_review": hand.in_review,
            "in_hand": history.group_kept(request, hand.wall, ground.space_id),
        },
    )


def _count(asked: int | None, otherwise: int) -> int:
    return otherwise if asked is None else min(max(asked, 2), 30)


@login_required
@require_http_methods(["GET", "POST"])
def wall_group(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    """A layout on the floor and on the wall, in step, with its measures. The plan is not touched; the session keeps
    what was arranged, and every step of it, so that one may leave the page and come back."""
    hand = _load(request, pk, wall_pk)
    units = units_for(request.user, hand.project)
    asked = given(GroupForm(request.POST if request.method == "POST" else request.GET))
    ground = select.ground_for(hand, asked["space"], units, around=asked["around"])
    wall, space, operation, problem = hand.wall, ground.space_id, asked["do"], ""
    if request.method == "GET":
        kept = history.group_kept(request, wall, space)
        if kept is None or not select.is_there(ground, kept["state"]):
            history.group_forget(request, wall, space)
            messages.info(
                request, "No group is being arranged for this space. Compose one, or start from what hangs there."
            )
            return redirect(f"{reverse('wall_groups', args=[pk, wall_pk])}?{urlencode({'space': space})}")
    else:
        shown = carried.layout(asked["state"]) if asked["state"] else select.state_hung(hand, ground)
        if operation in ("undo", "redo"):
            kept = history.group_back(request, wall, space, shown, operation)
        elif operation:
            try:
                changed = select.edited(ground, shown, operation, asked, units)
                kept = history.group_step(request, wall, space, shown, changed)
            except ValueError as error:
                problem = str(error)
                kept = (history.group_kept(request, wall, space) or {"past": [], "future": []}) | {"state": shown}
        else:
            select.layout_of(ground, shown, units)  # refuses what is not there before it is kept
            kept = history.group_begin(request, wall, space, shown)
    state = kept["state"]
    layout = select.layout_of(ground, state, units)
    room = sheet_room(
        request.COOKIES, lambda window: window - (74 if window < 992 else 418), high=520.0, may_enlarge=True
    )
    context = {
        "here": "projects",
        "project": hand.project,
        "wall": wall,
        "version": hand.version,
        "ground": ground,
        "units": units,
        "state": json.dumps(state),
        "can_undo": bool(kept["past"]),
        "can_redo": bool(kept["future"]),
        "in_review": hand.in_review,
        "problem": problem,
        "enlarged": room.enlarged,
        "picture": group_picture(hand, ground, layout, units, room=room, selected=str(asked["work"] or "")),
        "others": [artwork for artwork in ground.pool if artwork.pk not in {piece[0] for piece in state["pieces"]}],
    }
    template = "placements/_group.html" if request.htmx else "placements/wall_group.html"
    return render(request, template, context, status=422 if problem else 200)


@login_required
@require_POST
def wall_group_hang(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    """Hang the group: what hung in its space alone comes down."""
    hand = _load(request, pk, wall_pk)
    asked = given(GroupForm(request.POST))
    state = carried.layout(asked["state"])
    open_to_change(request, hand)
    before = hand.pieces, hand.bares
    try:
        group_hang(
            edit=Edit(request.user, asked["version"], asked["take_back"]),
            hand=hand,
            space=asked["space"],
            around=asked["around"],
            state=state,
            words=units_for(request.user, hand.project),
        )
    except Conflict as conflict:
        return render(
            request,
            "problem.html",
            {"problem": {"title": conflict.title, "detail": conflict.detail, "status": 409}},
            status=409,
        )
    history.remember(request, hand, before, done="Group hung.")
    return redirect("wall", pk, wall_pk)
