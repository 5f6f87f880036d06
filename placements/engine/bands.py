"""How near a measure is to its band: the one score curve that every banded rule shares."""

from __future__ import annotations

import math

import numpy as np

from .rule import Array

#: Stands for no bound inside an array of bounds: infinity less infinity would be no number.
FAR = 1e15


#: Scaled distance from the ideal at the end of a band: the score there is 1 / (1 + 1/9), 0.9.
END = 1 / 3
NARROW = 1e-6


def nearness(value: Array, low: Array | float, high: Array | float, reach: Array | float) -> Array:
    """How well a measure suits its band: 1 / (1 + (d / r)²).

    For a band with two ends d is the distance from its middle and r half its width plus `reach`, so that the middle is
    the ideal, the ends score a little less, and one reach beyond an end scores one half. For a band with one end d is
    the distance beyond it and r is `reach`: all inside score 1. Strictly falling outside the band, never 0.

    value : array, any unit
    low, high : band in the same unit, broadcastable; open where infinite, the low end only as a number
    reach : same unit, above zero

    Returns:
        New array of the broadcast shape, in (0, 1].
    """
    if _open(low) or _open(high):
        return falling(_doubled(value, low, high), 2 * reach)
    away = np.asarray(value - (low + high) * 0.5)
    return falling(away, (high - low) * 0.5 + reach)


def lean(
    value: Array,
    low: Array | float,
    ideal: Array | float,
    high: Array | float,
    reach_below: Array | float,
    reach_above: Array | float,
) -> Array:
    """The same for a band that is not even about its ideal: 1 there, 0.9 at either end, 1/2 one reach beyond an end.

    value, low, ideal, high, reach_below, reach_above : broadcastable, one unit; the reaches above zero
    """
    inside = np.minimum(np.maximum(value, low), high)
    beyond = value - inside
    beyond = np.maximum(beyond * ((1 - END) / reach_above), beyond * ((END - 1) / reach_below))
    inside -= ideal
    over, under = _at_least(high - ideal, NARROW), _at_least(ideal - low, NARROW)  # a band may be a single value
    beyond += np.maximum(inside * (END / over), inside * (-END / under))
    return falling(beyond, 1.0)


def falling(away: Array, reach: Array | float) -> Array:
    """1 / (1 + (away / reach)²), in place."""
    away *= 1 / reach
    away *= away
    away += 1
    return np.reciprocal(away, out=away)


def positive_twice(array: Array) -> Array:
    """Twice the positive part, in place: a + |a|, which runs several times faster than comparing with a number."""
    array += np.abs(array)
    return array


def _doubled(value: Array, low: Array | float, high: Array | float) -> Array:
    """Twice the distance beyond a band with one end; a new array."""
    away = value - _at_most(high, FAR) if _open(low) else _at_most(low, FAR) - value
    return positive_twice(np.asarray(away))


def _at_least(bound: Array | float, least: float) -> Array | float:
    """The greater; a number stays a plain number, which leaves the arrays' float type alone."""
    return max(bound, least) if isinstance(bound, (float, int)) else np.maximum(bound, least)


def _at_most(bound: Array | float, most: float) -> Array | float:
    return min(bound, most) if isinstance(bound, (float, int)) else np.minimum(bound, most)


def by_class(table: Array, codes: Array) -> Array:
    """(N, M) the entry of each work (N, K) for the class 0 to K-1 of each space (M,); entries must be finite.

    Notes: a product with a one-hot matrix, exact since all but one term is zero; it runs faster than indexing.
    """
    chosen = (np.arange(table.shape[1])[:, None] == codes).astype(table.dtype)
    return np.asarray(table @ chosen)


#: Where in the band of the eye line a middle is hung, as a share from its low end: 61.5 in of 60-66 in, a little below
#: the eye itself, as hands hang. Common practice, no source.
EYE_SHARE = 0.25


def eye_height(low: float, high: float) -> float:
    """The height within the band of the eye line that a middle is hung at [mm]."""
    return low + EYE_SHARE * (high - low)


#: How far a place may miss its band before anybody is told [mm]: what a hanger can hold, 1/4 in.
HANGING_MM = 6.35
#: The same for a share: it is told to the percent.
SHARE_TOLD = 0.005


def within(value: float, low: float, high: float, slack: float = 0.0) -> bool:
    """Whether a measure holds its band, give or take `slack` and rounding of one part in a million."""
    slack += 1e-6 * max(1.0, abs(value))
    return low - slack <= value <= high + slack


def _open(bound: Array | float) -> bool:
    return isinstance(bound, float) and math.isinf(bound)
