"""Each way of editing a wall: from what the form says to one call of a service."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db import transaction
from django.http import HttpRequest

from placements.contexts.wall import bearer_under, remedy_at, sentence
from placements.engine import facade
from placements.engine.results import Arrangement, Hanging, Remedy
from placements.models import Placement
from placements.scenes import ProjectScene, works_for
from placements.selectors import walls
from placements.selectors.walls import Hung, PlannedWall
from placements.services import moves
from studio.errors import Invalid, Missing
from studio.models import Artwork, Wall
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


def take(request: HttpRequest, planned: PlannedWall, units: Units) -> Done:
    """A whole arrangement, as the comparing page showed it; `reason` is why what it newly leaves bare stays bare."""
    state = carried.arrangement(request.POST.get("state", ""))
    reason = request.POST.get("reason", "").strip()
    bares = [(space, why or reason[:250]) for space, why in state["bares"]]
    if any(not why for _, why in bares):
        raise Invalid("Say why it stays bare: the client will ask.", faults=[{"where": "reason", "detail": "Say why."}])
    _replace(request, planned, [moves.Piece(**piece) for piece in state["pieces"]], bares)
    name = request.POST.get("name", "").strip()[:60]
    return Done(said=f"{name} taken." if name else "Hangs as chosen now.", works_changed=True)


def move(request: HttpRequest, planned: PlannedWall, units: Units) -> Done:
    """To a place in millimetres, or by one typed measure: left, right, bottom, centre, above."""
    given = request.POST
    hung = _hung(planned, given)
    left, bottom = hung.left_mm, hung.bottom_mm
    if measure := given.get("measure"):
        value = typed(given, measure, units)
        if measure == "left":
            left = value
        elif measure == "right":
            left = planned.wall.length_mm - hung.artwork.width_mm - value
        elif measure == "bottom":
            bottom = value
        elif measure == "centre":
            bottom = value - hung.artwork.height_mm / 2
        elif measure == "above" and (bearer := bearer_under(planned.wall, hung.rect)):
            bottom = bearer.bottom_mm + bearer.height_mm + value
        else:
            raise Invalid("There is no such measure of this piece.", faults=[{"where": "measure", "detail": measure}])
    else:
        left, bottom = number(given, "left_mm"), number(given, "bottom_mm")
    moves.placement_move(
        by=request.user,
        placement=_placement(planned, hung.artwork.pk),
        version=version(given),
        left_mm=left,
        bottom_mm=bottom,
        take_back=takes_back(given),
    )
    return Done(hung.artwork.pk, said=f"{hung.artwork} moved.")


def hang(request: HttpRequest, planned: PlannedWall, units: Units) -> Done:
    """A ranked work at its best place in a space; what hung in that space alone comes down."""
    given = request.POST
    artwork = works_for(planned.project).filter(pk=_pk(given)).first()
    if artwork is None:
        raise Missing(f"This work may not hang in {planned.project}.")
    left, bottom, space = number(given, "left_mm"), number(given, "bottom_mm"), given.get("space", "")
    goes = {artwork.pk, *walls.hanging_in(planned, {space})}
    stays = [moves.Piece.of(one) for one in planned.hung if one.artwork.pk not in goes]
    new = moves.Piece(artwork.pk, left, bottom, len(stays) + 1, space=space, why=given.get("why", "")[:500])
    _replace(request, planned, [*stays, new], planned.bares_besides({space}).items())
    return Done(artwork.pk, said=f"{artwork} hangs here now.", works_changed=True)


def remove(request: HttpRequest, planned: PlannedWall, units: Units) -> Done:
    hung = _hung(planned, request.POST)
    moves.placement_remove(
        by=request.user,
        placement=_placement(planned, hung.artwork.pk),
        version=version(request.POST),
        take_back=takes_back(request.POST),
    )
    return Done(said=f"{hung.artwork} is back among the unplaced.", works_changed=True)


def lock(request: HttpRequest, planned: PlannedWall, units: Units) -> Done:
    """Fix a piece where it hangs, so that no proposal moves it; or free it."""
    hung = _hung(planned, request.POST)
    moves.placement_lock(
        by=request.user,
        placement=_placement(planned, hung.artwork.pk),
        version=version(request.POST),
        locked=not hung.locked,
        take_back=takes_back(request.POST),
    )
    return Done(hung.artwork.pk, said=f"{hung.artwork} {'may move again' if hung.locked else 'stays here'}.")


def bare(request: HttpRequest, planned: PlannedWall, units: Units) -> Done:
    space = request.POST.get("space", "")
    moves.wall_leave_bare(
        by=request.user,
        revision=planned.revision,
        wall=planned.wall,
        version=version(request.POST),
        reason=request.POST.get("reason", ""),
        space=space,
        take_back=takes_back(request.POST),
    )
    return Done(space=space, said="Left bare.", works_changed=True)


def unbare(request: HttpRequest, planned: PlannedWall, units: Units) -> Done:
    space = request.POST.get("space", "")
    moves.wall_unbare(
        by=request.user,
        revision=planned.revision,
        wall=planned.wall,
        version=version(request.POST),
        space=space,
        take_back=takes_back(request.POST),
    )
    return Done(space=space, said="Art may hang here again.", works_changed=True)


def remedy(request: HttpRequest, planned: PlannedWall, units: Units) -> Done:
    """Carry out a remedy that the wall page offered; its index is checked against the engine's answer now."""
    scene, assessment = walls.assess(planned, units, mending=True)
    found = remedy_at(assessment, request.POST.get("remedy", ""))
    if found is None or sentence(found[1].text) != request.POST.get("text", ""):
        raise Invalid("The wall has changed since this was offered: look at what is offered now.")
    space, one = found
    if one.kind == "leave_bare":
        moves.wall_leave_bare(
            by=request.user,
            revision=planned.revision,
            wall=planned.wall,
            version=version(request.POST),
            reason=one.text[:250],
            space=space,
            take_back=takes_back(request.POST),
        )
        return Done(space=space, said=one.text, works_changed=True)
    arranged = next(a for a in assessment.arrangements if a.space == space)
    goes = {scene.work_pk[piece.work] for piece in arranged.pieces}
    code = scene.wall_code[planned.wall.pk]
    stays = [moves.Piece.of(h) for h in planned.hung if h.artwork.pk not in goes]
    comes = [
        moves.Piece(scene.work_pk[h.work], h.left, h.bottom, len(stays) + i, space=space, why=one.text)
        for i, h in enumerate((h for h in one.hangings if h.wall == code), 1)
        if scene.work_pk[h.work] not in {piece.artwork for piece in stays}
    ]
    with transaction.atomic():
        _replace(request, planned, [*stays, *comes], planned.bares_besides({space}).items())
        for hanging in _elsewhere(one, arranged, scene, units):
            moves.placement_place(
                by=request.user,
                revision=planned.revision,
                wall=Wall.objects.get(pk=scene.wall_pk[hanging.wall]),
                version=None,
                artwork=Artwork.objects.get(pk=scene.work_pk[hanging.work]),
                left_mm=hanging.left,
                bottom_mm=hanging.bottom,
                space=one.moves_to or "",
                why=one.text,
            )
    return Done(comes[0].artwork if comes else None, said=one.text, works_changed=True)


