"""On an open wall or in a panel, a piece or group takes a share of the free width and height that looks neither lost
nor crowded.

Source: common practice, no source. Over furniture two-thirds decides instead; on a stair only the width counts, along
the run, since the height follows the rail.
Good: 72 in of art on 120 in of free wall. Bad: 14 in of art on the same wall.
"""

from dataclasses import dataclass

import numpy as np

from ...bands import SHARE_TOLD, nearness, within
from ...precedence import width_decided_by
from ...results import Words
from ...rule import Array, Mask, Remark, Rule, Verdict, at, limit, quarter
from ...scene import Pairs, Scene

_RANGE = (0.05, 1.0)


@dataclass(frozen=True)
class Limits:
    low: float = limit(0.50, "ratio", _RANGE, "smallest share of the free width")
    high: float = limit(0.75, "ratio", _RANGE, "greatest share of the free width")
    low_stair: float = limit(0.35, "ratio", _RANGE, "smallest share of a stair's run")
    high_stair: float = limit(0.90, "ratio", _RANGE, "greatest share of a stair's run")
    low_height: float = limit(0.25, "ratio", _RANGE, "smallest share of the free height")
    high_height: float = limit(0.80, "ratio", _RANGE, "greatest share of the free height")
    reach: float = limit(0.20, "ratio", (0.02, 1.0), "share beyond the band at which the score is one half")


def concerns(scene: Scene, limits: Limits) -> Mask:
    return scene.is_kind(*width_decided_by("fill"))


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    scene = pairs.scene
    across = pairs.width * (1 / (scene.right - scene.left))
    upward = pairs.height * (1 / (scene.top - scene.bottom))
    stair = scene.is_kind("stair")
    low: Array | float = limits.low
    high: Array | float = limits.high
    if stair.any():
        low = np.where(stair, limits.low_stair, low).astype(across.dtype)[None, :]
        high = np.where(stair, limits.high_stair, high).astype(across.dtype)[None, :]
    score = nearness(across, low, high, limits.reach)
    if not stair.all():
        tall = nearness(upward, limits.low_height, limits.high_height, limits.reach)
        np.minimum(score, np.where(stair, 1, tall) if stair.any() else tall, out=score)
    return Verdict(score, across, low, high, slack=SHARE_TOLD, also={"height_share": upward})


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    scene = pairs.scene
    across, upward = at(verdict.value, i, j), at(verdict.also["height_share"], i, j)
    free = (float(scene.right[j] - scene.left[j]), float(scene.top[j] - scene.bottom[j]))
    stair = bool(scene.is_kind("stair")[j])
    wide = (across, at(verdict.low, i, j), at(verdict.high, i, j), "width", free[0])
    tall = (upward, limits.low_height, limits.high_height, "height", free[1])
    worse = max((wide,) if stair else (wide, tall), key=lambda side: max(side[1] - side[0], side[0] - side[2]))
    share, low, high, side, length = worse
    said = f"It takes {share:.0%} of the free {side} of {words.length(length)}"
    band = words.band(quarter(low * length), quarter(high * length))
    if within(share, low, high, SHARE_TOLD):
        share, low, high, side, length = wide
        also = "" if stair else f" and {upward:.0%} of the height"
        text = f"It takes {share:.0%} of the free width{also}, neither lost nor crowded"
        return Remark(
            None,
            f"{text} ({words.band(quarter(low * length), quarter(high * length))} wide)",
            share,
            low,
            high,
            "ratio",
        )
    missed, fault = ("low", "looks lost") if share < low else ("high", "looks crowded")
    missed += "_stair" if stair else "_height" if worse is tall else ""
    return Remark("exception", f"{said} and {fault}; {band} sits well", share, low, high, "ratio", limit=missed)


RULE = Rule(
    "fill",
    "Share of the open wall",
    "pairing",
    "exception",
    2.0,
    Limits,
    evaluate,
    explain,
    concerns=concerns,
)
