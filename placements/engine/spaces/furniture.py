"""Spaces above furniture: the free stretch of its length, from its top to the ceiling or what bounds it above."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from ..ceilings import Aims, free_rectangles, kept_below
from ..geometry import common, from_edges, grown, overlap_across
from ..house import Item, Rect, Wall
from ..obstacles import KeepOut, bearers, covered, item_name, keep_outs
from ..rule import INCH
from ..rulebook import Rulebook
from ..stairs import climbs
from .outline import Found, ideal_over
from .stair import rail_column
from .suites import as_one

#: The smallest stretch above furniture that is worth calling a space [mm]. Common practice, no source.
LEAST_WIDTH = 10 * INCH
LEAST_HEIGHT = 8 * INCH
#: Above tall furniture a stretch of this height is as good as any [mm]. Common practice, no source.
LEAST_REACH = 24 * INCH
#: Edges nearer than this touch [mm].
TOUCH = 0.5
#: A panel that begins no lower than this below the furniture's top lies above it and governs [mm].
PANEL_ABOVE = 2 * INCH


def over_furniture(wall: Wall, rulebook: Rulebook) -> Iterator[Found]:
    """One space above each bearer; several where something stands in the middle and leaves free stretches beside it.

    Where the end of one stands before another, the longer has what is above both; seats that stand together as a suite
    have one space.
    """
    taken: list[Rect] = []
    wall, named = as_one(wall)
    for bearer in sorted(bearers(wall), key=lambda item: (-item.width, item.left, item.id)):
        stretches = _stretches(wall, bearer, rulebook, taken)
        taken += stretches
        for number, rect in enumerate(stretches, start=1):
            lowest = max(rect.bottom, bearer.rect.top + rulebook.limits("clearance").low)
            basis = _basis(bearer, rect, keep_outs(wall, rulebook.margins), lowest, wall)
            side = "" if len(stretches) == 1 else f", {_side(number, len(stretches))} part"
            yield Found(
                id=f"{wall.id}:{bearer.id}",
                name=f"Over the {named.get(bearer.id) or item_name(bearer, wall)}{side}",
                kind="over_furniture",
                over=bearer.id,
                rect=rect,
                basis=basis,
                ideal=ideal_over(rect, bearer.rect.top, basis, rulebook),
                beyond=_beyond(wall, bearer, rect, rulebook),
            )


def governed_by_panel(bearer: Item, panel: Item) -> bool:
    """Whether the furniture's view is taken up by a panel wholly above it: the panel is then the space."""
    return (
        panel.bottom >= bearer.rect.top - PANEL_ABOVE
        and panel.left <= bearer.rect.centre_x <= panel.rect.right
        and overlap_across(bearer.rect, panel.rect) > min(bearer.width, panel.width) / 2
    )


def under_a_line(wall: Wall, bearer: Item, rulebook: Rulebook) -> bool:
    """Whether a chair rail or a wainscot's edge runs above the furniture, too high for art above it to belong to the
    furniture, too low for art below it: what hangs above the line then belongs to the wall."""
    margins, top = rulebook.margins, bearer.rect.top
    clear = rulebook.limits("clearance")
    lines = [covered(item, wall) for item in wall.items if item.kind in ("chair_rail", "wainscot")]
    return any(
        overlap_across(line, bearer.rect) > bearer.width / 2
        and line.bottom > top
        and line.top + margins.moulding > top + clear.high
        and line.bottom - margins.moulding < top + clear.low + LEAST_REACH
        for line in lines
    )


