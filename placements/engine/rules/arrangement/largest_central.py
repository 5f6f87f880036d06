"""In a group of mixed sizes the largest piece sits near the middle; it is hung first and the others outwards from it.

Source: common practice, no source. Applies to three or more pieces of different sizes, except on a stair.
Good: the large canvas in the middle, small prints about it. Bad: the large canvas at one end.
"""

from dataclasses import dataclass

import numpy as np

from ...arrangement import Arranged
from ...bands import nearness
from ...results import Words
from ...rule import Remark, Rule, Verdict, at, limit


@dataclass(frozen=True)
class Limits:
    high: float = limit(0.25, "ratio", (0.02, 0.5), "distance of its centre from the group's middle, in group sizes")
    larger: float = limit(1.2, "ratio", (1.0, 4.0), "area over the smallest piece's from which sizes count as mixed")
    as_large: float = limit(0.95, "ratio", (0.5, 1.0), "share of the largest area from which a piece is as large")
    reach: float = limit(0.15, "ratio", (0.01, 1.0), "distance beyond that at which the score is one half")


def evaluate(arranged: Arranged, limits: Limits) -> Verdict:
    area = arranged.width * arranged.height
    mixed = len(area) >= 3 and float(area.max()) > limits.larger * float(area.min())
    if not mixed or arranged.space.kind == "stair" or arranged.keeps_time:
        return Verdict(np.array(1.0), 0.0, applies=False)
    left, bottom, right, top = arranged.outline
    across = (arranged.left + arranged.width / 2 - (left + right) / 2) / (right - left)
    upward = (arranged.bottom + arranged.height / 2 - (bottom + top) / 2) / (top - bottom)
    away = np.hypot(across, upward)
    large = area >= limits.as_large * area.max()
    nearest = float(np.where(large, away, np.inf).min())
    return Verdict(
        np.array(nearness(np.array([nearest]), -np.inf, limits.high, limits.reach)[0]), nearest, high=limits.high
    )


def explain(arranged: Arranged, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    away = at(verdict.value, 0, 0)
    largest = arranged.works[int(np.argmax(arranged.width * arranged.height))]
    said = f"{largest.title}, the largest, sits {away:.0%} of the group's size from its middle"
    if away <= limits.high + 1e-9:
        return Remark(None, f"{said}, near enough (up to {limits.high:.0%})", away, None, limits.high, "ratio")
    text = f"{said}; up to {limits.high:.0%} holds the group: hang it first and work outwards"
    return Remark("exception", text, away, None, limits.high, "ratio", limit="high")


RULE = Rule("largest-central", "Largest in the middle", "arrangement", "exception", 1.5, Limits, evaluate, explain)
