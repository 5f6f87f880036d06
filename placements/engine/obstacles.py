"""What keeps art out of a part of the wall, each with its keep-clear margin, and what a sentence calls it."""

from __future__ import annotations

from dataclasses import dataclass

from .geometry import common, grown, overlap_across
from .house import Item, Rect, Wall
from .margins import Margins
from .names import small

_CASED = ("window", "door", "door_leaf", "opening", "niche")


@dataclass(frozen=True, slots=True)
class KeepOut:
    """An item that art must not cover: itself, and with its margin."""

    item: Item
    rect: Rect

    @property
    def raw(self) -> Rect:
        return self.item.rect


def keep_outs(wall: Wall, margins: Margins) -> tuple[KeepOut, ...]:
    """Bounds, services and the lines of mouldings on a wall with their margins."""
    return tuple(
        KeepOut(item, grown(covered(item, wall), margin_of(item, margins)))
        for item in wall.items
        if item.acts in ("bound", "service", "line")
    )


def covered(item: Item, wall: Wall) -> Rect:
    """What of an item art may not cover [mm].

    Art hangs above a wainscot or wholly within it, so only its upper edge counts; from a picture rail it hangs, so the
    wall above it counts, too. Of everything else it is the item itself.
    """
    if item.kind == "wainscot":
        return Rect(item.left, item.rect.top, item.width, 0.0)
    if item.kind == "picture_rail":
        return Rect(item.left, item.bottom, item.width, max(item.height, wall.height - item.bottom))
    return item.rect


def standing_before(wall: Wall, area: Rect) -> tuple[Item, ...]:
    """The lamps and objects on furniture that stand before a part of the wall, from left to right.

    They bound no space, since they can be moved; what hangs there keeps beside them, above them, or asks for that.
    """
    found = (item for item in wall.items if item.acts == "stands" and common(item.rect, area) is not None)
    return tuple(sorted(found, key=lambda item: (item.left, item.bottom, item.id)))


def margin_of(item: Item, margins: Margins) -> float:
    """How far art stays from the item [mm]."""
    if item.acts == "service":
        return margins.service
    if item.kind == "sconce":
        return margins.sconce
    if item.acts in ("panel", "line"):
        return margins.moulding
    return margins.casing if item.kind in _CASED else margins.furniture


def bearers(wall: Wall) -> tuple[Item, ...]:
    """The furniture that art hangs over, without what stands mostly in front of something longer."""
    found = [item for item in wall.items if item.acts == "bearer"]
    return tuple(item for item in found if not any(_hides(other, item) for other in found if other.id != item.id))


def bearer_below(wall: Wall, rect: Rect) -> Item | None:
    """The furniture (or mantel) that something at a place hangs over: the highest whose top is below it."""
    below = [
        item
        for item in wall.items
        if item.acts == "bearer" and overlap_across(item.rect, rect) > 0 and item.rect.top <= rect.bottom
    ]
    return max(below, key=lambda item: item.rect.top, default=None)


def item_name(item: Item, wall: Wall) -> str:
    """What a designer calls it, without article: "sofa", "left window", or its own label."""
    name = small(item.name)
    alike = sorted(
        (one for one in wall.items if one.kind == item.kind and one.label == item.label), key=lambda item: item.left
    )
    if len(alike) == 1:
        return name
    at = [item.id for item in alike].index(item.id)
    sides = {2: ("left", "right"), 3: ("left", "middle", "right")}.get(len(alike))
    return f"{sides[at]} {name}" if sides else f"{name} {at + 1}"


def _hides(other: Item, item: Item) -> bool:
    """Whether `one` stands for the most part before or behind a longer piece of furniture."""
    return overlap_across(item.rect, other.rect) > item.width / 2 and (other.width, other.id) > (item.width, item.id)
