"""The wall in the photograph's plane: where it was said to be, and how sure a place on it is by that.

The camera's error, the marking of the point and the marking of the wall are propagated together, since most of the
camera's error moves the point and the wall's corner alike.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np
import numpy.typing as npt

from .depth import FLAT, Relief, corners_of, on_plane
from .errors import NotMeasurable
from .solve import FLOOR_MM, Fit, plus_minus, propagate

Array = npt.NDArray[np.float64]

#: A corner marked by hand on a phone (one standard deviation of a coordinate).
HAND_SIGMA_PX = 1.5
#: What a tape and a spirit level tell of a card's place and turn (95 %): common practice, no source [mm, rad].
TAPED_ERROR_MM = 2.0
CARD_TURN_ERROR = 0.004
#: Corners nearer than this are not a wall's [mm].
LEAST_WALL_MM = 100.0


@dataclass(frozen=True, slots=True)
class Level:
    """The wall's lower left corner in the plane [mm], and the turn of its floor line [rad]."""

    x: float
    y: float
    turn: float

    def on_wall(self, plane: Array) -> Array:
        """(n, 2) mm of the plane to (n, 2) mm of the wall: from its left end, above its floor."""
        cos, sin = np.cos(self.turn), np.sin(self.turn)
        away = np.asarray(plane, float) - np.array([self.x, self.y])
        return np.asarray(away @ np.array([[cos, -sin], [sin, cos]]))

    def fit_on_wall(self, fit: Fit) -> Fit:
        """The fit with the wall's own coordinates for its plane; its covariance is not carried over."""
        cos, sin = np.cos(self.turn), np.sin(self.turn)
        rotation = cv2.Rodrigues(fit.camera[:3])[0]
        turned = rotation @ np.array([[cos, -sin, 0], [sin, cos, 0], [0, 0, 1]])
        moved = fit.camera[3:6] + rotation[:, :2] @ np.array([self.x, self.y])
        return replace(fit, camera=np.concatenate([cv2.Rodrigues(turned)[0].ravel(), moved, fit.camera[6:]]))


@dataclass(frozen=True, slots=True)
class Stated:
    """Errors (95 %) on the wall [mm]: of the worst of a figure's corners, and of its middle."""

    corner: float
    middle: float


def by_corners(fit: Fit, ends: Array) -> Level:
    """The wall from its two lower corners.

    Args:
        ends : (2, 2) float [px], left and right.

    Raises:
        NotMeasurable: they are not apart, or not in view of the plane.
    """
    left, right = fit.to_plane(ends)
    along = right - left
    if not np.isfinite(along).all() or np.hypot(*along) < LEAST_WALL_MM:
        raise NotMeasurable("Mark the wall's two lower corners, at the floor; they must be apart.")
    return Level(float(left[0]), float(left[1]), float(np.arctan2(along[1], along[0])))


def by_card(left_mm: float, bottom_mm: float) -> Level:
    """The wall from the place of the card's lower left corner on it; the card is as level as a level says."""
    return Level(-left_mm, -bottom_mm, 0.0)


def stated_by_corners(fit: Fit, pixels: Array, sigma_px: float, ends: Array, relief: Relief = FLAT) -> Stated:
    """How sure the places of a figure's corners are on a wall marked by its own corners.

    Args:
        pixels : (4, 2) float [px], marked to sigma_px; ends : (2, 2) float [px], marked by hand.
    """

    def places(camera: Array, points: Array) -> Array:
        plane = fit.view.to_plane(camera, points)
        along = plane[-1] - plane[-2]
        level = Level(float(plane[-2, 0]), float(plane[-2, 1]), float(np.arctan2(along[1], along[0])))
        return level.on_wall(on_plane(camera, plane[:-2], relief)[0]).ravel()

    points = np.concatenate([pixels, ends])
    sigmas = np.concatenate([np.full(len(pixels), sigma_px), np.full(2, HAND_SIGMA_PX)])
    return _stated(propagate(fit, places, points, sigmas) + _by_relief(fit, pixels, relief))


def stated_by_card(fit: Fit, pixels: Array, sigma_px: float, relief: Relief = FLAT) -> Stated:
    """How sure they are on a wall on which the card's place was taped."""

    def places(camera: Array, points: Array) -> Array:
        return on_plane(camera, fit.view.to_plane(camera, points), relief)[0].ravel()

    marked = propagate(fit, places, pixels, np.full(len(pixels), sigma_px))
    found = _stated(marked + _by_relief(fit, pixels, relief))
    plane = fit.to_plane(pixels)
    far, middle = float(np.hypot(*plane.T).max()), float(np.hypot(*plane.mean(axis=0)))
    return Stated(
        float(np.sqrt(found.corner**2 + TAPED_ERROR_MM**2 + (CARD_TURN_ERROR * far) ** 2)),
        float(np.sqrt(found.middle**2 + TAPED_ERROR_MM**2 + (CARD_TURN_ERROR * middle) ** 2)),
    )


def _by_relief(fit: Fit, pixels: Array, relief: Relief) -> Array:
    return on_plane(fit.camera, fit.to_plane(pixels), relief)[1]


def _stated(covariance: Array) -> Stated:
    """From the covariance of all corners' coordinates, (2 n, 2 n)."""
    whole = covariance + FLOOR_MM**2 * np.eye(len(covariance))
    count = len(whole) // 2
    mean = np.tile(np.eye(2), count) / count
    return Stated(float(plus_minus(corners_of(whole)).max()), float(plus_minus(mean @ whole @ mean.T)))
