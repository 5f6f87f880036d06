"""Open stretches of wall: free from left to right at eye height, with nothing below that a piece would hang over."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..ceilings import Aims, free_rectangles
from ..geometry import from_edges, grown, overlap_across
from ..house import Item, Rect, Wall
from ..obstacles import bearers, item_name, keep_outs
from ..rule import INCH
from ..rulebook import Rulebook
from .furniture import under_a_line
from .outline import Found, eye_room, ideal_open
from .stair import rail_column, rail_span

#: The smallest open stretch that is worth calling a space [mm]. Common practice, no source.
LEAST_WIDTH = 10 * INCH
LEAST_HEIGHT = 10 * INCH
#: Height above which more room at eye height makes a stretch no better [mm]: it takes most works, and art under a high
#: vent hangs in the middle of the wall. Common practice, no source.
ENOUGH_HEIGHT = 36 * INCH
#: What is left beside a stretch already taken counts only from this width on [mm].
LEAST_REST = 24 * INCH
#: A neighbour whose margin ends within this of a space bounds it [mm].
TOUCH = 0.5


@dataclass(frozen=True, slots=True)
class _Block:
    """What an open stretch may not enter, and the item behind it; a bearer or a rail takes its whole column.

    `item` is None for the stair.
    """

    item: Item | None
    rect: Rect


def open_wall(wall: Wall, rulebook: Rulebook) -> Iterator[Found]:
    """The open stretches, largest first by what they hold at eye height, each disjoint from the others."""
    margins, eye = rulebook.margins, rulebook.limits("eye-line")
    centre = (eye.low + eye.high) / 2
    blocks = _blocks(wall, rulebook)
    bounds = from_edges(margins.corner, margins.floor, wall.length - margins.corner, wall.height - margins.ceiling)
    solid = [block.rect for block in blocks]
    level = [2 * centre - foot for foot in (bounds.bottom, *(rect.top for rect in solid))]
    aims = Aims(((centre, 1.0),), tops=(centre + ENOUGH_HEIGHT / 2, *level))
    taken: list[Rect] = []
    while bounds.width > 0 and bounds.height > 0:
        best = max(
            (rect for rect in free_rectangles(wall, bounds, solid, margins.ceiling, aims) if _worth(rect, centre) > 0),
            key=lambda rect: (_worth(rect, centre), -rect.left, -rect.bottom),
            default=None,
        )
        if best is None:
            return
        solid.append(best)
        rest = any(_beside(best, rect) for rect in taken)
        taken.append(best)
        left, right = _neighbour(best, blocks, "left"), _neighbour(best, blocks, "right")
        if _between_mouldings(best, left, right, wall) or (rest and best.width < LEAST_REST):
            continue
        yield Found(
            id=f"{wall.id}:open:{left.id if left else '|'}..{right.id if right else '|'}",
            name=_name(wall, best, left, right),
            kind="open_wall",
            over=None,
            rect=best,
            basis=best.width,
            ideal=ideal_open(best, rulebook),
        )


def _blocks(wall: Wall, rulebook: Rulebook) -> list[_Block]:
    margins = rulebook.margins
    found = [_Block(keep_out.item, keep_out.rect) for keep_out in keep_outs(wall, margins)]
    for bearer in bearers(wall):
        side, top = margins.furniture, wall.height
        if under_a_line(wall, bearer, rulebook):
            top = bearer.rect.top + rulebook.limits("clearance").low
        found.append(_Block(bearer, from_edges(bearer.left - side, 0.0, bearer.rect.right + side, top)))
    found += [_Block(item, grown(item.rect, margins.moulding)) for item in wall.items if item.acts == "panel"]
    if wall.rail is not None and rail_span(wall, margins.corner)[0] < rail_span(wall, margins.corner)[1]:
        found.append(_Block(None, rail_column(wall, margins.corner)))
    return found


def _worth(rect: Rect, eye: float) -> float:
    """Area that a piece centred at eye height could take, 0 where the stretch is too small to count."""
    room = min(eye_room(rect, eye), rect.height)
    return rect.width * min(room, ENOUGH_HEIGHT) if rect.width >= LEAST_WIDTH and room >= LEAST_HEIGHT else 0.0


def _beside(rect: Rect, other: Rect) -> bool:
    """Whether two rectangles share part of an upright edge."""
    touch = min(abs(rect.left - other.right), abs(rect.right - other.left)) <= TOUCH
    return touch and rect.bottom < other.top and rect.top > other.bottom


def _neighbour(rect: Rect, blocks: list[_Block], side: str) -> Item | None:
    """The item that bounds a space on one side; None where the corner of the room (or the stair) does."""
    touching = []
    for block in blocks:
        edge, own = (block.rect.right, rect.left) if side == "left" else (block.rect.left, rect.right)
        beside = block.rect.bottom < rect.top and block.rect.top > rect.bottom
        if block.item is not None and beside and abs(edge - own) <= TOUCH:
            touching.append(block.item)
    return max(touching, key=lambda item: (item.height, item.id), default=None)


def _between_mouldings(rect: Rect, left: Item | None, right: Item | None, wall: Wall) -> bool:
    """Whether it is only the plain strip beside a panel: the moulding, not the strip, is the place to hang in."""
    panels = [item for item in wall.items if item.acts == "panel"]
    beside = any(item is not None and item.acts == "panel" for item in (left, right))
    return bool(panels) and (beside or rect.width < max(item.width for item in panels))


def _name(wall: Wall, rect: Rect, left: Item | None, right: Item | None) -> str:
    below = [
        item
        for item in wall.items
        if item.acts == "bound"
        and item.rect.top <= rect.bottom
        and item.rect.top > wall.height / 10
        and overlap_across(item.rect, rect) > rect.width / 2
    ]
    if below:
        return f"Above the {item_name(max(below, key=lambda item: item.rect.top), wall)}"
    if wall.rail is not None and not (left and right):
        return "Beside the stair"
    if left and right:
        if left.kind == right.kind and not (left.label or right.label):
            return f"Between the {_plural(left.kind.replace('_', ' '))}"
        return f"Between {item_name(left, wall)} and {item_name(right, wall)}"
    if left:
        return f"Right of the {item_name(left, wall)}"
    if right:
        return f"Left of the {item_name(right, wall)}"
    return "Open wall"


def _plural(name: str) -> str:
    return f"{name}es" if name.endswith(("s", "x", "ch")) else f"{name}s"
