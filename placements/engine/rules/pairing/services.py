"""Hooks near or in line with an outlet, switch, thermostat or the like: scan before drilling.

Cables run straight up, down and across from their outlets. A note only; it does not change the score. Where the hanging
hardware is not measured, the piece's middle line stands for its hooks.
Source: zones of 150 mm about a fitting and in line with it are the usual safe-zone rule of wiring practice (common
practice, no source). Wiring and pipes are for licensed trades; local codes govern.
Good: hooks 12 in to the side of the outlet below. Bad: a hook straight above the switch.
"""

from dataclasses import dataclass

import numpy as np

from ...bands import nearness
from ...hanging.points import hook_points
from ...house import Item
from ...results import Words
from ...rule import Mask, Remark, Rule, Verdict, at, limit
from ...scene import Pairs, Scene


@dataclass(frozen=True)
class Limits:
    low: float = limit(
        150.0, "mm", (0.0, 600.0), "distance from a fitting's line at which a hook counts as clear of it"
    )


def concerns(scene: Scene, limits: Limits) -> Mask:
    return np.array([bool(_fittings(scene, j)) for j in range(scene.size[1])], dtype=bool)


def evaluate(pairs: Pairs, limits: Limits) -> Verdict:
    rows, columns = pairs.scene.size
    nearest = np.full((rows, columns), np.inf)
    for i, j in np.ndindex(rows, columns):
        nearest[i, j] = min((gap for gap, _ in _gaps(pairs, i, j)), default=np.inf)
    near = nearest < limits.low
    gap = np.where(near, nearest, limits.low)
    return Verdict(nearness(gap, limits.low, np.inf, max(limits.low, 1.0)), gap, limits.low, applies=near)


def explain(pairs: Pairs, verdict: Verdict, i: int, j: int, limits: Limits, words: Words) -> Remark:
    gap, item = min(_gaps(pairs, i, j), key=lambda gap: gap[0])
    text = (
        f"A hook is {words.length(gap)} from the line of the {item.name}, within {words.length(limits.low)}: "
        "scan for cables and pipes before drilling"
    )
    return Remark("note", text, gap, limits.low, None, "mm", item.rect)


def _fittings(scene: Scene, j: int) -> list[Item]:
    return [item for item in scene.walls[j].items if item.acts == "service"]


def _gaps(pairs: Pairs, i: int, j: int) -> list[tuple[float, Item]]:
    """Distance of the nearest hook from the upright or level line of each fitting [mm]."""
    work, wall = pairs.scene.works[i], pairs.scene.walls[j]
    left, bottom = at(pairs.left_edge, i, j), at(pairs.bottom_edge, i, j)
    points = [(point.left, point.height) for point in hook_points(work, left, bottom, wall=wall).points]
    points = points or [(left + work.width / 2, bottom + work.height)]
    found = []
    for item in _fittings(pairs.scene, j):
        at_item = item.rect
        for x, y in points:
            across = max(at_item.left - x, x - at_item.right, 0.0)
            upward = max(at_item.bottom - y, y - at_item.top, 0.0)
            found.append((min(across, upward), item))
    return found


RULE = Rule(
    "services",
    "Wiring behind the wall",
    "pairing",
    "note",
    0.0,
    Limits,
    evaluate,
    explain,
    scope="piece",
    concerns=concerns,
)
