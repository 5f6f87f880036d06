"""Why pieces hang where they do, in words that need no tape: what a client reads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from placements.engine.geometry import bounding
from placements.engine.house import Item, Rect, Wall
from placements.engine.names import small
from placements.engine.rulebook import Rulebook
from placements.models import Placement

#: Edges that differ by no more than this read as one line [mm].
LEVEL_MM = 6.0
#: A middle that differs by no more than this reads as centred [mm].
CENTRED_MM = 40.0
#: A piece higher above the furniture than this counts as separate from it [mm].
APART_MM = 600.0


@dataclass(frozen=True, slots=True)
class Reach:
    """The house rules' bands that the words rest on [mm]: centre above the floor, gap above furniture."""

    eye_low: float
    eye_high: float
    gap_high: float

    @classmethod
    def of(cls, rulebook: Rulebook) -> Reach:
        eye, gap = rulebook.limits("eye-line"), rulebook.limits("clearance")
        return cls(eye.low, eye.high, gap.high)


@dataclass(frozen=True, slots=True)
class Arrangement:
    """What hangs as one: a piece or a group, and why it hangs there."""

    placements: tuple[Placement, ...]
    why: str


def arrangements(wall: Wall, hung: Sequence[Placement], reach: Reach) -> list[Arrangement]:
    """A wall's pieces by what hangs as one, in hanging order."""
    sets: dict[str, list[Placement]] = {}
    for placement in hung:
        sets.setdefault(placement.group or f"one {placement.pk}", []).append(placement)
    return [Arrangement(tuple(members), _why(wall, members, reach)) for members in sets.values()]


def _why(wall: Wall, members: Sequence[Placement], reach: Reach) -> str:
    rects = [_rect(placement) for placement in members]
    several = len(members) > 1
    said = [_together(rects) if several else "", *_place(wall, bounding(rects), reach, several)]
    text = " ".join(filter(None, said))
    own = members[0].why
    return text or ("" if any(sign.isdigit() for sign in own) else own)


def _rect(placement: Placement) -> Rect:
    return Rect(placement.left_mm, placement.bottom_mm, placement.artwork.width_mm, placement.artwork.height_mm)


def _together(rects: Sequence[Rect]) -> str:
    count = {2: "The two", 3: "The three", 4: "The four", 5: "The five", 6: "The six"}.get(len(rects), "They")
    in_line = any(
        max(line) - min(line) <= LEVEL_MM
        for line in ([rect.bottom for rect in rects], [rect.centre_y for rect in rects], [rect.top for rect in rects])
    )
    return f"{count} hang as one{', in a straight line' if in_line else ''}."


def _place(wall: Wall, whole: Rect, reach: Reach, several: bool) -> list[str]:
    """Sentences on what a group or piece keeps to, and on its height."""
    if wall.rail is not None:
        return ["They follow the line of the handrail." if several else "It follows the line of the handrail."]
    its = "their" if several else "its"
    height = f"{its} middle {{}}at eye level." if reach.eye_low <= whole.centre_y <= reach.eye_high else ""
    alone = height.format("is ").capitalize()
    bearer = _bearer(wall, whole)
    if bearer is not None:
        return [_over(bearer, whole, reach, several), alone]
    if abs(whole.centre_x - wall.length / 2) > CENTRED_MM:
        return [alone]
    return [f"Centred on the wall, {height.format('')}" if height else "Centred on the wall."]


def _over(bearer: Item, whole: Rect, reach: Reach, several: bool) -> str:
    name = small(bearer.name)
    wide = _share(whole.width / bearer.width)
    near = whole.bottom - bearer.rect.top <= reach.gap_high + LEVEL_MM
    if wide and near:
        if several:
            return f"Together they are {wide} the {name} and hang close above it, so that all of it reads as one."
        return f"It is {wide} the {name} and hangs close above it, so that the two read as one."
    if wide:
        return f"{'Together they are' if several else 'It is'} {wide} the {name} below, which keeps a balance."
    if near:
        return f"{'They hang' if several else 'It hangs'} close above the {name}, so that they belong together."
    return ""


def _share(ratio: float) -> str:
    if 0.58 <= ratio < 0.72:
        return "about two-thirds as wide as"
    if 0.72 <= ratio <= 0.85:
        return "about three-quarters as wide as"
    return ""


def _bearer(wall: Wall, whole: Rect) -> Item | None:
    """The piece of furniture or the mantel that the pieces hang over, the nearest below."""
    below = [
        item
        for item in wall.items
        if item.acts == "bearer"
        and -LEVEL_MM <= whole.bottom - item.rect.top <= APART_MM
        and min(whole.right, item.rect.right) - max(whole.left, item.rect.left) > 0.5 * whole.width
    ]
    return max(below, key=lambda item: item.rect.top, default=None)
