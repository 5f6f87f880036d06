"""A piece hangs clear of the lamps and objects that stand before the wall on furniture.

A shade before a picture hides it and glares on its glass; the piece goes beside the lamp, above its shade, or the lamp
moves. A vase or a stack of books may stand a little before a lower edge, as a console is dressed.
Source: common practice, no source. Applies where a table lamp or an ornament stands before the free wall.
Good: 36 in of mirror between two lamps. Bad: a picture whose end lies behind a lamp's shade.
"""

from dataclasses import dataclass

import numpy as np

from ...bands import HANGING_MM, nearness
from ...house import Rect
from ...names import small
from ...results import Words
from ...rule import INCH, Array, Mask, Remark, Rule, Verdict, at, limit
from ...scene import Pairs, Scene

_RANGE = (0.0, 24 * INCH)


@dataclass(frozen=True)
class Limits:
    lamp: float = limit(0.0, "mm", _RANGE, "how far a piece may lie behind a table lamp")
    ornament: float = limit(4 * INCH, "mm", _RANGE, "how far a piece may lie behind an ornament")
    reach: float = limit(
        4 * INCH, "mm", (0.25 * INCH, 24 * INCH), "distance beyond that at which the score is one half"
    )


def concerns(scene: Scene, limits: Limits) -> Mask:
    return np.asarray(~np.isnan(scene.standing[:, :, 0]).all(axis=1))


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    behind, worst = _behind(pairs, limits)
    score = nearness(behind, -np.inf, 0.0, limits.reach)
    return Verdict(score, behind, high=0.0, slack=HANGING_MM, also={"worst": worst})


def _behind(pairs: Pairs, limits: Limits) -> tuple[Array, Array]:
    """(N, M) [mm] how much farther than allowed each piece lies behind the thing that hides it most, 0 where none
    does, and which one that is."""
    scene = pairs.scene
    left, bottom = pairs.left_edge, pairs.bottom_edge
    right, top = left + pairs.width, bottom + pairs.height
    behind: Array = np.zeros(scene.size, dtype=scene.width.dtype)
    worst = np.zeros(scene.size, dtype=np.intp)
    for one in range(scene.standing.shape[1]):
        x0, y0, x1, y1 = scene.standing[:, one].T
        shared = np.minimum(np.minimum(right, x1) - np.maximum(left, x0), np.minimum(top, y1) - np.maximum(bottom, y0))
        more = np.fmax(shared - np.where(scene.lamp[:, one], limits.lamp, limits.ornament), 0.0)
        worst = np.where(more > behind, one, worst)
        behind = np.maximum(behind, more.astype(behind.dtype))
    return behind, worst


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    behind = at(verdict.value, i, j)
    if behind <= HANGING_MM:
        return Remark(None, "Clear of what stands before the wall", behind, None, 0.0, "mm")
    thing = pairs.scene.things[j][int(at(verdict.also["worst"], i, j))]
    allowed = limits.lamp if thing.kind == "table_lamp" else limits.ornament
    text = f"The {small(thing.name)} hides {words.length(behind + allowed)} of it: hang it beside or above, or move the"
    text += f" {small(thing.name)}"
    where = Rect(thing.left, thing.bottom, thing.width, thing.height)
    return Remark("exception", text, behind, None, 0.0, "mm", where)


RULE = Rule(
    "standing-clear",
    "Clear of lamps and objects",
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
