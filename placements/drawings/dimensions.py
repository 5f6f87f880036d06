"""Dimension strings with oblique ticks, text above the line; placed so that no lettering covers an item."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from .pen import INK, Box, Manner, group, label, line, n, tag, text_width


class Sheet:
    """What of the drawing is already taken: items, pieces, lettering, flags."""

    def __init__(self, taken: Iterable[Box] = ()) -> None:
        self.taken = list(taken)

    def is_free(self, box: Box, gap: float = 0.0) -> bool:
        left, low, right, high = box.x0 - gap, box.y0 - gap, box.x1 + gap, box.y1 + gap
        for other in self.taken:  # asked many thousand times a drawing
            if left < other.x1 and other.x0 < right and low < other.y1 and other.y0 < high:
                return False
        return True

    def take(self, box: Box) -> None:
        self.taken.append(box)


def tick(x: float, y: float, manner: Manner) -> str:
    """The oblique stroke at a dimension line's end."""
    a = manner.text * 0.32
    return f"M{n(x - a)} {n(y + a)}L{n(x + a)} {n(y - a)}"


def _stroke(d: str, manner: Manner, css: str = "tick", weight: float = 1.0) -> str:
    return tag("path", {"class": css, "d": d, "stroke-width": manner.outline * weight, "fill": "none"}) if d else ""


def distinct(values: Iterable[float], within: float = 3.0) -> list[float]:
    """Values in order, those nearer than `within` counted once."""
    kept: list[float] = []
    for value in sorted(values):
        if not kept or value - kept[-1] > within:
            kept.append(value)
    return kept


def chain_across(xs: Sequence[float], labels: Sequence[str], y: float, manner: Manner) -> str:
    """A level string through xs [units] at y; `labels` between them, each left out where it does not fit."""
    if len(xs) < 2:
        return ""
    parts = [line(xs[0], y, xs[-1], y), _stroke("".join(tick(x, y, manner) for x in xs), manner)]
    for x0, x1, text in zip(xs, xs[1:], labels, strict=False):
        if text and text_width(text, manner.text) < x1 - x0 - manner.text * 0.8:
            parts.append(label(text, (x0 + x1) / 2, y - manner.text * 0.35, manner.text, "middle"))
    return "".join(parts)


def chain_up(ys: Sequence[float], labels: Sequence[str], x: float, manner: Manner) -> str:
    """An upright string through ys [units] at x, read from the right."""
    if len(ys) < 2:
        return ""
    parts = [line(x, ys[0], x, ys[-1]), _stroke("".join(tick(x, y, manner) for y in ys), manner)]
    for y0, y1, text in zip(ys, ys[1:], labels, strict=False):
        if text and text_width(text, manner.text) < abs(y1 - y0) - manner.text * 0.8:
            parts.append(label(text, x - manner.text * 0.35, (y0 + y1) / 2, manner.text, "middle", upright=False))
    return "".join(parts)


def running_across(
    xs: Sequence[float], labels: Sequence[str], y: float, datum: float, away: int, manner: Manner
) -> str:
    """Running dimensions along a level line from a datum: upright figures beside each tick, nudged apart.

    `away` is -1 where the figures stand above the line, 1 below.
    """
    parts = [
        line(datum, y, max([datum, *xs]), y),
        tag("circle", {"cx": datum, "cy": y, "r": manner.text * 0.22, "fill": "none"}),
    ]
    parts.append(_stroke("".join(tick(x, y, manner) for x in xs), manner))
    free_from = -1e9
    for x, text in sorted(zip(xs, labels, strict=True)):
        at = max(x + manner.text * 0.35, free_from)
        free_from = at + manner.text * 1.1
        length = text_width(text, manner.text)
        start = y + away * manner.text * 0.5 if away < 0 else y + manner.text * 0.5 + length
        parts.append(label(text, at, start, manner.text, upright=False))
    return "".join(parts)


def running_up(ys: Sequence[float], labels: Sequence[str], x: float, datum: float, away: int, manner: Manner) -> str:
    """Running dimensions up a line from the floor: level figures beside each tick, nudged apart."""
    parts = [
        line(x, datum, x, min([datum, *ys])),
        tag("circle", {"cx": x, "cy": datum, "r": manner.text * 0.22, "fill": "none"}),
    ]
    parts.append(_stroke("".join(tick(x, y, manner) for y in ys), manner))
    free_below = 1e9
    for y, text in sorted(zip(ys, labels, strict=True), reverse=True):
        at = min(y + manner.text * 0.35, free_below)
        free_below = at - manner.text * 1.1
        parts.append(label(text, x + away * manner.text * 0.6, at, manner.text, "start" if away > 0 else "end"))
    return "".join(parts)


def broken(start: float, end: float, blocks: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """The parts of a line from start to end that no block covers."""
    parts = []
    at = start
    for low, high in sorted(blocks):
        if low > at:
            parts.append((at, min(low, end)))
        at = max(at, high)
        if at >= end:
            break
    if at < end:
        parts.append((at, end))
    return [(a, b) for a, b in parts if b - a > 0.5]


def witness_up(x: float, low: float, high: float, things: Iterable[Box]) -> str:
    """An upright witness line at x from y=low to y=high (low < high, y down), broken where it would cross a thing."""
    blocks = [(b.y0, b.y1) for b in things if b.x0 < x < b.x1]
    return "".join(line(x, a, x, b) for a, b in broken(low, high, blocks))


def witness_across(y: float, left: float, right: float, things: Iterable[Box]) -> str:
    blocks = [(b.x0, b.x1) for b in things if b.y0 < y < b.y1]
    return "".join(line(a, y, b, y) for a, b in broken(left, right, blocks))


def short_up(x: float, top: float, low: float, text: str, manner: Manner, sheet: Sheet) -> str:
    """An upright string in a small gap: its text beside it, turned where the gap is long enough."""
    t = manner.text
    wide = text_width(text, t)
    turned = wide * 1.3 < low - top - t * 0.8
    parts = [line(x, top, x, low), _stroke(tick(x, top, manner) + tick(x, low, manner), manner)]
    if turned:
        parts.append(label(text, x - t * 0.35, (top + low) / 2, t, "middle", upright=False))
        sheet.take(Box(x - t * 1.3, top, x + t * 0.3, low))
    else:
        parts.append(label(text, x + t * 0.6, (top + low) / 2 + t * 0.35, t))
        sheet.take(Box(x - t * 0.3, top, x + t * 0.6 + wide, low))
    return "".join(parts)


def short_up_box(x: float, top: float, low: float, text: str, manner: Manner) -> Box:
    """What `short_up` would take."""
    t = manner.text
    wide = text_width(text, t)
    if wide * 1.3 < low - top - t * 0.8:
        return Box(x - t * 1.3, top, x + t * 0.3, low)
    middle = (top + low) / 2
    return Box(x - t * 0.3, min(top, middle - t * 0.55), x + t * 0.6 + wide, max(low, middle + t * 0.55))


def strings(css: str, inner: str, manner: Manner, colour: str = INK) -> str:
    """A group of strings: fine lines, lettering in ink."""
    return group(f"strings {css}", inner, stroke=colour, stroke_width=manner.fine, fill=colour)
