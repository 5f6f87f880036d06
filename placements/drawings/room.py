"""What art hangs among: the wall's face and ground, its handrail, the outline of each item."""

from __future__ import annotations

from collections.abc import Mapping

from placements.engine.house import Item, Rail, Wall
from placements.engine.stairs import climbs, nosings, tread_at

from .finishes import skirting, wall_rect
from .fittings import FIXED, swing
from .furniture import STANDING, custom
from .given import Under
from .pen import INK, PENCIL, WALL, Kit, Manner, View, boxed, group, line, n, placed, tag

_OUTLINES = {**STANDING, **FIXED}


def draw_outline(item: Item, view: View, manner: Manner) -> str:
    """An item by its kind's outline, uncoloured: the group around it gives stroke and fill."""
    k = Kit(view, manner)
    _OUTLINES.get(item.kind, custom)(k, item.rect)
    if item.swing is not None:
        swing(k, item.rect, item.swing)
    return k.drawn()


def draw_face(wall: Wall, view: View) -> str:
    """The wall's face alone."""
    css, fill = ("wall accent", "#f3ece0") if wall.accent else ("wall", WALL)
    if wall.ceiling:
        return tag("path", {"class": css, "d": face_path(wall, view), "fill": fill, "stroke": "none"})
    return boxed(view.box(wall_rect(wall)), css, fill=fill, stroke="none")


def face_path(wall: Wall, view: View) -> str:
    """The outline of the wall's face under a ceiling that is not level."""
    line = "".join(f"L{n(view.x(x))} {n(view.y(y))}" for x, y in wall.ceiling)
    return f"M{n(view.x(0))} {n(view.y(0))}{line}L{n(view.x(wall.length))} {n(view.y(0))}Z"


def draw_under(under: Under, wall: Wall, view: View) -> str:
    """The wall's photograph over its whole face; a page fetches it once it is wanted."""
    shown = {"href" if under.shown else "data-href": under.href, "preserveAspectRatio": "none"}
    return tag("image", {"class": "under", **shown, **placed(view.box(wall_rect(wall)))})


def draw_ground(wall: Wall, view: View, manner: Manner, under: Under | None = None) -> str:
    """Wall face, what lies under the drawing, floor with its hatch, ceiling, the wall's ends, skirting."""
    b = view.box(wall_rect(wall))
    over = min(manner.outline * 7, manner.left)
    step = max(manner.text * 1.2, 7 * manner.outline)
    hatch, x = "", b.x0 - over + step * 0.6
    while x < b.x1 + over:
        hatch += f"M{n(x)} {n(b.y1)}l{n(-step * 0.5)} {n(step * 0.5)}"
        x += step
    k = Kit(view, manner)
    k.lines(skirting(wall))
    left, right, ceiling = b.y0, b.y0, line(b.x0 - over, b.y0, b.x1 + over, b.y0)
    if wall.ceiling:
        left, right = view.y(wall.ceiling[0][1]), view.y(wall.ceiling[-1][1])
        along = "".join(f"L{n(view.x(x))} {n(view.y(y))}" for x, y in wall.ceiling)
        ceiling = tag("path", {"d": f"M{n(b.x0 - over)} {n(left)}{along}L{n(b.x1 + over)} {n(right)}"})
    return (
        draw_face(wall, view)
        + (draw_under(under, wall, view) if under else "")
        + group("ends", line(b.x0, left, b.x0, b.y1) + line(b.x1, right, b.x1, b.y1),
                stroke=INK, stroke_width=manner.outline)
        + group("skirting", k.drawn(), stroke=PENCIL)
        + group("ceiling", ceiling, stroke=INK, stroke_width=manner.outline * 1.3, fill="none")
        + group("ground", tag("path", {"d": hatch}), stroke=PENCIL, stroke_width=manner.fine, fill="none")
        + group("floor", line(b.x0 - over, b.y1, b.x1 + over, b.y1), stroke=INK, stroke_width=manner.cut)
    )  # fmt: skip


def _treads(rail: Rail, v: View) -> str:
    """The path of a stair's treads and risers below its rail, as many as its rise asks for, down to the floor."""
    foot = min(((rail.from_x, rail.from_y), (rail.to_x, rail.to_y)), key=lambda end: end[1])[0]
    path = f"M{n(v.x(foot))} {n(v.y(tread_at(rail, foot)))}"
    for x, y in nosings(rail):
        path += f"H{n(v.x(x))}V{n(v.y(y))}"
    return path + f"V{n(v.y(0))}"


def draw_rail(wall: Wall, view: View, manner: Manner, ink: Mapping[str, object]) -> str:
    rail = wall.rail
    if rail is None:
        return ""
    v, m = view, manner
    x0, y0, x1, y1 = v.x(rail.from_x), v.y(rail.from_y), v.x(rail.to_x), v.y(rail.to_y)
    thick = 45 * v.scale
    posts, count = "", max(2, round(abs(rail.to_x - rail.from_x) / 260))
    drop = 820 * v.scale
    if m.details:
        for i in range(count + 1):
            x, y = x0 + (x1 - x0) * i / count, y0 + (y1 - y0) * i / count
            posts += f"M{n(x)} {n(y)}V{n(min(y + drop, v.y(0)))}"
    body = f"M{n(x0)} {n(y0)}L{n(x1)} {n(y1)}l0 {n(thick)}L{n(x0)} {n(y0 + thick)}Z"
    return group(
        "rail",
        tag(
            "path",
            {"class": "fine", "d": posts, "stroke-width": m.fine, "fill": "none"} if posts else {"d": "M0 0"},
        )
        + (tag("path", {"class": "treads", "d": _treads(rail, v), "fill": "none"}) if climbs(rail) else "")
        + tag("path", {"d": body}),
        **ink,
    )
