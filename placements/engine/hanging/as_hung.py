"""A piece as it was hung, measured and set against the plan."""

from __future__ import annotations

from dataclasses import dataclass

from ..house import Rect
from ..results import PlainWords, Words
from ..tolerances import DEFAULT_TOLERANCES, Tolerances


@dataclass(frozen=True, slots=True)
class AsHung:
    """Plan against wall [mm]: `right` and `up` of the plan are positive; `tilt` is the right corner above the left."""

    right: float
    up: float
    tilt: float | None
    faults: tuple[str, ...]

    @property
    def within(self) -> bool:
        return not self.faults


def compare(
    plan: Rect,
    left: float,
    top_left: float,
    top_right: float | None = None,
    *,
    tolerances: Tolerances = DEFAULT_TOLERANCES,
    words: Words | None = None,
) -> AsHung:
    """Compare what was measured with the plan.

    Args:
        plan: the piece's outer edge as planned
        left: the piece's left edge from the wall's left end [mm]
        top_left, top_right: its top corners from the floor [mm]; without the right one, level is not judged
    Returns:
        The differences, with one sentence for each that is beyond its tolerance, saying what to do.
    """
    words = words or PlainWords()
    top = top_left if top_right is None else (top_left + top_right) / 2
    right, up = left - plan.left, top - plan.top
    tilt = None if top_right is None else top_right - top_left
    faults = []
    slack = 1e-6
    if abs(right) > tolerances.place + slack:
        faults.append(f"move {'left' if right > 0 else 'right'} by {words.length(abs(right))}")
    if abs(up) > tolerances.place + slack:
        faults.append(f"{'lower' if up > 0 else 'raise'} by {words.length(abs(up))}")
    if tilt is not None and abs(tilt) > tolerances.level + slack:
        side = "right" if tilt > 0 else "left"
        faults.append(f"level it: the {side} corner is {words.length(abs(tilt))} high")
    return AsHung(right, up, tilt, tuple(faults))
