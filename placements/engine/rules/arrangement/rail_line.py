"""On a stair the group follows the line of the handrail.

The middles of its columns (a piece and what hangs above it) lie on a line parallel to the rail, or else their lower
edges do; whichever keep to it better count.
Source: common practice, no source; the rail's own slope is at most atan(7.75 / 10), 37.8 degrees, in a dwelling (IRC
R311.7.5). Applies to two or more pieces on a wall with a handrail.
Good: a run that climbs with the rail, their middles 20 in above it. Bad: a level row on a stair.
"""

from dataclasses import dataclass

import numpy as np

from ...arrangement import Arranged
from ...bands import nearness
from ...results import Words
from ...rule import INCH, Remark, Rule, Verdict, at, limit
from ...stairs import climbs, columns_over_rail


@dataclass(frozen=True)
class Limits:
    high: float = limit(1.0 * INCH, "mm", (0.1 * INCH, 6 * INCH), "greatest difference of heights over the rail")
    reach: float = limit(3.0 * INCH, "mm", (0.5 * INCH, 24 * INCH), "excess at which the score is one half")


def evaluate(arranged: Arranged, limits: Limits) -> Verdict:
    if arranged.space.kind != "stair" or not climbs(arranged.wall.rail) or len(arranged.works) < 2:
        return Verdict(np.array(1.0), 0.0, applies=False)
    edges, middles = columns_over_rail(arranged.boxes, arranged.wall.rail)
    spread = float(min(np.ptp(edges), np.ptp(middles)))
    score = nearness(np.array([spread]), -np.inf, limits.high, limits.reach)[0]
    also = {"mean": float(edges.mean()), "by_edges": float(np.ptp(edges) <= np.ptp(middles) + 1e-6)}
    return Verdict(np.array(score), spread, high=limits.high, also={**also, "middle": float(middles.mean())})


def explain(arranged: Arranged, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    spread, allowed = at(verdict.value, 0, 0), words.length(limits.high)
    by_edges = at(verdict.also["by_edges"], 0, 0) > 0
    if spread <= limits.high + 1e-3:
        what, over = ("lower edge follows", "mean") if by_edges else ("line of middles follows", "middle")
        text = f"The {what} the rail, {words.length(at(verdict.also[over], 0, 0))} above it, within {allowed}"
        return Remark(None, text, spread, None, limits.high, "mm")
    what = "lower edge strays" if by_edges else "line of middles strays"
    text = f"The {what} {words.length(spread)} from the line of the rail; within {allowed} it climbs with it"
    return Remark("exception", text, spread, None, limits.high, "mm", limit="high")


RULE = Rule("rail-line", "Along the handrail", "arrangement", "exception", 3.0, Limits, evaluate, explain)
