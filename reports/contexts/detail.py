"""Groups drawn larger, cut out of their wall: numbers, sizes, hooks, gaps, edges and middle line stand apart there.

Edges are running dimensions from the wall's own datums. Pieces are empty outlines: the table has their pictures.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from placements.drawings.pen import (
    FONT,
    INK,
    PENCIL,
    Manner,
    View,
    boxed,
    group,
    label,
    line,
    tag,
    text_width,
    titled,
)
from placements.engine.house import Rect
from studio.units import Units

from .drawing import MARGIN_MM, fitted, level_mm
from .pieces import JobPiece
from .scales import IMPERIAL, METRIC, Scale

#: Pieces nearer to one another than this are one group [mm]: 12 in, common practice, no source.
TOGETHER_MM = 305.0
#: Scales of details, by whether units are metric: 1 : 10 to 1 : 25, and what is nearest to them in inches.
SCALES = {
    True: tuple(one for one in METRIC if 10 <= one.ratio <= 25),
    False: tuple(one for one in IMPERIAL if 12 <= one.ratio <= 24),
}
#: What a piece and a gap need on paper [mm].
PIECE_MM, GAP_MM = 11.0, 2.0
#: The most of a page that a detail takes [mm], and what stands round the pieces.
DEPTH_MM = 205.0
MANNER = Manner("detail", 0.5, 0.35, 0.18, 2.3, left=5, right=27, top=8, bottom=25)
#: Lettering within the pieces and their hooks [mm].
NUMBER_MM, SMALL_MM, ARM_MM = 4.2, 1.9, 1.3


@dataclass(frozen=True, slots=True)
class Detail:
    name: str
    scale: str
    svg: str


def details(pieces: Sequence[JobPiece], units: Units, paper: tuple[float, float]) -> tuple[Detail, ...]:
    """A detail of each group of two or more pieces of a wall, as large as a page holds."""
    found = []
    for together in groups_of(pieces):
        if len(together) > 1:
            name = f"Pieces {numbers_of(together)}"
            draw = partial(_drawn, together, units, name)
            scale, svg = fitted(draw, paper[0] - 2 * MARGIN_MM, DEPTH_MM, metric=units.metric)
            # No larger than its numbers need: what a detail takes, the wall and the table do not have.
            enough = [one for one in SCALES[units.metric] if one.ratio > scale.ratio and _apart(together, one)]
            if enough:
                scale, svg = enough[-1], draw(enough[-1])
            found.append(Detail(name, scale.label, svg))
    return tuple(found)


def _apart(pieces: Sequence[JobPiece], scale: Scale) -> bool:
    """Whether at a scale each piece holds its number and hooks, and each gap its figure."""
    sides = [side for piece in pieces for side in (piece.rect.width * 0.8, piece.rect.height)]
    gaps = [piece.gap[0] for piece in pieces if piece.gap and piece.gap[0] > 0]
    return min(sides) >= PIECE_MM * scale.ratio and all(gap >= GAP_MM * scale.ratio for gap in gaps)


def groups_of(pieces: Sequence[JobPiece]) -> list[list[JobPiece]]:
    """The pieces that hang near one another, in their order."""
    groups: list[list[JobPiece]] = []
    for piece in pieces:
        near = [group for group in groups if any(_near(piece.rect, other.rect) for other in group)]
        groups = [group for group in groups if group not in near]
        groups.append([*(other for group in near for other in group), piece])
    return [sorted(group, key=lambda piece: piece.number) for group in groups]


def _near(a: Rect, b: Rect) -> bool:
    across = max(a.left, b.left) - min(a.right, b.right)
    up = max(a.bottom, b.bottom) - min(a.top, b.top)
    return max(across, up) <= TOGETHER_MM


def numbers_of(pieces: Sequence[JobPiece]) -> str:
    """ "3 to 7" where they follow one another, else "3, 5, 6"."""
    numbers = [piece.number for piece in pieces]
    if numbers == list(range(numbers[0], numbers[-1] + 1)) and len(numbers) > 2:
        return f"{numbers[0]} to {numbers[-1]}"
    return ", ".join(map(str, numbers))


def _drawn(pieces: Sequence[JobPiece], units: Units, name: str, scale: Scale) -> str:
    m, s = MANNER, 1 / scale.ratio
    left, right = min(p.rect.left for p in pieces), max(p.rect.right for p in pieces)
    bottom, top = min(p.rect.bottom for p in pieces), max(p.rect.top for p in pieces)
    wide, high = (right - left) * s + m.left + m.right, (top - bottom) * s + m.top + m.bottom
    view = View(s, m.left - left * s, m.top + top * s)
    parts = (
        titled(f"{name} at {scale.label}: edges, gaps, hooks"),
        _middle((left + right) / 2, view, units, (view.y(top), view.y(bottom), high)),
        _level(view, units, (view.x(left), view.x(right), wide)) if bottom < level_mm(units) < top else "",
        group("pieces", "".join(_piece(piece, view, units) for piece in pieces), stroke=INK, stroke_width=m.outline),
        _gaps(pieces, view, units),
        _along(sorted({units.rounded(p.rect.left) for p in pieces}), view, units, view.y(bottom)),
        _up(sorted({units.rounded(p.rect.top) for p in pieces}), view, units, view.x(right)),
    )
    root = {"xmlns": "http://www.w3.org/2000/svg", "width": f"{wide:.2f}mm", "height": f"{high:.2f}mm",
            "viewBox": f"0 0 {wide:.2f} {high:.2f}", "font-family": FONT}  # fmt: skip
    return tag("svg", root, "".join(parts))


def _piece(piece: JobPiece, view: View, units: Units) -> str:
    b = view.box(piece.rect)
    x, y = (b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2
    size = units.size(piece.rect.width, piece.rect.height)
    drawn = [
        boxed(b, fill="none"),
        label(str(piece.number), x, y + NUMBER_MM * 0.5, NUMBER_MM, "middle", stroke="none", font_weight="600"),
    ]
    if text_width(size, SMALL_MM) < b.wide - 1 and y + NUMBER_MM * 0.5 + SMALL_MM * 1.4 < b.y1:
        drawn.append(label(size, x, y + NUMBER_MM * 0.5 + SMALL_MM * 1.4, SMALL_MM, "middle", stroke="none"))
    for index, hook in enumerate(piece.points):
        hx, hy = view.x(hook.fastened.point.left), view.y(hook.fastened.point.height)
        drawn += [
            line(hx - ARM_MM, hy, hx + ARM_MM, hy),
            line(hx, hy - ARM_MM, hx, hy + ARM_MM),
            label(
                hook.label,
                hx + (-0.4 if index else 0.4),
                hy + ARM_MM + SMALL_MM * 0.6,
                SMALL_MM,
                "end" if index else "start",
                stroke="none",
            ),
        ]
    return "".join(drawn)


def _middle(x: float, view: View, units: Units, rows: tuple[float, float, float]) -> str:
    """The group's middle line, over and under the pieces: it crosses no number."""
    at, t, (top, bottom, high) = view.x(x), MANNER.text, rows
    dashes = f"{t} {t * 0.4} {t * 0.3} {t * 0.4}"
    parts = line(at, 1, at, top - 0.8, stroke_dasharray=dashes)
    parts += line(at, bottom + 0.8, at, high - MANNER.bottom + 6, stroke_dasharray=dashes)
    text = label(f"middle {units.length(x)}", at + 0.8, t * 1.1, t, stroke="none", fill=PENCIL)
    return group("centre", parts + text, stroke=PENCIL, stroke_width=0.25)


