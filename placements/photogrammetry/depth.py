"""How far a framed thing stands off the plane that it hangs on, and where its outline on that plane then is.

The face is in front of the plane, so that it is seen farther from the camera's foot than it is, by H / (H - depth). Of
the outline that is seen, the sides turned to the camera's foot are where the thing meets the plane, the sides turned
away are the face's edges. Between the two edges of a side that is turned to the foot its side face is seen, as wide as
the depth makes it: that tells the depth where no record does.

All from similar triangles; the silhouette of a box: common geometry, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np
import numpy.typing as npt

from . import quads
from .solve import Fit

Array = npt.NDArray[np.float64]

#: Depths of framed things while neither record nor picture tells: most are 10 to 45 mm (common practice, no source).
LIKELY_MM, LIKELY_SD_MM = 24.0, 20.0
DEEPEST_MM = 65.0
#: A depth on record (one standard deviation) [mm].
RECORDED_SD_MM = 2.0
STEP_MM = 0.5
#: How far in from the face's edge a frame's lines are compared, and from where on [mm]; how many places along a side.
INWARD_MM, EDGE_MM = 64.0, 3.0
ALONG = 40
#: A step in tone from which a line counts as there [grey levels]; one that is as strong so far aside is soft [mm].
CLEAR_STEP = 10.0
SOFT_MM = 3.0
#: Logs of likelihoods. Two sides' inner lines alike, against unlike; a line where there must be one; a line outside
#: what is taken for the outermost; and the outermost line being the face's edge, the plane's unseen beside it.
SHARPNESS, LINE_GAIN, BEYOND_LOSS, WITHIN_LOSS = 9.0, 2.0, 1.5, 1.2
#: Prints, posters and panels without a frame are this thin [mm], and that much likelier than any other one depth.
FLAT_MM, FLAT_GAIN = 3.0, 1.5
#: As far as a side is looked for where its inner lines say [mm]; how alike those must be there, and how unlike here.
ASTRAY_MM, SURELY_ALIKE, UNLIKE = 24.0, 0.7, 0.3
#: A depth read off the side faces is no better than this [mm].
LEAST_SD_MM = 1.0
#: A shift of this many millimetres in the plane is no shift.
SAME_LINE_MM = 2.0


@dataclass(frozen=True, slots=True)
class Relief:
    """How a thing stands off the plane: its depth, one standard deviation of it, and what was seen of it.

    faced : by side (top, right, bottom, left), whether the line seen there is the face's edge; else it is where the
    thing meets the plane. spread_mm : by side, one standard deviation of where it is because that may be the other way
    about. by_picture : whether the depth was read off its side faces.
    """

    mm: float = LIKELY_MM
    sd_mm: float = LIKELY_SD_MM
    faced: tuple[bool, ...] = (True, True, True, True)
    spread_mm: tuple[float, ...] = (0.0, 0.0, 0.0, 0.0)
    by_picture: bool = False

    def recorded(self, depth_mm: float) -> Relief:
        """The same thing once its depth is on record."""
        return replace(self, mm=depth_mm, sd_mm=RECORDED_SD_MM)


FLAT = Relief(0.0, 0.0, (False, False, False, False))


def corners_of(covariance: Array) -> Array:
    """(n, 2, 2) of each corner alone, from the (2 n, 2 n) of all."""
    count = len(covariance) // 2
    return np.array([covariance[2 * k : 2 * k + 2, 2 * k : 2 * k + 2] for k in range(count)])


@dataclass(frozen=True, slots=True)
class Eye:
    """The camera before the plane: the foot of its perpendicular (2,) [mm] and its height above it [mm]."""

    foot: Array
    height: float

    @classmethod
    def of(cls, camera: Array) -> Eye:
        rotation = cv2.Rodrigues(camera[:3])[0]
        place = -rotation.T @ camera[3:6]
        return cls(np.asarray(place[:2]), float(place[2]))

    def nearer(self, depth_mm: float) -> float:
        """What distances from the foot are to be multiplied by, from the face as seen to where it is."""
        return 1 - depth_mm / self.height


def on_plane(camera: Array, seen: Array, relief: Relief) -> tuple[Array, Array]:
    """A thing's outline on its plane, from the outline that is seen.

    Args:
        camera : (8,) float; seen : (4, 2) float [mm], the outline that is seen as if it lay in the plane.

    Returns:
        outline : (4, 2) float [mm], where it is; covariance : (8, 8) float [mm²] of its coordinates by what is not
        known of how it stands off the plane.
    """
    eye, axes = Eye.of(camera), np.array(_axes(seen))
    away = (seen - eye.foot) @ axes.T
    top, right, bottom, left = relief.faced
    # A corner's place across is told by the left or right side that it ends, its height by the top or bottom.
    faced = np.array([(left, top), (right, top), (right, bottom), (left, bottom)])
    outline = (away * np.where(faced, eye.nearer(relief.mm), 1.0)) @ axes + eye.foot
    causes = [relief.sd_mm * (np.where(faced, away, 0.0) / eye.height @ axes)]
    for corners, axis, sd in zip(((0, 1), (1, 2), (2, 3), (3, 0)), (1, 0, 1, 0), relief.spread_mm, strict=True):
        moved = np.zeros((4, 2))
        moved[list(corners)] = sd * axes[axis]
        causes.append(moved)
    flat = np.array([cause.ravel() for cause in causes])
    return outline, flat.T @ flat


def drawn_in(plane: Array, inset: Array) -> Array:
    """A rectangle with each side moved in by so many millimetres: top, right, bottom, left."""
    right, up = _axes(plane)
    top, side, bottom, left = inset
    across, high = np.array([left, -side, -side, left]), np.array([-top, -top, bottom, bottom])
    return np.asarray(plane + across[:, None] * right + high[:, None] * up)


def seen_relief(
    lab: npt.NDArray[np.uint8], fit: Fit, plane: Array, depth_mm: float | None = None
) -> tuple[Relief, Array]:
    """The depth by the picture: how far the lines of the sides turned to the foot are shifted against the others'.

    Args:
        lab : (h, w, 3) uint8; plane : (4, 2) float [mm], the outline that is seen.
        depth_mm : the depth on record, where it is known which thing this is.

    Returns:
        relief : as seen; inset : (4,) float [mm], by how much a side was found outside its line, which then is the
        end of a shadow, or (less than nothing) within it, on a sight edge.
    """
    sides = _sides(lab, fit, plane)
    away = [k for k in range(4) if sides[k].distance >= 0]
    if not 0 < len(away) < 4:
        unread = Relief(faced=(bool(away),) * 4)
        return unread if depth_mm is None else unread.recorded(depth_mm), np.zeros(4)
    readings = [_read(sides, reference, depth_mm) for reference in away]
    best = max(readings, key=lambda reading: reading.weight)
    return best.relief, best.inset


@dataclass(frozen=True, slots=True)
class _Reading:
    """What the sides tell where one of them shows the face's edge for certain; `weight` : log of how likely that is."""

    weight: float
    relief: Relief
    inset: Array


