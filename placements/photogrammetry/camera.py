"""A pinhole camera with one radial distortion term, looking at the plane z = 0.

Parameters, one vector of eight: rotation (3, Rodrigues [rad]), translation (3) [mm], log of the focal length in units
of the picture's long side, and k1. The principal point is the picture's centre and pixels are square, which holds for
uncropped phone pictures to well under a percent.

Source of the model: Hartley & Zisserman, Multiple View Geometry, 2nd ed., ch. 6-7 (pinhole) and Brown, Close-range
camera calibration, Photogrammetric Engineering 37(8), 1971 (radial term); from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
PARAMETERS = 8


@dataclass(frozen=True, slots=True)
class View:
    """The picture's size [px]; everything else of the camera is in the parameter vector."""

    width: int
    height: int

    @property
    def scale(self) -> float:
        return float(max(self.width, self.height))

    @property
    def centre(self) -> Array:
        return np.array([(self.width - 1) / 2, (self.height - 1) / 2])

    def project(self, camera: Array, plane: Array) -> Array:
        """Where plane points appear.

        Args:
            camera : (8,) float.
            plane : (n, 2) float [mm].

        Returns:
            pixels : (n, 2) float [px].
        """
        rotation = _rotation(camera[:3])
        space = plane @ rotation[:, :2].T + camera[3:6]
        normal = space[:, :2] / np.maximum(space[:, 2:3], 1e-6)
        radius2 = _radius2(normal)
        focal = np.exp(camera[6]) * self.scale
        return np.asarray(normal * (1 + camera[7] * radius2) * focal + self.centre)

    def undistort(self, camera: Array, pixels: Array) -> Array:
        """Pixels to normalised image coordinates free of distortion, (n, 2) float."""
        focal = np.exp(camera[6]) * self.scale
        distorted = (pixels - self.centre) / focal
        normal = distorted.copy()
        for _ in range(12):
            normal = distorted / (1 + camera[7] * _radius2(normal))
        return np.asarray(normal)

    def to_plane(self, camera: Array, pixels: Array) -> Array:
        """Plane points under the pixels: the inverse of `project`, (n, 2) float [mm]."""
        normal = self.undistort(camera, pixels)
        homography = plane_homography(camera)
        rays = np.column_stack([normal, np.ones(len(normal))]) @ np.linalg.inv(homography).T
        return np.asarray(rays[:, :2] / rays[:, 2:3])


def plane_homography(camera: Array) -> Array:
    """(3, 3) homography from plane [mm] to normalised image coordinates."""
    rotation = _rotation(camera[:3])
    return np.column_stack([rotation[:, 0], rotation[:, 1], camera[3:6]])


def _radius2(points: Array) -> Array:
    """Squared distances from the axis, (n, 1); added column by column, since a sum along so short a row is slow."""
    return np.asarray(points[:, :1] ** 2 + points[:, 1:] ** 2)


def _rotation(vector: Array) -> Array:
    return np.asarray(cv2.Rodrigues(np.asarray(vector, float).reshape(3, 1))[0])


def first_guess(view: View, pixels: Array, plane: Array, log_focal: float) -> Array:
    """A camera from point pairs alone, with the focal length given and no distortion.

    Args:
        pixels : (n, 2) float [px]; plane : (n, 2) float [mm]; n at least 4, not in a line.

    Returns:
        camera : (8,) float.
    """
    focal = np.exp(log_focal) * view.scale
    homography, _ = cv2.findHomography(plane, (pixels - view.centre) / focal, 0)
    if homography is None:
        raise np.linalg.LinAlgError("the points lie in a line")
    scale = np.sqrt(np.linalg.norm(homography[:, 0]) * np.linalg.norm(homography[:, 1]))
    homography = homography / scale * np.sign(homography[2, 2])
    axes = np.column_stack([homography[:, 0], homography[:, 1], np.cross(homography[:, 0], homography[:, 1])])
    left, _, right = np.linalg.svd(axes)
    rotation = left @ right
    vector = cv2.Rodrigues(rotation)[0].ravel()
    return np.concatenate([vector, homography[:, 2], [log_focal, 0.0]])
