"""A wall and a piece on it seen from the side, the wall cut through."""

from __future__ import annotations

from collections.abc import Callable

from placements.engine.house import Rect

from ..pen import INK, SHEET, View, boxed, group, n, tag

#: How thick the cut wall is drawn [units].
CUT = 9.0

Drawn = Callable[[View], str]


def cut(face: float, low: float, high: float) -> Drawn:
    """The wall in section, hatched, its face at `face` from the left, from `low` to `high` [mm]."""

    def draw(view: View) -> str:
        x1, y0, y1 = view.x(face), view.y(high), view.y(low)
        x0 = x1 - CUT
        hatch, y = "", y0 + 8
        while y < y1:
            hatch += f"M{n(x0)} {n(y)}L{n(x1)} {n(y - 8)}"
            y += 8
        body = tag("rect", {"x": x0, "y": y0, "width": CUT, "height": y1 - y0})
        return group("items", body + tag("path", {"d": hatch, "stroke-width": 0.5, "fill": "none"}), stroke=INK,
                     stroke_width=1.6, fill=SHEET)  # fmt: skip

    return draw


def side(face: float, depth: float, bottom: float, high: float) -> Drawn:
    """A piece against the wall's face [mm]."""

    def draw(view: View) -> str:
        b = view.box(Rect(face, bottom, max(depth, 4.0), high))
        body = boxed(b, fill="#8fa3ad")
        return group("piece", body, stroke=INK, stroke_width=0.9)

    return draw
