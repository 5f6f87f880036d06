"""The exact place of every piece: an outline's boxes on its wall, a salon composed, a run along its rail."""

from __future__ import annotations

from collections.abc import Sequence

from ..groups.offers import hang_as_one
from ..groups.sequence import hanging_order
from ..groups.setting import Site, setting_of
from ..house import Work
from ..results import Hanging
from ..rulebook import Rulebook
from .board import Filling
from .places import Place


def hang(filling: Filling, place: Place, works: Sequence[Work], rulebook: Rulebook) -> tuple[Hanging, ...]:
    """Works at their places, in the order of hanging; none where no arrangement of them fits there.

    works : in the order of the outline's slots
    """
    if filling.outline.form == "salon" or (place.space.kind == "stair" and len(works) > 1):
        return _composed(filling, place, works, rulebook)
    middle_x = filling.left + filling.outline.width / 2
    middle_y = filling.bottom + filling.outline.height / 2
    if place.space.kind == "stair":
        return _composed(filling, place, works, rulebook)
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
    salon = filling.outline.form == "salon"
    found = hang_as_one(works, setting_of(place.space, site), site.limits, most=1, salon=salon)
    return found[-1] if found else ()
