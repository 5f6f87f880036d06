"""Over furniture, the piece or group is about two-thirds as wide as what it hangs over.

Narrower it looks lost, wider it looks as if it would tip over. Where a bookcase or a lamp cuts into the view above the
furniture, the free stretch between them is measured instead of the furniture.
Source: common practice, no source. Does not apply where nothing stands below.
Good: 56 in over a sofa of 84 in. Bad: 24 in over the same sofa.
"""

from dataclasses import dataclass

import numpy as np

from ...bands import SHARE_TOLD, nearness, within
from ...precedence import width_decided_by
from ...results import Words
from ...rule import Mask, Remark, Rule, Verdict, at, limit, quarter
from ...scene import Pairs, Scene, bearer_name, is_whole


@dataclass(frozen=True)
class Limits:
    low: float = limit(0.60, "ratio", (0.2, 1.0), "narrowest share of the furniture's length")
    high: float = limit(0.75, "ratio", (0.2, 1.2), "widest share of the furniture's length")
    reach: float = limit(0.20, "ratio", (0.02, 1.0), "share beyond the band at which the score is one half")


def concerns(scene: Scene, limits: Limits) -> Mask:
    return scene.is_kind(*width_decided_by("two-thirds")) & (scene.basis > 0)


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    scene = pairs.scene
    share = pairs.width * (1 / np.where(scene.basis > 0, scene.basis, 1)).astype(scene.width.dtype)
    score = nearness(share, limits.low, limits.high, limits.reach)
    return Verdict(score, share, limits.low, limits.high, slack=SHARE_TOLD)


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    scene = pairs.scene
    share, basis = at(verdict.value, i, j), float(scene.basis[j])
    wide, band = (
        words.length(float(scene.width[i])),
        words.band(quarter(limits.low * basis), quarter(limits.high * basis)),
    )
    bearer = scene.bearers[j]
    cut = bearer is not None and not is_whole(bearer, basis)
    whole = f"the free {words.length(basis)} over {bearer_name(bearer)}" if cut else f"{bearer_name(bearer)}'s length"
    said = f"{wide} wide, {share:.0%} of {whole}"
    if within(share, limits.low, limits.high, SHARE_TOLD):
        return Remark(
            None, f"{said}, about two-thirds as it should be ({band})", share, limits.low, limits.high, "ratio"
        )
    missed, fault = ("low", "reads narrow") if share < limits.low else ("high", "overpowers it")
    text = f"{said}: it {fault}; {band} makes about two-thirds"
    return Remark("exception", text, share, limits.low, limits.high, "ratio", limit=missed)


RULE = Rule(
    "two-thirds",
    "Two-thirds of the furniture",
    "pairing",
    "exception",
    3.0,
    Limits,
    evaluate,
    explain,
    concerns=concerns,
)
