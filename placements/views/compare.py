"""Two ways to hang a wall side by side, the shelf of ways to choose from, and the options that are kept by name."""

from __future__ import annotations

import string
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_POST

from placements import access
from placements.contexts import options as contexts
from placements.contexts.drawn import sheet_rooms
from placements.contexts.money import to_hang
from placements.contexts.wall import space_name
from placements.engine.results import Space
from placements.estimating.lines import one_wall
from placements.forms.walls import CompareQuery, KeepForm
from placements.models import Option
from placements.selectors import estimates, projects, walls
from placements.selectors import options as select
from placements.selectors.options import Way
from placements.selectors.walls import WallInHand
from placements.services import options as services
from studio.access import SignedRequest
from studio.forms import given
from studio.reader import units_for
from studio.units import Units

from . import carried, history
from .walls import load

#: A person waits this long for the engine's groups at most.
PATIENCE_SECONDS = 3.0


@login_required
@require_GET
def wall_compare(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    """Any two ways to hang the wall, to the same scale, each with its score, its findings and what it would change."""
    hand = load(request, pk, wall_pk, whole=True)
    units = units_for(request.user, hand.project)
    place = _place(request, hand, units)
    space = place.id
    first, second = _chosen(request, hand, units, place)
    rooms = sheet_rooms(request.COOKIES, lambda window: window - 74 if window < 896 else window / 2 - 66, high=520.0)
    why = _why(hand, space, first, second, units)
    costs = _costs(hand, first, second)
    speaks = walls.better(hand, first.hung, second.hung, units)
    return render(
        request,
        "placements/wall_compare.html",
        _page(request, hand, units, place)
        | {
            "sides": [
                contexts.side_of(
                    hand,
                    way,
                    units,
                    side=side,
                    space=space,
                    rooms=rooms,
                    why=why if side == "b" else "",
                    better=better,
                    cost=cost,
                )
                for side, way, better, cost in (
                    ("a", first, speaks[0], costs[0]),
                    ("b", second, speaks[1], costs[1]),
                )
            ],
            "a": first.key,
            "b": second.key,
            "free_name": _free_name(hand),
        },
    )


@login_required
@require_GET
def wall_options(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    """The shelf: every way to hang the wall, small."""
    hand = load(request, pk, wall_pk, whole=True)
    units = units_for(request.user, hand.project)
    place = _place(request, hand, units)
    space = place.id
    ways = select.ways_of(hand, space, units, **_session(request, hand), stop=_patience())
    asked = given(CompareQuery(request.GET))
    chosen = asked["a"], asked["b"]
    cards = contexts.cards_of(hand, ways, units, chosen)
    context = _page(request, hand, units, place) | {"cards": cards, "a": chosen[0], "b": chosen[1]}
    return render(request, "placements/_wall_options.html", context)


@login_required
@require_POST
def option_keep(request: SignedRequest, pk: int, wall_pk: int) -> HttpResponse:
    """Keep a way that the page showed, by name."""
    hand = load(request, pk, wall_pk)
    said = given(KeepForm(request.POST))
    way = carried.arrangement(said["state"])
    kept = services.option_keep(by=request.user, wall=hand.wall, name=said["name"], arrangement=way)
    messages.success(request, f"{kept.name} is kept for this wall.")
    asked = {"a": said["a"] or "now", "b": f"kept-{kept.pk}", "space": said["space"]}
    return redirect(f"{reverse('wall_compare', args=[pk, wall_pk])}?{urlencode(asked)}")


@login_required
@require_POST
def option_drop(request: SignedRequest, pk: int) -> HttpResponse:
    """Forget a kept option; the wall stays as it hangs."""
    rows = Option.objects.select_related("wall__room__project__client__studio")
    option = access.get(request.user, rows, pk)
    services.option_drop(by=request.user, option=option)
    messages.success(request, f"{option.name} is dropped.")
    return redirect("wall_compare", option.wall.room.project_id, option.wall_id)


def _page(request: SignedRequest, hand: WallInHand, units: Units, place: Place) -> dict[str, Any]:
    role = access.role_in(user=request.user, studio=hand.project.client.studio)
    return {
        "here": "projects",
        "project": hand.project,
        "wall": hand.wall,
        "units": units,
        "version": hand.version,
        "space": place.id,
        "spaces": [(space.id, space_name(space)) for space in place.spaces],
        "in_review": hand.in_review,
        "can_edit": projects.editable(hand.revision) and role in access.DESIGN,
    }


def _session(request: SignedRequest, hand: WallInHand) -> dict[str, Any]:
    return {
        "back": history.earlier(request, hand, "undo"),
        "forth": history.earlier(request, hand, "redo"),
    }


@dataclass(frozen=True, slots=True)
class Place:
    """The space that the engine's alternatives are for, among the wall's, and how many pieces hang in it."""

    id: str
    spaces: tuple[Space, ...]
    pieces: int


def _place(request: SignedRequest, hand: WallInHand, units: Units) -> Place:
    """The space asked for, else the one where most hangs, else the first to hang in; none where there is none."""
    _, assessment = walls.assess(hand, units)
    hanging: dict[str, int] = {}
    for arrangement in assessment.arrangements:
        hanging[arrangement.space] = hanging.get(arrangement.space, 0) + len(arrangement.pieces)
    known = {space.id: space for space in assessment.spaces}
    wanted = [one for one in known if hanging.get(one)] or [one for one in known if known[one].advice == "hang"]
    best = max(wanted, key=lambda one: hanging.get(one, 0), default=next(iter(known), ""))
    asked = given(CompareQuery(request.GET))["space"]
    chosen = asked if asked in known else best
    return Place(chosen, assessment.spaces, hanging.get(chosen, 0))


def _chosen(request: SignedRequest, hand: WallInHand, units: Units, place: Place) -> tuple[Way, Way]:
    """The two ways asked for; by itself the wall as it hangs, beside the best other."""
    asked, space = given(CompareQuery(request.GET)), place.id
    keys = asked["a"] or "now", asked["b"] or (f"work-{asked['work']}" if asked["work"] else "")

    def found(key: str) -> Way | None:
        session = _session(request, hand)
        return select.way_of(hand, key, space, units, **session, stop=_patience()) if key else None

    first, second = (found(key) for key in keys)
    if (keys[1] and second is None) or first is None:
        messages.warning(request, "One of the two is not there any more: choose again.")
    engine = ["group-1", *_best_work(hand, space, units)]
    others = ("back-1", *(engine if place.pieces > 1 else reversed(engine)), "bare")
    if second is None:
        second = next((way for key in others if (way := found(key)) and not select.same(way, first or way)), None)
    first = first or select.as_hung(hand)
    return first, second or first


def _best_work(hand: WallInHand, space: str, units: Units) -> list[str]:
    here = {piece.artwork.pk for piece in hand.pieces}
    ranked = walls.ranked(hand, space, units, most=1, besides=here)
    return [f"work-{work.pk}" for work, pairing in ranked if pairing.fits]


def _why(hand: WallInHand, space: str, first: Way, second: Way, units: Units) -> str:
    """Two single pieces in one space: why the one and not the other."""
    a, b = (
        [piece for piece in way.hung if piece not in other.hung] for way, other in ((first, second), (second, first))
    )
    if len(a) == len(b) == 1 and a[0].artwork.pk != b[0].artwork.pk and b[0].space == space:
        return walls.why_not(hand, space, b[0].artwork, a[0].artwork, units)
    return ""


def _costs(hand: WallInHand, first: Way, second: Way) -> tuple[str, str]:
    """What each way takes to hang; of the second, against the first."""
    prices, version = estimates.prices_of(hand.project.client.studio)
    a, b = (one_wall(estimates.on_wall(hand, way.hung), prices) for way in (first, second))
    whose = "" if version else " By the figures that come with us, not by your own prices."
    return to_hang(a) + whose, to_hang(b, a)


def _free_name(hand: WallInHand) -> str:
    taken = set(hand.wall.options.values_list("name", flat=True))
    return next((name for one in string.ascii_uppercase if (name := f"Option {one}") not in taken), "")


def _patience() -> Callable[[], bool]:
    until = time.monotonic() + PATIENCE_SECONDS
    return lambda: time.monotonic() > until
