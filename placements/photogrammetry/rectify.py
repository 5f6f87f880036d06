"""A photographed wall seen square on, to scale: what lies under its drawing."""

from __future__ import annotations

import cv2
import numpy as np
import numpy.typing as npt

from .camera import plane_homography
from .solve import Fit

Image = npt.NDArray[np.uint8]

#: Where a point is seen is worked out at every so many pixels, and is as good as straight between [px].
STEP_PX = 8
#: Where the lens's term would fold the picture back onto itself, nothing is shown: d(r + k r³)/dr at least this.
LEAST_STRETCH = 0.1


def rectified(pixels: Image, fit: Fit, length_mm: float, height_mm: float, px_a_mm: float) -> Image:
    """The wall from its left end to its right and from floor to ceiling.

    Args:
        pixels : (h, w, 3) uint8 BGR, in the size of `fit.view` or smaller in the same proportions.
        fit: the solved picture, its plane the wall with the origin at its lower left corner.
        length_mm, height_mm : the wall's size; px_a_mm : detail of the result.

    Returns:
        (H, W, 4) uint8 BGRA: pixel (0, 0) covers the wall's upper left corner, whole pixels over the whole wall; clear
        where the photograph does not show the wall.
    """
    wide, high = max(1, round(length_mm * px_a_mm)), max(1, round(height_mm * px_a_mm))
    shrink = pixels.shape[1] / fit.view.width
    columns, rows = (np.arange(0, end + STEP_PX, STEP_PX) for end in (wide, high))
    across, up = (columns + 0.5) * (length_mm / wide), height_mm - (rows + 0.5) * (height_mm / high)
    plane = np.stack(np.meshgrid(across, up), axis=-1).reshape(-1, 2)
    seen = (fit.to_pixels(plane) + 0.5) * shrink - 0.5
    coarse = np.column_stack([seen, _hidden(fit, plane)]).astype(np.float32).reshape(len(rows), len(columns), 3)
    between = np.meshgrid(np.arange(wide, dtype=np.float32) / STEP_PX, np.arange(high, dtype=np.float32) / STEP_PX)
    x, y, hidden = cv2.split(cv2.remap(coarse, *between, cv2.INTER_LINEAR))
    clear = (hidden > 0) | (x < -0.5) | (y < -0.5) | (x > pixels.shape[1] - 0.5) | (y > pixels.shape[0] - 0.5)
    face = cv2.remap(pixels, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.dstack([face, np.where(clear, 0, 255).astype(np.uint8)])


def _hidden(fit: Fit, plane: npt.NDArray[np.float64]) -> npt.NDArray[np.bool_]:
    """Points behind the camera, or so far aside that the lens's term has no meaning there: (n,) bool."""
    space = np.column_stack([plane, np.ones(len(plane))]) @ plane_homography(fit.camera).T
    behind = space[:, 2] <= 1e-6
    depth = np.where(behind, 1.0, space[:, 2])
    radius2 = ((space[:, :2] / depth[:, None]) ** 2).sum(axis=1)
    return np.asarray(behind | (1 + 3 * fit.camera[7] * radius2 < LEAST_STRETCH))
