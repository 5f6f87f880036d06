"""How a miss counts: the score over the measure, drawn from the curve that the rules themselves use."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from placements.engine.facade import nearness

from ..pen import BOLE, INK, PENCIL, VERDIGRIS, group, label, line, n, tag, text_width
from .page import LINE, TEXT, WIDTH, Page, spread

_LEFT, _RIGHT, _HIGH = 34.0, WIDTH - 12, 74.0
_STEPS = 61


def draw_strictness(
    rule: str,
    title: str,
    low: float | None,
    high: float | None,
    reach: float,
    said: Callable[[float], str],
) -> str:
    """The score over the measure as one `<svg>` element.

    low, high : the band; None where open; both None where the rule's band is not one of its numbers: the axis then
        counts from the band's end
    reach : beyond the band by so much, the score is one half
    said : sets a value of the axis
    """
    start, end = _axis(low, high, reach)
    page, values = Page(), np.linspace(start, end, _STEPS)

    def x(value: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * (value - start) / (end - start)

    def path(scores: list[float]) -> str:
        points = zip(values.tolist(), scores, strict=True)
        return "M" + "L".join(f"{n(x(value))} {n(foot - _HIGH * score)}" for value, score in points)

    page.y += 6
    foot = page.y + _HIGH
    if low is None and high is None:
        scores, marks, band = nearness(values, -math.inf, 0.0, reach), [0.0, reach], (start, 0.0)
    else:
        scores = nearness(values, -math.inf if low is None else low, math.inf if high is None else high, reach)
        marks = [one for one in (low, high) if one is not None]
        marks += [
            one for one in (low and low - reach, high and high + reach) if one is not None and start <= one <= end
        ]
        band = (start if low is None else low, end if high is None else high)
    allowed = tag("rect", {"x": x(band[0]), "y": page.y, "width": x(band[1]) - x(band[0]), "height": _HIGH,
                           "fill-opacity": "0.13", "stroke": "none"})  # fmt: skip
    curves = tag("path", {"d": path(scores.tolist()), "fill": "none"})
    ticks = "".join(line(x(mark), foot - 3, x(mark), foot + 4) for mark in marks)
    axes = line(_LEFT, foot, _RIGHT, foot) + line(_LEFT, page.y, _LEFT, foot) + ticks
    half = line(_LEFT, foot - _HIGH / 2, _RIGHT, foot - _HIGH / 2, stroke_dasharray="2 3")
    page.parts += [
        group("guide clearance", allowed, fill=VERDIGRIS, stroke=VERDIGRIS),
        group("skirting", half, stroke=PENCIL, stroke_width=0.7),
        group("plain", axes, stroke=INK, stroke_width=0.9),
        group("guide eye-line curve", curves, stroke=BOLE, stroke_width=1.6, fill="none"),
    ]
    texts = [said(mark) for mark in marks]
    middles = spread([(x(mark), text_width(t, TEXT)) for mark, t in zip(marks, texts, strict=True)], 4, WIDTH - 4, 7)
    words = [label(t, m, foot + LINE + 3, TEXT, "middle") for t, m in zip(texts, middles, strict=True)]
    words += [label(t, _LEFT - 6, y + 4, TEXT, "end") for t, y in (("all", foot - _HIGH), ("half", foot - _HIGH / 2))]
    page.parts.append(group("lettering", "".join(words), fill=INK, stroke="none"))
    page.y = foot + LINE + 8
    page.said.append("The score falls to one half at " + ", ".join(texts[-1:]))
    return page.svg(f"{rule}-strict", f"{title}: how strictly a miss counts", "curve")


def _axis(low: float | None, high: float | None, reach: float) -> tuple[float, float]:
    if low is None and high is None:
        return -reach, 3 * reach
    span = (high - low) if low is not None and high is not None else reach
    start = (low - 2.2 * reach) if low is not None else (high or 0.0) - span
    end = (high + 2.2 * reach) if high is not None else (low or 0.0) + span
    return (max(start, 0.0) if (low or 0.0) >= 0 and start < 0 else start), end
