"""What a space is before advice: its rectangle, its shape, and the size that a piece needs there."""

from __future__ import annotations

from dataclasses import dataclass

from ..house import Rect
from ..results import Ideal, Shape, SpaceKind
from ..rulebook import Rulebook

Band = tuple[float, float]
#: Of the height above tall furniture, the share that a piece takes where the eye line cannot decide. Common practice.
TALL_SHARE = (0.5, 0.85)
#: Where the eye line would leave less of the free height than this to a piece, the furniture counts as tall.
TALL_FROM = 0.6
#: The lowest height of a piece, as a share of the highest.
LEAST_SHARE = 0.4


@dataclass(frozen=True, slots=True)
class Found:
    """A space by its geometry [mm]; `basis` is what two-thirds measures against, `beyond` as in `Space`."""

    id: str
    name: str
    kind: SpaceKind
    over: str | None
    rect: Rect
    basis: float
    ideal: Ideal
    beyond: Rect | None = None


def shape_of(width: float, height: float, square_to: float) -> Shape:
    """landscape, square or portrait, for a stretch of this size."""
    if width > height * square_to:
        return "landscape"
    return "portrait" if height > width * square_to else "square"


def ideal_over(rect: Rect, bearer_top: float, basis: float, rulebook: Rulebook) -> Ideal:
    """Over furniture: two-thirds across; upwards what the gap and the eye line leave."""
    share, clear, eye = rulebook.limits("two-thirds"), rulebook.limits("clearance"), rulebook.limits("eye-line")
    free = max(rect.top - max(rect.bottom, bearer_top + clear.low), 1.0)
    highest = 2 * (eye.high - bearer_top - clear.low)
    if highest < TALL_FROM * free:
        height = TALL_SHARE[0] * free, TALL_SHARE[1] * free
    else:
        top = min(highest, 0.9 * free)
        height = min(max(2 * (eye.low - bearer_top - clear.high), LEAST_SHARE * top), top), top
    width = min(share.low * basis, rect.width), min(share.high * basis, rect.width)
    square_to = rulebook.limits("shape").square_to
    return shaped(width, height, shape_of(min(basis, rect.width + 0.1 * basis), height[1], square_to), square_to)


def ideal_open(rect: Rect, rulebook: Rulebook) -> Ideal:
    """On an open wall: a share of the free width and height, with the centre at the eye line."""
    eye = rulebook.limits("eye-line")
    room = eye_room(rect, (eye.low + eye.high) / 2)
    return _filled(rect, min(rect.height, room), rulebook)


def ideal_panel(rect: Rect, rulebook: Rulebook) -> Ideal:
    """In a panel: a share of its width and height, centred."""
    return _filled(rect, rect.height, rulebook)


def eye_room(rect: Rect, eye: float) -> float:
    """Height of the tallest piece that is centred on the eye line inside the rectangle [mm], 0 or less when none."""
    return 2 * min(rect.top - eye, eye - rect.bottom)


def _filled(rect: Rect, room: float, rulebook: Rulebook) -> Ideal:
    fill, square_to = rulebook.limits("fill"), rulebook.limits("shape").square_to
    low = min(fill.low_height * rect.height, room)
    high = max(low, min(fill.high_height * rect.height, room))
    width = fill.low * rect.width, fill.high * rect.width
    return shaped(width, (low, high), shape_of(rect.width, room, square_to), square_to)


def shaped(width: Band, height: Band, shape: Shape, square_to: float) -> Ideal:
    """The size range narrowed to the pieces of that shape, as far as that leaves any."""
    if shape == "landscape":
        height = _narrowed(height, 0.0, width[1] / square_to)
        width = _narrowed(width, height[0] * square_to, width[1])
    elif shape == "portrait":
        width = _narrowed(width, 0.0, height[1] / square_to)
        height = _narrowed(height, width[0] * square_to, height[1])
    else:
        height = _narrowed(height, width[0] / square_to, width[1] * square_to)
        width = _narrowed(width, height[0] / square_to, height[1] * square_to)
    return Ideal(width, height, shape)


def _narrowed(band: Band, low: float, high: float) -> Band:
    kept = max(band[0], low), min(band[1], high)
    return kept if kept[0] <= kept[1] else band
