"""Pictures of the rules that tell rather than forbid: bare walls, wiring, hardware."""

from __future__ import annotations

from typing import Any

from placements.engine.house import Rect
from placements.engine.results import Words

from ..pen import BOLE, INK, PENCIL, SHEET, View, boxed, group, line, n, tag
from .page import Bar, Page
from .stage import INCH, Stage, inches, item


def quiet_wall(limits: Any, words: Words) -> Page:
    page = Page()
    rests = Stage(150 * INCH, 96 * INCH, (item("window", 8, 24, 52, 58), item("window", 90, 24, 52, 58)))
    flank = Stage(64 * INCH, 96 * INCH, finish="patterned_wallpaper")
    flank.piece(inches(24, 54, 16, 20), False)
    rests.caption("a pier between two views: stays bare", True)
    flank.caption("a small print on a pattern", False)
    page.row(rests, flank, tallest=140)
    reasons = (
        ("flank", "flanks the focal wall"), ("view", "a window with a view"), ("statement_light", "a statement light"),
        ("pier", "a narrow pier"), ("texture", "pattern or texture"), ("accent", "an accent wall"),
    )  # fmt: skip
    most = max(1.5, limits.leave_at, *(getattr(limits, name) for name, _ in reasons))
    page.bars(
        "How much each reason weighs; together they reach the dashed line, and the wall is better left bare:",
        [Bar(text, getattr(limits, name), f"{getattr(limits, name):g}") for name, text in reasons],
        lambda value: value / most,
        marks=[(limits.leave_at, f"bare from {limits.leave_at:g}")],
    )
    return page


def services(limits: Any, words: Words) -> Page:
    page = Page()
    length = max(120 * INCH, 2 * limits.low + 84 * INCH)
    middle = length / 2
    outlet = Rect(middle - 1.4 * INCH, 14 * INCH, 2.8 * INCH, 4.5 * INCH)
    switch = Rect(middle - 1.4 * INCH, 44 * INCH, 2.8 * INCH, 4.5 * INCH)
    stage = Stage(length, 96 * INCH, tuple(
        item(kind, r.left / INCH, r.bottom / INCH, r.width / INCH, r.height / INCH)
        for kind, r in (("outlet", outlet), ("switch", switch))
    ))  # fmt: skip
    stage.band(Rect(outlet.left - limits.low, 0, outlet.width + 2 * limits.low, 96 * INCH), "care", upright=True)
    for rect in (outlet, switch):
        low = max(rect.bottom - limits.low, 0)
        stage.band(Rect(0, low, length, rect.top + limits.low - low), "care")
    for x, holds in ((middle, False), (middle + max(outlet.width / 2 + limits.low, 9 * INCH) + 14 * INCH, True)):
        stage.piece(Rect(x - 9 * INCH, 64 * INCH, 18 * INCH, 16 * INCH), holds)
        stage.draw(_hook(x, 77 * INCH))
    stage.across(switch.right, switch.right + limits.low, words.length(limits.low), switch.top)
    stage.up(switch.top, switch.top + limits.low, words.length(limits.low), switch.right)
    stage.caption("the hook clear of the cables' lines", True)
    stage.caption("straight above the switch: scan before drilling", False)
    page.row(stage, tallest=190)
    return page


def hang_data(limits: Any, words: Words) -> Page:
    page = Page()
    known, bare = Stage(44 * INCH, 38 * INCH, whole=False), Stage(44 * INCH, 38 * INCH, whole=False)
    back = inches(4, 4, 36, 28)
    for stage in (known, bare):
        stage.draw(_back(back))
    known.draw(_wire(back))
    known.across(back.left, back.left + 3 * INCH, "inset", back.top - 8 * INCH)
    known.up(back.top - 8 * INCH, back.top, "below the top", back.right - 3 * INCH)
    known.up(back.top - 4 * INCH, back.top, "drop", back.centre_x)
    bare.caption("nothing noted: measure first", False)
    known.caption("wire, inset and drop measured", True)
    page.row(bare, known, tallest=150)
    return page


# What several share


def _hook(x: float, y: float) -> Any:
    def draw(view: View) -> str:
        cx, cy = view.x(x), view.y(y)
        d = f"M{n(cx - 5)} {n(cy)}H{n(cx + 5)}M{n(cx)} {n(cy - 5)}V{n(cy + 5)}"
        return group("marks", tag("path", {"d": d, "fill": "none"}), stroke=BOLE, stroke_width=1.3)

    return draw


def _back(rect: Rect) -> Any:
    """A frame from behind: rails, stretcher, backing."""

    def draw(view: View) -> str:
        b, edge = view.box(rect), 2 * INCH * view.scale
        outer, inner = boxed(b), boxed(b.grown(-edge))
        mitres = "".join(
            line(x, y, x + dx * edge, y + dy * edge)
            for x, y, dx, dy in ((b.x0, b.y0, 1, 1), (b.x1, b.y0, -1, 1), (b.x0, b.y1, 1, -1), (b.x1, b.y1, -1, -1))
        )
        return group("items", outer + inner + mitres, stroke=INK, stroke_width=0.9, fill=SHEET)

    return draw


def _wire(rect: Rect) -> Any:
    def draw(view: View) -> str:
        y, rise = view.y(rect.top - 8 * INCH), 4 * INCH * view.scale
        x0, x1 = view.x(rect.left + 3 * INCH), view.x(rect.right - 3 * INCH)
        middle = (x0 + x1) / 2
        wire = tag("path", {"d": f"M{n(x0)} {n(y)}L{n(middle)} {n(y - rise)}L{n(x1)} {n(y)}", "fill": "none"})
        rings = "".join(tag("circle", {"cx": x, "cy": y, "r": 3.2, "fill": SHEET}) for x in (x0, x1))
        hook = tag("path", {"d": f"M{n(middle - 5)} {n(y - rise)}h10M{n(middle)} {n(y - rise - 5)}v10", "stroke": BOLE})
        return group("marks", wire + rings + hook, stroke=PENCIL, stroke_width=1.2)

    return draw


def standing_clear(limits: Any, words: Words) -> Page:
    page = Page()
    console, lamp, vase = (
        item("console", 4, 0, 64, 30),
        item("table_lamp", 8, 30, 14, 26),
        item("ornament", 46, 30, 9, 14),
    )
    bad, good = Stage(76 * INCH, 84 * INCH, (console, lamp, vase)), Stage(76 * INCH, 84 * INCH, (console, lamp, vase))
    shade, top = 22 * INCH, 44 * INCH
    bad.piece(Rect(shade - limits.lamp - max(limits.reach, 2 * INCH), 38 * INCH, 40 * INCH, 28 * INCH), False)
    left, low = shade - limits.lamp, top - limits.ornament
    good.piece(Rect(left, low, 40 * INCH, 28 * INCH), True)
    good.up(low, top, f"{words.length(limits.ornament)} before its lower edge", 55 * INCH)
    if limits.lamp > 0:
        good.across(left, shade, words.length(limits.lamp), 58 * INCH)
    bad.caption("a shade hides its end", False)
    good.caption("beside the lamp; a vase may stand before its edge", True)
    page.row(bad, good, tallest=170)
    return page


FIGURES = {"quiet-wall": quiet_wall, "standing-clear": standing_clear, "services": services, "hang-data": hang_data}