def _level(view: View, units: Units, columns: tuple[float, float, float]) -> str:
    """The level line where it meets the group, at its sides."""
    height = level_mm(units)
    y, t, (left, right, wide) = view.y(height), MANNER.text, columns
    parts = line(0.5, y, left - 0.8, y) + line(right + 0.8, y, wide - 1, y, stroke_dasharray="2 1")
    text = label(f"level {units.length(height)}", right + 5, y + t * 1.1, t, stroke="none", fill=PENCIL)
    return group("level", parts + text, stroke=PENCIL, stroke_width=0.35)


def _gaps(pieces: Sequence[JobPiece], view: View, units: Units) -> str:
    """The gap of each piece to the next at its right and above it, where the lettering has room between them."""
    t, drawn = SMALL_MM, []
    for piece in pieces:
        a = piece.rect
        rects = [other.rect for other in pieces]
        beside = [r for r in rects if r.left >= a.right and _meet(a.bottom, a.top, r.bottom, r.top)]
        higher = [r for r in rects if r.bottom >= a.top and _meet(a.left, a.right, r.left, r.right)]
        right = min(beside, key=lambda r: r.left, default=None)
        above = min(higher, key=lambda r: r.bottom, default=None)
        if right is not None and (right.left - a.right) * view.scale > t * 1.05:
            text = units.length(units.rounded(right.left) - units.rounded(a.right))
            y = view.y((max(a.bottom, right.bottom) + min(a.top, right.top)) / 2)
            x = view.x((a.right + right.left) / 2) + t * 0.35
            drawn.append(label(text, x, y, t, "middle", upright=False))
        if above is not None and (above.bottom - a.top) * view.scale > t * 1.05:
            text = units.length(units.rounded(above.bottom) - units.rounded(a.top))
            x = view.x((max(a.left, above.left) + min(a.right, above.right)) / 2)
            drawn.append(label(text, x, view.y((a.top + above.bottom) / 2) + t * 0.35, t, "middle"))
    return group("gaps", "".join(drawn), fill=INK)


def _meet(low: float, high: float, other_low: float, other_high: float) -> bool:
    return low < other_high and other_low < high


def _along(at: Sequence[float], view: View, units: Units, below: float) -> str:
    """Left edges from the wall's left end, upright under the pieces, set apart."""
    t, drawn, free = MANNER.text, [], -1e9
    y = below + 2.5
    for x in at:
        px = view.x(x)
        text = units.length(x)
        place = max(px + t * 0.35, free)
        free = place + t * 1.1
        drawn.append(line(px, below + 0.8, px, y))
        drawn.append(line(px, y, place - t * 0.35, y + 2))
        drawn.append(label(text, place, y + 3 + text_width(text, t), t, upright=False, stroke="none"))
    return group("edges", "".join(drawn), stroke=INK, stroke_width=0.18)


def _up(at: Sequence[float], view: View, units: Units, right: float) -> str:
    """Top edges from the floor, at the right of the pieces, set apart."""
    t, drawn, free = MANNER.text, [], 1e9
    for height in sorted(at, reverse=True):
        py = view.y(height)
        place = py + t * 0.35 if free > 1e8 else max(py + t * 0.35, free)
        free = place + t * 1.1
        drawn.append(line(right + 0.8, py, right + 2.5, py))
        drawn.append(line(right + 2.5, py, right + 4.5, place - t * 0.35))
        drawn.append(label(units.length(height), right + 5, place, t, stroke="none"))
    return group("edges", "".join(drawn), stroke=INK, stroke_width=0.18)
