"""On a stair the group's lower edge follows the line of the handrail.

The lower edge of the pieces with none below them is measured over the rail, at each piece's middle.
Source: common practice, no source; the rail's own slope is at most atan(7.75 / 10), 37.8 degrees, in a dwelling (IRC
R311.7.5). Applies to two or more pieces on a wall with a handrail.
Good: a run that climbs with the rail, each 8 in above it. Bad: a level row on a stair.
"""

from dataclasses import dataclass

import numpy as np

from ...arrangement import Arranged
from ...bands import nearness
from ...results import Words
from ...rule import INCH, Array, Remark, Rule, Verdict, at, limit
from ...stairs import climbs, rail_at


@dataclass(frozen=True)
class Limits:
    high: float = limit(1.0 * INCH, "mm", (0.1 * INCH, 6 * INCH), "greatest difference of heights over the rail")
    reach: float = limit(3.0 * INCH, "mm", (0.5 * INCH, 24 * INCH), "excess at which the score is one half")


def evaluate(arranged: Arranged, limits: Limits) -> Verdict:
    if arranged.space.kind != "stair" or not climbs(arranged.wall.rail) or len(arranged.works) < 2:
        return Verdict(np.array(1.0), 0.0, applies=False)
    over = heights_over_rail(arranged)
    spread = float(np.ptp(over))
    score = nearness(np.array([spread]), -np.inf, limits.high, limits.reach)[0]
    return Verdict(np.array(score), spread, high=limits.high, also={"mean": float(over.mean())})


def heights_over_rail(arranged: Arranged) -> Array:
    """Height of each lowest piece's bottom edge over the rail's line at the piece's middle [mm]."""
    rail = arranged.wall.rail
    if not climbs(rail):
        raise ValueError(f"wall {arranged.wall.id!r} has no handrail")
    over: Array = arranged.bottom - rail_at(rail, arranged.left + arranged.width / 2)
    above = (
        (arranged.left[:, None] < arranged.right)
        & (arranged.right[:, None] > arranged.left)
        & (arranged.bottom[:, None] >= arranged.top - 1e-6)
    )
    return over[~above.any(axis=1)]


def explain(arranged: Arranged, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    spread, mean = at(verdict.value, 0, 0), at(verdict.also["mean"], 0, 0)
    allowed = words.length(limits.high)
    if spread <= limits.high + 1e-3:
        text = f"The lower edge follows the rail, {words.length(mean)} above it, within {allowed}"
        return Remark(None, text, spread, None, limits.high, "mm")
    text = f"The lower edge strays {words.length(spread)} from the line of the rail; within {allowed} it climbs with it"
    return Remark("exception", text, spread, None, limits.high, "mm")


RULE = Rule("rail-line", "Along the handrail", "arrangement", "exception", 2.0, Limits, evaluate, explain)
