"""Where the public walks, a piece above a cane's reach and below head height stands out little.

A cane finds what hangs at or below 27 in, and heads pass below 80 in. Above a piece of furniture that a cane finds, the
4 in count from its front. Beyond that it cannot hang: in the United States this is law on every circulation path of a
place that the public may enter, and nobody in a studio can accept it away. Nor may anything below head height narrow
the way to less than 36 in, where the survey gives its width: wall to wall, less what stands out on the other side.
Where a studio asks for less depth or a wider way, its own number is an exception up to the law's. Elsewhere the local
code decides; many give about the same.
Source: 2010 ADA Standards for Accessible Design, 307.2, 307.5 and 403.5.1; US Access Board guide, Protruding Objects.
Scope: circulation paths (204). The code official decides.
Good: a frame of 2 in. Bad: a box frame of 5 in at eye line in a corridor.
"""

from dataclasses import dataclass

import numpy as np

from ...bands import nearness
from ...results import Level, Words
from ...rule import INCH, Array, Mask, Remark, Rule, Verdict, at, limit
from ...scene import Pairs, Scene
from ...surroundings import ADA_CANE_MM, ADA_DEPTH_MM, ADA_HEAD_MM, ADA_WAY_MM

ADA = "2010 ADA Standards 307.2"


@dataclass(frozen=True)
class Limits:
    depth: float = limit(4 * INCH, "mm", (0.0, 4 * INCH), "greatest depth in the band", ADA)
    cane: float = limit(27 * INCH, "mm", (0.0, 27 * INCH), "lower edges up to here are found by a cane", ADA)
    head: float = limit(80 * INCH, "mm", (80 * INCH, 120 * INCH), "lower edges above here clear heads", ADA)
    way: float = limit(
        36 * INCH,
        "mm",
        (36 * INCH, 120 * INCH),
        "least width of the way that is left",
        "2010 ADA Standards 307.5, 403.5.1",
    )
    reach: float = limit(2 * INCH, "mm", (0.25 * INCH, 12 * INCH), "excess at which the score is one half")


def concerns(scene: Scene, limits: Limits) -> Mask:
    return np.isfinite(scene.allowed_depth)


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    scene = pairs.scene
    depth, edge = scene.depth[:, None], pairs.bottom_edge
    in_band = (edge > limits.cane + 1e-3) & (edge <= limits.head + 1e-3)
    furniture = scene.allowed_depth - ADA_DEPTH_MM
    allowed: Array = np.where(in_band, furniture + limits.depth, np.inf).astype(depth.dtype)
    if np.isfinite(scene.way).any():
        left = np.maximum(scene.way - limits.way, furniture)
        allowed = np.where(edge <= limits.head + 1e-3, np.minimum(allowed, left), allowed).astype(depth.dtype)
    known = depth > 0
    by_law = (edge > ADA_CANE_MM + 1e-3) & (edge <= ADA_HEAD_MM + 1e-3)
    veto = by_law & (depth > scene.allowed_depth + 1e-3)
    veto |= (edge <= ADA_HEAD_MM + 1e-3) & (depth > np.maximum(scene.way - ADA_WAY_MM, furniture) + 1e-3)
    score = nearness(np.broadcast_to(depth, allowed.shape), -np.inf, allowed, limits.reach)
    return Verdict(score, depth, high=allowed, applies=known, notes=~known, veto=veto)


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    depth, allowed = at(verdict.value, i, j), at(verdict.high, i, j)
    edge = at(pairs.bottom_edge, i, j)
    band = words.band(limits.cane, limits.head)
    if not at(verdict.applies, i, j):
        text = (
            f"Depth not measured; between {band} above a public floor at most {words.length(limits.depth)} is allowed"
        )
        return Remark("note", text)
    said = f"Stands out {words.length(depth)} with its lower edge {words.length(edge)} above a public floor"
    if np.isinf(allowed):
        return Remark(None, f"{said}, outside {band} where depth is limited", depth, None, None, "mm")
    if depth <= allowed + 1e-3:
        return Remark(None, f"{said}, within {words.length(allowed)}", depth, None, allowed, "mm")
    narrow = _narrowed(pairs.scene, j, depth, edge, limits, words)
    if narrow is not None:
        level, by, text = narrow
        return Remark(level, f"{said}; {text}", depth, None, by, "mm")
    advice = "choose a shallower frame, or stand something below that a cane finds"
    if at(verdict.veto, i, j):
        by_law, band = float(pairs.scene.allowed_depth[j]), words.band(ADA_CANE_MM, ADA_HEAD_MM)
        text = (
            f"{said}; between {band} the law allows {words.length(by_law)} (ADA 307.2; check the local code): {advice}"
        )
        return Remark("stop", text, depth, None, by_law, "mm")
    text = f"{said}; between {band} the studio asks for at most {words.length(allowed)}: {advice}"
    # Over furniture the depth is counted from its front: no number of the rule is what is allowed here.
    missed = "depth" if allowed == limits.depth else ""
    return Remark("exception", text, depth, None, allowed, "mm", limit=missed)


def _narrowed(
    scene: Scene, j: int, depth: float, edge: float, limits: Limits, words: Words
) -> tuple[Level, float, str] | None:
    """Level, allowed depth [mm] and words where it leaves too little of the way; None where it leaves enough."""
    furniture, way = float(scene.allowed_depth[j]) - ADA_DEPTH_MM, float(scene.way[j])
    for level, head, least in (("stop", ADA_HEAD_MM, ADA_WAY_MM), ("exception", limits.head, limits.way)):
        allowed = max(way - least, furniture)
        if edge <= head + 1e-3 and depth > allowed + 1e-3:
            who = "the law asks" if level == "stop" else "the studio asks"
            law = " (ADA 307.5; check the local code)" if level == "stop" else ""
            text = f"of a way of {words.length(way)} {who} that {words.length(least)} stay clear{law}"
            text += ": choose a shallower frame"
            return level, allowed, text  # type: ignore[return-value]
    return None


RULE = Rule(
    "protrusion",
    "Out of the public's way",
    "pairing",
    "exception",
    0.4,
    Limits,
    evaluate,
    explain,
    care=True,
    vetoes=True,
    scope="piece",
    concerns=concerns,
)