def _stretches(wall: Wall, bearer: Item, rulebook: Rulebook, taken: Sequence[Rect]) -> list[Rect]:
    """The free rectangles above a bearer that art can use, from left to right, disjoint across and from those taken."""
    margins, clear = rulebook.margins, rulebook.limits("clearance")
    panels = [item for item in wall.items if item.acts == "panel"]
    if any(governed_by_panel(bearer, panel) for panel in panels) or under_a_line(wall, bearer, rulebook):
        return []
    lowest = bearer.rect.top + clear.low
    bounds: Rect | None = from_edges(
        max(bearer.left, margins.corner),
        lowest,
        min(bearer.rect.right, wall.length - margins.corner),
        wall.height - margins.ceiling,
    )
    solid = [*taken, *(keep_out.rect for keep_out in keep_outs(wall, margins))]
    solid += [other.rect for other in bearers(wall) if other.id != bearer.id]
    if climbs(wall.rail) and (along := rail_column(wall, margins.corner)).width > 0:
        solid.append(along)  # along a stair the rail leads, whatever stands below it
    for panel in panels:
        inner = grown(panel.rect, -margins.moulding)
        if panel.left <= bearer.rect.centre_x <= panel.rect.right and bounds is not None:
            bounds = common(bounds, inner)
        else:
            solid.append(grown(panel.rect, margins.moulding))
    if bounds is None or bounds.width <= 0 or bounds.height <= 0:
        return []
    highest = bearer.rect.top + clear.high
    reach = max(2 * (rulebook.limits("eye-line").low - lowest), LEAST_REACH)
    free = [
        rect
        for rect in free_rectangles(wall, bounds, solid, margins.ceiling, Aims(((lowest, 2.0),), (reach,)))
        if rect.bottom <= highest and rect.width >= LEAST_WIDTH and rect.height >= LEAST_HEIGHT
    ]
    chosen: list[Rect] = []
    for rect in sorted(free, key=lambda r: (-_worth(r, reach), r.left, r.bottom)):
        if not any(overlap_across(rect, other) > 0 for other in chosen):
            chosen.append(rect)
    return [_down_to(rect, bearer.rect.top, lowest) for rect in sorted(chosen, key=lambda r: r.left)]


def _worth(rect: Rect, reach: float) -> float:
    """How much a stretch holds [mm]: its width, much less where it is too low for a piece to reach the eye line.

    So art hangs in the middle under a high vent, and beside a low one.
    """
    return rect.width * min(rect.height / reach, 1.0) ** 2


def _beyond(wall: Wall, bearer: Item, rect: Rect, rulebook: Rulebook) -> Rect | None:
    """A stretch spread sideways to where the open wall ends: at a corner, at what keeps art out, at other furniture.

    It keeps the stretch's own height, since what hangs there belongs to the furniture.
    """
    margins = rulebook.margins
    if any(item.acts == "panel" and _beside_height(item.rect, rect) for item in wall.items):
        return None  # between mouldings the moulding leads
    lowest = max(rect.bottom, bearer.rect.top + rulebook.limits("clearance").low)
    solid = [keep_out.rect for keep_out in keep_outs(wall, margins)]
    for other in bearers(wall):
        if other.id != bearer.id:
            solid.append(
                from_edges(other.left - margins.furniture, 0.0, other.rect.right + margins.furniture, wall.height)
            )
    if climbs(wall.rail):
        solid.append(rail_column(wall, margins.corner))
    for segment in kept_below(wall, margins.ceiling) if wall.ceiling else ():
        cut = segment.under(rect.top)
        if cut is not None:
            solid.append(from_edges(cut[0], 0.0, cut[1], wall.height))
    beside = [one for one in solid if one.bottom < rect.top - TOUCH and one.top > lowest + TOUCH]
    left = max((min(one.right, rect.left) for one in beside if one.left < rect.left), default=margins.corner)
    right = min((max(one.left, rect.right) for one in beside if one.right > rect.right), default=math.inf)
    left = min(rect.left, max(left, margins.corner))
    right = max(rect.right, min(right, wall.length - margins.corner))
    if right - left <= rect.width + TOUCH:
        return None
    return from_edges(left, rect.bottom, right, rect.top)


def _beside_height(rect: Rect, other: Rect) -> bool:
    return rect.bottom < other.top and rect.top > other.bottom


def _down_to(rect: Rect, bearer_top: float, lowest: float) -> Rect:
    """The rectangle reaching down to the furniture, where only the gap kept them apart."""
    return from_edges(rect.left, bearer_top, rect.right, rect.top) if rect.bottom <= lowest else rect


def _basis(bearer: Item, rect: Rect, bounds: Sequence[KeepOut], lowest: float, wall: Wall) -> float:
    """The furniture's length, or the free stretch of it where something itself (not only its margin) cuts in.

    lowest : where art begins, above the gap [mm]; what ends below it cuts nothing
    """
    left, right = max(bearer.left, 0.0), min(bearer.rect.right, wall.length)
    for keep_out in bounds:
        if keep_out.rect.bottom >= rect.top - TOUCH or keep_out.rect.top <= lowest + TOUCH:
            continue
        if (keep_out.raw.left < left and keep_out.raw.right > left) or keep_out.raw.right <= rect.left:
            left = max(left, keep_out.raw.right)
        if (keep_out.raw.right > right and keep_out.raw.left < right) or keep_out.raw.left >= rect.right:
            right = min(right, keep_out.raw.left)
    return bearer.width if (left, right) == (bearer.left, bearer.rect.right) else right - left


def _side(number: int, count: int) -> str:
    return "left" if number == 1 else "right" if number == count else "middle"
