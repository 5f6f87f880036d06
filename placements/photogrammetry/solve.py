"""The camera and the plane from everything of known size in one picture, with the covariance that states the error.

One non-linear least squares over the camera (eight parameters, see `camera`), the scale of the card's print, and the
place of every further figure in the plane. Rectangles of unknown size help too: that their corners are square
and their sides equal gives the lens's distortion and the view's slant.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from scipy.optimize import least_squares

from . import quads
from .camera import PARAMETERS, View, first_guess
from .errors import NotMeasurable

Array = npt.NDArray[np.float64]

#: A phone's main camera without a word from the file: focal length about 0.75 of the long side, give or take a third.
FOCAL_LOG = float(np.log(0.75))
FOCAL_LOG_SD = 0.3
#: With the file's 35 mm equivalent focal length: rounded to a millimetre, and cropped a little by stabilisation.
FOCAL_KNOWN_SD = 0.04
DISTORTION_SD = 0.08
#: Corners of frames at best: edges to a few tenths of a pixel, and frames not quite square.
RECTANGLE_SIGMA_PX = 0.4
#: The printed scale after its ruler was checked with a tape to half a millimetre in 100 mm, and a sheet not quite flat.
SCALE_SD = 0.0015
FLOOR_MM = 0.3
#: The place of the logarithm of the print's scale among the unknowns.
SCALE = PARAMETERS


@dataclass(frozen=True, slots=True)
class Figure:
    """Something in the plane whose shape and size are known.

    own : (n, 2) float [mm], its points in its own coordinates; pixels : (n, 2) float [px], where they are seen;
    sigma_px : how well they are seen (one standard deviation of a coordinate); taped : whether a tape told its size, so
    that it does not share the error of the card's print; name : what to call it when it contradicts the rest.
    """

    own: Array
    pixels: Array
    sigma_px: float = 0.25
    taped: bool = False
    name: str = ""

    def blurred(self, tape_mm: float) -> Figure:
        """The same, with the tape's own error (one standard deviation) added to that of the marking."""
        px_a_mm = np.ptp(self.pixels, axis=0).max() / np.ptp(self.own, axis=0).max()
        return replace(self, sigma_px=float(np.hypot(self.sigma_px, tape_mm * px_a_mm)))


@dataclass(frozen=True)
class Fit:
    """A solved picture. Plane coordinates are those of the first figure.

    camera : (8,) float; covariance : (8, 8) float; poses : (f - 1, 3) float, x [mm], y [mm] and turn [rad] of each
    further figure; misfit_px : root mean square residual of the points of what was not taped.
    """

    view: View
    camera: Array
    covariance: Array
    poses: Array
    misfit_px: float

    def to_plane(self, pixels: Array) -> Array:
        """(n, 2) px to (n, 2) mm."""
        return self.view.to_plane(self.camera, np.atleast_2d(np.asarray(pixels, float)))

    def to_pixels(self, plane: Array) -> Array:
        """(n, 2) mm to (n, 2) px."""
        return self.view.project(self.camera, np.atleast_2d(np.asarray(plane, float)))

    def measure(self, pixels: Array, sigma_px: float = 0.5) -> tuple[Array, Array]:
        """Plane points and their covariance.

        Args:
            pixels : (n, 2) float [px]; sigma_px : how well they are marked.

        Returns:
            plane : (n, 2) float [mm]; covariance : (n, 2, 2) float [mm²], of the camera, the marking, the printed
            scale (which is in the camera's) and the flatness together.
        """
        pixels = np.atleast_2d(np.asarray(pixels, float))
        plane = self.to_plane(pixels)
        by_camera = np.empty((len(pixels), 2, PARAMETERS))
        for index in range(PARAMETERS):
            step = 1e-5 * max(1.0, abs(self.camera[index]))
            ahead, behind = self.camera.copy(), self.camera.copy()
            ahead[index] += step
            behind[index] -= step
            by_camera[:, :, index] = (self.view.to_plane(ahead, pixels) - self.view.to_plane(behind, pixels)) / (
                2 * step
            )
        by_pixel = np.stack([(self.to_plane(pixels + d) - self.to_plane(pixels - d)) for d in np.eye(2) * 0.5], axis=2)
        covariance = (
            by_camera @ self.covariance @ by_camera.transpose(0, 2, 1)
            + sigma_px**2 * by_pixel @ by_pixel.transpose(0, 2, 1)
            + FLOOR_MM**2 * np.eye(2)
        )
        return plane, covariance


