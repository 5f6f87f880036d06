"""Each way of editing a wall: from what the form says to one call of a service."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from placements.contexts.wall import bearer_under
from placements.pieces import Piece
from placements.scenes import works_for
from placements.selectors.elsewhere import in_other_plans, said_of
from placements.selectors.walls import WallInHand
from placements.services import moves, remedies
from placements.services.walls import Edit
from studio.errors import Invalid, Missing
from studio.units import LENGTH_EXAMPLES, Units
from studio.words import sentence

from . import carried

#: What the form says, by field: see `WallEditForm`; and the `step` to undo or redo, None where there is none.
Given = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Done:
    """What to show after an edit."""

    selected: int | None = None
    space: str | None = None
    said: str = ""
    works_changed: bool = False


def place(given: Given, units: Units) -> tuple[float, float]:
    """Left and bottom [mm], as a script sends them, to the nearest 1/16 in or 1 mm."""
    for name in ("left_mm", "bottom_mm"):
        if given[name] is None:
            raise Invalid(f"{name} is not a length.", faults=[{"where": name, "detail": "Give a length."}])
    return units.rounded(given["left_mm"]), units.rounded(given["bottom_mm"])


def take(edit: Edit, hand: WallInHand, given: Given, units: Units) -> Done:
    """A whole arrangement, as the comparing page showed it; `reason` is why what it newly leaves bare stays bare."""
    state = carried.arrangement(given["state"])
    bares = [(space, why or given["reason"]) for space, why in state["bares"]]
    if any(not why for _, why in bares):
        raise Invalid("Say why it stays bare: the client will ask.", faults=[{"where": "reason", "detail": "Say why."}])
    _replace(edit, hand, _read(hand, state), bares)
    return Done(
        said=f"{given['name']} hangs now." if given["name"] else "The wall hangs as chosen now.", works_changed=True
    )


def move(edit: Edit, hand: WallInHand, given: Given, units: Units) -> Done:
    """To a place in millimetres, or by one typed measure: left, right, bottom, centre, above."""
    placement = hand.placement(given["artwork"] or 0)
    artwork, left, bottom = placement.artwork, placement.left_mm, placement.bottom_mm
    if measure := given["measure"]:
        value = given.get(measure)
        if not isinstance(value, float):
            detail = f"Give a length, such as {LENGTH_EXAMPLES}."
            raise Invalid(detail, faults=[{"where": measure, "detail": detail}])
        if measure == "left":
            left = value
        elif measure == "right":
            left = units.rounded(hand.wall.length_mm - artwork.width_mm - value)
        elif measure == "bottom":
            bottom = value
        elif measure == "centre":
            bottom = units.rounded(value - artwork.height_mm / 2)
        elif measure == "above" and (bearer := bearer_under(hand.wall, Piece.of(placement).rect)):
            bottom = units.rounded(bearer.bottom_mm + bearer.height_mm + value)
        else:
            raise Invalid("There is no such measure of this piece.", faults=[{"where": "measure", "detail": measure}])
    else:
        left, bottom = place(given, units)
    moves.placement_move(edit=edit, hand=hand, placement=placement, left_mm=left, bottom_mm=bottom)
    return Done(artwork.pk, said=f"{artwork} moved.")


def hang(edit: Edit, hand: WallInHand, given: Given, units: Units) -> Done:
    """A ranked work at its best place in a space; what hung in that space alone comes down."""
    artwork = works_for(hand.project).filter(pk=given["artwork"]).first()
    if artwork is None:
        raise Missing(sentence(f"this work may not hang in {hand.project}"))
    left, bottom = place(given, units)
    moves.work_hang(
        edit=edit,
        hand=hand,
        artwork=artwork,
        left_mm=left,
        bottom_mm=bottom,
        space=given["space"],
        why=given["why"][:500],
    )
    other = in_other_plans([artwork], hand.project).get(artwork.pk)
    said = f"{artwork} hangs here now. {said_of(other) if other else ''}".strip()
    return Done(artwork.pk, said=said, works_changed=True)


def remove(edit: Edit, hand: WallInHand, given: Given, units: Units) -> Done:
    placement = hand.placement(given["artwork"] or 0)
    moves.placement_remove(edit=edit, hand=hand, placement=placement)
    return Done(said=f"{placement.artwork} is taken down and listed as unplaced.", works_changed=True)


def lock(edit: Edit, hand: WallInHand, given: Given, units: Units) -> Done:
    """Fix a piece where it hangs, so that no proposal moves it; or free it."""
    placement = hand.placement(given["artwork"] or 0)
    locked = not placement.locked
    moves.placement_lock(edit=edit, hand=hand, placement=placement, locked=locked)
    return Done(placement.artwork_id, said=f"{placement.artwork} {'stays here' if locked else 'may move again'}.")


def bare(edit: Edit, hand: WallInHand, given: Given, units: Units) -> Done:
    space = given["space"]
    moves.wall_leave_bare(edit=edit, hand=hand, reason=given["reason"], space=space)
    return Done(space=space, said="Left bare.", works_changed=True)


def unbare(edit: Edit, hand: WallInHand, given: Given, units: Units) -> Done:
    space = given["space"]
    moves.wall_unbare(edit=edit, hand=hand, space=space)
    return Done(space=space, said="Art may hang here again.", works_changed=True)


def remedy(edit: Edit, hand: WallInHand, given: Given, units: Units) -> Done:
    """A remedy that the wall page offered, by its name and its text."""
    done = remedies.remedy_apply(edit=edit, hand=hand, offered=given["remedy"], text=given["text"], words=units)
    return Done(next(iter(done.works), None), space=done.bare, said=done.text, works_changed=True)


def undo(edit: Edit, hand: WallInHand, given: Given, units: Units) -> Done:
    return _go(edit, hand, given, "There is nothing to undo.", "Undone.")


def redo(edit: Edit, hand: WallInHand, given: Given, units: Units) -> Done:
    return _go(edit, hand, given, "There is nothing to redo.", "Redone.")


def _go(edit: Edit, hand: WallInHand, given: Given, nothing: str, said: str) -> Done:
    state = given["step"]
    if state is None:
        raise Invalid(nothing)
    _replace(edit, hand, _read(hand, state), state["bares"])
    return Done(said=said, works_changed=True)


def _read(hand: WallInHand, state: Mapping[str, Any]) -> list[Piece]:
    return moves.pieces_read(project=hand.project, data=state["pieces"])


def _replace(edit: Edit, hand: WallInHand, pieces: Sequence[Piece], bares: Iterable[tuple[str, str]]) -> None:
    moves.arrangement_replace(edit=edit, hand=hand, pieces=pieces, bares=bares)


ACTIONS: dict[str, Callable[[Edit, WallInHand, Given, Units], Done]] = {
    one.__name__: one for one in (move, hang, remove, lock, bare, unbare, remedy, take, undo, redo)
}

__all__ = ["ACTIONS", "Done", "place"]
