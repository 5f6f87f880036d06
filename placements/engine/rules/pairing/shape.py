"""A piece's proportion matches the space's: landscape in landscape, portrait in portrait, square in square.

Source: common practice, no source. Gives way to two-thirds over furniture. Always applies.
Good: a 30 x 40 in piece on a narrow pier. Bad: the same piece laid across in that pier.
"""

from dataclasses import dataclass

import numpy as np

from ...bands import lean, within
from ...results import Words
from ...rule import INCH, Array, Remark, Rule, Verdict, at, limit
from ...scene import SHAPES, Pairs, Scene

#: The lowest band along a stair that counts [mm].
LEAST_BAND = 8 * INCH


@dataclass(frozen=True)
class Limits:
    square_to: float = limit(1.2, "ratio", (1.0, 1.6), "longer to shorter side up to which a shape counts as square")
    ideal: float = limit(1.5, "ratio", (1.0, 5.0), "longer to shorter side that suits an oblong space best")
    longest: float = limit(
        3.0, "ratio", (1.5, 10.0), "longer to shorter side beyond which a piece is a strip, in most spaces"
    )
    reach: float = limit(0.5, "ratio", (0.05, 3.0), "proportion beyond the band at which the score is one half")


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    scene = pairs.scene
    low, ideal, high = bounds(scene, limits)
    ratio = scene.proportion[:, None]
    # Distances are taken between logarithms, so that twice too long and twice too tall weigh the same.
    reach = float(np.log1p(limits.reach))
    score = lean(np.log(ratio), np.log(low), np.log(ideal), np.log(high), reach, reach)
    return Verdict(score, ratio, low[None, :], high[None, :])


def bounds(scene: Scene, limits: Limits) -> tuple[Array, Array, Array]:
    """Lowest, best and highest width / height (M,) [ratio] that suit each space.

    A strip is right where the space is one: the longest shape grows with a space that is longer still. The band along a
    stair is as high as the wall above its rail, whatever it climbs.
    """
    best = min(max(limits.ideal, limits.square_to), limits.longest)
    across = scene.right - scene.left
    upward = np.maximum(scene.top - scene.bottom - np.abs(scene.slope) * across, LEAST_BAND)
    own = across / upward
    oblong = np.maximum(limits.longest, 2 * np.maximum(own, 1 / own))
    landscape, portrait = (scene.shape == SHAPES.index(name) for name in ("landscape", "portrait"))
    low = np.where(landscape, limits.square_to, np.where(portrait, 1 / oblong, 1 / limits.square_to))
    ideal = np.where(landscape, best, np.where(portrait, 1 / best, 1.0))
    high = np.where(landscape, oblong, np.where(portrait, 1 / limits.square_to, limits.square_to))
    kind = scene.width.dtype
    return low.astype(kind), ideal.astype(kind), high.astype(kind)


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    scene = pairs.scene
    ratio, low, high = at(verdict.value, i, j), at(verdict.low, i, j), at(verdict.high, i, j)
    own, wanted = named(ratio, limits), SHAPES[int(scene.shape[j])]
    size = words.size(float(scene.width[i]), float(scene.height[i]))
    if within(ratio, low, high):
        text = f"A {own} piece ({size}, proportion {ratio:.2f}) suits the {wanted} space ({low:.2f}–{high:.2f})"
        return Remark(None, text, ratio, low, high, "ratio")
    if own == wanted:
        text = f"{size} is a long strip (proportion {ratio:.2f}); up to {max(high, 1 / low):.1f} to 1 suits this space"
    else:
        text = (
            f"A {own} piece ({size}, proportion {ratio:.2f}) in a {wanted} space, which asks for {low:.2f}–{high:.2f}"
        )
    return Remark("exception", text, ratio, low, high, "ratio", limit=_missed(wanted, ratio, low, high, limits))


def _missed(wanted: str, ratio: float, low: float, high: float, limits: Limits) -> str:
    """The limit that is the bound that a proportion misses, "" where the bound only follows from one."""
    if wanted == "landscape" and ratio > high:
        return "longest" if np.isclose(high, limits.longest) else ""
    return "square_to" if (wanted, ratio < low) in (("landscape", True), ("square", False)) else ""


def named(ratio: float, limits: Limits) -> str:
    """landscape, square or portrait, for a width / height."""
    if ratio > limits.square_to:
        return "landscape"
    return "portrait" if ratio < 1 / limits.square_to else "square"


RULE = Rule("shape", "Shape of the space", "pairing", "exception", 1.5, Limits, evaluate, explain)
