"""The reference card: a printed page with four markers of exactly known size and place.

The markers are ArUco, dictionary DICT_4X4_50 (Garrido-Jurado et al., Pattern Recognition 47(6), 2014, 2280-2292,
as published in OpenCV's `objdetect` module). Six cards of each paper carry different markers, so that several may lie
in one picture.
Card coordinates: millimetres from the page's lower left corner, x right, y up.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
import numpy.typing as npt

from .edges import refine_quad
from .errors import CardNotFound

Array = npt.NDArray[np.float64]
MARKER_MM = 50.0
MARGIN_MM = 17.0
RULER_MM = 100.0
CARDS_A_PAPER = 6
MODULES = 6  # 4 x 4 bits within a border of one module
PAPERS = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}


@dataclass(frozen=True, slots=True)
class Card:
    """One card: its paper and its number from 1."""

    paper: str
    number: int

    @property
    def size(self) -> tuple[float, float]:
        return PAPERS[self.paper]

    @property
    def marker_ids(self) -> tuple[int, int, int, int]:
        """Markers at top left, top right, bottom right, bottom left."""
        first = 4 * (list(PAPERS).index(self.paper) * CARDS_A_PAPER + self.number - 1)
        return first, first + 1, first + 2, first + 3

    def marker_corners(self) -> Array:
        """Corners of the four markers.

        Returns:
            corners_mm : (4, 4, 2) float [mm]; by marker, then top left, top right, bottom right, bottom left.
        """
        width, height = self.size
        left, right = MARGIN_MM, width - MARGIN_MM - MARKER_MM
        bottom, top = MARGIN_MM, height - MARGIN_MM - MARKER_MM
        unit = np.array([(0, 1), (1, 1), (1, 0), (0, 0)], float) * MARKER_MM
        return np.array([unit + at for at in ((left, top), (right, top), (right, bottom), (left, bottom))])


def card_of_marker(marker_id: int) -> tuple[Card, int] | None:
    """The card that carries a marker, and the marker's place on it (0 to 3); None for a marker that is not ours."""
    index, place = divmod(marker_id, 4)
    papers = list(PAPERS)
    if not 0 <= index < CARDS_A_PAPER * len(papers):
        return None
    return Card(papers[index // CARDS_A_PAPER], index % CARDS_A_PAPER + 1), place


@cache
def dictionary() -> cv2.aruco.Dictionary:
    return cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)


def marker_modules(marker_id: int) -> npt.NDArray[np.bool_]:
    """The marker as printed: (6, 6) bool, True where it is white."""
    return np.asarray(cv2.aruco.generateImageMarker(dictionary(), marker_id, MODULES) > 127)


@dataclass(frozen=True, slots=True)
class SeenCard:
    """A card in a picture: which markers were read and where their corners are.

    places : (m,) markers' places on the card; pixels : (m, 4, 2) float [px].
    """

    card: Card
    places: tuple[int, ...]
    pixels: Array

    def plane_corners(self) -> Array:
        """(m, 4, 2) float [mm], card coordinates of the corners seen."""
        return self.card.marker_corners()[list(self.places)]


def find_cards(pixels: npt.NDArray[np.uint8]) -> list[SeenCard]:
    """Every card of which at least two markers can be read, the best read first.

    Args:
        pixels : (h, w, 3) uint8, BGR.

    Raises:
        CardNotFound: with advice, when there is none.
    """
    grey = np.asarray(cv2.cvtColor(pixels, cv2.COLOR_BGR2GRAY), np.uint8)
    parameters = cv2.aruco.DetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    parameters.adaptiveThreshWinSizeMax = 53
    parameters.adaptiveThreshWinSizeStep = 10
    parameters.minMarkerPerimeterRate = 0.01
    corners, ids, _ = cv2.aruco.ArucoDetector(dictionary(), parameters).detectMarkers(grey)
    found: dict[Card, dict[int, Array]] = {}
    for quad, marker_id in zip(corners, () if ids is None else ids.ravel(), strict=True):
        known = card_of_marker(int(marker_id))
        if known:
            card, place = known
            found.setdefault(card, {})[place] = _refine(grey, np.asarray(quad, float).reshape(4, 2))
    seen = [
        SeenCard(card, tuple(sorted(places)), np.array([places[place] for place in sorted(places)]))
        for card, places in found.items()
        if len(places) >= 2
    ]
    if not seen:
        raise CardNotFound(
            "The reference card cannot be read in this picture. Lay it flat beside the pieces with all four markers "
            "in view, out of glare and shadow, and take the picture again from nearer or straighter on."
        )
    return sorted(seen, key=lambda card: (-len(card.places), card.card.paper, card.card.number))


def _refine(grey: npt.NDArray[np.uint8], quad: Array) -> Array:
    """Corners to subpixel accuracy: lines fitted to the four edges' strongest gradients, then intersected."""
    refined = refine_quad(grey, quad)
    return quad if refined is None else refined.corners
