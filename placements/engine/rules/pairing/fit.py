"""A piece lies wholly inside the free space with its margins; otherwise it cannot hang there.

What stands within the space keeps its margin too: the handrail of a stair, a sconce that a group goes around.

Source: common practice, no source (the margins are house rules of their own). Always applies.
Good: 30 in wide between casings with 36 in free. Bad: 40 in wide in the same place.
"""

from dataclasses import dataclass

import numpy as np

from ...results import Words
from ...rule import Remark, Rule, Verdict, at, limit
from ...scene import Pairs


@dataclass(frozen=True)
class Limits:
    slack: float = limit(
        0.5, "mm", (0.0, 25.0), "how far a piece may stick out before it counts (rounding of measures)"
    )


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    veto = pairs.overhang > limits.slack
    return Verdict(np.ones((1, 1), pairs.overhang.dtype), pairs.overhang, high=limits.slack, veto=veto)


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    scene = pairs.scene
    over = at(verdict.value, i, j)
    width, height = float(scene.width[i]), float(scene.height[i])
    free_w, free_h = float(scene.right[j] - scene.left[j]), float(scene.top[j] - scene.bottom[j])
    size, free = words.size(width, height), words.size(free_w, free_h)
    if over <= limits.slack:
        return Remark(None, f"{size} fits the free {free}", over, None, limits.slack, "mm")
    if width > free_w + limits.slack or height > free_h + limits.slack:
        text = f"{size} is {words.length(over)} too large for the free {free}"
    elif _outside(pairs, i, j) <= limits.slack:
        what = "the handrail keeps" if scene.rail[j] == scene.rail[j] else "what stands there keeps"
        text = f"{size} reaches {words.length(over)} into the wall that {what} clear; move it away"
    else:
        text = f"{size} sticks out of the free {free} by {words.length(over)}; move it inside"
    return Remark("stop", text, over, None, limits.slack, "mm")


def _outside(pairs: Pairs, i: int, j: int) -> float:
    """By how much a piece sticks out of the free rectangle itself [mm]."""
    scene, left, bottom = pairs.scene, at(pairs.left_edge, i, j), at(pairs.bottom_edge, i, j)
    across = max(float(scene.left[j]) - left, left + float(scene.width[i]) - float(scene.right[j]))
    upward = max(float(scene.bottom[j]) - bottom, bottom + float(scene.height[i]) - float(scene.top[j]))
    return max(across, upward)


RULE = Rule(
    "fit", "Inside the free space", "pairing", "stop", 0.0, Limits, evaluate, explain, scope="piece", vetoes=True
)
