"""The exact place of every piece: an outline's boxes on its wall, a salon composed, a run along its rail."""

from __future__ import annotations

import dataclasses
import re
from collections import defaultdict
from collections.abc import Sequence

from ..groups.offers import hang_as_one
from ..groups.sequence import hanging_order
from ..groups.setting import Site, setting_of
from ..house import Work
from ..results import Hanging
from ..rule import INCH
from ..rulebook import Rulebook
from .board import Filling
from .casts import Outline
from .kinds import SAME_SIZE_MM
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
        return in_order(_composed(filling, place, works, rulebook), works)
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
    pieces = [dataclasses.replace(found[i], order=at) for at, i in enumerate(order, start=1)]
    return in_order(pieces, works)


def in_order(pieces: Sequence[Hanging], works: Sequence[Work]) -> tuple[Hanging, ...]:
    """Parts of one set that are of one size, from left to right, the upper row first, in the order of their titles.

    works : those that hang, in any order
    """
    by_id = {work.id: work for work in works}
    alike: dict[tuple[str, int, int], list[int]] = defaultdict(list)
    for at, piece in enumerate(pieces):
        work = by_id[piece.work]
        if work.set_name:
            alike[work.set_name, round(work.width / SAME_SIZE_MM), round(work.height / SAME_SIZE_MM)].append(at)
    found = list(pieces)
    for places in alike.values():
        rows, columns = ({round(one / INCH) for one in ends} for ends in _ends(pieces, places))
        climbs = len(rows) == len(columns) == len(places)  # a flight is read along its rise
        read = sorted(places, key=lambda at: (0 if climbs else -round(pieces[at].bottom / INCH), pieces[at].left))
        names = sorted((pieces[at].work for at in places), key=lambda one: _natural(by_id[one].title))
        for at, name in zip(read, names, strict=True):
            found[at] = dataclasses.replace(pieces[at], work=name)
    return tuple(found)


def _ends(pieces: Sequence[Hanging], places: Sequence[int]) -> tuple[list[float], list[float]]:
    """The lower and the left edges of some pieces [mm]."""
    return [pieces[at].bottom for at in places], [pieces[at].left for at in places]


def _natural(title: str) -> tuple[tuple[int, str | int], ...]:
    """A title as one sorts it, its numbers as numbers."""
    parts = re.split(r"(\d+)", title.strip().lower())
    return tuple((0, int(part)) if part.isdigit() else (1, part) for part in parts if part)


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
    best = min(enumerate(found), key=lambda one: _off(one[1], size_of, outline) + LATER * one[0], default=(0, ()))[1]
    return _lifted(best, size_of, filling, place) if best and place.bearer is None else best


def _lifted(
    pieces: Sequence[Hanging], size_of: dict[str, tuple[float, float]], filling: Filling, place: Place
) -> tuple[Hanging, ...]:
    """An arrangement with its middle at the height that was aimed at, as far as the place allows."""
    low = min(one.bottom for one in pieces)
    top = max(one.bottom + size_of[one.work][1] for one in pieces)
    up = filling.rect.centre_y - (low + top) / 2
    up = min(max(up, place.box.bottom - low), place.box.top - top)
    return tuple(dataclasses.replace(one, bottom=one.bottom + up) for one in pieces)


def _off(pieces: Sequence[Hanging], size_of: dict[str, tuple[float, float]], outline: Outline) -> float:
    """How far an arrangement lies from the outline that was planned, as shares of its sides."""
    width = max(one.left + size_of[one.work][0] for one in pieces) - min(one.left for one in pieces)
    height = max(one.bottom + size_of[one.work][1] for one in pieces) - min(one.bottom for one in pieces)
    return abs(width / outline.width - 1) + abs(height / outline.height - 1)