def _read(sides: list[_Side], reference: int, depth_mm: float | None) -> _Reading:
    height = sides[0].eye_height
    pattern = sides[reference].inner(0.0)
    depths = np.arange(0.0, DEEPEST_MM, 0.5)
    if depth_mm is None:
        total = -0.5 * ((depths - LIKELY_MM) / LIKELY_SD_MM) ** 2 + np.where(depths < FLAT_MM, FLAT_GAIN, 0.0)
    else:
        total = -0.5 * ((depths - depth_mm) / RECORDED_SD_MM) ** 2
    towards = [k for k in range(4) if sides[k].distance < 0]
    found = {k: _likeness(sides[k], pattern, -sides[k].distance * (depths / (height - depths))) for k in towards}
    for contact, face in found.values():
        total = total + np.logaddexp(contact, face)
    agreed = sum(SHARPNESS * sides[k].alike(pattern, 0.0) for k in range(4) if k not in towards)
    weight = np.exp(total - total.max())
    weight /= weight.sum()
    at = int(total.argmax())
    depth = float(weight @ depths)
    sd = float(np.sqrt(weight @ (depths - depth) ** 2))
    faced, inset, spread = [True] * 4, np.zeros(4), [0.0] * 4
    for k, side in enumerate(sides):
        expected = 0.0
        if k in found:
            contact, face = found[k]
            share = 1 / (1 + np.exp(np.clip(contact - face, -60, 60)))
            shift = -side.distance * (depths / (height - depths))
            faced[k] = bool(weight @ share > 0.5)
            # A side's outline is its line, or the line moved out by the shift: what is not known of that stays.
            moved = (1 - share) if faced[k] else share
            spread[k] = float(np.sqrt(weight @ (moved * shift**2)))
            expected = 0.0 if faced[k] else float(shift[at])
        inset[k] = _astray(side, pattern, expected)
    relief = Relief(depth, max(sd, LEAST_SD_MM), tuple(faced), tuple(spread), by_picture=depth_mm is None)
    return _Reading(float(total.max()) + agreed, relief, inset)


