"""Numbered flags on leader lines. The level reads from shape and weight first, from colour second."""

from __future__ import annotations

from collections.abc import Sequence

from .dimensions import Sheet
from .given import Flag
from .pen import INK, OCHRE, SHEET, Box, Manner, View, group, label, line, n, tag, titled


def draw_flags(flags: Sequence[Flag], view: View, manner: Manner, sheet: Sheet) -> str:
    return group("flags", "".join(_flag(flag, view, manner, sheet) for flag in flags))


def _places(b: Box, wide: float, high: float, step: float) -> list[tuple[Box, tuple[float, float], bool]]:
    """Where a flag for a thing at `b` may stand, best first: its box, the leader's end, whether it points left."""
    found = []
    for away in (step, step * 2.2, step * 3.6, step * 5.5, step * 8):
        for share in (0.82, 0.5, 0.2):
            y = b.y0 + b.high * share
            found.append((Box(b.x1 + away, y - high / 2, b.x1 + away + wide, y + high / 2), (b.x1, y), True))
        for share in (0.82, 0.5, 0.2):
            y = b.y0 + b.high * share
            found.append((Box(b.x0 - away - wide, y - high / 2, b.x0 - away, y + high / 2), (b.x0, y), False))
        for share in (0.85, 0.5, 0.15):
            x = b.x0 + b.wide * share
            found.append((Box(x, b.y0 - away - high, x + wide, b.y0 - away), (x, b.y0), True))
            found.append((Box(x, b.y1 + away, x + wide, b.y1 + away + high), (x, b.y1), True))
    return found


def _flag(flag: Flag, view: View, manner: Manner, sheet: Sheet) -> str:
    t = manner.text
    wide, high = t * (1.35 + 0.45 * len(flag.number)), t * 1.5
    places = _places(view.box(flag.where), wide, high, t * 0.9)
    inside = [p for p in places if p[0].x0 > 0 and p[0].y0 > 0]
    box, end, points_left = next((p for p in inside if sheet.is_free(p[0], t * 0.15)), (inside or places)[0])
    sheet.take(box)
    return _drawn(flag, box, end, points_left, manner)


def _drawn(flag: Flag, b: Box, end: tuple[float, float], points_left: bool, manner: Manner) -> str:
    t = manner.text
    middle, tip = (b.y0 + b.y1) / 2, t * 0.45
    near = b.x0 if points_left else b.x1
    leader = line(end[0], end[1], near, middle, stroke=INK, stroke_width=manner.fine) + tag(
        "circle", {"cx": end[0], "cy": end[1], "r": t * 0.16, "fill": INK}
    )
    if points_left:
        shape = f"M{n(b.x0)} {n(middle)}L{n(b.x0 + tip)} {n(b.y0)}H{n(b.x1)}V{n(b.y1)}H{n(b.x0 + tip)}Z"
    else:
        shape = f"M{n(b.x1)} {n(middle)}L{n(b.x1 - tip)} {n(b.y0)}H{n(b.x0)}V{n(b.y1)}H{n(b.x1 - tip)}Z"
    fill, ink = {"note": (SHEET, INK), "exception": (OCHRE, SHEET), "stop": (INK, SHEET)}[flag.level]
    body = tag("path", {"class": "pennant", "d": shape, "fill": fill, "stroke": INK, "stroke-width": manner.outline})
    if flag.level == "stop":
        i = t * 0.16
        left, right = b.x0 + i + (tip if points_left else 0), b.x1 - i - (tip if not points_left else 0)
        inner = f"M{n(left)} {n(b.y0 + i)}H{n(right)}V{n(b.y1 - i)}H{n(left)}"
        body += tag(
            "path", {"class": "inner", "d": inner, "fill": "none", "stroke": SHEET, "stroke-width": manner.fine}
        )
    x = (b.x0 + b.x1) / 2 + (tip / 2 if points_left else -tip / 2)
    number = label(flag.number, x, middle + t * 0.36, t, "middle", fill=ink, font_weight="600")
    title = titled(flag.text)
    return tag("g", {"class": f"flag {flag.level}", "data-flag": flag.number}, title + leader + body + number)