def plus_minus(covariance: Array) -> Array:
    """The stated error of points: two and a half standard deviations in the worst direction, (n,) float [mm].

    That is 95 % of a plane error (2.45 standard deviations, Rayleigh), with the little over for what is not modelled.
    """
    return np.asarray(2.5 * np.sqrt(np.linalg.eigvalsh(covariance)[..., -1]))


def propagate(fit: Fit, function: Callable[[Array, Array], Array], pixels: Array, sigmas_px: Array) -> Array:
    """The covariance of whatever is worked out from the camera and from marked pixels.

    Args:
        function: of camera (8,) and pixels (n, 2), to a vector (m,).
        pixels : (n, 2) float [px], each coordinate marked to one standard deviation sigmas_px : (n,).

    Returns:
        covariance : (m, m) float.
    """
    by_camera = []
    for index in range(PARAMETERS):
        step = np.zeros(PARAMETERS)
        step[index] = 1e-5 * max(1.0, abs(fit.camera[index]))
        ahead, behind = function(fit.camera + step, pixels), function(fit.camera - step, pixels)
        by_camera.append((ahead - behind) / (2 * step[index]))
    by_pixel = []
    for place in np.ndindex(*pixels.shape):
        step = np.zeros(pixels.shape)
        step[place] = 0.5
        change = function(fit.camera, pixels + step) - function(fit.camera, pixels - step)
        by_pixel.append(change * sigmas_px[place[0]])
    of_camera, of_pixels = np.stack(by_camera, axis=1), np.stack(by_pixel, axis=1)
    return np.asarray(of_camera @ fit.covariance @ of_camera.T + of_pixels @ of_pixels.T)


def solve(
    view: View,
    figures: Sequence[Figure],
    rectangles: Sequence[Array] = (),
    *,
    sigmas_px: Sequence[float] = (),
    focal_ratio: float | None = None,
    scale_sd: float = SCALE_SD,
) -> Fit:
    """Solve the camera and the figures' places.

    Args:
        view: the picture's size.
        figures: at least one; the first fixes the plane's coordinates.
        rectangles: (4, 2) float [px] corners, in order around, of things that are rectangles of unknown size.
        sigmas_px: how well each rectangle's corners are seen, where that is known.
        focal_ratio: focal length over the picture's long side, where the file gives it.
        scale_sd: relative uncertainty of the size of what was not taped (one standard deviation).

    Raises:
        NotMeasurable: where the figures do not determine the plane.
    """
    if not figures or len(figures[0].own) < 4:
        raise NotMeasurable("Mark a card, or the four corners of something whose size you know, to measure from.")
    prior = FOCAL_LOG if focal_ratio is None else float(np.log(focal_ratio))
    prior_sd = FOCAL_LOG_SD if focal_ratio is None else FOCAL_KNOWN_SD

    spreads = [max(one, RECTANGLE_SIGMA_PX) for one in sigmas_px] or [RECTANGLE_SIGMA_PX] * len(rectangles)

    def priors(x: Array) -> Array:
        return np.array([(x[6] - prior) / prior_sd, x[7] / DISTORTION_SD, x[SCALE] / scale_sd])

    try:
        start = first_guess(view, figures[0].pixels, figures[0].own, prior)
        poses = [_place(view.to_plane(start, figure.pixels), figure.own) for figure in figures[1:]]
        boxes = [_box(view.to_plane(start, rectangle)) for rectangle in rectangles]
        found = least_squares(
            lambda x: np.concatenate([_residuals(x, view, figures, rectangles, spreads), priors(x)]),
            np.concatenate([start, [0.0], *poses, *boxes]),
            x_scale="jac",
            method="trf",
            loss="soft_l1",
            f_scale=3.0,
            max_nfev=60,
        )
        information = found.jac.T @ found.jac
        covariance = np.linalg.inv(information)
    except (np.linalg.LinAlgError, ValueError) as error:
        raise NotMeasurable(
            "The marked points lie too nearly in one line to measure from. Mark four corners that spread out."
        ) from error
    camera = found.x[:PARAMETERS]
    seen = _figure_residuals(found.x, view, figures)
    misfit = np.concatenate(
        [miss * figure.sigma_px for figure, miss in zip(figures, seen, strict=True) if not figure.taped]
    )
    weighed = np.concatenate([_residuals(found.x, view, figures, rectangles, spreads), priors(found.x)])
    spare = max(1.0, len(weighed) - len(found.x))
    inflate = max(1.0, float(weighed @ weighed) / spare)
    if not np.isfinite(covariance).all() or camera[5] <= 0:
        raise NotMeasurable("The picture could not be solved. Check the marked corners and their order.")
    return Fit(
        view=view,
        camera=camera,
        covariance=inflate * covariance[:PARAMETERS, :PARAMETERS],
        poses=found.x[SCALE + 1 : SCALE + 1 + 3 * (len(figures) - 1)].reshape(-1, 3),
        misfit_px=float(np.sqrt(np.mean(misfit**2))),
    )


