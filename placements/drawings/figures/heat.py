"""The picture of the heat rule: what rises over a radiator and a fire, and a fire's opening cut through."""

from __future__ import annotations

import math
from typing import Any

from placements.engine.house import Rect
from placements.engine.results import Words

from ..pen import INK, OCHRE, SHEET, Kit, View, group, n, tag
from .page import Bar, Page
from .profile import CUT, Drawn, cut, side
from .stage import FIGURE, INCH, Stage, item

#: Where the section's wall stands and where its fire's opening ends, from the stage's lower left [mm].
_FACE, _LINTEL = 1.4 * INCH, 3 * INCH
#: A flat frame, and how much deeper than its distance allows the other one is [mm].
_SLIM, _OVER = 0.75 * INCH, 1.4 * INCH
_FIREBOX = "#2b2f36"
_FLAME = "#e0a94a"


def heat(limits: Any, words: Words) -> Page:
    page = Page()
    shelf = max(52 * INCH, limits.assumed_drop + 12 * INCH)
    opening = shelf - limits.assumed_drop
    hung = max(opening + limits.graded, shelf + 3 * INCH)
    high = max(90 * INCH, 54 * INCH + limits.above_hot, hung + 28 * INCH)
    page.row(_radiator(limits, words, high), _fire(limits, words, shelf, hung, high), tallest=200)
    page.words("Over a fire's opening, cut through and enlarged. Shaded: where no combustible piece may be.")
    page.row(_section(limits, words, holds=False), _section(limits, words, holds=True), tallest=150)
    tender = Bar("a sensitive piece, farther up", limits.tender, f"scores {limits.tender:.0%}", whole=1.0)
    page.bars("Heat and soot still rise beyond that, so over a fire that is used", [tender], lambda one: one)
    return page


def _radiator(limits: Any, words: Words, high: float) -> Stage:
    stage = Stage(54 * INCH, high, (item("radiator", 6, 4, 42, 24),))
    top, above = 28 * INCH, limits.above_hot
    stage.band(Rect(6 * INCH, top, 42 * INCH, above), "care")
    stage.draw(_rising((11 * INCH, 43 * INCH), top + INCH, top + above))
    near = min(14 * INCH, above * 0.65)
    if near > 6 * INCH:
        stage.piece(Rect(18 * INCH, top + above * 0.15, 18 * INCH, near), False)
    stage.piece(Rect(14 * INCH, top + above, 26 * INCH, 20 * INCH), True)
    stage.caption(f"{words.length(above)} above a radiator or hob", True)
    return stage


def _fire(limits: Any, words: Words, shelf: float, hung: float, high: float) -> Stage:
    stage = Stage(76 * INCH, high)
    opening = shelf - limits.assumed_drop
    stage.draw(_chimneypiece(shelf, opening))
    for reach in (limits.clear, limits.graded):
        stage.band(Rect(22 * INCH, opening, 32 * INCH, reach), "care", over=True)
    stage.draw(_rising((15 * INCH, 61 * INCH), shelf + INCH, max(hung + 14 * INCH, shelf + 18 * INCH)))
    stage.piece(Rect(22 * INCH, hung, 32 * INCH, 22 * INCH), True)
    stage.up(opening, shelf, f"{words.length(limits.assumed_drop)}, where only the mantel's top is surveyed", 54 * INCH)
    stage.caption("clear of the fire's opening", True)
    return stage


def _section(limits: Any, words: Words, *, holds: bool) -> Stage:
    """The wall over the opening: a slim frame as low as it may hang, or a deep one that is too near."""
    clear, graded, slope = limits.clear, limits.graded, limits.slope
    reach, high = graded * slope, _LINTEL + graded * 1.4
    stage = Stage(_FACE + max(reach * 2.5, 7 * INCH), high, whole=False)
    stage.draw(_below_lintel)
    stage.draw(cut(_FACE, _LINTEL, high))
    if holds:
        bottom = min(max(_SLIM / slope if slope else graded, clear), graded)
        depth = _SLIM
    else:
        bottom = (clear + graded) / 2 if graded > clear else clear * 0.6
        depth = bottom * slope + _OVER
    stage.draw(side(_FACE, depth, _LINTEL + bottom, high - _LINTEL - bottom - INCH / 2))
    stage.draw(_forbidden(clear, graded, slope, stage.length))
    stage.caption("shallow enough where it hangs" if holds else "too deep so near the fire", holds)
    if holds:
        stage.across(_FACE, _FACE + reach, f"{words.length(reach)} deep", _LINTEL + graded)
        stage.up(_LINTEL, _LINTEL + clear, f"{words.length(clear)}: nothing", stage.length)
        stage.up(_LINTEL, _LINTEL + graded, f"{words.length(graded)}: any depth above", stage.length)
    return stage


