"""Which work each rectangle is: by size within the stated error, and by the colours of its picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt
from scipy.optimize import linear_sum_assignment

from placements.engine.colour import Lab, dominant_colours, palette_distance
from placements.engine.house import Work

from .frames import Candidate
from .solve import Fit, plus_minus

Array = npt.NDArray[np.float64]

#: How far a work's recorded size may be from the real one (one standard deviation): recorded to the half inch at worst.
RECORDED_MM = 4.0
#: A size this many standard deviations off is another piece.
TOO_FAR = 3.5
#: Palettes this far apart (mean CIEDE2000) are as unlikely as a size one standard deviation off.
PALETTE_SD = 14.0
#: Two works this near in cost cannot be distinguished.
TIE = 1.0


@dataclass(frozen=True, slots=True)
class Match:
    """A rectangle and the work it may be. `sure` is False where another work would fit nearly as well."""

    candidate: int
    work: str
    cost: float
    sure: bool
    rivals: tuple[str, ...] = ()


def match(
    candidates: Sequence[Candidate],
    works: Sequence[Work],
    palettes: Sequence[Sequence[Lab]] | None = None,
) -> list[Match]:
    """Pair rectangles with works, each at most once, at the least total unlikeliness.

    Args:
        candidates: rectangles found or drawn.
        works: the works that may be there.
        palettes: dominant colours of each candidate's picture, where they could be seen (see `picture_palette`).

    Returns:
        Matches in the candidates' order; rectangles that are no known work are left out.
    """
    if not candidates or not works:
        return []
    cost = np.array(
        [
            [_unlikeliness(candidate, work, palettes[index] if palettes else ()) for work in works]
            for index, candidate in enumerate(candidates)
        ]
    )
    limit = TOO_FAR**2
    padded = np.concatenate([np.minimum(cost, 10 * limit), np.full((len(candidates), len(candidates)), limit)], axis=1)
    rows, columns = linear_sum_assignment(padded)
    matches = []
    for row, column in zip(rows, columns, strict=True):
        if column >= len(works) or cost[row, column] > limit:
            continue
        rivals = tuple(
            work.id
            for index, work in enumerate(works)
            if index != column and cost[row, index] < cost[row, column] + TIE
        )
        matches.append(Match(int(row), works[column].id, float(cost[row, column]), not rivals, rivals))
    return matches


def _unlikeliness(candidate: Candidate, work: Work, palette: Sequence[Lab]) -> float:
    error = float(plus_minus(candidate.covariance).max()) / 2.5
    sd = float(np.hypot(error * np.sqrt(2), RECORDED_MM))
    size = ((candidate.width - work.width) / sd) ** 2 + ((candidate.height - work.height) / sd) ** 2
    apart = palette_distance(palette, work.palette_lab) if len(palette) and work.palette_lab else None
    return size + ((apart / PALETTE_SD) ** 2 if apart is not None else 1.0)


def picture_palette(pixels: npt.NDArray[np.uint8], fit: Fit, candidate: Candidate, colours: int = 5) -> list[Lab]:
    """Dominant colours of the middle of a rectangle."""
    picture = rectified(pixels, fit, candidate.plane, side=96)
    height, width = picture.shape[:2]
    inner = picture[height // 5 : height - height // 5, width // 5 : width - width // 5, ::-1]
    return dominant_colours(inner, colours)


def rectified(pixels: npt.NDArray[np.uint8], fit: Fit, plane: Array, side: int) -> npt.NDArray[np.uint8]:
    """The picture within a rectangle of the plane, seen straight on; its longer side `side` pixels (BGR).

    Args:
        plane : (4, 2) float [mm], top left, top right, bottom right, bottom left.
    """
    width, height = np.hypot(*(plane[1] - plane[0])), np.hypot(*(plane[3] - plane[0]))
    scale = side / max(width, height)
    columns, rows = max(2, round(width * scale)), max(2, round(height * scale))
    across, down = np.meshgrid((np.arange(columns) + 0.5) / columns, (np.arange(rows) + 0.5) / rows)
    grid = plane[0] + across[..., None] * (plane[1] - plane[0]) + down[..., None] * (plane[3] - plane[0])
    at = fit.to_pixels(grid.reshape(-1, 2)).reshape(rows, columns, 2).astype(np.float32)
    return np.asarray(cv2.remap(pixels, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE))
