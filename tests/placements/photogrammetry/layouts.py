"""Random layouts of pieces about a card, photographed: the trials that the measuring bars are judged on."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from placements.photogrammetry.camera import View
from placements.photogrammetry.card import Card
from placements.photogrammetry.errors import CardNotFound
from placements.photogrammetry.reading import read_photo
from placements.photogrammetry.solve import plus_minus

from .synthetic import Piece, Shot, camera_at, render

CARD = Card("letter", 1)
CARD_AT = np.array([-108.0, -140.0])
#: Outer sizes of common ready-made frames in inches (5 x 7 to 24 x 30), common practice, no source.
SIZES_IN = ((5, 7), (8, 10), (11, 14), (16, 20), (12, 12), (20, 24), (9, 12), (24, 30))
FRAMES = ((40, 38, 36), (230, 232, 235), (70, 110, 150), (150, 190, 205), (90, 90, 60))
VIEW = View(4000, 3000)  # twelve megapixels
HALF_LAYOUT_MM = 914.4  # six feet across


@dataclass(frozen=True)
class Trial:
    """One photograph measured. `errors` and `stated` are per corner [mm], of the frames found."""

    card_found: bool
    pieces: int = 0
    found: int = 0
    invented: int = 0
    errors: tuple[float, ...] = ()
    stated: tuple[float, ...] = ()


def layout(rng: np.random.Generator, count: int = 7) -> list[Piece]:
    """Pieces laid out within six feet, clear of the card and of one another."""
    taken = [(-130.0, -165.0, 130.0, 165.0)]
    pieces: list[Piece] = []
    for _ in range(400):
        if len(pieces) == count:
            break
        sides = np.array(SIZES_IN[rng.integers(len(SIZES_IN))]) * 25.4
        width, height = sides if rng.random() < 0.5 else sides[::-1]
        x = rng.uniform(-HALF_LAYOUT_MM + width / 2, HALF_LAYOUT_MM - width / 2)
        y = rng.uniform(-700 + height / 2, 700 - height / 2)
        box = (x - width / 2 - 45, y - height / 2 - 45, x + width / 2 + 45, y + height / 2 + 45)
        if any(box[0] < t[2] and t[0] < box[2] and box[1] < t[3] and t[1] < box[3] for t in taken):
            continue
        taken.append(box)
        tone = tuple(int(value) for value in rng.integers(40, 200, 3))
        frame = FRAMES[rng.integers(len(FRAMES))]
        pieces.append(Piece(x, y, width, height, rng.uniform(-0.03, 0.03), frame=frame, picture=tone))
    return pieces


def photograph(seed: int, *, textured: bool = False, view: View = VIEW) -> tuple[Shot, list[Piece], float]:
    """A layout seen by a camera tilted by up to 35 degrees with mild barrel distortion, and the card's turn [rad]."""
    rng = np.random.default_rng(seed)
    camera = camera_at(rng, view, (0, 0), 1000)
    pieces, turn = layout(rng), rng.uniform(-0.1, 0.1)
    shot = render(
        rng,
        view,
        camera,
        window=(-1700, -1500, 1700, 1500),
        pieces=pieces,
        cards=[(CARD, *CARD_AT, turn)],
        textured=textured,
        resolution=1.5,
    )
    return shot, pieces, turn


def trial(seed: int, *, textured: bool = False, view: View = VIEW) -> Trial:
    """Photograph a layout, measure it, and set it against the truth."""
    shot, pieces, turn = photograph(seed, textured=textured, view=view)
    try:
        reading = read_photo(shot.pixels, ruler_mm=100.0)
    except CardNotFound:
        return Trial(False, len(pieces))
    # What is painted in the plane is known to be flat.
    lab = np.asarray(cv2.cvtColor(shot.pixels, cv2.COLOR_BGR2LAB), np.uint8)
    candidates = [candidate.in_relief(lab, reading.fit, 0.0) for candidate in reading.candidates]
    back = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    used: set[int] = set()
    errors: list[float] = []
    stated: list[float] = []
    for piece in pieces:
        seen = shot.view.project(shot.camera, piece.corners())
        near = [float(np.abs(candidate.pixels - seen).max()) for candidate in candidates]
        best = int(np.argmin(near)) if near else -1
        if best < 0 or near[best] > 12:
            continue
        used.add(best)
        plane, covariance = candidates[best].plane, candidates[best].covariance
        errors += np.hypot(*(plane - (piece.corners() - CARD_AT) @ back).T).tolist()
        stated += plus_minus(covariance).tolist()
    return Trial(True, len(pieces), len(used), len(candidates) - len(used), tuple(errors), tuple(stated))
