"""Four corners in order around: top left, top right, bottom right, bottom left; (4, 2) float, in pixels or in mm."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


def sides(quad: Array) -> Array:
    """(4, 2) float: from each corner to the next, so the top, the right, the bottom and the left side."""
    return np.asarray(np.roll(quad, -1, axis=0) - quad)


def lengths(quad: Array) -> Array:
    """(4,) float: how long the sides are, in the same order."""
    return np.asarray(np.hypot(*sides(quad).T))


def size(quad: Array) -> tuple[float, float]:
    """Width and height: the mean of each pair of opposite sides."""
    top, right, bottom, left = lengths(quad)
    return float(top + bottom) / 2, float(right + left) / 2


def level(quad: Array) -> Array:
    """(2,) float: from left to right, the mean of top and bottom."""
    top, _, bottom, _ = sides(quad)
    return np.asarray((top - bottom) / 2)


def turns(quad: Array) -> Array:
    """(4,) float: at each corner the cross product of the side that starts there and the next; of one sign where the
    corners go around a convex shape."""
    along = sides(quad)
    onward = np.roll(along, -1, axis=0)
    return np.asarray(along[:, 0] * onward[:, 1] - along[:, 1] * onward[:, 0])