def _astray(side: _Side, pattern: Array, expected: float) -> float:
    """How far a side's found line is from where its inner lines say that it must be [mm]; 0 where they do not say."""
    shifts = np.arange(expected - ASTRAY_MM, expected + ASTRAY_MM, STEP_MM)
    alike = np.array([side.alike(pattern, shift) for shift in shifts])
    best = int(alike.argmax())
    off = float(shifts[best] - expected)
    if abs(off) < SAME_LINE_MM or alike[best] < SURELY_ALIKE or alike[best] - side.alike(pattern, expected) < UNLIKE:
        return 0.0
    return off if side.strength(np.array([off]))[0] > 0 else 0.0


@dataclass(frozen=True, slots=True)
class _Side:
    """Steps in tone across a side by how far in from the found line they lie, (n, 3), from `start` on [mm].

    `distance` : of the line from the camera's foot, outwards [mm].
    """

    steps: Array
    start: float
    distance: float
    eye_height: float

    def inner(self, shift: float) -> Array:
        """The steps from just within the face's edge on, that edge `shift` in from the found line."""
        first = round((shift + EDGE_MM - self.start) / STEP_MM)
        return self.steps[first : first + round(INWARD_MM / STEP_MM)]

    def alike(self, pattern: Array, shift: float) -> float:
        """The correlation of the lines within the face with another side's, -1 to 1."""
        here = self.inner(shift)
        norm = float(np.sqrt((here**2).sum() * (pattern**2).sum()))
        return float((here * pattern).sum()) / norm if norm > 0 else 0.0

    def strength(self, inset: Array) -> Array:
        """How clear a line is at an inset, 0 to 1; the soft end of a shadow is none."""
        size = np.hypot.reduce(self.steps, axis=1)
        aside = round(SOFT_MM / STEP_MM)
        size = np.maximum(size - np.maximum(np.roll(size, aside), np.roll(size, -aside)), 0)
        near = np.maximum.reduce([size, np.roll(size, 1), np.roll(size, -1)])
        at = np.clip(np.round((inset - self.start) / STEP_MM).astype(int), 0, len(size) - 1)
        return np.asarray(np.minimum(near[at] / CLEAR_STEP, 1.0))


def _likeness(side: _Side, pattern: Array, shifts: Array) -> tuple[Array, Array]:
    """Logs of how likely each shift of the face is, where the found line is the plane's, and where it is the face's.

    By how like the lines within the face are to those of a side that shows its face alone, and by the line of the face
    or of the plane that must be there beside the found one.
    """
    inner = SHARPNESS * np.array([side.alike(pattern, shift) for shift in shifts])
    apart = shifts > SAME_LINE_MM
    beyond = float(side.strength(np.arange(-shifts[-1], -SAME_LINE_MM, STEP_MM)).max(initial=0.0))
    contact = inner + LINE_GAIN * np.where(apart, side.strength(shifts), 1.0) - BEYOND_LOSS * beyond
    face = np.where(apart, inner[0] + LINE_GAIN * side.strength(-shifts) - WITHIN_LOSS, -np.inf)
    return contact, face


def _axes(plane: Array) -> tuple[Array, Array]:
    right = quads.level(plane)
    right = right / np.hypot(*right)
    return right, np.array([-right[1], right[0]])


def _sides(lab: npt.NDArray[np.uint8], fit: Fit, plane: Array) -> list[_Side]:
    eye = Eye.of(fit.camera)
    right, up = _axes(plane)
    middle = plane.mean(axis=0)
    width, height = quads.size(plane)
    step = round(1.5 / STEP_MM)
    along = np.linspace(-0.4, 0.4, ALONG)
    found = []
    for out, line, half, length in (
        (up, right, height / 2, width),
        (right, up, width / 2, height),
        (-up, right, height / 2, width),
        (-right, up, width / 2, height),
    ):
        distance = float((middle - eye.foot) @ out) + half
        most = max(0.0, -distance) * (1 / eye.nearer(DEEPEST_MM) - 1) + ASTRAY_MM
        start = -most - 2 * STEP_MM
        insets = np.arange(start - step * STEP_MM, most + EDGE_MM + INWARD_MM + 2.0 + step * STEP_MM, STEP_MM)
        base = middle + out * half + along[:, None, None] * line * length
        grid = (base - insets[None, :, None] * out).reshape(-1, 2)
        at = fit.to_pixels(grid).reshape(ALONG, len(insets), 2).astype(np.float32)
        tones = cv2.remap(lab, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        values = tones.astype(np.float64)
        jump = np.median(values[:, 2 * step :] - values[:, : -2 * step], axis=0)
        found.append(_Side(jump, start, distance, eye.height))
    return found
