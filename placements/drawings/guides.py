"""Bands, spans and free spaces: quiet layers that a page shows on demand."""

from __future__ import annotations

from collections.abc import Sequence

from placements.engine.house import Wall
from placements.engine.results import Space

from .dimensions import Sheet
from .given import Guide
from .pen import BOLE, PENCIL, VERDIGRIS, Box, Manner, View, box_of, boxed, group, label, line, tag, text_width, titled

_COLOUR = {"eye_line": BOLE, "span": VERDIGRIS, "clearance": VERDIGRIS, "centre": BOLE}


def draw_guides(guides: Sequence[Guide], wall: Wall, view: View, manner: Manner, sheet: Sheet) -> str:
    return "".join(_guide(guide, wall, view, manner, sheet) for guide in guides)


def _guide(guide: Guide, wall: Wall, view: View, manner: Manner, sheet: Sheet) -> str:
    b = view.box(guide.rect)
    colour = _COLOUR[guide.kind]
    dash = f"{manner.outline * 4} {manner.outline * 3}"
    if guide.kind == "centre":
        x = (b.x0 + b.x1) / 2
        shape = line(
            x,
            b.y0,
            x,
            b.y1,
            stroke_dasharray=f"{manner.outline * 9} {manner.outline * 2} {manner.outline * 2} {manner.outline * 2}",
        )
    elif guide.kind == "span":
        shape = (
            _fill(b)
            + line(b.x0, b.y0, b.x0, b.y1, stroke_dasharray=dash)
            + line(b.x1, b.y0, b.x1, b.y1, stroke_dasharray=dash)
        )
    else:
        shape = (
            _fill(b)
            + line(b.x0, b.y0, b.x1, b.y0, stroke_dasharray=dash)
            + line(b.x0, b.y1, b.x1, b.y1, stroke_dasharray=dash)
        )
    text = _lettering(guide, b, view.x(wall.length), manner, sheet) if guide.label and manner.lettering else ""
    layer = guide.kind.replace("_", "-")
    ink = {"stroke": colour, "stroke_width": manner.fine, "fill": colour}
    return group(f"guide {layer}", shape + text, data_layer=layer, data_box=box_of(guide.rect), **ink)


def _fill(b: Box) -> str:
    return boxed(b, fill_opacity="0.08", stroke="none")


def _lettering(guide: Guide, b: Box, wall_end: float, manner: Manner, sheet: Sheet) -> str:
    """The eye line's label stands outside the wall, right of the strings, where the manner leaves room for it; others
    in the nearest clear place."""
    t = manner.text
    lines = guide.label.split("\n")
    outside_fits = manner.right > t * 3.0 + max(text_width(line, t) for line in lines)
    lines = lines if outside_fits else [" ".join(lines)]
    wide = max(text_width(line, t) for line in lines)
    high = len(lines) * t * 1.2
    middle = (b.y0 + b.y1) / 2
    at = wall_end + t * 3.0
    outside = Box(at, middle - high / 2, at + wide, middle + high / 2)
    inside = [
        Box(x, y, x + wide, y + high)
        for y in (b.y0 - high - t * 0.2, b.y1 + t * 0.2)
        for x in (b.x0, b.x1 - wide, (b.x0 + b.x1 - wide) / 2)
    ]
    beside = guide.kind == "eye_line" and outside_fits
    choices = [outside] if beside else inside
    box = next((box for box in choices if sheet.is_free(box, t * 0.1)), outside if beside else None)
    if box is None:
        return ""
    sheet.take(box)
    return "".join(
        label(line, box.x0, box.y0 + t * (0.95 + 1.2 * i), t, font_style="italic", stroke="none")
        for i, line in enumerate(lines)
    )


def draw_spaces(spaces: Sequence[Space], view: View, manner: Manner, sheet: Sheet) -> str:
    return group("spaces", "".join(_space(space, view, manner, sheet) for space in spaces), data_layer="spaces")


def _space(space: Space, view: View, manner: Manner, sheet: Sheet) -> str:
    b = view.box(space.rect)
    o = manner.outline
    within = Box(b.x0 + o, b.y0 + o, max(b.x1 - o, b.x0 + 2 * o), max(b.y1 - o, b.y0 + 2 * o))
    outline = boxed(within, stroke_dasharray=f"{o * 6} {o * 4}", fill=VERDIGRIS, fill_opacity="0.05")
    text, t = "", manner.text
    if space.name and manner.lettering:
        wide = text_width(space.name, t)
        for y in (b.y0 + t * 0.5, b.y1 - t * 1.7):
            for x in (b.x0 + t * 0.6, b.x1 - wide - t * 0.6):
                box = Box(x, y, x + wide, y + t * 1.2)
                if not text and wide < b.wide - t and sheet.is_free(box):
                    sheet.take(box)
                    text = label(space.name, x, y + t * 0.95, t, stroke="none", fill=PENCIL, font_style="italic")
    title = titled(space.name or space.id)
    return tag(
        "g",
        {
            "class": f"space {space.advice.replace('_', '-')}",
            "data-id": space.id,
            "stroke": VERDIGRIS,
            "stroke-width": o * 0.8,
        },
        title + outline + text,
    )
