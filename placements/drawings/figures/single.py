"""Pictures of the rules that judge one piece, or a group as one piece, at its place."""

from __future__ import annotations

from typing import Any

from placements.engine.house import Rail, Rect
from placements.engine.results import Words

from ..pen import BOLE, INK, SHEET, View, boxed, group, label, line, n, tag
from .page import Page
from .stage import INCH, Stage, inches, item, sloped


def two_thirds(limits: Any, words: Words) -> Page:
    page, whole = Page(), 84 * INCH
    good, bad = Stage(104 * INCH, 80 * INCH, (_SOFA,)), Stage(104 * INCH, 80 * INCH, (_SOFA,))
    middle, top = 52 * INCH, 34 * INCH
    wide = whole * (limits.low + limits.high) / 2
    good.piece(Rect(middle - wide / 2, top + 8 * INCH, wide, 28 * INCH), True)
    for share in (limits.high, limits.low):
        span = whole * share
        good.band(Rect(middle - span / 2, top, span, 46 * INCH), upright=True)
    for share in (limits.low, limits.high):
        span = whole * share
        good.across(middle - span / 2, middle + span / 2, f"{words.length(span)} · {share:.0%}", top + 46 * INCH)
    good.across(10 * INCH, 94 * INCH, words.length(whole), 0, below=True)
    narrow = whole * max(limits.low - limits.reach, 0.12)
    bad.piece(Rect(middle - narrow / 2, top + 8 * INCH, narrow, 28 * INCH), False)
    bad.across(
        middle - narrow / 2, middle + narrow / 2, f"{words.length(narrow)} · {narrow / whole:.0%}", top + 36 * INCH
    )
    good.caption("fills two-thirds of what it hangs over", True)
    bad.caption("looks lost over the sofa", False)
    page.row(good, bad)
    return page


def clearance(limits: Any, words: Words) -> Page:
    page = Page()
    tall = max(96.0, (34 * INCH + limits.high + limits.reach) / INCH + 34)
    stage = Stage(150 * INCH, tall * INCH, (item("sofa", 8, 0, 76, 34), item("console", 96, 0, 44, 34)))
    top = 34 * INCH
    stage.piece(Rect(22 * INCH, top + (limits.low + limits.high) / 2, 48 * INCH, 30 * INCH), True)
    stage.piece(Rect(103 * INCH, top + limits.high + limits.reach, 30 * INCH, 24 * INCH), False)
    stage.band(Rect(8 * INCH, top + limits.low, 132 * INCH, limits.high - limits.low))
    stage.up(top, top + limits.low, words.length(limits.low), 140 * INCH)
    stage.up(top, top + limits.high, words.length(limits.high), 140 * INCH)
    stage.caption(f"lower edge {words.band(limits.low, limits.high)} above the furniture", True)
    stage.caption(f"{words.length(limits.high + limits.reach)} above it: the two fall apart", False)
    page.row(stage)
    return page


def eye_line(limits: Any, words: Words) -> Page:
    page = Page()
    low = max(limits.low - limits.reach, 13 * INCH)
    stage = Stage(132 * INCH, max(96 * INCH, limits.high + 18 * INCH), (item("bench", 8, 0, 44, 18),))
    middle = (limits.low + limits.high) / 2
    stage.piece(Rect(13 * INCH, middle - 14 * INCH, 34 * INCH, 28 * INCH), True)
    stage.piece(Rect(86 * INCH, low - 12 * INCH, 30 * INCH, 24 * INCH), False)
    stage.band(Rect(0, limits.low, stage.length, limits.high - limits.low), "eye")
    stage.draw(_person(68 * INCH, 0, middle))
    stage.up(0, limits.low, words.length(limits.low))
    stage.up(0, limits.high, words.length(limits.high))
    stage.caption(f"its middle at {words.length(middle)}, where the eye rests", True)
    stage.caption(f"its middle at {words.length(low)}, too low", False)
    page.row(stage)
    over = Stage(132 * INCH, max(96 * INCH, limits.high + 18 * INCH), (item("sofa", 24, 0, 84, 33),))
    lowest = limits.low - limits.below_over_furniture
    over.piece(Rect(38 * INCH, lowest - 13 * INCH, 56 * INCH, 26 * INCH), True)
    over.band(Rect(0, lowest, over.length, limits.high - lowest), "eye")
    over.up(0, lowest, words.length(lowest))
    over.caption(f"over furniture the gap comes first: its middle from {words.length(lowest)}", True)
    page.row(over)
    return page


