"""The exact place of every piece: an outline's boxes on its wall, a salon composed, a run along its rail."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from ..groups.offers import hang_as_one
from ..groups.sequence import hanging_order
from ..groups.setting import Site, setting_of
from ..house import Work
from ..results import Hanging
from ..rulebook import Rulebook
from .board import Filling
from .casts import Outline
from .places import Place

#: How far the outline of a salon may lie from the one that was aimed at, as a share.
AS_AIMED = 0.12
#: Layouts of a salon to choose from, and what each later one must gain to be taken.
MOST_LAYOUTS, LATER = 4, 0.03


def hang(filling: Filling, place: Place, works: Sequence[Work], rulebook: Rulebook) -> tuple[Hanging, ...]:
    """Works at their places, in the order of hanging; none where no arrangement of them fits there.

    works : in the order of the outline's slots
    """
    if filling.outline.form == "salon" or place.space.kind == "stair":
        return _composed(filling, place, works, rulebook)
    middle_x = filling.left + filling.outline.width / 2
    middle_y = filling.bottom + filling.outline.height / 2
    boxes = filling.outline.boxes
    found = [
        Hanging(work.id, place.wall.id, float(middle_x + box[0]), float(middle_y + box[1]))
        for work, box in zip(works, boxes, strict=True)
    ]
    if len(found) == 1:
        return tuple(found)
    order = hanging_order(boxes).tolist()
    return tuple(
        Hanging(found[i].work, found[i].wall, found[i].left, found[i].bottom, at) for at, i in enumerate(order, start=1)
    )


def _composed(filling: Filling, place: Place, works: Sequence[Work], rulebook: Rulebook) -> tuple[Hanging, ...]:
    """What the composer of groups makes of them there."""
    site = Site.on(place.wall, place.space, rulebook)
    setting, outline = setting_of(place.space, site), filling.outline
    salon = outline.form == "salon" and place.space.kind != "stair"
    if salon:
        near = 1 - AS_AIMED, 1 + AS_AIMED
        setting = dataclasses.replace(
            setting,
            axis=filling.rect.centre_x,
            width=(near[0] * outline.width, near[1] * outline.width),
            height=(near[0] * outline.height, near[1] * outline.height),
        )
    found = hang_as_one(works, setting, site.limits, most=MOST_LAYOUTS if salon else 1, salon=salon)
    if not salon:
        return found[0] if found else ()
    size_of = {work.id: (work.width, work.height) for work in works}
    return min(enumerate(found), key=lambda one: _off(one[1], size_of, outline) + LATER * one[0], default=(0, ()))[1]


def _off(pieces: Sequence[Hanging], size_of: dict[str, tuple[float, float]], outline: Outline) -> float:
    """How far an arrangement lies from the outline that was planned, as shares of its sides."""
    width = max(one.left + size_of[one.work][0] for one in pieces) - min(one.left for one in pieces)
    height = max(one.bottom + size_of[one.work][1] for one in pieces) - min(one.bottom for one in pieces)
    return abs(width / outline.width - 1) + abs(height / outline.height - 1)
