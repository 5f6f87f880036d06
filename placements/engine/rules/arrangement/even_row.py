"""Pieces of one size hang in a straight row, column or grid, not staggered.

Equal pieces set a beat; a step in it looks like a slip.
Source: common practice, no source. Applies to two or more pieces that are all of one size, except on a stair, where the
rail leads the line.
Good: six equal prints in two rows of three. Bad: the same with every other one 3 in lower.
"""

from dataclasses import dataclass

import numpy as np

from ...arrangement import Arranged
from ...bands import nearness
from ...results import Words
from ...rule import INCH, Remark, Rule, Verdict, at, limit


@dataclass(frozen=True)
class Limits:
    high: float = limit(0.125 * INCH, "mm", (0.0, INCH), "greatest step between neighbours in a row or column")
    same: float = limit(0.25 * INCH, "mm", (0.0, 2 * INCH), "difference of sizes up to which pieces count as equal")
    reach: float = limit(1 * INCH, "mm", (0.1 * INCH, 12 * INCH), "step beyond that at which the score is one half")


def evaluate(arranged: Arranged, limits: Limits) -> Verdict:
    equal = len(arranged.works) > 1 and np.ptp(arranged.width) <= limits.same and np.ptp(arranged.height) <= limits.same
    if not equal or arranged.space.kind == "stair":
        return Verdict(np.array(1.0), 0.0, applies=False)
    step = stagger(arranged)
    score = nearness(np.array([step]), -np.inf, limits.high, limits.reach)[0]
    return Verdict(np.array(score), step, high=limits.high)


def stagger(arranged: Arranged) -> float:
    """The greatest offset between pieces that share a row or column, or of a piece that shares neither [mm]."""
    x, y = arranged.left + arranged.width / 2, arranged.bottom + arranged.height / 2
    dx, dy = np.abs(x[:, None] - x), np.abs(y[:, None] - y)
    other = ~np.eye(len(x), dtype=bool)
    one_column, one_row = (dx < arranged.width.min()) & other, (dy < arranged.height.min()) & other
    steps = np.where(one_column, dx, 0.0) * ~one_row + np.where(one_row, dy, 0.0) * ~one_column
    alone = ~(one_column | one_row).any(axis=1)
    apart = np.where(other, np.minimum(dx, dy), np.inf).min(axis=1)
    return float(max(steps.max(), apart[alone].max(initial=0.0)))


def explain(arranged: Arranged, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    step = at(verdict.value, 0, 0)
    if step <= limits.high + 1e-3:
        text = f"Equal pieces hang in line, within {words.length(limits.high)}"
        return Remark(None, text, step, None, limits.high, "mm")
    text = f"Equal pieces are staggered by {words.length(step)}; in a straight row or grid they keep their beat "
    text = f"{text}(within {words.length(limits.high)})"
    return Remark("exception", text, step, None, limits.high, "mm", limit="high")


RULE = Rule("even-row", "Equal pieces in line", "arrangement", "exception", 3.0, Limits, evaluate, explain)
