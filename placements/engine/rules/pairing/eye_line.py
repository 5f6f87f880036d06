"""The vertical centre of a piece, or of a whole group, is where the eye rests.

On a stair it follows the flight: it is measured from the line of the nosings, each piece over the tread below it, so
that a run has one eye line from end to end. Over furniture the gap comes first, so the centre may sit higher and loses
little by it; lower it never should.
Source: common practice, no source, and so is the best height, a quarter up the band (61.5 in): pictures hang a little
below the eye. The band's middle, 63 in, is the mean standing eye height of men and women with shoes: 1,581 mm bare
(ANSUR II, Gordon et al. 2014, NATICK/TR-15/007: stature less sitting height plus sitting eye height, half men, half
women) and 25 mm of shoe. An illustrator's manual puts a display's axis at 66 in (NAVEDTRA 14065).
Good: centre at 62 in. Bad: centre at 54 in.
"""

from dataclasses import dataclass

import numpy as np

from ...bands import HANGING_MM, eye_height, lean, within
from ...results import Words
from ...rule import INCH, Array, Remark, Rule, Verdict, at, limit
from ...scene import Pairs

_RANGE = (36 * INCH, 96 * INCH)


@dataclass(frozen=True)
class Limits:
    low: float = limit(60 * INCH, "mm", _RANGE, "lowest centre above the floor")
    high: float = limit(66 * INCH, "mm", _RANGE, "highest centre above the floor")
    reach: float = limit(6 * INCH, "mm", (INCH, 48 * INCH), "distance beyond the band at which the score is one half")
    below_over_furniture: float = limit(
        2 * INCH, "mm", (0, 12 * INCH), "how far below the band it may sit over furniture, where the gap comes first"
    )


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    centre, over = pairs.middle, pairs.scene.over_furniture
    best = eye_height(limits.low, limits.high)
    low: Array | float = limits.low
    seen = centre
    if over.any():
        low = np.where(over, limits.low - limits.below_over_furniture, limits.low).astype(centre.dtype)[None, :]
        seen = np.where(over, np.minimum(centre, best), centre)  # what follows from the gap costs nothing
    score = lean(seen, low, best, limits.high, limits.reach, limits.reach)
    return Verdict(score, centre, low, limits.high, slack=HANGING_MM)


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    centre = at(verdict.value, i, j)
    low = at(verdict.low, i, j)
    band = words.band(limits.low, limits.high)
    floor = "the tread below" if pairs.scene.is_kind("stair")[j] else "the floor"
    said = f"Centre is {words.length(centre)} above {floor}"
    if within(centre, low, limits.high, HANGING_MM):
        return Remark(None, f"{said}, at eye line ({band})", centre, limits.low, limits.high, "mm")
    side, off = ("low", limits.low - centre) if centre < limits.low else ("high", centre - limits.high)
    text = f"{said}, {words.length(off)} too {side} for the eye line; {band} is where the eye rests"
    return Remark("exception", text, centre, limits.low, limits.high, "mm", limit=side)


RULE = Rule("eye-line", "Centre at eye line", "pairing", "exception", 2.0, Limits, evaluate, explain)