def _forbidden(clear: float, graded: float, slope: float, end: float) -> Drawn:
    """Where a piece must not be: all of the nearest stretch, then whatever stands out farther than its distance
    allows."""

    def draw(view: View) -> str:
        kit = Kit(view, FIGURE)
        kit.path(
            *("M", (_FACE, _LINTEL), "L", (_FACE, _LINTEL + clear), "L", (_FACE + clear * slope, _LINTEL + clear)),
            *("L", (_FACE + graded * slope, _LINTEL + graded), "L", (end, _LINTEL + graded), "L", (end, _LINTEL), "Z"),
            fill_opacity="0.18",
            stroke_dasharray="4 3",
        )
        return group("guide care", kit.drawn(), stroke=OCHRE, stroke_width=0.9, fill=OCHRE)

    return draw


def _below_lintel(view: View) -> str:
    """The opening under the cut wall, a flame out of it."""
    kit = Kit(view, FIGURE)
    back = _FACE - CUT / view.scale
    kit.body(back, 0, _FACE - back, _LINTEL, fill=_FIREBOX, stroke="none")
    kit.path("M", (back, 0), "Q", (back, _LINTEL / 2), (_FACE, _LINTEL * 0.75), "Q", (_FACE - INCH / 4, _LINTEL / 3),
             (_FACE, 0), "Z", fill=_FLAME, stroke="none")  # fmt: skip
    return kit.drawn()


def _chimneypiece(shelf: float, opening: float) -> Drawn:
    """A mantelshelf on two pilasters about an opening with a fire in it."""

    def draw(view: View) -> str:
        kit = Kit(view, FIGURE)
        kit.body(10 * INCH, 0, 56 * INCH, shelf - 4.5 * INCH)
        kit.body(9 * INCH, shelf - 4.5 * INCH, 58 * INCH, 1.7 * INCH)
        kit.body(7 * INCH, shelf - 2.8 * INCH, 62 * INCH, 2.8 * INCH, 6)
        for left in (12.5, 56.5):
            kit.body(left * INCH, 3 * INCH, 7 * INCH, max(shelf - 10.5 * INCH, 4 * INCH), fine=True)
        kit.body(22 * INCH, 0, 32 * INCH, opening, fill=_FIREBOX)
        for middle, tall in ((33, 0.42), (38.5, 0.62), (44, 0.36)):
            kit.path(*_flame(middle * INCH, 3.5 * INCH, opening * tall), fill=_FLAME, stroke="none")
        kit.body(28 * INCH, 1.2 * INCH, 20 * INCH, 2.6 * INCH, 30)
        kit.body(5 * INCH, 0, 66 * INCH, 1.2 * INCH)
        return group("items", kit.drawn(), stroke=INK, stroke_width=FIGURE.outline, fill=SHEET)

    return draw


def _flame(middle: float, foot: float, tall: float) -> tuple[str | tuple[float, float], ...]:
    half = min(3.6 * INCH, tall * 0.3)
    return (
        *(
            "M",
            (middle - half, foot),
            "Q",
            (middle - half * 1.3, foot + tall * 0.5),
            (middle + half * 0.2, foot + tall),
        ),
        *("Q", (middle + half * 1.5, foot + tall * 0.45), (middle + half, foot), "Z"),
    )


def _rising(lefts: tuple[float, ...], low: float, high: float) -> Drawn:
    """Waves of rising heat, one at each of `lefts`."""

    def draw(view: View) -> str:
        count = math.floor((high - low) / (6 * INCH))
        sway, rise = 2.4 * INCH * view.scale, 6 * INCH * view.scale
        d = "".join(
            f"M{n(view.x(left))} {n(view.y(low))}q{n(sway)} {n(-rise / 2)} 0 {n(-rise)}"
            + f"t0 {n(-rise)}" * (count - 1)
            for left in lefts
            if count
        )
        return group("guide care", tag("path", {"d": d, "fill": "none"}) if d else "", stroke=OCHRE, stroke_width=1.1)

    return draw


FIGURES = {"heat": heat}
