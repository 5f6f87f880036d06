"""The bottom edge hangs a hand or two above the furniture.

Closer, the two crowd each other and heads touch the frame; farther, they fall apart and the piece floats.
Source: common practice, no source. Does not apply where nothing stands below.
Good: 8 in above the sofa. Bad: 14 in above the sofa.
"""

from dataclasses import dataclass

from ...bands import HANGING_MM, nearness, within
from ...house import Rect
from ...results import Words
from ...rule import INCH, Mask, Remark, Rule, Verdict, at, limit
from ...scene import Pairs, Scene, bearer_name

_RANGE = (0.0, 36 * INCH)


@dataclass(frozen=True)
class Limits:
    low: float = limit(6 * INCH, "mm", _RANGE, "smallest gap above the furniture")
    high: float = limit(10 * INCH, "mm", _RANGE, "greatest gap above the furniture")
    reach: float = limit(6 * INCH, "mm", (INCH, 36 * INCH), "distance beyond the band at which the score is one half")


def concerns(scene: Scene, limits: Limits) -> Mask:
    known: Mask = scene.bearer_top == scene.bearer_top
    return scene.over_furniture & known


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    gap = pairs.bottom_edge - pairs.scene.bearer_top
    score = nearness(gap, limits.low, limits.high, limits.reach)
    return Verdict(score, gap, limits.low, limits.high, slack=HANGING_MM)


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    gap = at(verdict.value, i, j)
    below, band = bearer_name(pairs.scene.bearers[j]), words.band(limits.low, limits.high)
    if within(gap, limits.low, limits.high, HANGING_MM):
        text = f"Bottom edge is {words.length(gap)} above {below}, within {band}"
        return Remark(None, text, gap, limits.low, limits.high, "mm")
    if gap < 0:
        text = f"Bottom edge is {words.length(-gap)} below the top of {below}; {band} above it keeps them apart"
    else:
        why = "gives them air" if gap < limits.low else "keeps them together"
        text = f"Bottom edge is {words.length(gap)} above {below}; {band} {why}"
    top, low = float(pairs.scene.bearer_top[j]), at(pairs.bottom_edge, i, j)
    between = Rect(at(pairs.left_edge, i, j), min(top, low), float(pairs.scene.width[i]), abs(gap))
    missed = "low" if gap < limits.low else "high"
    return Remark("exception", text, gap, limits.low, limits.high, "mm", between, missed)


RULE = Rule(
    "clearance",
    "Gap above the furniture",
    "pairing",
    "exception",
    2.0,
    Limits,
    evaluate,
    explain,
    concerns=concerns,
)
