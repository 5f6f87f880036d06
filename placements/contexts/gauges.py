"""A finding's measure drawn beside what is allowed, and progress drawn as a ruler."""

from __future__ import annotations

import math
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from placements.drawings.pen import BOLE, FONT, INK, PENCIL, VERDIGRIS, group, label, line, n, tag
from studio.units import Units

WIDTH, HEIGHT = 420.0, 78.0
_LEFT, _RIGHT, _AXIS = 16.0, 404.0, 44.0


@dataclass(frozen=True, slots=True)
class Measure:
    """What was measured, between what is allowed, as the reader says it."""

    measured: str
    allowed: str
    off: str
    gauge: SafeString


def said(value: float, unit: str, units: Units) -> str:
    """A quantity of a finding in the reader's units."""
    match unit:
        case "mm":
            return units.length(value)
        case "kg":
            return units.weight(value)
        case "ratio":
            return f"{value:.0%}" if value < 10 else f"{value:.1f} times"
        case "deg":
            return f"{value:.1f}°"
        case "count":
            return f"{value:.0f}"
        case "N":
            return f"{value:.0f} N"
        case "lux_h":
            return f"{value:,.0f} lx·h"
        case "lux":
            return f"{value:,.0f} lx"
        case "years":
            return f"{value:.1f} years"
    return f"{value:g}"


def measure_of(
    *, measured: float | None, low: float | None, high: float | None, unit: str, units: Units
) -> Measure | None:
    """The measure of a finding, or None where the rule measures nothing or allows nothing in particular."""
    low = low if low is not None and math.isfinite(low) else None
    high = high if high is not None and math.isfinite(high) else None
    if measured is None or (low is None and high is None):
        return None
    over = measured - high if high is not None and measured > high else 0.0
    under = low - measured if low is not None and measured < low else 0.0
    off = f"{said(over, unit, units)} over" if over else f"{said(under, unit, units)} short" if under else "within"
    return Measure(
        measured=said(measured, unit, units),
        allowed=_allowed(low, high, unit, units),
        off=off,
        gauge=_gauge(measured, low, high, unit, units),
    )


def _allowed(low: float | None, high: float | None, unit: str, units: Units) -> str:
    if low is None:
        return f"{said(high or 0.0, unit, units)} at most"
    if high is None:
        return f"{said(low, unit, units)} at least"
    if unit == "mm":
        return units.band(low, high)
    if unit == "ratio":
        return f"{low:.0%}–{high:.0%}"
    return f"{said(low, unit, units)} to {said(high, unit, units)}"


def _gauge(measured: float, low: float | None, high: float | None, unit: str, units: Units) -> SafeString:
    """The allowed band hatched on a line, and the measure as a plumb mark beside it."""
    known = [one for one in (measured, low, high) if one is not None]
    spread = max(known) - min(known) or abs(measured) or 1.0
    start = min(known) - spread * (0.6 if low is None else 0.35)
    end = max(known) + spread * (0.6 if high is None else 0.35)
    if min(known) >= 0:
        start = max(start, 0.0)

    def x(value: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * (value - start) / (end - start)

    left, right = x(low) if low is not None else _LEFT, x(high) if high is not None else _RIGHT
    mark = x(measured)
    band = {"x": left, "y": _AXIS - 9, "width": max(right - left, 2.0), "height": 18, "fill-opacity": "0.14"}
    hatch = [left + 3.5 + 7.0 * index for index in range(int(max(right - left - 4, 0) / 7.0))]
    allowed = [
        tag("rect", band | {"stroke": "none"}),
        *(line(at - 3, _AXIS + 9, at + 3, _AXIS - 9, stroke_width=0.5) for at in hatch),
        *(
            line(edge, _AXIS - 12, edge, _AXIS + 12, stroke_width=1.4)
            for bound, edge in ((low, left), (high, right))
            if bound is not None
        ),
    ]
    plumb = line(mark, _AXIS - 18, mark, _AXIS + 12, stroke_width=2.2)
    arrow = tag("path", {"d": f"M{n(mark - 5)} {n(_AXIS - 24)}h10l-5 8z", "stroke": "none"})
    anchor = "start" if mark < _LEFT + 60 else "end" if mark > _RIGHT - 60 else "middle"
    drawn = "".join(
        (
            group("axis", line(_LEFT, _AXIS, _RIGHT, _AXIS, stroke_width=0.8), stroke=PENCIL),
            group("allowed", "".join(allowed), stroke=VERDIGRIS, fill=VERDIGRIS),
            group(
                "words",
                "".join(
                    label(said(bound, unit, units), edge, _AXIS + 27, 11, place)
                    for bound, edge, place in _bounds(low, high, left, right)
                ),
                fill=PENCIL,
            ),
            group("measured", plumb + arrow, stroke=BOLE, fill=BOLE),
            group("value", label(said(measured, unit, units), mark, _AXIS - 28, 13, anchor), fill=INK, font_weight=600),
        )
    )
    text = f"Measured {said(measured, unit, units)}; allowed {_allowed(low, high, unit, units)}."
    return _svg("measure-gauge", f"0 0 {n(WIDTH)} {n(HEIGHT)}", text, drawn)


def _bounds(low: float | None, high: float | None, left: float, right: float) -> list[tuple[float, float, str]]:
    if low is not None and high is not None and right - left < 90:
        return [(low, left, "end"), (high, right, "start")]
    return [(one, edge, "middle") for one, edge in ((low, left), (high, right)) if one is not None]


def ruler(verdicts: list[str | None], current: int | None) -> SafeString:
    """Progress as a ruler: one division a finding, filled when decided, a mark where the reader is."""
    count = max(len(verdicts), 1)
    width, base = 640.0, 34.0
    step = width / count
    divisions = [line(0, base, width, base, stroke_width=1.2)]
    words: list[str] = []
    settled: list[str] = []
    returned: list[str] = []
    for index, verdict in enumerate(verdicts, start=1):
        x, last = index * step, index == count
        long = index % 5 == 0 or last
        divisions.append(line(x, base - (16 if long else 9), x, base, stroke_width=0.9))
        if long:
            words.append(label(str(index), x - 2 if last else x, base + 13, 10, "end" if last else "middle"))
        if verdict is not None:
            box = {"x": x - step, "y": base - 6, "width": step, "height": 6, "stroke": "none"}
            (returned if verdict == "return" else settled).append(tag("rect", box))
    here = "" if current is None else tag("path", {"d": f"M{n((current + 0.5) * step - 6)} 2h12l-6 10z"})
    drawn = "".join(
        (
            group("settled", "".join(settled), fill=VERDIGRIS),
            group("returned", "".join(returned), fill=BOLE),
            group("divisions", "".join(divisions), stroke=INK),
            group("words", "".join(words), fill=PENCIL),
            group("measured", here, fill=BOLE, stroke="none"),
        )
    )
    done = sum(1 for verdict in verdicts if verdict is not None)
    return _svg("ruler", f"-1 0 {n(width + 2)} 50", f"{done} of {len(verdicts)} decided", drawn)


def _svg(css: str, view_box: str, text: str, drawn: str) -> SafeString:
    # Only numbers and units of our own setting come in: nothing that a person typed.
    attributes = {"class": css, "viewBox": view_box, "role": "img", "aria-label": text, "font-family": FONT}
    return mark_safe(tag("svg", attributes, drawn))
