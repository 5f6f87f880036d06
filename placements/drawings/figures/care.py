"""Pictures of the rules that guard piece, people and room: weight, damp, sun, and the public's way."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from placements.engine.facade import greatest_weight_kg
from placements.engine.house import BUILDS, Rect
from placements.engine.results import Words

from ..pen import BOLE, INK, OCHRE, PENCIL, SHEET, View, group, line, n, tag
from .page import Bar, Page
from .profile import cut, side
from .stage import INCH, Stage, inches, item


def load(limits: Any, words: Words) -> Page:
    page = Page()
    stage = Stage(110 * INCH, 70 * INCH, whole=False)
    stage.piece(inches(12, 12, 40, 30), True)
    stage.draw(_hooks(inches(12, 12, 40, 30)))
    stage.piece(inches(66, 6, 34, 48), False)
    stage.draw(_hooks(inches(66, 6, 34, 48)))
    stage.caption("two ordinary fixings hold it", True)
    stage.caption("heavier than they hold: studs, more points, specialist fixings, or not at all", False)
    page.row(stage, tallest=120)
    holds = {build: greatest_weight_kg(build) for build in BUILDS}
    most = max(holds.values())
    page.bars(
        f"What two ordinary fixings hold by wall, of which {limits.share:.0%} may be used:",
        [Bar(build, kg * limits.share, words.weight(kg * limits.share), whole=kg) for build, kg in holds.items()],
        lambda kg: kg / most,
    )
    return page


def overhead(limits: Any, words: Words) -> Page:
    page = Page()
    bed = Stage(76 * INCH, 84 * INCH, (item("bed", 8, 0, 60, 46),))
    cot = Stage(60 * INCH, 84 * INCH, (item("bed", 12, 0, 36, 34),))
    seat = Stage(84 * INCH, 84 * INCH, (item("sofa", 5, 0, 74, 34),))
    seat.piece(inches(18, 44, 48, 32))
    bed.piece(inches(23, 54, 30, 22))
    cot.piece(inches(22, 44, 16, 14), form="textile")
    for stage, text in ((seat, "a seat"), (bed, "a bed"), (cot, "a cot")):
        stage.caption(f"over {text}")
    page.row(seat, bed, cot, tallest=140)
    most = max(limits.seat, limits.bed, limits.cot, 1.0)
    page.bars(
        "The heaviest that may hang there:",
        [
            Bar(f"over a {name}", getattr(limits, name), words.weight(getattr(limits, name)))
            for name in ("seat", "bed", "cot")
        ],
        lambda kg: kg / most,
    )
    page.bars(
        "",
        [Bar("glazed, over a bed or cot", limits.glazed, f"scores {limits.glazed:.0%}", whole=1.0)],
        lambda share: share,
    )
    return page


def moisture(limits: Any, words: Words) -> Page:
    page = Page()
    dry = Stage(64 * INCH, 84 * INCH, (item("sideboard", 8, 0, 48, 32),))
    kitchen = Stage(64 * INCH, 84 * INCH, (item("cabinet", 4, 0, 34, 36), item("cabinet", 38, 0, 22, 36)))
    bath = Stage(64 * INCH, 84 * INCH)
    dry.piece(inches(18, 42, 28, 24), glazed=True)
    kitchen.piece(inches(20, 46, 24, 20))
    bath.piece(inches(22, 42, 20, 26), form="mirror", frame="steel")
    kitchen.draw(_steam(12, 38))
    bath.draw(_tub)
    bath.draw(_steam(10, 30))
    for stage, text in ((dry, "dry room: 0"), (kitchen, "kitchen: 1"), (bath, "bath, beside a hob or basin: 2")):
        stage.caption(text)
    page.row(dry, kitchen, bath, tallest=130)
    page.bars(
        "How far into the damp each kind may hang:",
        [
            Bar("paper and textiles, bare", limits.bare, _damp(limits.bare), whole=2.0),
            Bar("the same, glazed", limits.glazed, _damp(limits.glazed), whole=2.0),
            Bar("paintings", limits.painting, _damp(limits.painting), whole=2.0),
            Bar("mirrors, reliefs, clocks", limits.hard, _damp(limits.hard), whole=2.0),
        ],
        lambda level: level / 2,
        marks=[(0, "0"), (1, "1"), (2, "2")],
    )
    return page


def light(limits: Any, words: Words) -> Page:
    page = Page()
    length = max(150 * INCH, 48 * INCH + limits.near)
    stage = Stage(length, 96 * INCH, (item("window", 8, 26, 36, 54), item("bench", 70, 0, 48, 18)))
    stage.band(Rect(44 * INCH, 0, limits.near, 96 * INCH), "care", upright=True)
    stage.draw(_beam, under=True)
    stage.piece(Rect(84 * INCH, 46 * INCH, 30 * INCH, 24 * INCH), glazed=True)
    stage.across(44 * INCH, 44 * INCH + limits.near, f"warned of the sun within {words.length(limits.near)}", 96 * INCH)
    page.row(stage, tallest=150)
    hour = limits.sun * limits.clear_share
    page.words(
        f"The sun indoors gives {_figure(limits.sun)} lux in the {limits.clear_share:.0%} of its hours that are clear. "
        "What that adds up to, and what a year may bring (each step is ten times):"
    )
    low, high = math.log10(1_000), math.log10(10_000_000)
    budgets = (("high responsivity", limits.budget_high), ("medium", limits.budget_medium), ("low", limits.budget_low))
    page.bars(
        "",
        [Bar("an hour of sun", hour, f"{_figure(hour)} lx·h")]
        + [
            Bar(name, dose, f"{_figure(dose)} lx·h = {_hours(dose / hour)}", whole=10_000_000) for name, dose in budgets
        ],
        lambda dose: (math.log10(dose) - low) / (high - low),
    )
    page.words("Watercolours and textiles respond high, prints medium, oils low.")
    return page


def protrusion(limits: Any, words: Words) -> Page:
    page = Page()
    high = max(104 * INCH, limits.head + 16 * INCH)
    wall = 8 * INCH
    bad, good = Stage(52 * INCH, high), Stage(56 * INCH, high)
    for stage in (bad, good):
        stage.draw(cut(wall, 0, high), under=True)
        stage.band(Rect(wall, limits.cane, limits.depth, limits.head - limits.cane), over=True)
    good.draw(side(wall, limits.depth * 0.75, 48 * INCH, 26 * INCH))
    deep = limits.depth + max(limits.reach, 2 * INCH)
    bad.draw(side(wall, deep, 48 * INCH, 26 * INCH))
    bad.across(wall, wall + deep, words.length(deep), 74 * INCH)
    good.draw(_walker)
    good.up(0, limits.cane, f"{words.length(limits.cane)}: a cane finds it", wall + limits.depth)
    good.up(0, limits.head, f"{words.length(limits.head)}: heads pass", wall + limits.depth)
    good.across(wall, wall + limits.depth, words.length(limits.depth), limits.head)
    bad.caption("a box frame out in the way", False)
    good.caption("within the band from the wall, seen from the side", True)
    page.row(bad, good, tallest=230)
    across = limits.way + limits.depth
    way = Stage(across + 2 * wall, 34 * INCH)
    way.draw(cut(wall, 0, 34 * INCH), under=True)
    way.draw(cut(across + 2 * wall, 0, 34 * INCH), under=True)
    way.draw(side(wall, limits.depth, 6 * INCH, 22 * INCH))
    way.across(wall + limits.depth, wall + across, words.length(limits.way), 17 * INCH)
    way.caption("what is left of the way, seen along it", True)
    page.row(way, tallest=90)
    return page


# What several share


def _damp(level: float) -> str:
    return f"up to {level:g}"


def _figure(value: float) -> str:
    """Digits in threes."""
    return f"{value:,.0f}".replace(",", " ")


def _hours(hours: float) -> str:
    return f"{hours * 60:.0f} min" if hours < 1 else f"{hours:.0f} h" if hours >= 10 else f"{hours:.1f} h"


def _hooks(rect: Rect) -> Callable[[View], str]:
    def draw(view: View) -> str:
        y, arms = view.y(rect.top - 4 * INCH), ""
        for share in (0.25, 0.75):
            x = view.x(rect.left + rect.width * share)
            arms += f"M{n(x - 5)} {n(y)}H{n(x + 5)}M{n(x)} {n(y - 5)}V{n(y + 5)}"
        return group("marks", tag("path", {"d": arms, "fill": "none"}), stroke=BOLE, stroke_width=1.1)

    return draw


def _steam(left: float, bottom: float) -> Callable[[View], str]:
    def draw(view: View) -> str:
        d = ""
        for i in range(3):
            x, y = view.x((left + 5 * i) * INCH), view.y(bottom * INCH)
            s = view.scale * INCH
            d += f"M{n(x)} {n(y)}q{n(3 * s)} {n(-3 * s)} 0 {n(-6 * s)}t0 {n(-6 * s)}"
        return group("skirting", tag("path", {"d": d, "fill": "none"}), stroke=PENCIL, stroke_width=0.9)

    return draw


def _tub(view: View) -> str:
    s = view.scale * INCH
    x, y = view.x(4 * INCH), view.y(0)
    d = (
        f"M{n(x)} {n(y - 22 * s)}h{n(54 * s)}v{n(2 * s)}q0 {n(16 * s)} {n(-10 * s)} {n(16 * s)}"
        f"h{n(-34 * s)}q{n(-10 * s)} 0 {n(-10 * s)} {n(-16 * s)}z"
    )
    feet = f"M{n(x + 10 * s)} {n(y - 4 * s)}v{n(4 * s)}M{n(x + 44 * s)} {n(y - 4 * s)}v{n(4 * s)}"
    return group("items", tag("path", {"d": d}) + tag("path", {"d": feet}), stroke=INK, stroke_width=0.9, fill=SHEET)


def _beam(view: View) -> str:
    """The sun through the window, across the wall to the floor."""
    points = ((44, 78), (150, 30), (150, 4), (44, 40))
    d = "M" + "L".join(f"{n(view.x(x * INCH))} {n(view.y(y * INCH))}" for x, y in points) + "Z"
    return group("guide care", tag("path", {"d": d, "fill-opacity": "0.16", "stroke": "none"}), fill=OCHRE)


def _walker(view: View) -> str:
    """A walking figure with a cane, 66 in tall, seen from the side."""
    s = view.scale * INCH
    x, y = view.x(41 * INCH), view.y(0)
    head = tag("ellipse", {"cx": x, "cy": y - 61.5 * s, "rx": 3.4 * s, "ry": 4.6 * s})
    body = (
        f"M{n(x + 4 * s)} {n(y - 55 * s)}q{n(3 * s)} {n(10 * s)} {n(1.5 * s)} {n(24 * s)}"
        f"L{n(x + 9 * s)} {n(y)}h{n(-4 * s)}"
        f"L{n(x + 0.5 * s)} {n(y - 26 * s)}L{n(x - 5 * s)} {n(y)}h{n(-4 * s)}L{n(x - 3.5 * s)} {n(y - 31 * s)}"
        f"q{n(-3 * s)} {n(-12 * s)} {n(0.5 * s)} {n(-24 * s)}z"
    )
    cane = line(x - 12 * s, y - 33 * s, x - 23 * s, y) + line(x - 2 * s, y - 50 * s, x - 12 * s, y - 33 * s)
    return group("items", head + tag("path", {"d": body}) + cane, stroke=INK, stroke_width=0.9, fill=SHEET)


FIGURES = {
    "load": load, "overhead": overhead, "moisture": moisture, "light": light, "protrusion": protrusion,
}  # fmt: skip
