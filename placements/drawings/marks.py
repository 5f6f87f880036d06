"""Hook points as crosses, each with its label on a slip of paper that hides no cross and no other slip."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from .dimensions import Sheet
from .given import Mark
from .pen import BOLE, SHEET, Box, Manner, View, boxed, group, label, line, n, tag, text_width


def draw_marks(marks: Sequence[Mark], hung: Sequence[Box], numbers: Sequence[Box], view: View, manner: Manner,
               sheet: Sheet) -> str:  # fmt: skip
    """The crosses over the slips, so that no cross is ever hidden.

    hung : the pieces [units], in which slips may lie; numbers : their numbers' discs [units], which slips leave free
    """
    a = manner.text * 0.55
    at = [(mark, view.x(mark.x), view.y(mark.y)) for mark in marks]
    crosses = [_cross(x, y, a) for _, x, y in at]
    slips = Sheet([*numbers, *(Box(x - a, y - a, x + a, y + a) for _, x, y in at)])
    lettered = [(mark.label, x, y) for mark, x, y in at if mark.label and manner.lettering]
    labels = [_slip(text, x, y, hung, manner, sheet, slips) for text, x, y in lettered]
    return group("marks", "".join((*labels, *crosses)), stroke=BOLE, stroke_width=manner.outline)


def _cross(x: float, y: float, a: float) -> str:
    arms = {"d": f"M{n(x - a)} {n(y)}H{n(x + a)}M{n(x)} {n(y - a)}V{n(y + a)}", "fill": "none"}
    return tag("path", arms) + tag("circle", {"cx": x, "cy": y, "r": a * 0.5, "fill": "none"})


def _slip(text: str, x: float, y: float, hung: Sequence[Box], manner: Manner, sheet: Sheet, slips: Sheet) -> str:
    t = manner.text
    wide = text_width(text, t) + t * 0.5
    on = next((b for b in hung if b.x0 <= x <= b.x1 and b.y0 <= y <= b.y1), None)
    places = [*_above(x, on.y0 if on else y - t * 0.6, wide, t), *_beside(x, y, wide, t)]
    free = (
        (box, over) for box, over in places if slips.is_free(box) and (not over or (box.y0 > 0 and sheet.is_free(box)))
    )
    box, over = next(free, places[-1])
    slips.take(box)
    sheet.take(box)
    leader = line(x, box.y1, x, y - t * 0.6, stroke_width=manner.fine) if over else ""
    paper = boxed(box, "slip", rx=t * 0.2, fill=SHEET, stroke_width=manner.fine)
    middle = (box.x0 + box.x1) / 2
    return leader + paper + label(text, middle, box.y1 - t * 0.3, t, "middle", stroke="none", fill=BOLE)


def _above(x: float, top: float, wide: float, t: float) -> Iterator[tuple[Box, bool]]:
    """Over the piece, the leader at the slip's middle or at one of its ends; else a row higher."""
    for row in range(2):
        low = top - t * (0.6 + 1.5 * row)
        for left in (x - wide / 2, x, x - wide):
            yield Box(left, low - t * 1.3, left + wide, low), True


def _beside(x: float, y: float, wide: float, t: float) -> Iterator[tuple[Box, bool]]:
    """Under the cross, left of it, right of it."""
    high = t * 1.3
    yield Box(x - wide / 2, y + t * 0.7, x + wide / 2, y + t * 0.7 + high), False
    for left in (x - t * 0.7 - wide, x + t * 0.7):
        yield Box(left, y - high / 2, left + wide, y + high / 2), False
