"""A group shares a frame colour, a form, a theme or a palette.

Source: common practice, no source. Applies to two or more pieces.
Good: nine prints in black frames. Bad: nine pieces with nothing in common.
"""

from dataclasses import dataclass

import numpy as np

from ...arrangement import Arranged
from ...bands import nearness
from ...groups.unity import unity
from ...results import Words
from ...rule import Remark, Rule, Verdict, at, limit


@dataclass(frozen=True)
class Limits:
    low: float = limit(0.6, "ratio", (0.0, 1.0), "how far the strongest bond must hold, 1 where every piece carries it")
    reach: float = limit(0.3, "ratio", (0.05, 1.0), "shortfall at which the score is one half")


def evaluate(arranged: Arranged, limits: Limits) -> Verdict:
    if len(arranged.works) < 2 or arranged.keeps_time:
        return Verdict(np.array(1.0), 1.0, applies=False)
    held = unity(arranged.works).score
    return Verdict(np.array(nearness(np.array([held]), limits.low, np.inf, limits.reach)[0]), held, limits.low)


def explain(arranged: Arranged, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    held = at(verdict.value, 0, 0)
    found = unity(arranged.works)
    if held >= limits.low - 1e-9:
        return Remark(None, f"They belong together: {found.text} ({held:.0%})", held, limits.low, None, "ratio")
    text = f"Little holds them together: at best {found.text} ({held:.0%}); {limits.low:.0%} makes a group"
    return Remark("exception", text, held, limits.low, None, "ratio", limit="low")


RULE = Rule("unity", "What they share", "arrangement", "exception", 2.0, Limits, evaluate, explain)
