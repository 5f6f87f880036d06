"""Pictures of the rules that judge several pieces hung together."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from placements.engine.house import Rail, Rect
from placements.engine.results import Words

from ..pen import VERDIGRIS, View, group, line, tag
from .page import Bar, Page
from .stage import INCH, Stage, inches, sloped


def spacing(limits: Any, words: Words) -> Page:
    page, few = Page(), int(limits.few)
    page.row(_hung_apart([limits.low, limits.high, (limits.low + limits.high) / 2], words, marked=2), tallest=110)
    page.words(f"More than {few} pieces: {words.band(limits.low, limits.high)} apart.")
    page.row(_hung_apart([limits.high_few] * (few - 1), words, marked=1), tallest=110)
    page.words(f"Up to {few} pieces: as much as {words.length(limits.high_few)} apart.")
    bad = limits.high + limits.reach + 2 * INCH
    stage = _hung_apart([bad] * 3, words, marked=1, holds=False)
    stage.caption("four pieces so far apart fall into single ones", False)
    page.row(stage, tallest=80)
    return page


def even_row(limits: Any, words: Words) -> Page:
    page = Page()
    step = limits.high + max(limits.reach, 1 * INCH) * 2
    good, bad = Stage(76 * INCH, 46 * INCH, whole=False), Stage(76 * INCH, 46 * INCH, whole=False)
    for i in range(4):
        good.piece(Rect((4 + 17.5 * i) * INCH, 12 * INCH, 15 * INCH, 20 * INCH), True)
        bad.piece(Rect((4 + 17.5 * i) * INCH, 12 * INCH + step * (i % 2), 15 * INCH, 20 * INCH), False)
    good.caption("equal pieces keep one line", True)
    bad.caption(f"staggered by {words.length(step)}", False)
    page.row(good, bad, tallest=110)
    room = max(2 * INCH, limits.high * 1.3, limits.same * 1.3)
    one, two = Stage(room * 2, room * 1.5, whole=False), Stage(room * 2, room * 1.5, whole=False)
    one.piece(Rect(0, 0, room * 0.9, room * 0.5), frame="none")
    one.piece(Rect(room * 1.05, 0, room * 0.95, room * 0.5 + limits.high), frame="none")
    one.band(Rect(0, room * 0.5, room * 2, limits.high))
    two.outline(Rect(0, 0, room * 0.8 + limits.same, room * 1.1))
    two.piece(Rect(0, 0, room * 0.8, room * 1.1), frame="none")
    two.across(room * 0.8, room * 0.8 + limits.same, words.length(limits.same), room * 1.1)
    one.across(0, room * 0.9, f"step up to {words.length(limits.high)}", room * 0.5 + limits.high)
    one.caption("detail: the greatest step")
    two.caption("detail: sizes so near count as equal")
    page.row(one, two, tallest=110)
    return page


def largest_central(limits: Any, words: Words) -> Page:
    page = Page()
    good, bad = Stage(96 * INCH, 70 * INCH, whole=False), Stage(96 * INCH, 70 * INCH, whole=False)
    group_box = inches(9, 11, 78, 48)
    for rect in (inches(9, 11, 22, 22), inches(9, 35.5, 22, 23.5), inches(65, 11, 22, 26), inches(65, 39.5, 22, 19.5)):
        good.piece(rect)
    good.piece(inches(33.5, 11, 29, 48), True)
    for rect in (
        inches(9, 11, 22, 22),
        inches(9, 35.5, 22, 23.5),
        inches(33.5, 11, 22, 26),
        inches(33.5, 39.5, 22, 19.5),
    ):
        bad.piece(rect)
    bad.piece(inches(58, 11, 29, 48), False)
    for stage in (good, bad):
        stage.outline(group_box)
        stage.draw(_ellipse(group_box, limits.high))
    reach = group_box.width * limits.high
    good.across(
        group_box.centre_x - reach, group_box.centre_x + reach, f"{limits.high:.0%} to each side", group_box.centre_y
    )
    good.caption("its centre within the oval", True)
    bad.caption("at one end", False)
    page.row(good, bad, tallest=130)
    page.bars(
        "Areas from which these count, against the smallest and the largest piece:",
        [
            Bar("mixed sizes: over the smallest", limits.larger, f"{limits.larger:g} times", whole=1.0),
            Bar("as large as the largest", limits.as_large, f"{limits.as_large:.0%}", whole=1.0),
        ],
        lambda value: value / max(2.0, limits.larger),
    )
    return page


def unity(limits: Any, words: Words) -> Page:
    page = Page()
    count = 10
    alike = round(1 + limits.low * (count - 1))
    for carried, holds in ((alike, True), (max(alike - 4, 1), False)):
        stage = Stage((count * 16 + 4) * INCH, 26 * INCH, whole=False)
        for i in range(count):
            frame = "black" if i < carried else ("oak", "white", "gilt", "none")[i % 4]
            stage.piece(
                inches(4 + 16 * i, 3, 12 if i % 2 else 13, 18 if i % 3 else 20), frame=frame, frame_mm=2.2 * INCH
            )
        stage.caption(f"{carried} of {count} in black frames: {'a group' if holds else 'nothing in common'}", holds)
        page.row(stage, tallest=60)
    page.bars(
        "How far the strongest bond must hold: a frame, a form, a theme or a palette.",
        [Bar("at least", limits.low, f"{limits.low:.0%}", whole=1.0)],
        lambda value: value,
    )
    return page


def scale(limits: Any, words: Words) -> Page:
    page, odd = Page(), math.floor(limits.high)
    mixed = Stage(88 * INCH, 44 * INCH, whole=False)
    for rect in (inches(4, 4, 26, 36), inches(32.5, 4, 18, 14), inches(68, 4, 16, 36), inches(32.5, 20.5, 33, 19.5)):
        mixed.piece(rect)
    mixed.piece(inches(53, 5, 12.5, 12.5), form="mirror", frame="gilt")
    mixed.caption("mixed sizes carry a small mirror", True)
    equal = Stage(88 * INCH, 44 * INCH, whole=False)
    for i in range(4):
        equal.piece(inches(4 + 17 * i, 11, 14, 20))
    equal.piece(inches(72, 15, 12, 12), False, form="clock")
    equal.caption("a clock among equal prints", False)
    page.row(mixed, equal, tallest=90)
    row = Stage((odd + 2) * 16 * INCH if odd > 5 else 112 * INCH, 16 * INCH, whole=False)
    for i in range(odd + 1):
        row.piece(inches(4 + 15 * i, 2, 12, 12), i < odd, form="clock")
    row.caption(f"odd ones among equal pieces: {odd} may stay")
    page.row(row, tallest=30)
    page.bars(
        "From where it counts:",
        [
            Bar("share of equal pieces", limits.equal, f"{limits.equal:.0%}", whole=1.0),
            Bar("a picture so small is odd", limits.smaller, f"{limits.smaller:.0%} of the area", whole=1.0),
            Bar("equal within", limits.same / (2 * INCH), words.length(limits.same), whole=1.0),
        ],
        lambda value: value,
    )
    return page


def rail_line(limits: Any, words: Words) -> Page:
    page = Page()
    run, low, rise = 150 * INCH, 30 * INCH, 60 * INCH
    stage = Stage(run, 132 * INCH, rail=Rail(0, low, run, low + rise))
    over = 8 * INCH

    def edge(x: float) -> float:
        return low + rise * x / run + over

    for i in range(4):
        x, high = (20 + 36 * i) * INCH, (20, 26, 20, 22)[i] * INCH
        stray = limits.high + limits.reach if i == 3 else (-limits.high / 2 if i % 2 else limits.high / 2)
        stage.piece(Rect(x - 9 * INCH, edge(x) + stray, 18 * INCH, high), i < 3)
    stage.draw(sloped(run, edge, limits.high), under=True)
    at = 128 * INCH
    stage.up(edge(at) - limits.high / 2, edge(at) + limits.high / 2, f"within {words.length(limits.high)}", at)
    stage.caption("lower edges climb with the rail", True)
    stage.caption(f"strays {words.length(limits.high + limits.reach)}", False)
    page.row(stage, tallest=230)
    return page


# What several share


def _hung_apart(gaps: list[float], words: Words, *, marked: int, holds: bool | None = None) -> Stage:
    """Pieces in a row with the gaps given [mm]; the first `marked` gaps are dimensioned."""
    wide, high = 16 * INCH, 20 * INCH
    length = wide * (len(gaps) + 1) + sum(gaps) + 8 * INCH
    stage = Stage(length, high + 8 * INCH, whole=False)
    x = 4 * INCH
    stage.piece(Rect(x, 4 * INCH, wide, high), holds)
    for i, gap in enumerate(gaps):
        x += wide
        stage.band(Rect(x, 4 * INCH, gap, high), "allowed" if holds is None else "care", upright=True)
        if i < marked:
            stage.across(x, x + gap, words.length(gap), 4 * INCH + high)
        x += gap
        stage.piece(Rect(x, 4 * INCH, wide, high), holds)
    return stage


def _ellipse(box: Rect, share: float) -> Callable[[View], str]:
    """Where the largest piece's centre may lie: so many group sizes from the group's middle."""

    def draw(view: View) -> str:
        cx, cy = view.x(box.centre_x), view.y(box.centre_y)
        rx, ry = box.width * share * view.scale, box.height * share * view.scale
        oval = tag(
            "ellipse", {"cx": cx, "cy": cy, "rx": rx, "ry": ry, "stroke-dasharray": "4 3", "fill-opacity": "0.12"}
        )
        cross = line(cx - 4, cy, cx + 4, cy) + line(cx, cy - 4, cx, cy + 4)
        return group("guide clearance", oval + cross, stroke=VERDIGRIS, stroke_width=1.2, fill=VERDIGRIS)

    return draw


FIGURES = {
    "spacing": spacing, "even-row": even_row, "largest-central": largest_central, "unity": unity, "scale": scale,
    "rail-line": rail_line,
}  # fmt: skip
