"""Nothing heavy or glazed hangs over a bed or cot, and nothing very heavy over a seat.

Source: FEMA, how-to on framed pictures and mirrors (April 2008): avoid large pictures over beds, chairs and couches,
use eye-hooks into a stud; Earthquake Country Alliance: under 20 lb a nail or hook, over 50 lb professional help, only
soft, light art over beds and sofas. The limit over a cot: common practice, no source.
Good: an unglazed canvas of 3 kg over a bed on closed hooks. Bad: a glazed 15 kg print over a cot.
"""

from dataclasses import dataclass

import numpy as np

from ...bands import by_class, nearness
from ...results import Words
from ...rule import Array, Mask, Remark, Rule, Verdict, at, limit
from ...scene import Pairs, Scene, bearer_name
from ...surroundings import BELOW

LB = 0.45359237
ECA = "Earthquake Country Alliance"
_RANGE = (0.0, 200.0)


@dataclass(frozen=True)
class Limits:
    seat: float = limit(50 * LB, "kg", _RANGE, "heaviest over a seat", ECA)
    bed: float = limit(20 * LB, "kg", _RANGE, "heaviest over a bed", ECA)
    cot: float = limit(5 * LB, "kg", _RANGE, "heaviest over a cot")
    reach: float = limit(10.0, "kg", (0.5, 100.0), "excess at which the score is one half")
    glazed: float = limit(0.6, "ratio", (0.0, 1.0), "score of a glazed piece over a bed or cot")


def concerns(scene: Scene, limits: Limits) -> Mask:
    return np.asarray(scene.below > 0)


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    scene = pairs.scene
    weight = scene.weight[:, None]
    table = {"nothing": np.inf, "seat": limits.seat, "bed": limits.bed, "cot": limits.cot}
    allowed: Array = np.array([table[name] for name in BELOW], dtype=weight.dtype)
    scores = nearness(weight, -np.inf, allowed, limits.reach)
    scores[scene.glazed, BELOW.index("bed") :] *= limits.glazed
    return Verdict(by_class(scores, scene.below), weight, high=allowed[scene.below][None, :])


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    scene = pairs.scene
    weight, allowed = at(verdict.value, i, j), at(verdict.high, i, j)
    place = "the cot" if BELOW[int(scene.below[j])] == "cot" else bearer_name(scene.bearers[j])
    about = words.weight(weight) if scene.weighed[i] else f"an estimated {words.weight(weight)}"
    glazed = bool(scene.glazed[i])
    what = f"{'Glazed, ' if glazed else ''}{about} over {place}"
    safe = "closed hooks into studs, acrylic instead of glass, or a light soft piece"
    if weight > allowed:
        text = f"{what}, above {words.weight(allowed)}: {safe}, or another wall"
        return Remark("exception", text, weight, None, allowed, "kg", limit=BELOW[int(scene.below[j])])
    if glazed and scene.below[j] >= BELOW.index("bed"):
        text = f"{what} (up to {words.weight(allowed)} unglazed): {safe}"
        return Remark("exception", text, weight, None, allowed, "kg")
    if glazed:
        return Remark("note", f"{what}: use closed hooks, and acrylic if it can be", weight, None, allowed, "kg")
    return Remark(None, f"{what}, within {words.weight(allowed)}", weight, None, allowed, "kg")


RULE = Rule(
    "overhead",
    "Over beds and seats",
    "pairing",
    "exception",
    0.3,
    Limits,
    evaluate,
    explain,
    care=True,
    scope="piece",
    concerns=concerns,
)
