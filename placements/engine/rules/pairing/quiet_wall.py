"""Reasons to leave a wall bare, each weighed: none is absolute but the designer's own wish.

A wall that flanks the focal wall, competes with a view or a statement light, is a narrow pier between windows, or has a
patterned, textured or accent finish, rests the eye when it stays bare.
Source: common practice, no source. Applies where there is such a reason.
Good: a bare pier between two windows with a view. Bad: a small print on patterned wallpaper beside the focal wall.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...bands import nearness
from ...results import Words
from ...rule import Array, Mask, Remark, Rule, Verdict, at, limit
from ...scene import Pairs, Scene
from ...surroundings import REASONS

_RANGE = (0.0, 2.0)
SENTENCES = {
    "keep_bare": "the designer keeps this wall bare",
    "flank": "it flanks the focal wall",
    "view": "it competes with the view",
    "statement_light": "it competes with a statement light",
    "pier": "it is a narrow pier between windows",
    "texture": "its finish is patterned or textured",
    "accent": "it is an accent wall",
}


@dataclass(frozen=True)
class Limits:
    flank: float = limit(0.4, "ratio", _RANGE, "strength: the wall flanks the focal wall")
    view: float = limit(0.5, "ratio", _RANGE, "strength: a window with a view on the wall")
    statement_light: float = limit(0.7, "ratio", _RANGE, "strength: a statement light before the wall")
    pier: float = limit(0.6, "ratio", _RANGE, "strength: a narrow pier between windows")
    texture: float = limit(0.5, "ratio", _RANGE, "strength: a patterned or textured finish")
    accent: float = limit(0.4, "ratio", _RANGE, "strength: an accent wall")
    leave_at: float = limit(1.0, "ratio", (0.1, 5.0), "sum of strengths from which the wall is better left bare")
    reach: float = limit(1.0, "ratio", (0.1, 5.0), "sum of strengths at which the score is one half")


def concerns(scene: Scene, limits: Limits) -> Mask:
    return np.asarray(scene.reasons.any(axis=1))


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    reasons = pairs.scene.reasons
    total = (reasons @ strengths(limits)).astype(pairs.scene.width.dtype)[None, :]
    score = nearness(total, -np.inf, 0.0, limits.reach)
    return Verdict(score, total, high=0.0, veto=reasons[None, :, REASONS.index("keep_bare")])


def strengths(limits: Limits) -> Array:
    """(R,) the strength of each of `REASONS`; the designer's own wish counts by itself as enough."""
    return np.array([limits.leave_at if name == "keep_bare" else getattr(limits, name) for name in REASONS])


def reasons(found: Sequence[bool], limits: Limits) -> list[tuple[str, float, str]]:
    """The reasons that hold, strongest first: name, strength, words."""
    named = zip(REASONS, found, strengths(limits).tolist(), strict=True)
    return sorted(((n, s, SENTENCES[n]) for n, holds, s in named if holds), key=lambda one: (-one[1], one[0]))


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    found = reasons(tuple(pairs.scene.reasons[j]), limits)
    why = ", ".join(text for _, _, text in found)
    total = at(verdict.value, i, j)
    if at(verdict.veto, i, j):
        return Remark("stop", f"Stays bare: {why}")
    weighed = f"(reasons weigh {total:.1f}; from {limits.leave_at:.1f} on bare is better)"
    if total >= limits.leave_at:
        return Remark("exception", f"Better left bare: {why} {weighed}", total, None, 0.0, "ratio")
    return Remark("note", f"May stay bare: {why} {weighed}", total, None, 0.0, "ratio")


RULE = Rule(
    "quiet-wall",
    "Walls that rest the eye",
    "pairing",
    "exception",
    0.4,
    Limits,
    evaluate,
    explain,
    care=True,
    concerns=concerns,
    vetoes=True,
)
