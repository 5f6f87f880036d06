"""Straight edges to a fraction of a pixel: where a quadrilateral's sides really run in the picture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from .quads import lengths

Array = npt.NDArray[np.float64]
SAMPLES_A_SIDE = 48
FAINTEST = 0.8  # grey levels a half pixel: the faintest edge worth a point


@dataclass(frozen=True, slots=True)
class Edges:
    """A quadrilateral measured along its sides.

    corners : (4, 2) float [px]; sides : four (n, 2) float [px] arrays, the points found on each side;
    scatter_px : root mean square distance of the points from their straight lines.
    """

    corners: Array
    sides: tuple[Array, Array, Array, Array]
    scatter_px: float


def refine_quad(grey: npt.NDArray[np.uint8], quad: Array, reach: float | None = None) -> Edges | None:
    """Slide each side of `quad` onto the sharpest straight edge within `reach` pixels of it.

    Args:
        grey : (h, w) uint8.
        quad : (4, 2) float [px], corners in order around.
        reach : how far to look on either side [px]; by default a fraction of the shortest side, 2 to 8.

    Returns:
        The measured edges, or None where a side has no clear edge.
    """
    shortest = lengths(quad).min()
    if shortest < 8:
        return None
    if reach is None:
        reach = float(np.clip(shortest / 12, 2.0, 8.0))
    sides = []
    for start, end in zip(quad, np.roll(quad, -1, axis=0), strict=True):
        points = _edge_points(grey, start, end, reach)
        if points is None:
            return None
        sides.append(points)
    lines = [fit_line(points) for points in sides]
    corners = np.array([meet(lines[index - 1], lines[index]) for index in range(4)])
    if not np.isfinite(corners).all() or np.abs(corners - quad).max() > 3 * reach + 2:
        return None
    scatter = float(
        np.sqrt(np.mean(np.concatenate([distance(p, line) for p, line in zip(sides, lines, strict=True)]) ** 2))
    )
    return Edges(corners, (sides[0], sides[1], sides[2], sides[3]), scatter)


def _edge_points(grey: npt.NDArray[np.uint8], start: Array, end: Array, reach: float) -> Array | None:
    """Points of the edge near the segment that the most rows agree on, weighed by sharpness: (n, 2) float [px]."""
    along = end - start
    length = float(np.hypot(*along))
    across = np.array([-along[1], along[0]]) / length
    count = int(np.clip(length / 2, 10, SAMPLES_A_SIDE))
    t = np.linspace(0.1, 0.9, count)
    at = start + t[:, None] * along
    offsets = np.arange(-reach - 2.0, reach + 2.0 + 1e-9, 0.5)
    values = _sample(grey, at[:, None, :] + offsets[None, :, None] * across)
    if values is None:
        return None
    slope = np.gradient(ndimage.gaussian_filter1d(values, 1.4, axis=1), axis=1)
    size = np.abs(slope)
    peak = (size[:, 1:-1] >= size[:, :-2]) & (size[:, 1:-1] > size[:, 2:]) & (size[:, 1:-1] > FAINTEST)
    rows, columns = np.nonzero(peak)
    columns += 1
    if len(np.unique(rows)) < max(6, count // 2):
        return None
    left, mid, right = (size[rows, columns + step] for step in (-1, 0, 1))
    where = offsets[columns] + 0.25 * (left - right) / (left - 2 * mid + right)
    sign = np.sign(slope[rows, columns])
    best = _best_line(t[rows], where, mid * 1.0, sign, count)
    if best is None:
        return None
    keep, line_where = best
    row_kept, where_kept = rows[keep], where[keep]
    _, first = np.unique(row_kept[np.argsort(np.abs(where_kept - line_where[keep]))], return_index=True)
    order = np.argsort(np.abs(where_kept - line_where[keep]))[first]
    points = at[row_kept[order]] + where_kept[order, None] * across
    return points if len(points) >= max(6, int(0.45 * count)) else None


def _best_line(t: Array, where: Array, weight: Array, sign: Array, rows: int) -> tuple[Array, Array] | None:
    """The line `where = a + b t` with the most sharpness on it: every pair of far-apart peaks proposes one.

    Returns:
        which peaks lie on it (a mask), and the line's `where` at each peak.
    """
    early, late = np.nonzero(t < 0.35)[0], np.nonzero(t > 0.65)[0]
    if not len(early) or not len(late):
        return None
    one, other = (grid.ravel() for grid in np.meshgrid(early, late, indexing="ij"))
    if len(one) > 1500:
        step = -(-len(one) // 1500)
        one, other = one[::step], other[::step]
    slant = (where[other] - where[one]) / (t[other] - t[one])
    start = where[one] - slant * t[one]
    near = np.abs(start[:, None] + slant[:, None] * t[None] - where[None]) < 0.6
    near &= sign[None] == sign[one][:, None]
    score = (near * np.minimum(weight, 4 * np.median(weight))[None]).sum(axis=1)
    pick = int(np.argmax(score))
    mask = near[pick]
    for _ in range(2):
        if np.ptp(t[mask]) < 0.3:
            return None
        slant_fit, start_fit = np.polyfit(t[mask], where[mask], 1)
        line = start_fit + slant_fit * t
        mask = (np.abs(line - where) < 0.7) & (sign == sign[one[pick]])
        if mask.sum() < max(5, rows // 3):
            return None
    return mask, line


def _sample(grey: npt.NDArray[np.uint8], at: Array) -> Array | None:
    """Grey values at (..., 2) [px] by linear interpolation; None where the picture is too small around them."""
    low = np.maximum(np.floor(at.reshape(-1, 2).min(axis=0)).astype(int) - 2, 0)
    high = np.minimum(np.ceil(at.reshape(-1, 2).max(axis=0)).astype(int) + 3, grey.shape[1::-1])
    if (high - low < 4).any():
        return None
    patch = grey[low[1] : high[1], low[0] : high[0]].astype(np.float32)
    return np.asarray(
        ndimage.map_coordinates(patch, [at[..., 1] - low[1], at[..., 0] - low[0]], order=1, mode="nearest")
    )


def fit_line(points: Array) -> tuple[Array, Array]:
    """A point on the best line and its unit direction (total least squares)."""
    centre = points.mean(axis=0)
    _, _, axes = np.linalg.svd(points - centre, full_matrices=False)
    return centre, axes[0]


def distance(points: Array, line: tuple[Array, Array]) -> Array:
    """Signed distance of each point from the line [px]."""
    centre, direction = line
    return np.asarray((points - centre) @ np.array([-direction[1], direction[0]]))


def meet(one: tuple[Array, Array], other: tuple[Array, Array]) -> Array:
    """Where two lines cross; NaN where they are parallel."""
    matrix = np.column_stack([one[1], -other[1]])
    if abs(np.linalg.det(matrix)) < 1e-6:
        return np.full(2, np.nan)
    return np.asarray(one[0] + np.linalg.solve(matrix, other[0] - one[0])[0] * one[1])
