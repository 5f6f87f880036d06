"""What every change of a photograph expects: a member of the studio, a measured picture, points that make sense."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from placements import access
from placements.engine.results import Words
from placements.models import Photo, RunState
from placements.photogrammetry import quads
from placements.photogrammetry.card import RULER_MM
from studio.errors import Invalid, WrongState
from studio.models import User
from studio.reader import units_for
from studio.units import Units

#: Between the corners of a rectangle that is drawn, at least [px].
LEAST_SIDE_PX = 8.0
#: A card's ruler as taped, and anything of known size [mm].
LEAST_RULER_MM, MOST_RULER_MM = 80.0, 120.0
LEAST_SIZE_MM, MOST_SIZE_MM = 20.0, 100_000.0
Corners = Sequence[Sequence[float]]


def words_for(by: User, photo: Photo) -> Units:
    return units_for(by, photo.wall.room.project)


def require(by: User, photo: Photo, to: str) -> None:
    access.require(by=by, studio=photo.wall.room.project.client.studio, roles=access.EVERYONE, to=to)


def expect_measured(photo: Photo) -> Photo:
    if photo.state != RunState.READY or not photo.camera:
        raise WrongState(f"This photograph is {photo.get_state_display().lower()}: there is nothing to measure in yet.")
    return photo


def expect_ruler(ruler_mm: float | None, words: Units) -> None:
    if ruler_mm is not None and not LEAST_RULER_MM <= ruler_mm <= MOST_RULER_MM:
        raise Invalid(
            f"The card's ruler is printed {_on_ruler(RULER_MM, words)} long; {_on_ruler(ruler_mm, words)} is no print "
            "of it. Tape it again, or print the card at its actual size.",
            faults=[{"where": "ruler_mm", "detail": f"expected {words.band(LEAST_RULER_MM, MOST_RULER_MM)}"}],
        )


def _on_ruler(mm: float, words: Units) -> str:
    """The ruler is marked in millimetres, whatever its reader measures in."""
    return f"{mm:g} mm" if words.metric else f"{mm:g} mm ({words.length(mm)})"


def expect_size(where: str, value: float, words: Words) -> None:
    if not LEAST_SIZE_MM <= value <= MOST_SIZE_MM:
        raise Invalid(
            f"A size to measure from lies between {words.length(LEAST_SIZE_MM)} and {words.length(MOST_SIZE_MM)}.",
            faults=[{"where": where, "detail": f"found {words.length(value)}"}],
        )


def checked_points(photo: Photo, points: object) -> npt.NDArray[np.float64]:
    """(n, 2) float [px], every point inside the picture."""
    try:
        given = np.array(points, float)
    except (TypeError, ValueError):
        given = np.empty(0)
    inside = given.ndim == 2 and given.shape[1] == 2 and bool(np.isfinite(given).all())
    if not inside or (given < -1).any() or (given > (photo.width_px, photo.height_px)).any():
        raise Invalid(
            "Mark points inside the picture.", faults=[{"where": "points", "detail": "expected [x, y] in px"}]
        )
    return given


def checked_corners(photo: Photo, corners: Corners) -> list[list[float]]:
    """Four corners inside the picture, in order around; as floats."""
    points = checked_points(photo, corners)
    inside = points.shape == (4, 2)
    if inside:
        inside = bool(quads.lengths(points).min() >= LEAST_SIDE_PX and len(set(np.sign(quads.turns(points)))) == 1)
    if not inside:
        raise Invalid(
            "Mark four corners inside the picture, in order around: top left, top right, bottom right, bottom left.",
            faults=[{"where": "corners_px", "detail": "expected four [x, y] in order around, inside the picture"}],
        )
    return [[round(float(x), 3), round(float(y), 3)] for x, y in points]
