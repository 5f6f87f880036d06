"""One photograph read from end to end: cards, camera, frames, all with their stated errors."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from .camera import View
from .card import RULER_MM, SeenCard, find_cards
from .errors import CardNotFound, NotMeasurable
from .frames import Candidate, find_frames
from .level import HAND_SIGMA_PX
from .solve import SCALE_SD, Figure, Fit, propagate, solve

Array = npt.NDArray[np.float64]

#: The printed scale while nobody has taped the card's ruler: printers fit pages to paper by up to a few percent.
UNCHECKED_SCALE_SD = 0.01
#: A tape read by hand (one standard deviation), and its share over longer runs.
TAPE_SD_MM = 1.0
TAPE_SD_SHARE = 0.0005
#: A tape's reading this many standard deviations off is a slip.
MOST_SURPRISE = 4.0
#: Misfit beyond which the card was not flat or not read right.
MOST_MISFIT_PX = 1.5


@dataclass(frozen=True, slots=True)
class KnownRectangle:
    """A rectangle of known size marked by its corners: top left, top right, bottom right, bottom left.

    pixels : (4, 2) float [px]; width, height in mm; sigma_px: how well it is marked.
    """

    pixels: Array
    width: float
    height: float
    sigma_px: float = HAND_SIGMA_PX

    def figure(self) -> Figure:
        own = np.array([(0, self.height), (self.width, self.height), (self.width, 0), (0, 0)], float)
        return Figure(own, np.asarray(self.pixels, float), self.sigma_px)

    def taped(self) -> Figure:
        """The same beside something else that is measured from."""
        return replace(self.figure(), taped=True, name="A side of the rectangle").blurred(TAPE_SD_MM)


def taped_length(name: str, ends: Array, true: float) -> Figure:
    """A length measured by tape, such as the wall's.

    Args:
        ends : (2, 2) float [px], marked by hand, `true` mm apart.
    """
    figure = Figure(np.array([(0.0, 0.0), (true, 0.0)]), np.asarray(ends, float), HAND_SIGMA_PX, taped=True, name=name)
    return figure.blurred(float(np.hypot(TAPE_SD_MM, TAPE_SD_SHARE * true)))


@dataclass(frozen=True)
class Reading:
    """What a photograph offers. Plane coordinates are the first card's (or the first known rectangle's)."""

    fit: Fit
    cards: tuple[SeenCard, ...]
    candidates: tuple[Candidate, ...]


def read_photo(
    pixels: npt.NDArray[np.uint8],
    *,
    focal_ratio: float | None = None,
    ruler_mm: float | None = None,
    known: Sequence[KnownRectangle] = (),
    search: bool = True,
    progress: Callable[[float], None] | None = None,
) -> Reading:
    """Measure a photograph.

    Args:
        pixels : (h, w, 3) uint8 BGR.
        focal_ratio: focal length over the long side, where the file gives it.
        ruler_mm: the card's printed 100 mm ruler as taped on the print; unchecked, the stated error is wider.
        known: rectangles of known size; without a card in the picture the first of them is measured from.
        search: whether to look for frames.
        progress: called with the share done, 0 to 1.

    Raises:
        CardNotFound: no card can be read and no rectangle of known size was marked.
        NotMeasurable: the card is not flat or the marks contradict one another.
    """
    report = progress or _unreported
    view = View(pixels.shape[1], pixels.shape[0])
    cards = _cards(pixels, needed=not known)
    report(0.2)
    fit = fit_photo(view, cards, known, focal_ratio=focal_ratio, ruler_mm=ruler_mm)
    if cards and fit.misfit_px > MOST_MISFIT_PX:
        raise NotMeasurable(
            "The card does not lie flat in the plane, or another card is in view that does not. Lay it flat and take "
            "the picture again."
        )
    report(0.35)
    candidates: list[Candidate] = []
    if search:
        candidates = find_frames(pixels, fit, [_outline(fit, card) for card in cards[:1]])
        report(0.9)
        if candidates:
            frames, sigmas = (
                [candidate.pixels for candidate in candidates],
                [candidate.sigma_px for candidate in candidates],
            )
            fit = fit_photo(view, cards, known, frames, sigmas_px=sigmas, focal_ratio=focal_ratio, ruler_mm=ruler_mm)
            lab = np.asarray(cv2.cvtColor(pixels, cv2.COLOR_BGR2LAB), np.uint8)
            candidates = [candidate.in_relief(lab, fit) for candidate in candidates]
    report(1.0)
    return Reading(fit, tuple(cards), tuple(candidates))


def fit_photo(
    view: View,
    cards: Sequence[SeenCard],
    known: Sequence[KnownRectangle],
    rectangles: Sequence[Array] = (),
    *,
    sigmas_px: Sequence[float] = (),
    taped: Sequence[Figure] = (),
    focal_ratio: float | None = None,
    ruler_mm: float | None = None,
) -> Fit:
    """Solve a photograph by its cards, else by the first known rectangle; what else was taped corrects the scale.

    Args:
        rectangles: (4, 2) float [px] corners of things that are rectangles of unknown size.
        sigmas_px: how well each of them is seen, where that is known.
        taped: other lengths measured by tape, such as the wall's length.

    Raises:
        NotMeasurable: nothing to measure from, or what was taped contradicts it.
    """
    figures = [card_figure(card, ruler_mm) for card in cards] or [rectangle.figure() for rectangle in known[:1]]
    beside = known if cards else known[1:]
    beside_it = [*(rectangle.taped() for rectangle in beside), *taped]
    spread = scale_sd(by_card=bool(cards), ruler_mm=ruler_mm)
    given: dict[str, Any] = {"sigmas_px": sigmas_px, "focal_ratio": focal_ratio, "scale_sd": spread}
    fit = solve(view, figures, rectangles, **given)
    if not beside_it:
        return fit
    for figure in beside_it:
        _expect_agreement(fit, figure)
    return solve(view, [*figures, *beside_it], rectangles, **given)


def _expect_agreement(fit: Fit, taped: Figure) -> None:
    """A tape's slip must not bend the camera: what was taped has to agree with what is seen without it."""
    starts = np.arange(len(taped.own) if len(taped.own) > 2 else 1)
    ends = (starts + 1) % len(taped.own)

    def sides(camera: Array, pixels: Array) -> Array:
        plane = fit.view.to_plane(camera, pixels)
        return np.asarray(np.hypot(*(plane[ends] - plane[starts]).T))

    seen, true = sides(fit.camera, taped.pixels), np.hypot(*(taped.own[ends] - taped.own[starts]).T)
    spread = np.sqrt(np.diag(propagate(fit, sides, taped.pixels, np.full(len(taped.pixels), taped.sigma_px))))
    surprise = np.abs(seen - true) / spread
    worst = int(np.argmax(np.nan_to_num(surprise, nan=np.inf)))
    if not surprise[worst] <= MOST_SURPRISE:
        raise NotMeasurable(
            f"{taped.name} is {{true}} by tape and {{seen}} in the photograph: more apart than its error explains. "
            "Tape it again, check where it is marked, and check that it lies in the same plane as what is measured "
            "from.",
            true=float(true[worst]),
            seen=float(seen[worst]),
        )


def scale_sd(*, by_card: bool, ruler_mm: float | None) -> float:
    """Relative uncertainty of the scale: a card's print is unchecked until its ruler was taped."""
    return UNCHECKED_SCALE_SD if by_card and not ruler_mm else SCALE_SD


def _unreported(_share: float) -> None:
    """Nobody asked for progress."""


def _cards(pixels: npt.NDArray[np.uint8], *, needed: bool) -> list[SeenCard]:
    try:
        return find_cards(pixels)
    except CardNotFound:
        if needed:
            raise
        return []


def card_figure(card: SeenCard, ruler_mm: float | None) -> Figure:
    """A card as a figure of known size, by its ruler where that was taped."""
    scale = (ruler_mm or RULER_MM) / RULER_MM
    return Figure(card.plane_corners().reshape(-1, 2) * scale, card.pixels.reshape(-1, 2))


def _outline(fit: Fit, card: SeenCard) -> Array:
    width, height = card.card.size
    return fit.to_pixels(np.array([(0, height), (width, height), (width, 0), (0, 0)], float))
