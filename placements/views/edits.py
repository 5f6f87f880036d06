"""Each way of editing a wall: from what the form says to one call of a service."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

from placements.contexts.wall import bearer_under
from placements.pieces import Piece
from placements.scenes import works_for
from placements.selectors.walls import WallInHand
from placements.services import moves, remedies
from studio.errors import Invalid, Missing
from studio.units import BadMeasure, Units, parse_length

from . import carried, history


@dataclass(frozen=True, slots=True)
class Done:
    """What to show after an edit."""

    selected: int | None = None
    space: str | None = None
    said: str = ""
    works_changed: bool = False


def number(given: Mapping[str, str], name: str) -> float:
    """A length in millimetres as a script sends it."""
    try:
        value = float(given.get(name, ""))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise Invalid(f"{name} is not a length.", faults=[{"where": name, "detail": "Give a length."}])
    return value


def typed(given: Mapping[str, str], name: str, units: Units) -> float:
    """A length as a person types it, in their units; below nought where a piece hangs over an end."""
    try:
        return parse_length(given.get(name, ""), units.unit, zero=True, negative=True)
    except BadMeasure as fault:
        raise Invalid(str(fault).capitalize() + ".", faults=[{"where": name, "detail": str(fault)}]) from None


def version(given: Mapping[str, str]) -> int | None:
    value = given.get("version", "")
    return int(value) if value.isdecimal() else None


def takes_back(given: Mapping[str, str]) -> bool:
    """Whether the reader was told that the plan lies with the principal, so that a change takes it back."""
    return "take_back" in given


def take(request: HttpRequest, hand: WallInHand, units: Units) -> Done:
    """A whole arrangement, as the comparing page showed it; `reason` is why what it newly leaves bare stays bare."""
    state = carried.arrangement(request.POST.get("state", ""))
    reason = request.POST.get("reason", "").strip()
    bares = [(space, why or reason[:250]) for space, why in state["bares"]]
    if any(not why for _, why in bares):
        raise Invalid("Say why it stays bare: the client will ask.", faults=[{"where": "reason", "detail": "Say why."}])
    _replace(request, hand, _read(hand, state), bares)
    name = request.POST.get("name", "").strip()[:60]
    return Done(said=f"{name} taken." if name else "Hangs as chosen now.", works_changed=True)


def move(request: HttpRequest, hand: WallInHand, units: Units) -> Done:
    """To a place in millimetres, or by one typed measure: left, right, bottom, centre, above."""
    given = request.POST
    piece = hand.piece(_pk(given))
    left, bottom = piece.left_mm, piece.bottom_mm
    if measure := given.get("measure"):
        value = typed(given, measure, units)
        if measure == "left":
            left = value
        elif measure == "right":
            left = hand.wall.length_mm - piece.artwork.width_mm - value
        elif measure == "bottom":
            bottom = value
        elif measure == "centre":
            bottom = value - piece.artwork.height_mm / 2
        elif measure == "above" and (bearer := bearer_under(hand.wall, piece.rect)):
            bottom = bearer.bottom_mm + bearer.height_mm + value
        else:
            raise Invalid("There is no such measure of this piece.", faults=[{"where": "measure", "detail": measure}])
    else:
        left, bottom = number(given, "left_mm"), number(given, "bottom_mm")
    moves.placement_move(
        by=request.user,
        hand=hand,
        piece=piece,
        version=version(given),
        left_mm=left,
        bottom_mm=bottom,
        take_back=takes_back(given),
    )
    return Done(piece.artwork.pk, said=f"{piece.artwork} moved.")


def hang(request: HttpRequest, hand: WallInHand, units: Units) -> Done:
    """A ranked work at its best place in a space; what hung in that space alone comes down."""
    given = request.POST
    artwork = works_for(hand.project).filter(pk=_pk(given)).first()
    if artwork is None:
        raise Missing(f"This work may not hang in {hand.project}.")
    moves.work_hang(
        by=request.user,
        hand=hand,
        version=version(given),
        artwork=artwork,
        left_mm=number(given, "left_mm"),
        bottom_mm=number(given, "bottom_mm"),
        space=given.get("space", ""),
        why=given.get("why", "")[:500],
        take_back=takes_back(given),
    )
    return Done(artwork.pk, said=f"{artwork} hangs here now.", works_changed=True)


def remove(request: HttpRequest, hand: WallInHand, units: Units) -> Done:
    piece = hand.piece(_pk(request.POST))
    moves.placement_remove(
        by=request.user,
        hand=hand,
        piece=piece,
        version=version(request.POST),
        take_back=takes_back(request.POST),
    )
    return Done(said=f"{piece.artwork} is back among the unplaced.", works_changed=True)


def lock(request: HttpRequest, hand: WallInHand, units: Units) -> Done:
    """Fix a piece where it hangs, so that no proposal moves it; or free it."""
    piece = hand.piece(_pk(request.POST))
    moves.placement_lock(
        by=request.user,
        hand=hand,
        piece=piece,
        version=version(request.POST),
        locked=not piece.locked,
        take_back=takes_back(request.POST),
    )
    return Done(piece.artwork.pk, said=f"{piece.artwork} {'may move again' if piece.locked else 'stays here'}.")


def bare(request: HttpRequest, hand: WallInHand, units: Units) -> Done:
    space = request.POST.get("space", "")
    moves.wall_leave_bare(
        by=request.user,
        hand=hand,
        version=version(request.POST),
        reason=request.POST.get("reason", ""),
        space=space,
        take_back=takes_back(request.POST),
    )
    return Done(space=space, said="Left bare.", works_changed=True)


def unbare(request: HttpRequest, hand: WallInHand, units: Units) -> Done:
    space = request.POST.get("space", "")
    moves.wall_unbare(
        by=request.user,
        hand=hand,
        version=version(request.POST),
        space=space,
        take_back=takes_back(request.POST),
    )
    return Done(space=space, said="Art may hang here again.", works_changed=True)


def remedy(request: HttpRequest, hand: WallInHand, units: Units) -> Done:
    """A remedy that the wall page offered, by its name and its text."""
    done = remedies.remedy_apply(
        by=request.user,
        hand=hand,
        version=version(request.POST),
        offered=request.POST.get("remedy", ""),
        text=request.POST.get("text", ""),
        words=units,
        take_back=takes_back(request.POST),
    )
    return Done(next(iter(done.works), None), space=done.bare, said=done.text, works_changed=True)


def undo(request: HttpRequest, hand: WallInHand, units: Units) -> Done:
    return _go(request, hand, "undo", "Undone.")


def redo(request: HttpRequest, hand: WallInHand, units: Units) -> Done:
    return _go(request, hand, "redo", "Done again.")


def _go(request: HttpRequest, hand: WallInHand, way: str, said: str) -> Done:
    state = history.last(request, hand, way)
    if state is None:
        raise Invalid(f"There is nothing to {way}.")
    _replace(request, hand, _read(hand, state), state["bares"])
    return Done(said=said, works_changed=True)


def _read(hand: WallInHand, state: Mapping[str, Any]) -> list[Piece]:
    return moves.pieces_read(revision=hand.revision, data=state["pieces"])


def _replace(request: HttpRequest, hand: WallInHand, pieces: Sequence[Piece], bares: Iterable[tuple[str, str]]) -> None:
    moves.arrangement_replace(
        by=request.user,
        hand=hand,
        version=version(request.POST),
        pieces=pieces,
        bares=bares,
        take_back=takes_back(request.POST),
    )


def _pk(given: Mapping[str, str]) -> int:
    value = given.get("artwork", "")
    return int(value) if value.isdecimal() and len(value) < 12 else 0


ACTIONS: dict[str, Callable[[HttpRequest, WallInHand, Units], Done]] = {
    one.__name__: one for one in (move, hang, remove, lock, bare, unbare, remedy, take, undo, redo)
}

__all__ = ["ACTIONS", "Done", "number", "takes_back", "version"]
