"""Spaces inside picture-frame mouldings, and on the back wall of a recess that is large enough to hang a piece in."""

from __future__ import annotations

from collections.abc import Iterator

from ..ceilings import free_rectangles
from ..geometry import common, grown
from ..house import Item, Rect, Wall
from ..obstacles import bearers, item_name, keep_outs
from ..rule import INCH
from ..rulebook import Rulebook
from .furniture import governed_by_panel
from .outline import Found, ideal_panel

#: The smallest panel that takes a piece [mm]. Common practice, no source.
LEAST_SIDE = 8 * INCH
#: A niche of this size is a recess with a wall of its own [mm], wide by high; a smaller one is for objects.
RECESS = (24 * INCH, 36 * INCH)


def panels(wall: Wall, rulebook: Rulebook) -> Iterator[Found]:
    """One space in each panel, what stands before it left out."""
    frames = sorted(
        (item for item in wall.items if item.acts == "panel" or is_recess(item)), key=lambda item: item.left
    )
    for panel in frames:
        rect = _inside(wall, panel, rulebook)
        if rect is None:
            continue
        yield Found(
            id=f"{wall.id}:{panel.id}",
            name=_name(panel, frames, wall),
            kind="panel",
            over=None,
            rect=rect,
            basis=rect.width,
            ideal=ideal_panel(rect, rulebook),
        )


def is_recess(item: Item) -> bool:
    """Whether a niche is large enough to hang a piece on its back wall."""
    return item.kind == "niche" and item.width >= RECESS[0] and item.height >= RECESS[1]


def _inside(wall: Wall, panel: Item, rulebook: Rulebook) -> Rect | None:
    inner = common(grown(panel.rect, -rulebook.margins.moulding), Rect(0.0, 0.0, wall.length, wall.height))
    if inner is None or inner.width < LEAST_SIDE or inner.height < LEAST_SIDE:
        return None
    solid = [keep_out.rect for keep_out in keep_outs(wall, rulebook.margins) if keep_out.item.id != panel.id]
    for bearer in bearers(wall):
        before = bearer.left < inner.right and bearer.rect.right > inner.left
        if before and not governed_by_panel(bearer, panel):
            if panel.left <= bearer.rect.centre_x <= panel.rect.right:
                return None  # the space above the furniture is the one to hang in
            solid.append(bearer.rect)
    found = free_rectangles(wall, inner, solid, 0.0)
    free = [r for r in found if r.width >= LEAST_SIDE and r.height >= LEAST_SIDE]
    return max(free, key=lambda r: (r.width * r.height, -r.left, -r.bottom), default=None)


def _name(panel: Item, frames: list[Item], wall: Wall) -> str:
    if panel.label or is_recess(panel):
        return f"In the {item_name(panel, wall)}"
    frames = [item for item in frames if not is_recess(item)]
    at = [item.id for item in frames].index(panel.id)
    names = {1: ("Panel",), 2: ("Left panel", "Right panel"), 3: ("Left panel", "Centre panel", "Right panel")}
    return names[len(frames)][at] if len(frames) in names else f"Panel {at + 1} from the left"
