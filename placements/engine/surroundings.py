"""What stands around a free space and decides whether a piece is safe and welcome there: heat, damp, sun, people."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from .fixings import greatest_weight_kg, usable
from .geometry import overlap_across
from .hanging.wire import G
from .house import House, Item, Rect, Room, Wall
from .limits import INCH
from .results import Space
from .sunlight import sunshine

#: Rooms where the public walks: ADA 2010 Standards section 204 covers every circulation path.
PUBLIC_USES = ("public_corridor", "lobby")
SEATS = ("sofa", "bench", "desk", "piano")
#: What lies below: index 0 nothing in danger, 1 a seat, 2 a bed, 3 a cot.
BELOW = ("nothing", "seat", "bed", "cot")
#: How damp a place is: index 0 dry, 1 kitchen, 2 bath or beside a hob, sink or shower.
DAMP = ("dry", "kitchen", "wet")
WET_WORDS = re.compile(r"\b(hob|stove|range|cooktop|cooker|sink|basin|shower|tub|bath)\b", re.IGNORECASE)
HOT_WORDS = re.compile(r"\b(hob|stove|range|cooktop|cooker|heater)\b", re.IGNORECASE)
#: How near, across, something wet counts as beside the space [mm]. Common practice, no source.
BESIDE_MM = 900.0
#: Reasons to leave a wall bare, in the order of the columns of `Scene.reasons`.
REASONS = ("keep_bare", "flank", "view", "statement_light", "pier", "texture", "accent")
TEXTURED = ("patterned_wallpaper", "brick", "stone", "tile")
#: Two walls meet at a corner when their bearings differ by this much, give or take [degrees].
CORNER_DEG = (60.0, 120.0)
#: Depth of a room that no side wall tells [mm]: 4 m. Common practice, no source.
ROOM_DEPTH_MM = 4000.0
#: 2010 ADA Standards 307.2: how far a thing may stand out between a cane's sweep and people's heads.
ADA_DEPTH_MM = 4 * INCH
ADA_CANE_MM = 27 * INCH
ADA_HEAD_MM = 80 * INCH
#: 2010 ADA Standards 307.5 and 403.5.1: the clear width of a route that nothing may narrow.
ADA_WAY_MM = 36 * INCH


@dataclass(frozen=True, slots=True)
class Surroundings:
    """The facts of one space; lengths in mm above the floor, NaN where there is none or it is not known.

    carry_kg : what two ordinary fixings hold in this wall; utmost_kg : what two specialist ones do
    fire_top : top of a fire's opening below, and whether it is assumed to be the mantel's own top
    hot_top : top of a radiator or hob below
    sun_hours : full-sun hours of a year; sun_assumed : whether the room's depth is assumed
    window_gap : distance to the nearest window on the same wall
    allowed_depth : how far a piece may stand out into a public path, infinite where nobody passes
    way : width of the way between a public corridor's walls, infinite where it is not known or nobody passes
    """

    carry_kg: float
    utmost_kg: float
    fire_top: float
    fire_assumed: bool
    hot_top: float
    damp: int
    below: int
    sun_hours: float
    sun_assumed: bool
    window_gap: float
    allowed_depth: float
    way: float
    reasons: tuple[bool, ...]


def surroundings(house: House, wall: Wall, space: Space, bearer: Item | None) -> Surroundings:
    """Work out what stands around a space."""
    room = house.room_by_id[wall.room]
    fire_top, assumed = _fire(wall, bearer)
    sun, depth_assumed = _sun(house, room, wall, space.rect)
    ordinary, utmost = carrying(wall)
    return Surroundings(
        carry_kg=ordinary,
        utmost_kg=utmost,
        fire_top=fire_top,
        fire_assumed=assumed,
        hot_top=_hot(wall, space.rect),
        damp=_damp(room, wall, space.rect),
        below=_below(room, bearer),
        sun_hours=sun,
        sun_assumed=depth_assumed,
        window_gap=_window_gap(wall, space.rect),
        allowed_depth=_allowed_depth(room, bearer),
        way=room.clear_width if room.use in PUBLIC_USES and room.clear_width is not None else math.inf,
        reasons=bare_reasons(room, wall, space.rect),
    )


def carrying(wall: Wall) -> tuple[float, float]:
    """Weight [kg] on two points: with ordinary fixings, and with specialist ones (into studs where they are known)."""
    on_stud = wall.studs is not None
    strongest = usable(wall.build, on_stud, specialist=True)[-1]
    return greatest_weight_kg(wall.build, points=2), 2 * strongest.allowed_n / G


def bare_reasons(room: Room, wall: Wall, area: Rect) -> tuple[bool, ...]:
    """Which of `REASONS` speak for leaving this part of the wall bare."""
    windows = [item for item in wall.items if item.kind == "window"]
    views = [item for item in windows if item.view]
    return (
        wall.keep_bare,
        not wall.focal and any(one.focal and _meets(wall, one) for one in room.walls if one.id != wall.id),
        bool(views),
        any(item.acts == "statement_light" for item in wall.items),
        _between(windows, area),
        wall.finish in TEXTURED,
        wall.accent,
    )


def _meets(wall: Wall, other: Wall) -> bool:
    """Whether two walls meet at a corner; taken for granted where a bearing is not known."""
    if wall.faces_deg is None or other.faces_deg is None:
        return True
    turn = abs((wall.faces_deg - other.faces_deg + 180) % 360 - 180)
    return CORNER_DEG[0] <= turn <= CORNER_DEG[1]


def _between(windows: list[Item], area: Rect) -> bool:
    """A pier: a window on either side, and no more wall between them than the wider of the two."""
    left = [item for item in windows if item.rect.right <= area.centre_x and _beside(item.rect, area)]
    right = [item for item in windows if item.rect.left >= area.centre_x and _beside(item.rect, area)]
    if not left or not right:
        return False
    nearest = max(left, key=lambda item: item.rect.right), min(right, key=lambda item: item.rect.left)
    return nearest[1].rect.left - nearest[0].rect.right <= max(item.width for item in nearest)


def _beside(rect: Rect, area: Rect) -> bool:
    return rect.bottom < area.top and rect.top > area.bottom


def _fire(wall: Wall, bearer: Item | None) -> tuple[float, bool]:
    """Top of the fire's opening below a mantel, and whether only the mantel's own top is known."""
    if bearer is None or bearer.kind != "mantel":
        return math.nan, False
    below = [
        item.rect.top
        for item in wall.items
        if item.kind in ("opening", "niche")
        and overlap_across(item.rect, bearer.rect) > 0
        and item.rect.top <= bearer.rect.top
    ]
    if below:
        return max(below), False
    if bearer.bottom > 0:  # a shelf: the opening ends below it
        return bearer.bottom, False
    return bearer.rect.top, True


def _hot(wall: Wall, area: Rect) -> float:
    tops = [
        item.rect.top
        for item in wall.items
        if (item.kind == "radiator" or (item.kind == "custom" and HOT_WORDS.search(item.label)))
        and overlap_across(item.rect, area) > 0
        and item.rect.top <= area.top
    ]
    return max(tops) if tops else math.nan


def _damp(room: Room, wall: Wall, area: Rect) -> int:
    near = Rect(area.left - BESIDE_MM, 0.0, area.width + 2 * BESIDE_MM, wall.height)
    if room.use == "bath" or any(
        WET_WORDS.search(item.label) and overlap_across(item.rect, near) > 0 for item in wall.items
    ):
        return DAMP.index("wet")
    return DAMP.index("kitchen" if room.use == "kitchen" else "dry")


def _below(room: Room, bearer: Item | None) -> int:
    if bearer is None:
        return BELOW.index("nothing")
    if bearer.kind == "bed":
        return BELOW.index("cot" if room.use == "nursery" else "bed")
    return BELOW.index("seat" if bearer.kind in SEATS else "nothing")


def _sun(house: House, room: Room, wall: Wall, area: Rect) -> tuple[float, bool]:
    if house.latitude is None:
        return math.nan, False
    found = sunshine(room, wall, house.latitude, ROOM_DEPTH_MM)
    return (math.nan, False) if found is None else (found.over(area), found.depth_assumed)


def _window_gap(wall: Wall, area: Rect) -> float:
    gaps = [
        max(item.rect.left - area.right, area.left - item.rect.right, 0.0)
        for item in wall.items
        if item.kind == "window"
    ]
    return min(gaps) if gaps else math.nan


def _allowed_depth(room: Room, bearer: Item | None) -> float:
    """ADA 2010 Standards 307.2: 4 in; beyond the front of something a cane finds, where that stands below."""
    if room.use not in PUBLIC_USES:
        return math.inf
    found_by_cane = bearer is not None and bearer.bottom <= ADA_CANE_MM
    return ADA_DEPTH_MM + (bearer.depth if bearer is not None and found_by_cane else 0.0)
