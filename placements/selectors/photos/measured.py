"""A photograph's rows as the measuring sees them, and its marks in the wall's coordinates."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from placements.engine.hanging.as_hung import AsHung, compare
from placements.engine.house import Rect
from placements.engine.results import Words
from placements.engine.tolerances import Tolerances
from placements.models import MarkState, Photo, PhotoMark, Placement, Revision
from placements.photogrammetry import quads
from placements.photogrammetry.camera import View
from placements.photogrammetry.card import Card, SeenCard
from placements.photogrammetry.depth import FLAT, RECORDED_SD_MM, Relief
from placements.photogrammetry.errors import NotMeasurable
from placements.photogrammetry.level import HAND_SIGMA_PX, Level
from placements.photogrammetry.reading import KnownRectangle, fit_photo, taped_length
from placements.photogrammetry.solve import Figure, Fit
from placements.snapshots import tolerances_of
from studio.models import Artwork

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Measured:
    """A mark on the wall: its upright rectangle [mm], how far it is from level, and the stated errors (95 %)."""

    mark: PhotoMark
    rect: Rect
    top_left: float
    top_right: float
    error_mm: float
    middle_error_mm: float


def pixels_of(photo: Photo) -> npt.NDArray[np.uint8]:
    """(h, w, 3) uint8 BGR.

    Raises:
        NotMeasurable: the stored file cannot be read any more.
    """
    with photo.picture.open("rb") as file:
        pixels = cv2.imdecode(np.frombuffer(file.read(), np.uint8), cv2.IMREAD_COLOR)
    if pixels is None:
        raise NotMeasurable("The photograph's file is damaged. Add the photograph again.")
    return np.asarray(pixels)


def view_of(photo: Photo) -> View:
    return View(photo.width_px, photo.height_px)


def fit_of(photo: Photo) -> Fit:
    """The stored fit of a measured photograph."""
    return Fit(
        view=view_of(photo),
        camera=np.array(photo.camera, float),
        covariance=np.array(photo.covariance, float),
        poses=np.empty((0, 3)),
        misfit_px=photo.misfit_px or 0.0,
    )


def depths_of_rivals(marks: Iterable[PhotoMark]) -> dict[int, float]:
    """The depths on record of all works that some marks may be as well [mm], by their numbers; one query."""
    wanted = {pk for mark in marks for pk in mark.rivals}
    return dict(Artwork.objects.filter(pk__in=wanted).values_list("pk", "depth_mm")) if wanted else {}


def relief_of(mark: PhotoMark, depths: Mapping[int, float]) -> Relief:
    """How a mark stands off the plane: as the picture shows it, at the depth on record where that is known.

    depths : of the works that it may be as well [mm], as `depths_of_rivals` has them
    """
    if mark.kind != "work":
        return FLAT
    seen = Relief()
    if mark.relief:
        kept = mark.relief
        faced, spread = tuple(kept["faced"]), tuple(kept["spread_mm"])
        seen = Relief(kept["mm"], kept["sd_mm"], faced, spread, kept["by_picture"])
    if mark.artwork is None:
        return seen
    depth_mm = shared_depth((mark.artwork.depth_mm, *(depths[pk] for pk in mark.rivals if pk in depths)))
    return seen.recorded(depth_mm) if depth_mm else seen


def shared_depth(depths_mm: Sequence[float]) -> float:
    """The depth of a work that is one of several, where all are about as deep; else 0, as if it were unknown."""
    alike = min(depths_mm) > 0 and max(depths_mm) - min(depths_mm) <= 2 * RECORDED_SD_MM
    return sum(depths_mm) / len(depths_mm) if alike else 0.0


def fit_on_wall(photo: Photo) -> Fit:
    """The stored fit with the wall's own coordinates for its plane.

    Raises:
        NotMeasurable: nobody has said yet where the wall is in the picture.
    """
    return _level(photo).fit_on_wall(fit_of(photo))


def known_of(photo: Photo, marks: Iterable[PhotoMark] | None = None) -> list[KnownRectangle]:
    """What is known of sizes in the picture beside the card: the reference, and what was taped."""
    known = []
    if photo.reference:
        corners = np.array(photo.reference["corners"], float)
        known.append(KnownRectangle(corners, photo.reference["width"], photo.reference["height"]))
    for mark in photo.marks.all() if marks is None else marks:
        if mark.taped_width_mm and mark.taped_height_mm and mark.state == MarkState.ACCEPTED:
            corners = np.array(mark.corners_px, float)
            known.append(KnownRectangle(corners, mark.taped_width_mm, mark.taped_height_mm, max(mark.sigma_px, 0.5)))
    return known


def resolved(photo: Photo, marks: Iterable[PhotoMark]) -> Fit:
    """The photograph solved by its cards, its known sizes, and every mark's being a rectangle."""
    marks = list(marks)
    cards = [
        SeenCard(Card(card["paper"], card["number"]), tuple(card["places"]), np.array(card["pixels"], float))
        for card in photo.cards
    ]
    free = [
        mark
        for mark in marks
        # What was moved by hand is no exact rectangle: nothing about the camera follows from it.
        if mark.found and mark.state != MarkState.REFUSED and not mark.taped_width_mm and mark.sigma_px < HAND_SIGMA_PX
    ]
    return fit_photo(
        view_of(photo),
        cards,
        known_of(photo, marks),
        [np.array(mark.corners_px, float) for mark in free],
        sigmas_px=[mark.sigma_px for mark in free],
        taped=_wall_length(photo),
        focal_ratio=photo.focal_ratio,
        ruler_mm=photo.ruler_mm,
    )


