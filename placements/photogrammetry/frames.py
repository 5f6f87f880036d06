"""Rectangles in a picture that may be frames, with subpixel corners. Each is an offer; a person says yes.

Candidates come from closed contours of edge maps and of flat tones at several scales, tested for being rectangles *in
the plane*; of those nested about one centre the outermost that keeps a strong edge on all four sides is the frame.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import cv2
import numpy as np
import numpy.typing as npt

from . import quads
from .depth import FLAT, Relief, corners_of, drawn_in, on_plane, seen_relief
from .edges import Edges, fit_line, meet, refine_quad
from .solve import Fit

Array = npt.NDArray[np.float64]
WORK_LONG_SIDE = 1600
SMALLEST_MM = 70.0
SQUARE_WITHIN_DEG = 4.0
LONGEST_RATIO = 8.0
OUTWARD_MM = 110.0
STEP_MM = 0.5
FAINTEST = 4.0
CRISP = 0.6
#: The fainter an edge, the less its place is to be trusted: pixels (one standard deviation) times grey levels.
FAINT_PX = 12.0
#: How far a frame's shadow reaches [mm], and how much sharper than its end the edge that casts it is.
SHADOW_MM = 15.0
SHARPER = 1.3
#: A shadow's end still rises by this share of its steepest so far outside it [mm]; an edge does not.
SOFT = 0.5
SOFT_MM = 2.5
#: Sides this near to one another are one edge, and a side this much longer runs on past the other [mm].
SHARED_MM = 4.0
PAST_MM = 12.0
SAME_MM = 14.0
SAME_PX = 4.0


@dataclass(frozen=True, slots=True)
class Candidate:
    """A possible frame.

    pixels : (4, 2) float [px] and plane : (4, 2) float [mm], top left, top right, bottom right, bottom left as they
    lie in the plane; covariance : (4, 2, 2) [mm²]; strength : mean step across its edges, in grey levels; relief : how
    it stands off the plane, by which `plane` is where it meets the plane.
    """

    pixels: Array
    plane: Array
    covariance: Array
    strength: float
    edges: Edges
    relief: Relief = FLAT

    @property
    def sigma_px(self) -> float:
        """How well its corners are seen (one standard deviation of a coordinate)."""
        return max(0.2, self.edges.scatter_px, FAINT_PX / max(self.strength, 1.0))

    def seen_by(self, fit: Fit) -> Candidate:
        """The same rectangle measured by a better fit."""
        plane, covariance = fit.measure(self.pixels, self.sigma_px)
        plane, by_relief = on_plane(fit.camera, plane, self.relief)
        return replace(self, plane=plane, covariance=covariance + corners_of(by_relief))

    def in_relief(self, lab: npt.NDArray[np.uint8], fit: Fit, depth_mm: float | None = None) -> Candidate:
        """The same rectangle with the depth that its side faces tell, sides that lay on a shadow or a sight edge moved.

        Args:
            lab : (h, w, 3) uint8; depth_mm : the depth on record, once it is known which thing this is.
        """
        plane = fit.to_plane(self.pixels)
        relief, inset = seen_relief(lab, fit, plane, depth_mm)
        mended = self
        if inset.any():
            edges = _sharpest(lab, fit.to_pixels(drawn_in(plane, inset)))
            if edges is not None:
                mended = replace(self, pixels=edges.corners, edges=edges, strength=_strength(lab, edges))
        return replace(mended, relief=relief).seen_by(fit)

    @property
    def width(self) -> float:
        return quads.size(self.plane)[0]

    @property
    def height(self) -> float:
        return quads.size(self.plane)[1]

    @property
    def centre(self) -> Array:
        return np.asarray(self.plane.mean(axis=0))


def find_frames(pixels: npt.NDArray[np.uint8], fit: Fit, keep_clear: list[Array] | None = None) -> list[Candidate]:
    """Rectangles of the plane that may be frames, from left to right.

    Args:
        pixels : (h, w, 3) uint8, BGR.
        fit: the solved picture.
        keep_clear: (n, 2) [px] outlines to ignore (the card itself).
    """
    lab = np.asarray(cv2.cvtColor(pixels, cv2.COLOR_BGR2LAB), np.uint8)
    seeds = [
        seed
        for seed in _distinct(_quads(pixels), fit)
        if not any(_inside(fit.to_pixels(seed.mean(axis=0)[None])[0], outline) for outline in keep_clear or ())
    ]
    found = []
    for seed in seeds:
        candidate = _measure(lab, fit, _outer(lab, fit, seed))
        if candidate:
            found.append(candidate)
    return sorted(_outermost(found), key=lambda candidate: (round(candidate.centre[0] / 10), -candidate.centre[1]))


def _distinct(quads: Iterator[Array], fit: Fit) -> list[Array]:
    """Rough rectangles of the plane in reading order, the same one not twice: list of (4, 2) [mm]."""
    kept: list[Array] = []
    seen: set[bytes] = set()
    for quad in quads:
        # Most masks show the same rectangles: those are told by their pixels, before the costlier plane.
        key = np.round(quad[np.lexsort(quad.T)] / SAME_PX).astype(np.int16).tobytes()
        if key in seen:
            continue
        seen.add(key)
        plane = fit.to_plane(quad)
        if not _is_rectangle(plane, 3 * SQUARE_WITHIN_DEG):
            continue
        plane = plane[_reading_order(plane)]
        if not any(np.abs(plane - other).max() < 6.0 for other in kept):
            kept.append(plane)
    return kept


def _quads(pixels: npt.NDArray[np.uint8]) -> Iterator[Array]:
    """Convex quadrilaterals from contours at several scales, in full-size pixels."""
    height, width = pixels.shape[:2]
    scale = min(1.0, WORK_LONG_SIDE / max(height, width))
    small = np.asarray(cv2.resize(pixels, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA), np.uint8)
    for mask in _masks(small):
        contours, _ = cv2.findContours(mask, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)
        for contour in contours:
            box = cv2.boundingRect(contour)
            if min(box[2:]) < 14 or box[2] * box[3] > 0.6 * small.shape[0] * small.shape[1]:
                continue
            hull = cv2.convexHull(contour)
            around = cv2.arcLength(hull, True)
            for share in (0.02, 0.04, 0.07):
                corners = cv2.approxPolyDP(hull, share * around, True)
                if len(corners) == 4:
                    yield (corners.reshape(4, 2).astype(float) + 0.5) / scale - 0.5
                    break


def _masks(small: npt.NDArray[np.uint8]) -> Iterator[npt.NDArray[np.uint8]]:
    lab = cv2.cvtColor(small, cv2.COLOR_BGR2LAB)
    kernel = np.ones((3, 3), np.uint8)
    for blur in (3, 9):
        soft = np.asarray(cv2.medianBlur(lab, blur), np.uint8)
        for channel in range(3):
            plane = np.ascontiguousarray(soft[..., channel])
            high = float(np.clip(2.0 * np.percentile(_slope(plane), 90), 16, 160))
            edges = cv2.Canny(plane, high / 2.5, high)
            thick = np.asarray(cv2.dilate(edges, kernel), np.uint8)
            yield thick
            yield ~thick
        for window in (41, 151):
            plane = np.ascontiguousarray(soft[..., 0])
            for kind in (cv2.THRESH_BINARY, cv2.THRESH_BINARY_INV):
                mask = cv2.adaptiveThreshold(plane, 255, cv2.ADAPTIVE_THRESH_MEAN_C, kind, window, 6)
                yield np.asarray(cv2.morphologyEx(mask, cv2.MORPH_OPEN, kernel), np.uint8)


def _slope(plane: npt.NDArray[np.uint8]) -> npt.NDArray[np.float32]:
    across = cv2.Sobel(plane, cv2.CV_32F, 1, 0)
    down = cv2.Sobel(plane, cv2.CV_32F, 0, 1)
    return np.asarray(np.hypot(across, down))


def _outer(lab: npt.NDArray[np.uint8], fit: Fit, seed: Array) -> Array:
    """The frame about a rectangle: the farthest offset at which all four sides have an edge.

    A moulding or a mat is as wide on every side, while a shadow falls on two sides and a board's joint on one.

    Args:
        seed : (4, 2) [mm], reading order.

    Returns:
        (4, 2) [mm], the seed moved outwards (or, where no such edge is found, as it was).
    """
    mid = seed.mean(axis=0)
    right = quads.level(seed)
    right /= np.hypot(*right)
    up = np.array([-right[1], right[0]])
    width, height = quads.size(seed)
    offsets = np.arange(-16.0, OUTWARD_MM, STEP_MM)
    along = np.linspace(-0.42, 0.42, 36)
    sides = []
    for out, line in ((up, right), (right, up), (-up, right), (-right, up)):
        half, length = (height / 2, width) if line is right else (width / 2, height)
        base = mid + out * half + along[:, None, None] * line * length
        sides.append(base + offsets[None, :, None] * out)
    grid = np.stack(sides)
    at = fit.to_pixels(grid.reshape(-1, 2)).reshape(4 * len(along), len(offsets), 2).astype(np.float32)
    values = cv2.remap(lab, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    tones = values.reshape(4, len(along), len(offsets), 3).astype(np.float32)
    step = round(2.0 / STEP_MM)
    jump = tones[:, :, 2 * step :] - tones[:, :, : -2 * step]
    centre = offsets[step:-step]
    mean = np.median(jump, axis=1)
    strength = np.sqrt((mean**2).sum(axis=-1))
    spread = np.sqrt(((jump - mean[:, None]) ** 2).sum(axis=-1).mean(axis=1)) + 2.0
    edge = np.where((strength > 3.5) & (strength > 0.45 * spread), strength, 0.0)
    reach = round(2.5 / STEP_MM)
    padded = np.pad(edge, ((0, 0), (reach, reach)))
    near = np.max([padded[:, k : k + edge.shape[1]] for k in range(2 * reach + 1)], axis=0)
    together = near.min(axis=0)
    good = np.nonzero(together > 0)[0]
    if not len(good):
        return seed
    last = good[-1]
    run = good[good > last - round(6.0 / STEP_MM)]
    window = slice(max(0, run[0] - reach), last + reach + 1)
    moved = centre[window][edge[:, window].argmax(axis=1)]
    top, side, bottom, left = moved
    w, h = width / 2, height / 2
    own = np.array([(-w - left, h + top), (w + side, h + top), (w + side, -h - bottom), (-w - left, -h - bottom)])
    return np.asarray(mid + own @ np.array([right, up]))


def _measure(lab: npt.NDArray[np.uint8], fit: Fit, rough: Array) -> Candidate | None:
    """The candidate for a rough rectangle of the plane, or None where it has no clear edges or is no rectangle."""
    edges = _sharpest(lab, fit.to_pixels(rough))
    if edges is None:
        return None
    moved = _off_shadows(lab, fit, edges)
    if moved is not None:
        edges = _sharpest(lab, moved) or edges
    plane = fit.to_plane(edges.corners)
    if not _is_rectangle(plane, SQUARE_WITHIN_DEG):
        return None
    return Candidate(edges.corners, plane, np.empty(0), _strength(lab, edges), edges).seen_by(fit)


def _off_shadows(lab: npt.NDArray[np.uint8], fit: Fit, edges: Edges) -> Array | None:
    """The quadrilateral with each side that lies on a shadow's soft end moved in to the sharp edge that casts it.

    Returns:
        (4, 2) float [px], or None where every side is sharp.
    """
    middle = edges.corners.mean(axis=0)
    px_a_mm = quads.lengths(edges.corners).sum() / quads.lengths(fit.to_plane(edges.corners)).sum()
    steps = np.arange(-SOFT_MM, SHADOW_MM, SOFT_MM / 6) * px_a_mm
    lines, changed = [], False
    for side in edges.sides:
        centre, direction = fit_line(side)
        inward = np.array([-direction[1], direction[0]])
        inward *= np.sign((middle - centre) @ inward)
        on_line = centre + ((side - centre) @ direction)[:, None] * direction
        at = (on_line[:, None] + steps[None, :, None] * inward).astype(np.float32)
        tones = cv2.remap(lab, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        rise = np.hypot.reduce(np.gradient(tones.astype(float).mean(axis=0), axis=0), axis=-1)
        here = rise[3:10].max()
        if rise[0] > SOFT * here:
            peaks = np.nonzero((rise[10:-1] > SHARPER * here) & (rise[10:-1] >= rise[11:]))[0]
            if len(peaks):
                centre, changed = centre + steps[10 + peaks[0]] * inward, True
        lines.append((centre, direction))
    if not changed:
        return None
    corners = np.array([meet(lines[index - 1], lines[index]) for index in range(4)])
    return corners if np.isfinite(corners).all() else None


def _sharpest(lab: npt.NDArray[np.uint8], quad: Array) -> Edges | None:
    """The edges in the channel that shows them best."""
    found = [refine_quad(lab[..., channel], quad, reach=4.0) for channel in range(3)]
    clear = [
        (_strength(lab, edges) / (0.3 + edges.scatter_px), index, edges) for index, edges in enumerate(found) if edges
    ]
    return max(clear)[2] if clear else None


def _is_rectangle(plane: Array, within_deg: float) -> bool:
    if not np.isfinite(plane).all():
        return False
    sides, lengths = quads.sides(plane), quads.lengths(plane)
    if lengths.min() < SMALLEST_MM or lengths.max() > LONGEST_RATIO * lengths.min():
        return False
    following, products = np.roll(sides, -1, axis=0), lengths * np.roll(lengths, -1)
    turned = quads.turns(plane) / products
    off_square = np.degrees(np.arcsin(np.clip(np.abs((sides * following).sum(axis=1)) / products, 0, 1)))
    return bool(off_square.max() < within_deg and (np.abs(turned) > 0.5).all() and len(set(np.sign(turned))) == 1)


def _reading_order(plane: Array) -> list[int]:
    """Indices of top left, top right, bottom right, bottom left; the top edge is the one nearest to level above."""
    mid = plane.mean(axis=0)
    start = int(np.argmax([(-(p - mid)[0] + (p - mid)[1]) / np.hypot(*(p - mid)) for p in plane]))
    ring = [(start + step) % 4 for step in range(4)]
    sides = plane[ring[1]] - plane[ring[0]]
    clockwise = sides[0] > abs(sides[1])
    return ring if clockwise else [ring[0], ring[3], ring[2], ring[1]]


def _strength(lab: npt.NDArray[np.uint8], edges: Edges) -> float:
    """Smallest of the four sides' sharp steps in colour, over three pixels; a shadow's soft edge scores little."""
    steps = []
    for side in edges.sides:
        direction = side[-1] - side[0]
        across = np.array([-direction[1], direction[0]]) / max(np.hypot(*direction), 1e-9)
        near, far = (_step(lab, side, offset * across) for offset in (1.6, 5.0))
        steps.append(near if near > CRISP * far else near * near / max(far, 1e-9))
    return float(np.nan_to_num(min(steps)))


def _step(lab: npt.NDArray[np.uint8], points: Array, offset: Array) -> float:
    """Mean colour difference between the two sides of an edge, `offset` [px] away from it."""
    one, other = (
        cv2.remap(lab, at[:, 0].astype(np.float32), at[:, 1].astype(np.float32), cv2.INTER_LINEAR).astype(float)
        for at in (points + offset, points - offset)
    )
    return float(np.hypot.reduce((one - other).reshape(-1, 3).mean(axis=0)))


def _inside(point: Array, outline: Array) -> bool:
    return (
        cv2.pointPolygonTest(outline.astype(np.float32).reshape(-1, 1, 2), (float(point[0]), float(point[1])), False)
        >= 0
    )


def _outermost(found: list[Candidate]) -> list[Candidate]:
    """One candidate a frame: of nearly equal rectangles the sharpest, and none within another."""
    clear: list[Candidate] = []
    for candidate in sorted(
        (candidate for candidate in found if candidate.strength >= FAINTEST), key=lambda c: -c.strength
    ):
        if not any(np.abs(candidate.plane - other.plane).max() < SAME_MM for other in clear):
            clear.append(candidate)
    kept: list[Candidate] = []
    for one in sorted(clear, key=lambda c: -c.width * c.height):
        if not any(_inside_share(one, other) > 0.6 for other in kept):
            kept.append(one)
    return [candidate for candidate in kept if not _is_gap(candidate, kept)]


def _is_gap(candidate: Candidate, others: list[Candidate]) -> bool:
    """Whether it is the ground between two frames: opposite sides both on frames' sides that run on past it."""
    lines = [
        (other.plane[at], other.plane[(at + 1) % 4]) for other in others if other is not candidate for at in range(4)
    ]
    shared = [
        any(_runs_past(line, candidate.plane[at], candidate.plane[(at + 1) % 4]) for line in lines) for at in range(4)
    ]
    return (shared[0] and shared[2]) or (shared[1] and shared[3])


def _runs_past(line: tuple[Array, Array], start: Array, end: Array) -> bool:
    """Whether a side from `start` to `end` [mm] lies on a longer side."""
    along = line[1] - line[0]
    length = float(np.hypot(*along))
    if length < np.hypot(*(end - start)) + PAST_MM:
        return False
    away = np.array([start, end]) - line[0]
    across = np.abs(away[:, 0] * along[1] - away[:, 1] * along[0]) / length
    within = away @ along / length
    return bool(across.max() < SHARED_MM and within.min() > -SHARED_MM and within.max() < length + SHARED_MM)


def _inside_share(candidate: Candidate, other: Candidate) -> float:
    shared, _ = cv2.intersectConvexConvex(candidate.plane.astype(np.float32), other.plane.astype(np.float32))
    return float(shared) / (candidate.width * candidate.height)
