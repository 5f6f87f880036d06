"""A piece keeps clear of a fire, a radiator or a hob below it.

Art and frames are combustible. Nothing combustible hangs within 6 in of a fire's opening, and up to 12 in it may stand
out by no more than an eighth of its distance: that is a stop. Farther up, heat and soot still harm sensitive pieces, so
over a fire those are an exception and others get a note. Where only the top of the mantel is surveyed, the opening is
taken to end a set distance below it. A radiator or hob asks for a distance of its own.
Source: IRC R1001.11 exception 4 and NFPA 211 (as quoted in trade pages); CCI Notes 10/3 advise against art above a
working fireplace. Local codes and the appliance's manual govern. Above radiators and hobs: common practice, no source.
Good: an oil 14 in above the opening. Bad: a pastel 5 in above it.
"""

from dataclasses import dataclass

import numpy as np

from ...bands import nearness
from ...house import FORMS, LIGHT_CLASSES
from ...results import Words
from ...rule import INCH, Array, Mask, Remark, Rule, Verdict, at, limit
from ...scene import Pairs, Scene

IRC = "IRC R1001.11 exception 4; NFPA 211"
_RANGE = (0.0, 60 * INCH)


@dataclass(frozen=True)
class Limits:
    clear: float = limit(6 * INCH, "mm", (6 * INCH, 60 * INCH), "nothing combustible nearer to a fire's opening", IRC)
    graded: float = limit(12 * INCH, "mm", (12 * INCH, 60 * INCH), "distance up to which the depth is limited", IRC)
    slope: float = limit(0.125, "ratio", (0.0, 0.125), "depth allowed for each unit of distance", IRC)
    assumed_drop: float = limit(12 * INCH, "mm", _RANGE, "from a mantel's top to the opening, where not surveyed")
    above_hot: float = limit(24 * INCH, "mm", _RANGE, "above a radiator or hob")
    reach: float = limit(6 * INCH, "mm", (INCH, 36 * INCH), "shortfall at which the score is one half")
    tender: float = limit(0.5, "ratio", (0.0, 1.0), "score of a sensitive piece over a fire at a safe distance")


def concerns(scene: Scene, limits: Limits) -> Mask:
    return np.asarray(~np.isnan(scene.fire_top) | ~np.isnan(scene.hot_top))


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    scene = pairs.scene
    fire = np.where(scene.fire_assumed, scene.fire_top - limits.assumed_drop, scene.fire_top)
    over_fire = ~np.isnan(fire)
    distance = pairs.bottom_edge - np.where(over_fire, fire, scene.hot_top)
    # The depth allowed grows with the distance, so a depth asks for a distance; beyond `graded` any depth may hang.
    depth = scene.depth[:, None]
    asked = np.clip(depth / limits.slope if limits.slope else np.full_like(depth, np.inf), limits.clear, limits.graded)
    harmed = np.where(is_tender(scene), limits.tender, 1.0)[:, None].astype(depth.dtype)
    if not over_fire.all():
        asked = np.where(over_fire, asked, limits.above_hot).astype(depth.dtype)
        harmed = np.where(over_fire, harmed, 1).astype(depth.dtype)
    score = nearness(distance, asked, np.inf, limits.reach)
    score *= harmed
    return Verdict(score, distance, asked, veto=over_fire & (distance < asked - 1e-3))


def is_tender(scene: Scene) -> Mask:
    """(N,) pieces that heat and soot harm most: light-sensitive ones and textiles."""
    sensitive = scene.light == LIGHT_CLASSES.index("sensitive")
    return np.asarray(sensitive | (scene.form == FORMS.index("textile")))


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    scene = pairs.scene
    distance, needed = at(verdict.value, i, j), at(verdict.low, i, j)
    fire = not np.isnan(float(scene.fire_top[j]))
    assumed = f" (taken as {words.length(limits.assumed_drop)} below the mantel's top)" if scene.fire_assumed[j] else ""
    source = f"the fire's opening{assumed}" if fire else "a heat source"
    said = f"{_length(distance, words)} above {source}"
    code = "check the local code and the appliance's manual"
    if at(verdict.veto, i, j):
        text = (
            f"{said}, nearer than the {words.length(needed)} for a combustible piece {_deep(scene, i, words)}: {code}"
        )
        return Remark("stop", text, distance, needed, None, "mm")
    if not fire:
        if distance >= needed - 1e-3:
            return Remark(None, f"{said}, clear of its heat ({words.length(needed)})", distance, needed, None, "mm")
        text = f"{said}; {words.length(needed)} keeps it out of the rising heat"
        return Remark("exception", text, distance, needed, None, "mm", limit="above_hot")
    if bool(is_tender(scene)[i]):
        text = (
            f"{said}: heat and soot harm a sensitive piece over a fire that is used, even beyond {words.length(needed)}"
        )
        return Remark("exception", text, distance, needed, None, "mm")
    text = f"{said}, beyond the {words.length(needed)} for combustibles; if the fire is used, watch for soot and {code}"
    return Remark("note", text, distance, needed, None, "mm")


def _length(distance: float, words: Words) -> str:
    return words.length(distance) if distance >= 0 else "Not"


def _deep(scene: Scene, i: int, words: Words) -> str:
    depth: Array = scene.depth
    return f"{words.length(float(depth[i]))} deep" if depth[i] > 0 else "of unknown depth"


RULE = Rule(
    "heat",
    "Clear of heat",
    "pairing",
    "exception",
    0.4,
    Limits,
    evaluate,
    explain,
    care=True,
    scope="piece",
    concerns=concerns,
    vetoes=True,
)
