"""Carrying out a remedy that the engine offers for a finding."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction

from placements.engine import facade
from placements.engine.results import Hanging, Words
from placements.scenes import ProjectScene
from placements.selectors.remedies import Offer, offer_of
from placements.selectors.tape import Tape
from placements.selectors.walls import WallInHand, assess
from studio.errors import Invalid
from studio.reader import units_of

from .moves import arrangement_replace, placement_place, wall_leave_bare
from .walls import Edit


@dataclass(frozen=True, slots=True)
class Mended:
    """What a remedy did: in words, with the works that it hung on the wall, or the space that it left bare."""

    text: str
    works: tuple[int, ...] = ()
    bare: str | None = None


@transaction.atomic
def remedy_apply(
    *,
    edit: Edit,
    hand: WallInHand,
    offered: str,
    text: str,
    words: Words,
) -> Mended:
    """Carry out a remedy that was offered for the wall in hand: on it, and on the walls that pieces go to.

    `offered` and `text` are as `selectors.remedies.offers` gave them, in these `words`; both are checked against what
    the engine offers now.

    Raises:
        Invalid: it is not offered any more.
        Conflict, WrongState: as `wall_edit`.
    """
    scene, assessment = assess(hand, words, remedies=True)
    offer = offer_of(assessment, offered, text)
    if offer is None:
        raise Invalid("The wall has changed since this was offered: look at what is offered now.")
    remedy, space = offer.remedy, offer.arrangement.space
    if remedy.kind == "leave_bare":
        reason = remedy.text[:250]
        wall_leave_bare(edit=edit, hand=hand, reason=reason, space=space)
        return Mended(remedy.text, bare=space)
    stays = hand.besides({scene.work_pk[piece.work] for piece in offer.arrangement.pieces})
    kept = {piece.artwork.pk for piece in stays}
    by_id, here = {one.id: one for one in assessment.spaces}, scene.wall_code[hand.wall.pk]
    tape = Tape(scene, scene.hangings(hand.here.values()), units_of(hand.project))
    on_marks = tape.put([h for h in remedy.hangings if h.wall == here], by_id.get(space))
    new = [h for h in on_marks if scene.work_pk[h.work] not in kept]
    comes = [scene.piece(h, order=order, space=space, why=remedy.text) for order, h in enumerate(new, len(stays) + 1)]
    elsewhere = [tape.put([h], None)[0] for h in _elsewhere(offer, scene, words)]
    bares = hand.bares_besides({space}).items()
    try:
        arrangement_replace(edit=edit, hand=hand, pieces=[*stays, *comes], bares=bares)
        for hanging in elsewhere:
            placement_place(
                edit=Edit(edit.by),
                hand=WallInHand(hand.project, scene.walls[scene.wall_pk[hanging.wall]], hand.revision),
                artwork=scene.artwork(hanging.work),
                left_mm=hanging.left,
                bottom_mm=hanging.bottom,
                space=remedy.moves_to or "",
                why=remedy.text,
            )
    finally:
        hand.forget()
    return Mended(remedy.text, tuple(piece.artwork.pk for piece in comes))


def _elsewhere(offer: Offer, scene: ProjectScene, words: Words) -> list[Hanging]:
    """What a remedy hangs on other walls: a piece that moves there, or the one that another replaced, at its best."""
    remedy, arranged = offer.remedy, offer.arrangement
    named = [h for h in remedy.hangings if h.wall != arranged.wall]
    if remedy.kind != "replace" or not remedy.moves_to:
        return named
    taken = {h.work for h in remedy.hangings}
    leaving = [piece.work for piece in arranged.pieces if piece.work not in taken][:1]
    wall = remedy.moves_to.split(":")[0]
    ranked = facade.rank(scene.house, remedy.moves_to, (), words, works=leaving)
    return named + [Hanging(best.work, wall, best.left, best.bottom) for best in ranked if best.fits]