def _elsewhere(one: Remedy, arranged: Arrangement, scene: ProjectScene, units: Units) -> list[Hanging]:
    """What a remedy hangs on other walls: a piece that moves there, or the one that another replaced, at its best."""
    named = [h for h in one.hangings if h.wall != arranged.wall]
    if one.kind != "replace" or not one.moves_to:
        return named
    taken = {h.work for h in one.hangings}
    leaving = [piece.work for piece in arranged.pieces if piece.work not in taken]
    best = {pairing.work: pairing for pairing in facade.rank(scene.house, one.moves_to, (), units) if pairing.fits}
    wall = one.moves_to.split(":")[0]
    return named + [Hanging(work, wall, best[work].left, best[work].bottom) for work in leaving[:1] if work in best]


def undo(request: HttpRequest, planned: PlannedWall, units: Units) -> Done:
    return _go(request, planned, "undo", "Undone.")


def redo(request: HttpRequest, planned: PlannedWall, units: Units) -> Done:
    return _go(request, planned, "redo", "Done again.")


def _go(request: HttpRequest, planned: PlannedWall, way: str, said: str) -> Done:
    state = history.last(request, planned.revision, planned.wall, way)
    if state is None:
        raise Invalid(f"There is nothing to {way}.")
    _replace(request, planned, [moves.Piece(**piece) for piece in state["pieces"]], state["bares"])
    return Done(said=said, works_changed=True)


def _replace(
    request: HttpRequest, planned: PlannedWall, pieces: Sequence[moves.Piece], bares: Iterable[tuple[str, str]]
) -> None:
    moves.arrangement_replace(
        by=request.user,
        revision=planned.revision,
        wall=planned.wall,
        version=version(request.POST),
        pieces=pieces,
        bares=bares,
        take_back=takes_back(request.POST),
    )


def _pk(given: Mapping[str, str]) -> int:
    value = given.get("artwork", "")
    return int(value) if value.isdecimal() and len(value) < 12 else 0


def _hung(planned: PlannedWall, given: Mapping[str, str]) -> Hung:
    pk = _pk(given)
    found = next((one for one in planned.hung if one.artwork.pk == pk), None)
    if found is None:
        raise Missing("That piece does not hang on this wall any more.")
    return found


def _placement(planned: PlannedWall, artwork_pk: int) -> Placement:
    return Placement.objects.select_related("wall", "artwork", "revision").get(
        revision=planned.revision, artwork=artwork_pk
    )


ACTIONS: dict[str, Callable[[HttpRequest, PlannedWall, Units], Done]] = {
    one.__name__: one for one in (move, hang, remove, lock, bare, unbare, remedy, take, undo, redo)
}

__all__ = ["ACTIONS", "Done", "number", "takes_back", "version"]