def fill(limits: Any, words: Words) -> Page:
    page = Page()
    free = Rect(6 * INCH, 12 * INCH, 108 * INCH, 78 * INCH)
    wall = Stage(120 * INCH, 96 * INCH)
    wall.outline(free)
    sides = {name: getattr(limits, name) for name in ("low", "high", "low_height", "high_height")}
    large = _centred(free, sides["high"], sides["high_height"])
    small = _centred(free, sides["low"], sides["low_height"])
    wall.outline(large, "eye")
    wall.piece(
        _centred(free, (sides["low"] + sides["high"]) / 2, (sides["low_height"] + sides["high_height"]) / 2), True
    )
    wall.draw(_dashed(small))
    wall.across(small.left, small.right, f"at least {limits.low:.0%}", small.top)
    wall.across(large.left, large.right, f"at most {limits.high:.0%}", large.top)
    wall.up(small.bottom, small.top, f"{limits.low_height:.0%}", small.right)
    wall.up(large.bottom, large.top, f"{limits.high_height:.0%}", large.right)
    wall.up(free.bottom, free.top, f"free {words.length(free.height)}", free.right)
    wall.across(free.left, free.right, f"free {words.length(free.width)}", free.bottom, below=True)
    wall.caption("between the smallest and the largest outline", True)
    page.row(wall, tallest=170)
    run = 120 * INCH
    stair = Stage(run, 108 * INCH, rail=Rail(0, 30 * INCH, run, 84 * INCH))
    wide = run * (limits.low_stair + limits.high_stair) / 2
    for i in range(3):
        left = run / 2 - wide / 2 + i * wide / 3
        middle = left + wide / 6
        stair.piece(Rect(left + wide * 0.02, (38 + 54 * middle / run) * INCH, wide * 0.29, 16 * INCH))
    for share in (limits.low_stair, limits.high_stair):
        stair.across(run / 2 * (1 - share), run / 2 * (1 + share), f"{share:.0%} of the run", 96 * INCH)
    page.row(stair, tallest=150)
    return page


def shape(limits: Any, words: Words) -> Page:
    page = Page()
    square, ideal, longest = limits.square_to, limits.ideal, limits.longest
    high = 30 * INCH
    widest = max(longest, square, ideal)
    nest = Stage(high * widest * 1.02, high * 1.05, whole=False)
    nest.outline(Rect(0, 0, high * longest, high))
    nest.piece(Rect(0, 0, high * min(max(ideal, square), longest), high))
    nest.band(Rect(0, 0, high * square, high), "eye", upright=True)
    for value, text in ((square, "square to"), (ideal, "best"), (longest, "longest")):
        nest.across(0, high * value, f"{text} {value:g} : 1", high)
    page.row(nest, tallest=96)
    good, bad = Stage(70 * INCH, 54 * INCH, whole=False), Stage(70 * INCH, 54 * INCH, whole=False)
    best = min(max(ideal, square), longest)
    side = min(54 * INCH / best, 30 * INCH)
    for stage in (good, bad):
        stage.outline(inches(4, 9, 62, 36))
    good.piece(Rect(35 * INCH - side * best / 2, 27 * INCH - side / 2, side * best, side), True)
    tall = min(34 * INCH, side * best)
    bad.piece(Rect(35 * INCH - tall / best / 2, 27 * INCH - tall / 2, tall / best, tall), False)
    good.caption("landscape in a landscape space", True)
    bad.caption("portrait in the same space", False)
    page.row(good, bad, tallest=110)
    return page


