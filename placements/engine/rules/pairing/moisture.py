"""Paper, textiles and photographs stay out of damp rooms; glass or metal may hang there.

A kitchen counts 1, a bath or a place beside a hob, sink or shower 2; each kind of piece tolerates so much and no more.
Source: common practice, no source (conservation advice asks for dry, even air for paper and textiles without a figure
for rooms).
Good: a mirror in a bath. Bad: a watercolour beside the shower.
"""

from dataclasses import dataclass

import numpy as np

from ...bands import by_class, nearness
from ...house import FORMS
from ...names import an, capital
from ...results import Words
from ...rule import Array, Mask, Remark, Rule, Verdict, at, limit
from ...scene import Pairs, Scene
from ...surroundings import DAMP

HARD = ("mirror", "relief", "clock", "object")
_RANGE = (0.0, 2.0)


@dataclass(frozen=True)
class Limits:
    bare: float = limit(0.0, "count", _RANGE, "damp that paper, photographs, textiles and baskets tolerate unglazed")
    glazed: float = limit(1.0, "count", _RANGE, "damp that the same tolerate behind glazing")
    painting: float = limit(1.0, "count", _RANGE, "damp that a painting tolerates")
    hard: float = limit(2.0, "count", _RANGE, "damp that a mirror, relief, clock or object tolerates")
    reach: float = limit(1.0, "count", (0.1, 4.0), "excess at which the score is one half")


def concerns(scene: Scene, limits: Limits) -> Mask:
    return np.asarray(scene.damp > 0)


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    scene = pairs.scene
    levels = np.arange(len(DAMP), dtype=scene.width.dtype)[None, :]
    allowed = tolerated(scene, limits)[:, None]
    scores = nearness(levels - allowed, -np.inf, 0.0, limits.reach)
    return Verdict(by_class(scores, scene.damp), levels[:, scene.damp], high=allowed)


def tolerated(scene: Scene, limits: Limits) -> Array:
    """(N,) how much damp each piece tolerates."""
    hard = np.isin(scene.form, [FORMS.index(form) for form in HARD])
    painting = scene.form == FORMS.index("painting")
    soft = np.where(scene.glazed, limits.glazed, limits.bare)
    return np.where(hard, limits.hard, np.where(painting, limits.painting, soft)).astype(scene.width.dtype)


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    work = pairs.scene.works[i]
    place = "a wet place" if DAMP[int(pairs.scene.damp[j])] == "wet" else "a kitchen"
    glazed = "glazed" if work.glazed else "unglazed"
    what = work.form if work.form in (*HARD, "painting") else f"{glazed} {work.form}"
    if at(verdict.value, i, j) <= at(verdict.high, i, j):
        return Remark(None, f"{capital(an(what))} tolerates the damp of {place}")
    text = f"{capital(what)} in {place}: steam and splashes cockle and stain it; a drier wall suits it better"
    return Remark("exception", text)


RULE = Rule(
    "moisture",
    "Away from damp",
    "pairing",
    "exception",
    0.4,
    Limits,
    evaluate,
    explain,
    care=True,
    scope="piece",
    concerns=concerns,
)