def _place(seen: Array, own: Array) -> Array:
    """The rigid motion (x, y, turn) that best carries `own` onto `seen` (Kabsch 1976)."""
    seen_mid, own_mid = seen.mean(axis=0), own.mean(axis=0)
    u, v = own - own_mid, seen - seen_mid
    turn = float(np.arctan2((u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]).sum(), (u * v).sum()))
    return np.array([*(seen_mid - _turned(own_mid[None], turn)[0]), turn])


def _turned(points: Array, turn: float) -> Array:
    cos, sin = np.cos(turn), np.sin(turn)
    return np.asarray(points @ np.array([[cos, sin], [-sin, cos]]))


def _figure_residuals(x: Array, view: View, figures: Sequence[Figure]) -> list[Array]:
    """Of each figure (2 n,) float, in standard deviations."""
    out = []
    for index, figure in enumerate(figures):
        plane = figure.own if figure.taped else figure.own * np.exp(x[SCALE])
        if index:
            at = SCALE + 1 + 3 * (index - 1)
            plane = _turned(plane, x[at + 2]) + x[at : at + 2]
        out.append((view.project(x[:PARAMETERS], plane) - figure.pixels).ravel() / figure.sigma_px)
    return out


def _box(plane: Array) -> Array:
    """Centre x, y [mm], turn [rad], and logs of the sides of the rectangle nearest to four corners."""
    across, down = quads.level(plane), quads.level(np.roll(plane, -1, axis=0))
    turn = np.arctan2(across[1], across[0])
    return np.array([*plane.mean(axis=0), turn, np.log(np.hypot(*across)), np.log(np.hypot(*down))])


def _residuals(
    x: Array, view: View, figures: Sequence[Figure], rectangles: Sequence[Array], sigmas_px: Sequence[float]
) -> Array:
    parts = _figure_residuals(x, view, figures)
    first = SCALE + 1 + 3 * (len(figures) - 1)
    for index, (rectangle, sigma_px) in enumerate(zip(rectangles, sigmas_px, strict=True)):
        centre_x, centre_y, turn, log_width, log_height = x[first + 5 * index : first + 5 * index + 5]
        own = np.array([(-0.5, 0.5), (0.5, 0.5), (0.5, -0.5), (-0.5, -0.5)]) * np.exp((log_width, log_height))
        corners = view.project(x[:PARAMETERS], _turned(own, turn) + np.array((centre_x, centre_y)))
        parts.append((corners - rectangle).ravel() / sigma_px)
    return np.concatenate(parts)