def fit(limits: Any, words: Words) -> Page:
    page = Page()
    good, bad = Stage(60 * INCH, 84 * INCH, _CASINGS), Stage(60 * INCH, 84 * INCH, _CASINGS)
    for stage, wide, holds in ((good, 28, True), (bad, 42, False)):
        stage.outline(inches(13, 12, 34, 66))
        stage.piece(inches(30 - wide / 2, 40, wide, 32), holds)
        stage.across(13 * INCH, 47 * INCH, f"free {words.length(34 * INCH)}", 78 * INCH)
        stage.across((30 - wide / 2) * INCH, (30 + wide / 2) * INCH, words.length(wide * INCH), 40 * INCH, below=True)
    good.caption("wholly inside", True)
    bad.caption("cannot hang: a stop", False)
    detail = Stage(3 * INCH, 4 * INCH, whole=False, times=10)
    detail.outline(Rect(0, 0.4 * INCH, 1.2 * INCH, 3.2 * INCH))
    detail.band(Rect(1.2 * INCH, 0, limits.slack, 4 * INCH), "care", upright=True)
    detail.draw(_dashed(Rect(0, 1 * INCH, 1.2 * INCH + limits.slack, 1.8 * INCH)))
    detail.across(1.2 * INCH, 1.2 * INCH + limits.slack, _fine(limits.slack, words), 4 * INCH)
    detail.caption("detail, 10 times larger: may stick out so far")
    page.row(good, bad, detail, tallest=150)
    return page


def margins(limits: Any, words: Words) -> Page:
    page = Page()
    things = (
        ("a", "casing", "window, door or opening", item("window", 10, 26, 34, 50)),
        ("b", "sconce", "sconce", item("sconce", 62, 60, 7, 14)),
        ("c", "service", "switch, thermostat or vent", item("switch", 82, 44, 3.5, 5)),
        ("d", "furniture", "bookcase, lamp or plant", item("bookcase", 100, 0, 30, 74)),
        ("e", "moulding", "a moulding's inner line", item("panel", 146, 20, 34, 60)),
    )
    length, high = 200 * INCH, 96 * INCH
    stage = Stage(length, high, tuple(item for *_, item in things))
    letters = []
    for key, name, _, one in things:
        by, r = getattr(limits, name), one.rect
        inward = name == "moulding"
        zone = (
            Rect(r.left, r.bottom, r.width, r.height)
            if inward
            else Rect(
                r.left - by, max(r.bottom - by, 0), r.width + 2 * by, min(r.top + by, high) - max(r.bottom - by, 0)
            )
        )
        stage.outline(zone)
        if inward:
            stage.outline(Rect(r.left + by, r.bottom + by, max(r.width - 2 * by, 1), max(r.height - 2 * by, 1)), "eye")
        at = r.top + 9 * INCH if name in ("sconce", "service") else r.centre_y
        letters.append((key, r.centre_x, at))
    stage.band(Rect(0, high - limits.ceiling, length, limits.ceiling))
    stage.band(Rect(0, 0, length, limits.floor))
    stage.band(Rect(0, 0, limits.corner, high), upright=True)
    stage.band(Rect(length - limits.corner, 0, limits.corner, high), upright=True)
    stage.draw(lambda view: "".join(_letter(view, *letter) for letter in letters))
    stage.across(0, limits.corner, f"corner {words.length(limits.corner)}", high)
    stage.up(high - limits.ceiling, high, f"ceiling {words.length(limits.ceiling)}")
    stage.up(0, limits.floor, f"floor {words.length(limits.floor)}")
    for key, name, text, _ in things:
        stage.caption(f"{key}  {words.length(getattr(limits, name))} from {_articled(text)}")
    page.row(stage)
    run, low, rise = 96 * INCH, 34 * INCH, 40 * INCH
    stair = Stage(run, max(110 * INCH, low + rise + limits.rail + 8 * INCH), rail=Rail(0, low, run, low + rise))
    stair.draw(sloped(run, lambda x: low + rise * x / run + limits.rail / 2, limits.rail), under=True)
    stair.up(low + rise, low + rise + limits.rail, f"{words.length(limits.rail)} above a handrail")
    page.row(stair, tallest=120)
    return page