def _wall_length(photo: Photo) -> list[Figure]:
    """The surveyed length between the wall's corners, where both are marked."""
    if not photo.level or "left_px" not in photo.level:
        return []
    ends = np.array([photo.level["left_px"], photo.level["right_px"]], float)
    return [taped_length("The wall between its corners", ends, photo.wall.length_mm)]


def on_wall(photo: Photo, plane: Array) -> Array:
    """(n, 2) mm of the photograph's plane to (n, 2) mm of the wall.

    Raises:
        NotMeasurable: nobody has said yet where the wall is in the picture.
    """
    return _level(photo).on_wall(plane)


def cards_on_wall(photo: Photo) -> list[Array]:
    """The pages of the cards that were read: (4, 2) mm of the wall each, top left, then clockwise.

    Raises:
        NotMeasurable: nobody has said yet where the wall is in the picture.
    """
    fit, found = fit_of(photo), []
    for one in photo.cards:
        card = Card(one["paper"], one["number"])
        own = np.concatenate([card.marker_corners()[place] for place in one["places"]])
        to_plane, _ = cv2.findHomography(own, fit.to_plane(np.array(one["pixels"], float).reshape(-1, 2)), 0)
        width, height = card.size
        page = np.array([[(0.0, height), (width, height), (width, 0.0), (0.0, 0.0)]])
        found.append(on_wall(photo, cv2.perspectiveTransform(page, to_plane)[0]))
    return found


def _level(photo: Photo) -> Level:
    if not photo.level:
        raise NotMeasurable("Mark the wall's two lower corners first, or where the card is on the wall.")
    return Level(photo.level["x"], photo.level["y"], photo.level["turn"])


def measured_marks(photo: Photo, *, accepted: bool = True) -> list[Measured]:
    """Marks in the wall's coordinates, from left to right."""
    marks = photo.marks.select_related("artwork")
    if accepted:
        marks = marks.filter(state=MarkState.ACCEPTED)
    found = [measured(photo, mark) for mark in marks]
    return sorted(found, key=lambda measured: (measured.rect.left, measured.rect.bottom))


def measured(photo: Photo, mark: PhotoMark) -> Measured:
    corners = on_wall(photo, np.array(mark.corners_mm, float))
    width, height = quads.size(corners)
    x, y = corners.mean(axis=0)
    rect = Rect(float(x) - width / 2, float(y) - height / 2, width, height)
    left, right = float(corners[0, 1]), float(corners[1, 1])
    return Measured(mark, rect, left, right, mark.wall_error_mm or 0.0, mark.middle_error_mm or 0.0)


@dataclass(frozen=True, slots=True)
class AsHungMark:
    """A planned piece as the photograph shows it. `conclusive` is False where the photograph is too coarse to say."""

    placement: Placement
    measured: Measured
    compared: AsHung
    conclusive: bool
    stated: str

    @property
    def text(self) -> str:
        if not self.conclusive:
            return (
                f"this photograph is too coarse, it measures to {self.stated}: take it from nearer, or tape this piece"
            )
        return f"{'; '.join(self.compared.faults)} (± {self.stated})" if self.compared.faults else "within tolerance"


def as_hung(photo: Photo, revision: Revision, words: Words) -> list[AsHungMark]:
    """Each accepted piece against the plan, with direction and amount.

    A fault no larger than the photograph's own error beyond the tolerance is not claimed.

    Raises:
        NotMeasurable: nobody has said yet where the wall is in the picture.
    """
    planned = revision.placements.filter(wall=photo.wall).select_related("artwork")
    return compared_marks(measured_marks(photo), planned, words, tolerances_of(revision))


def compared_marks(
    marks: Iterable[Measured], planned: Iterable[Placement], words: Words, tolerances: Tolerances
) -> list[AsHungMark]:
    """The marks that are planned works, each against its plan."""
    plan_of: dict[int | None, Placement] = {placement.artwork_id: placement for placement in planned}
    found = []
    for measured in marks:
        placement = plan_of.get(measured.mark.artwork_id)
        if placement is None:
            continue
        work = placement.artwork
        plan = Rect(placement.left_mm, placement.bottom_mm, work.width_mm, work.height_mm)
        # By the middle and the true size: the four corners' errors partly cancel there.
        left = measured.rect.centre_x - work.width_mm / 2
        top = measured.rect.centre_y + work.height_mm / 2
        tilt = measured.top_right - measured.top_left
        compared = compare(plan, left, top - tilt / 2, top + tilt / 2, tolerances=tolerances, words=words)
        off = max(abs(compared.right), abs(compared.up))
        error, most = measured.middle_error_mm, tolerances.place
        conclusive = error <= most or off > most + error
        found.append(AsHungMark(placement, measured, compared, conclusive, words.length(measured.middle_error_mm)))
    return found
