"""A piece weighs no more than two ordinary fixings hold in this wall, with a safety factor.

Printed working loads are halved, ultimate loads of hollow-wall fixings are divided by four. An unknown weight is
estimated from size, glazing and frame, said to be estimated, and never a stop. More than ordinary fixings hold is an
exception (studs, more points or specialist fixings may do it); more than specialist fixings hold is a stop.
Source: hollow-wall fastener tables give ultimate loads, to be divided by at least 4. The maker's printed rating and
local codes govern; over 50 lb ask a professional (Earthquake Country Alliance).
Good: 12 kg on drywall. Bad: 120 kg on drywall.
"""

from dataclasses import dataclass

import numpy as np

from ...bands import by_class, nearness
from ...results import Words
from ...rule import Remark, Rule, Verdict, at, limit
from ...scene import Pairs


@dataclass(frozen=True)
class Limits:
    share: float = limit(1.0, "ratio", (0.1, 1.0), "share of what two ordinary fixings hold that may be used")
    reach: float = limit(1.0, "ratio", (0.1, 4.0), "excess over that, as a share of it, at which the score is one half")


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    scene = pairs.scene
    weight, allowed = scene.weight[:, None], scene.carry * limits.share
    # Walls are of few builds, so the score is worked out once a build.
    builds, code = np.unique(allowed, return_inverse=True)
    score = by_class(nearness(weight, -np.inf, builds, builds * limits.reach), code)
    veto = (weight > scene.utmost * limits.share) & scene.weighed[:, None]
    return Verdict(score, weight, high=allowed[None, :], veto=veto)


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    scene = pairs.scene
    weight, allowed = at(verdict.value, i, j), at(verdict.high, i, j)
    build = scene.walls[j].build
    known = bool(scene.weighed[i])
    said = f"{words.weight(weight)}" if known else f"Not weighed, estimated at up to {words.weight(weight)}"
    carries = f"two ordinary fixings in {build} hold {words.weight(allowed)}"
    if weight <= allowed:
        return Remark(None, f"{said}; {carries}", weight, None, allowed, "kg")
    if not known:
        text = f"{said}, and {carries}: weigh it before hanging"
        return Remark("exception", text, weight, None, allowed, "kg")
    utmost = float(scene.utmost[j]) * limits.share
    if weight <= utmost:
        text = (
            f"{said}, more than the {words.weight(allowed)} that two ordinary fixings in {build} hold: fix into studs "
        )
        return Remark(
            "exception", f"{text}or with specialist fixings, to the maker's rating", weight, None, allowed, "kg"
        )
    text = f"{said} is more than this {build} wall holds on two points, {words.weight(utmost)} with specialist fixings"
    return Remark("stop", f"{text}: ask a licensed professional", weight, None, utmost, "kg")


RULE = Rule(
    "load",
    "Weight on the wall",
    "pairing",
    "exception",
    0.4,
    Limits,
    evaluate,
    explain,
    care=True,
    scope="piece",
    vetoes=True,
)