# What several share


_SOFA = item("sofa", 10, 0, 84, 34)
_CASINGS = (item("window", 0.5, 24, 9.5, 54), item("window", 50, 24, 9.5, 54))


def _centred(free: Rect, across: float, upward: float) -> Rect:
    wide, tall = free.width * across, free.height * upward
    return Rect(free.centre_x - wide / 2, free.centre_y - tall / 2, wide, tall)


def _articled(text: str) -> str:
    return text if text.startswith(("a ", "an ")) else f"a {text}"


def _fine(mm: float, words: Words) -> str:
    """A length so small that a sixteenth of an inch would round it away."""
    return f"{mm:g} mm" if mm < 1.5 else words.length(mm)


def _dashed(rect: Rect) -> Any:
    def draw(view: View) -> str:
        shape = boxed(view.box(rect), stroke_dasharray="5 3")
        return group("plain", shape, stroke=INK, stroke_width=0.9, fill="none")

    return draw


def _letter(view: View, key: str, x: float, y: float) -> str:
    cx, cy = view.x(x), view.y(y)
    disc = tag("circle", {"cx": cx, "cy": cy, "r": 8})
    return group("number", disc + label(key, cx, cy + 4, 12, "middle", stroke="none", fill=INK), stroke=INK,
                 stroke_width=0.9, fill=SHEET)  # fmt: skip


def _person(x: float, floor: float, eye: float) -> Any:
    """A standing figure in outline whose eye is at a height, with its line of sight."""

    def draw(view: View) -> str:
        s = view.scale * eye / 1575
        cx, ground, look = view.x(x), view.y(floor), view.y(eye)
        steps = (  # half a figure from the feet up: half widths and depths below the eye [mm]
            (30, 1575), (120, 1575), (130, 1000), (165, 720), (150, 520), (215, 330), (190, 215), (60, 165),
        )  # fmt: skip
        side = [(cx + wide * s, look + down * s) for wide, down in steps]
        other = [(2 * cx - px, py) for px, py in reversed(side)]
        body = "M" + "L".join(f"{n(px)} {n(py)}" for px, py in (*side, *other)) + "Z"
        legs = tag("line", {"x1": cx, "y1": look + 800 * s, "x2": cx, "y2": ground})
        head = tag("ellipse", {"cx": cx, "cy": look + 15 * s, "rx": 85 * s, "ry": 120 * s})
        drawn = tag("path", {"d": body}) + head + legs
        return group("items", drawn, stroke=INK, stroke_width=0.8, fill=SHEET)

    return draw


def tolerances(limits: Any, words: Words) -> Page:
    page = Page()
    plan = inches(5, 4, 16, 9)
    stage = Stage(26 * INCH, 18 * INCH, whole=False)
    by, tilt = limits.place, limits.level
    stage.outline(Rect(plan.left - by, plan.bottom - by, plan.width + 2 * by, plan.height + 2 * by))
    stage.piece(plan)

    def top(view: View) -> str:
        sloping = line(view.x(plan.left), view.y(plan.top), view.x(plan.right), view.y(plan.top + tilt))
        return group("guide eye-line", sloping, stroke=BOLE, stroke_width=1.2)

    stage.draw(top)
    stage.across(plan.right, plan.right + by, words.length(by), plan.centre_y)
    stage.up(plan.top, plan.top + tilt, words.length(tilt), plan.right)
    stage.caption(f"within {words.length(by)} of its place on every side")
    stage.caption(f"one top corner at most {words.length(tilt)} above the other")
    page.row(stage)
    return page


FIGURES = {
    "two-thirds": two_thirds, "clearance": clearance, "eye-line": eye_line, "fill": fill, "shape": shape, "fit": fit,
    "margins": margins, "tolerances": tolerances,
}  # fmt: skip
