"""Where a piece hangs in a space: its best height and its middle, all bands solved together.

Each band is an interval for the bottom edge. Starting from the wish, the height is moved into each band in turn, the
weakest first; since every band is convex, a later (stronger) band moves it out of an earlier one only when the two
share no height. So all bands hold whenever they can, and otherwise the weakest gives way by the least amount.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from .bands import eye_height
from .precedence import position_order
from .results import SpaceKind
from .rule import Array, Mask
from .scene import KINDS, Index, Pairs, Scene, best_centre, rail_line

#: The part of the band of the gap above furniture that a piece is hung within, 7-8 in of 6-10 in: no piece is stretched
#: to an end of it to win a little of the eye line. Common practice, no source.
KEPT = (0.25, 0.5)


def furniture_gap(clearance: Any) -> tuple[float, float]:
    """The least and the greatest gap above furniture that a piece is hung with [mm].

    clearance : the limits of the rule
    """
    return kept(clearance.low, clearance.high)


def kept(low: float, high: float) -> tuple[float, float]:
    """The part of the band of the gap above furniture that things are hung within [mm]."""
    return low + KEPT[0] * (high - low), low + KEPT[1] * (high - low)


@dataclass(frozen=True)
class Step:
    """One band of every space: low, high (M,) [mm] for the piece's centre where `of_centre` (M,), else its bottom."""

    low: Array
    high: Array
    of_centre: Mask


@dataclass(frozen=True)
class Heights:
    """The bands of every space, weakest first, and the wish (M,) [mm] for the bottom edge that they start from."""

    wish: Array
    steps: tuple[Step, ...]


def heights(scene: Scene, limits: Any) -> Heights:
    """The bands that `precedence.POSITION` asks for in each space.

    limits : rule id -> Limits; "eye-line" and "clearance" are read
    """
    names = {code: _bands(kind, position_order(kind)) for code, kind in enumerate(KINDS)}  # type: ignore[arg-type]
    count = max(len(name) for name in names.values())
    bands = {name: _band(name, scene, limits) for one in names.values() for name in one}
    steps = []
    for rank in range(count):
        low, high = np.full(scene.size[1], -math.inf), np.full(scene.size[1], math.inf)
        of_centre = np.zeros(scene.size[1], dtype=bool)
        for code, order in names.items():
            if rank < len(order):
                here = scene.kind == code
                band = bands[order[rank]]
                low[here], high[here], of_centre[here] = band[0][here], band[1][here], band[2]
        if of_centre.any() or np.isfinite(low).any():
            of_centre |= np.isinf(low) & of_centre.any()  # an open band has no reference of its own
            steps.append(Step(low, high, of_centre))
    clear = limits["clearance"]
    wish = np.where(np.isnan(scene.bearer_top), scene.bottom, scene.bearer_top + (clear.low + clear.high) / 2)
    return Heights(wish, tuple(steps))


def solve(scene: Scene, at: Heights) -> Pairs:
    """Every work of the scene at its best place in every space.

    Returns:
        Pairs in the scene's own float type; where a piece does not fit, its place is against the lower edge.
    """
    half = scene.height[:, None] * 0.5
    bottom: Array = np.broadcast_to(at.wish, (1, len(at.wish)))
    own = False
    for step in at.steps:
        if step.of_centre.all() and np.array_equal(step.low, step.high):
            bottom, own = step.low - half, True
            continue
        if step.of_centre.all():
            low, high = step.low - half, step.high - half
        elif not step.of_centre.any():
            low, high = step.low[None, :], step.high[None, :]
        else:
            shift = half * step.of_centre
            low, high = step.low - shift, step.high - shift
        bottom = np.maximum(bottom, low, out=bottom if own else None)
        np.minimum(bottom, high, out=bottom)
        own = bottom.shape == (half.shape[0], len(at.wish))
    if not own:
        bottom = np.array(np.broadcast_to(bottom, (half.shape[0], len(at.wish))))
    room = scene.top - scene.height[:, None]
    np.minimum(bottom, room, out=bottom)
    np.maximum(bottom, scene.bottom, out=bottom)
    overhang = np.subtract(scene.bottom, room)
    np.maximum(overhang, scene.width[:, None] - (scene.right - scene.left), out=overhang)
    if not np.isnan(scene.rail).all():
        line = rail_line(scene, best_centre(scene))
        np.fmax(overhang, line - room, out=overhang)
        bottom = np.where(line > bottom, np.minimum(line, np.maximum(room, scene.bottom)), bottom)
    return Pairs(scene, bottom, overhang)


def take(at: Heights, spaces: Index) -> Heights:
    """The bands of some spaces only."""
    steps = tuple(Step(s.low[spaces], s.high[spaces], s.of_centre[spaces]) for s in at.steps)
    return Heights(at.wish[spaces], steps)


def as_type(at: Heights, dtype: Any) -> Heights:
    """The same bands in another float type."""
    steps = tuple(Step(s.low.astype(dtype), s.high.astype(dtype), s.of_centre) for s in at.steps)
    return Heights(at.wish.astype(dtype), steps)


def _bands(kind: SpaceKind, order: tuple[str, ...]) -> tuple[str, ...]:
    """The bands below "fit", weakest first."""
    if order[0] != "fit":
        raise ValueError(f"in a space of kind {kind!r} the piece must first of all fit; the order is {order}")
    return tuple(reversed(order[1:]))


def _band(name: str, scene: Scene, limits: Any) -> tuple[Array, Array, bool]:
    """low, high (M,) [mm] and whether they speak of the centre."""
    if name == "clearance":
        top = scene.bearer_top
        least, most = furniture_gap(limits["clearance"])
        low, high = top + least, top + most
        return np.where(np.isnan(top), -math.inf, low), np.where(np.isnan(top), math.inf, high), False
    if name == "centred":
        middle = (scene.bottom + scene.top) / 2
        return middle, middle, True
    if name == "eye-line":
        eye = limits["eye-line"]
        best = eye_height(eye.low, eye.high)
        over = scene.over_furniture  # elsewhere nothing else decides, so the best of the band is taken
        stood = np.maximum(scene.datum, 0.0)
        return stood + np.where(over, eye.low, best), stood + np.where(over, eye.high, best), True
    raise ValueError(f"no band is called {name!r}")
