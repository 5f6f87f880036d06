"""The piece's hanging hardware is measured, so that its hook points can be given.

A note only; it does not change the score.
Source: common practice, no source. Applies where the hardware is not measured.
Good: a wire with its inset, length and drop. Bad: a piece about which nothing is noted.
"""

from dataclasses import dataclass

from ...results import Words
from ...rule import Remark, Rule, Verdict
from ...scene import Pairs


@dataclass(frozen=True)
class Limits:
    """Measured or not: there is no number to set."""


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    known = pairs.scene.hardware_known[:, None]
    return Verdict(known.astype(float), known.astype(float), low=1.0, applies=~known)


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    return Remark(
        "note", f"The hanging hardware of {pairs.scene.works[i].title} is not measured: measure before drilling"
    )


RULE = Rule("hang-data", "Hardware measured", "pairing", "note", 0.0, Limits, evaluate, explain, scope="piece")
