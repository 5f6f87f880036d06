"""Photographs of a wall whose every millimetre is known, and the rows to measure them for."""

from __future__ import annotations

import copy
import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from typing import Any
from unittest import mock

import cv2
import numpy as np

from placements.models import Photo, PhotoMark, RunState
from placements.photogrammetry.camera import View
from placements.photogrammetry.card import Card
from placements.photogrammetry.reading import Reading, read_photo
from placements.services.photos import measuring
from placements.services.photos import photo as services
from placements.services.photos.measuring import photo_work
from studio.models import Artwork, User, Wall
from tests.factories import ArtworkFactory, ProjectFactory, WallFactory
from tests.placements.photogrammetry.synthetic import Piece, Shot, camera_at, render

LENGTH_MM, HEIGHT_MM = 3000.0, 2400.0
VIEW = View(2800, 2100)
CARD = Card("letter", 1)
CARD_LEFT_MM, CARD_BOTTOM_MM = 1390.0, 820.0
#: Two frames and a chest: middle and size on the wall [mm].
PRINTS = ((900.0, 1500.0, 406.4, 508.0), (2150.0, 1500.0, 609.6, 457.2))
#: The prints are painted on the wall: they are as thin as paper.
DEPTH_MM = 0.2
CHEST = (1500.0, 300.0, 1200.0, 600.0)


@dataclass(frozen=True)
class Snapshot:
    """A photograph as a phone sends it, and where wall points appear in it."""

    jpeg: bytes
    shot: Shot
    pieces: tuple[Piece, ...] = field(default=())

    def at(self, *points: tuple[float, float]) -> list[list[float]]:
        return self.shot.view.project(self.shot.camera, np.array(points, float)).tolist()

    def corners(self, piece: Piece) -> list[list[float]]:
        return self.at(*piece.corners().tolist())


def piece(x: float, y: float, width: float, height: float, **tones: tuple[int, int, int]) -> Piece:
    return Piece(x, y, width, height, **tones)


@cache
def snapshot(
    *, card: bool = True, shift: tuple[float, float] = (0.0, 0.0), near: bool = False, seed: int = 5
) -> Snapshot:
    """The wall with its two prints and its chest; `shift` moves the prints from their places [mm].

    `near` is taken from nearer: the first print and the card fill the picture, the wall's ends are not in it.
    """
    rng = np.random.default_rng(seed)
    middle, reach = ((1150.0, 1280.0), 560.0) if near else ((1500.0, 1150.0), 1180.0)
    camera = camera_at(rng, VIEW, middle, reach, tilt_deg=14, distortion=0.03)
    pieces = [
        *(
            piece(x + shift[0], y + shift[1], width, height, picture=tone)
            for (x, y, width, height), tone in zip(PRINTS, ((160, 90, 60), (60, 120, 170)), strict=True)
        ),
        piece(*CHEST, frame=(70, 100, 140), mat=(74, 106, 146), picture=(78, 110, 150)),
    ]
    shot = render(
        rng,
        VIEW,
        camera,
        window=(-900, -900, 3900, 3300),
        pieces=pieces,
        cards=[(CARD, CARD_LEFT_MM, CARD_BOTTOM_MM, 0.0)] if card else [],
        resolution=1.2,
    )
    jpeg = cv2.imencode(".jpg", shot.pixels, [cv2.IMWRITE_JPEG_QUALITY, 90])[1].tobytes()
    return Snapshot(jpeg, shot, tuple(pieces))


@dataclass(frozen=True)
class Measuring:
    """A studio's wall with its two prints in the inventory."""

    by: User
    wall: Wall
    works: tuple[Artwork, Artwork]

    def add(self, content: bytes, purpose: str = "survey", **more: float) -> Photo:
        return services.photo_add(by=self.by, wall=self.wall, purpose=purpose, content=content, **more)

    def measure(self, content: bytes, purpose: str = "survey", ruler_mm: float | None = 100.0) -> Photo:
        photo_id = self.add(content, purpose, ruler_mm=ruler_mm).pk
        with mock.patch.object(measuring, "read_photo", read_once):
            photo = photo_work(photo_id=photo_id)
        assert photo is not None
        assert photo.state == RunState.READY, photo.error
        return photo


_read: dict[str, Reading] = {}


def read_once(pixels: np.ndarray, *, progress: Callable[[float], None], **more: Any) -> Reading:
    """The same photograph, with the same known of it, reads the same each time: so it is read once in a process."""
    key = f"{hashlib.sha256(pixels.tobytes()).hexdigest()} {more}"
    if key not in _read:
        _read[key] = read_photo(pixels, progress=progress, **more)
    progress(1.0)
    return copy.deepcopy(_read[key])


def make_measuring(cast) -> Measuring:
    project = ProjectFactory(client__studio=cast.studio)
    wall = WallFactory(room__project=project, length_mm=LENGTH_MM, height_mm=HEIGHT_MM)
    works = tuple(
        ArtworkFactory(
            client=project.client, title=title, width_mm=width, height_mm=height, depth_mm=DEPTH_MM, hang_kind=""
        )
        for title, (_, _, width, height) in zip(("Tide table", "Slack water"), PRINTS, strict=True)
    )
    return Measuring(cast.designer, wall, works)


def levelled(site: Measuring, photo: Photo, snap: Snapshot) -> Photo:
    """The wall's two lower corners marked."""
    left, right = snap.at((0, 0), (LENGTH_MM, 0))
    return services.photo_level(by=site.by, photo=photo, left_px=left, right_px=right)


def mark_over(photo: Photo, snap: Snapshot, piece: Piece) -> PhotoMark:
    """The mark that lies over a piece."""
    middle = np.mean(snap.corners(piece), axis=0)
    return min(photo.marks.all(), key=lambda mark: np.hypot(*(np.mean(mark.corners_px, axis=0) - middle)))
