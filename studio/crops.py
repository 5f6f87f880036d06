"""Cutting a piece out of its photograph: the four corners that somebody marked become a rectangle again."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from PIL import Image

from .errors import Invalid

Point = tuple[float, float]
Four = tuple[Point, Point, Point, Point]

CORNERS = ("top_left", "top_right", "bottom_right", "bottom_left")
WHOLE: Four = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
#: The shortest side of what is kept [px].
LEAST_SIDE_PX = 48
#: Sides that meet at less than this lie almost in a line [degrees].
LEAST_ANGLE_DEG = 12.0
_TURNS = (None, Image.Transpose.ROTATE_270, Image.Transpose.ROTATE_180, Image.Transpose.ROTATE_90)


@dataclass(frozen=True, slots=True)
class Crop:
    """What to keep of a picture.

    corners : top left, top right, bottom right, bottom left, each across and down as shares (0 to 1) of the picture's
    width and height once it is turned; quarters : quarter turns clockwise, made first; to_piece : whether the result
    takes the piece's own proportions or those that the corners have by themselves.

    Raises:
        Invalid: not four corners, or one outside the picture.
    """

    corners: Four = WHOLE
    quarters: int = 0
    to_piece: bool = True

    def __post_init__(self) -> None:
        if self.quarters not in range(4):
            raise Invalid("A picture is turned by 0, 1, 2 or 3 quarters.", faults=[_fault("quarters", "0, 1, 2 or 3")])
        if len(self.corners) != 4 or any(len(corner) != 2 for corner in self.corners):
            raise Invalid("Four corners are needed, each across and down.", faults=[_fault("corners", "expected four")])
        faults = [
            _fault(f"{name}_{way}", "from 0 to 100 %: the corner lies inside the picture")
            for name, corner in zip(CORNERS, self.corners, strict=True)
            for way, value in zip(("across", "down"), corner, strict=True)
            if not 0 <= value <= 1
        ]
        if faults:
            raise Invalid("A corner lies outside the picture.", faults=faults)

    @property
    def whole(self) -> bool:
        """Nothing is cut off."""
        return self.corners == WHOLE

    def stored(self) -> dict[str, Any]:
        """As a piece's row keeps it."""
        return {
            "quarters": self.quarters,
            "corners": [list(corner) for corner in self.corners],
            "to_piece": self.to_piece,
        }

    @classmethod
    def of(cls, stored: dict[str, Any] | None) -> Crop:
        """Back from `stored`."""
        if not stored:
            return cls()
        corners: Any = tuple((across, down) for across, down in stored["corners"])
        return cls(corners, stored["quarters"], stored["to_piece"])


def cut(image: Image.Image, crop: Crop, *, proportion: float, most_px: int) -> Image.Image:
    """What the crop keeps, seen square on.

    Args:
        image: upright RGB.
        proportion: the piece's own width over its height.
        most_px: the longest side of the result.

    Raises:
        Invalid: the corners are crossed, almost in a line, or too near one another.
    """
    turn = _TURNS[crop.quarters]
    turned = image if turn is None else image.transpose(turn)
    if crop.whole:
        kept = turned.copy()
    else:
        corners = [(across * turned.width, down * turned.height) for across, down in crop.corners]
        kept = _squared(turned, corners, proportion if crop.to_piece else None, most_px)
    kept.thumbnail((most_px, most_px), Image.Resampling.LANCZOS)
    return kept


def _squared(image: Image.Image, corners: list[Point], proportion: float | None, most_px: int) -> Image.Image:
    _expect_quadrilateral(corners)
    top, right, bottom, left = (math.dist(a, b) for a, b in pairwise([*corners, corners[0]]))
    wide, high = max(top, bottom), max(left, right)
    if proportion is not None:
        wide, high = max(wide, high * proportion), max(high, wide / proportion)
    # Finer than is kept, so that making it smaller afterwards leaves no steps; never beyond what memory is for.
    shrink = min(1.0, 2 * most_px / max(wide, high))
    size = max(round(wide * shrink), 1), max(round(high * shrink), 1)
    a, b, c, d, e, f, g, h = from_unit_square(corners)
    within = (a / size[0], b / size[1], c, d / size[0], e / size[1], f, g / size[0], h / size[1])
    return image.transform(size, Image.Transform.PERSPECTIVE, within, Image.Resampling.BICUBIC, fillcolor="white")


def from_unit_square(corners: list[Point]) -> tuple[float, ...]:
    """The perspective that takes (0, 0), (1, 0), (1, 1), (0, 1) to the four corners.

    Returns:
        a to h of x = (a u + b v + c) / (g u + h v + 1), y = (d u + e v + f) / (g u + h v + 1).

    Source: Heckbert, Fundamentals of Texture Mapping and Image Warping, 1989, section 2.2.3; from memory.
    """
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = corners
    dx1, dx2, sx = x1 - x2, x3 - x2, x0 - x1 + x2 - x3
    dy1, dy2, sy = y1 - y2, y3 - y2, y0 - y1 + y2 - y3
    determinant = dx1 * dy2 - dx2 * dy1
    g, h = (sx * dy2 - dx2 * sy) / determinant, (dx1 * sy - sx * dy1) / determinant
    return x1 - x0 + g * x1, x3 - x0 + h * x3, x0, y1 - y0 + g * y1, y3 - y0 + h * y3, y0, g, h


def _expect_quadrilateral(corners: list[Point]) -> None:
    """Four corners [px] that go round clockwise on the screen and enclose enough to see."""
    ring = [*corners, *corners[:2]]
    sides = [math.dist(a, b) for a, b in pairwise(ring)][:4]
    if min(sides) < LEAST_SIDE_PX:
        raise _refused(
            f"The corners are too near one another: {min(sides):.0f} pixels, where {LEAST_SIDE_PX} are needed."
            " Take a closer photograph."
        )
    sines = [
        ((bx - ax) * (cy - by) - (by - ay) * (cx - bx)) / (one * other)
        for (ax, ay), (bx, by), (cx, cy), one, other in zip(
            ring, ring[1:], ring[2:], sides, [*sides[1:], sides[0]], strict=False
        )
    ]
    in_line = math.sin(math.radians(LEAST_ANGLE_DEG))
    if min(sines) < -in_line:
        raise _refused("The corners are crossed: mark them clockwise, from the piece’s top left corner.")
    if min(sines) < in_line:
        raise _refused(
            "Three corners lie almost in a line: take the photograph from more directly in front of the piece."
        )


def _refused(detail: str) -> Invalid:
    return Invalid(detail, faults=[_fault("corners", detail)])


def _fault(where: str, detail: str) -> dict[str, str]:
    return {"where": where, "detail": detail}
