"""Photographs rendered with a known camera: what every measurement is judged against."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from placements.photogrammetry.camera import View
from placements.photogrammetry.card import Card, marker_modules

PIXELS_A_MM = 2.0
STEP = 4  # the map from the photograph to the plane is worked out at every so many pixels
BAND = 64  # rows of the photograph that are worked on at a time: they stay in the processor's cache
INK, PAPER = 28, 238


@dataclass(frozen=True)
class Piece:
    """A framed piece lying in the plane: centre [mm], size [mm], turn [rad], frame and picture tones (BGR)."""

    x: float
    y: float
    width: float
    height: float
    turn: float = 0.0
    frame: tuple[int, int, int] = (40, 38, 36)
    mat: tuple[int, int, int] = (225, 232, 236)
    picture: tuple[int, int, int] = (120, 140, 90)

    def corners(self) -> np.ndarray:
        """(4, 2) mm: top left, top right, bottom right, bottom left."""
        w, h = self.width / 2, self.height / 2
        own = np.array([(-w, h), (w, h), (w, -h), (-w, -h)])
        c, s = np.cos(self.turn), np.sin(self.turn)
        return own @ np.array([[c, s], [-s, c]]) + (self.x, self.y)


@dataclass(frozen=True)
class Shot:
    """A rendered photo with its truth: `view.project(camera, mm)` is where a plane point appears."""

    pixels: np.ndarray
    view: View
    camera: np.ndarray


def camera_at(
    rng: np.random.Generator,
    view: View,
    target: tuple[float, float],
    reach: float,
    *,
    tilt_deg: float = 35.0,
    distortion: float = 0.05,
    focal_ratio: float = 0.78,
) -> np.ndarray:
    """A camera that sees a disc of radius `reach` [mm] about `target`, tilted by up to `tilt_deg`."""
    tilt = np.radians(rng.uniform(0, tilt_deg))
    way = rng.uniform(0, 2 * np.pi)
    look = np.array([np.sin(tilt) * np.cos(way), np.sin(tilt) * np.sin(way), np.cos(tilt)])
    half = 0.5 * min(view.width, view.height) / view.scale / focal_ratio
    distance = reach / half * 1.12 + reach * np.sin(tilt)
    eye = np.array([*target, 0.0]) + look * distance
    forward = -look
    roll = np.radians(rng.uniform(-6, 6))
    down = np.array([np.sin(roll), -np.cos(roll), 0.0])
    right = np.cross(down, forward)
    right /= np.linalg.norm(right)
    down = np.cross(forward, right)
    rotation = np.stack([right, down, forward])
    return np.concatenate(
        [cv2.Rodrigues(rotation)[0].ravel(), -rotation @ eye, [np.log(focal_ratio)], [rng.uniform(-distortion, 0.01)]]
    )


def render(
    rng: np.random.Generator,
    view: View,
    camera: np.ndarray,
    *,
    window: tuple[float, float, float, float],
    pieces: list[Piece] = (),
    cards: list[tuple[Card, float, float, float]] = (),
    textured: bool = False,
    noise: float = 3.0,
    quality: int = 80,
    resolution: float = PIXELS_A_MM,
) -> Shot:
    """Paint the plane, look at it through the camera, light it unevenly, add noise, and store it as JPEG.

    window : left, bottom, right, top of the painted plane [mm]; cards : (card, x, y, turn) of its lower left corner.
    """
    left, bottom, right, top = window
    width, height = int((right - left) * resolution), int((top - bottom) * resolution)
    base = np.full((height, width, 3), (188, 197, 203), np.uint8)
    if textured:
        _grain(rng, base, resolution)

    canvas = _Canvas(base, left, top, resolution)
    if pieces:
        _shade(canvas, pieces)
    for piece in pieces:
        for inset, tone in ((0, piece.frame), (22, piece.mat), (70, piece.picture)):
            if 2.2 * inset < min(piece.width, piece.height):
                canvas.rectangle(_inset(piece, inset), tone)
    for card, x, y, turn in cards:
        _paint_card(canvas, card, x, y, turn)
    photo = _photograph(view, camera, base, window, resolution)
    _light(rng, photo, noise)
    coded = cv2.imencode(".jpg", photo, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return Shot(cv2.imdecode(coded, cv2.IMREAD_COLOR), view, camera)


def _light(rng: np.random.Generator, photo: np.ndarray, noise: float) -> None:
    """Lights a photograph from one side, darker towards its corners, and adds the sensor's noise."""
    height, width = photo.shape[:2]
    across, down = np.linspace(-1, 1, width), np.linspace(-1, 1, height)
    slope = rng.uniform(-0.18, 0.18, 2)
    for start in range(0, height, BAND):
        band = photo[start : start + BAND]
        xs, ys = np.meshgrid(across, down[start : start + BAND])
        light = 1 + slope[0] * xs + slope[1] * ys - 0.12 * (xs**2 + ys**2)
        lit = band.astype(np.float32) * light[..., None].astype(np.float32)
        lit += rng.normal(0, noise, lit.shape).astype(np.float32)
        band[:] = np.clip(lit, 0, 255).astype(np.uint8)


def _shade(canvas: _Canvas, pieces: list[Piece]) -> None:
    """Soft shadows below and beside the pieces: only the part of the plane that they lie in is worked on."""
    shadows = [piece.corners() + np.array((6, -8)) for piece in pieces]
    cells = (np.concatenate(shadows) - (canvas.left, canvas.top)) * (canvas.resolution, -canvas.resolution)
    reach = round(16 * canvas.resolution)  # four times the blur
    x0, y0 = np.maximum(np.floor(cells.min(axis=0)).astype(int) - reach, 0)
    x1, y1 = np.ceil(cells.max(axis=0)).astype(int) + reach
    part = canvas.base[y0:y1, x0:x1]
    shade = np.zeros(part.shape, np.uint8)
    left, top = canvas.left + x0 / canvas.resolution, canvas.top - y0 / canvas.resolution
    for corners in shadows:
        _Canvas(shade, left, top, canvas.resolution).rectangle(corners, (80, 80, 80))
    dim = 1 - cv2.GaussianBlur(shade, (0, 0), 4 * canvas.resolution).astype(np.float32) / 255
    part[:] = (part * dim).astype(np.uint8)


def _turn(angle: float) -> np.ndarray:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, s], [-s, c]])


def _inset(piece: Piece, inset: float) -> np.ndarray:
    return Piece(piece.x, piece.y, piece.width - 2 * inset, piece.height - 2 * inset, piece.turn).corners()


@dataclass(frozen=True)
class _Canvas:
    """Paints rectangles given in plane mm with exact area coverage at their edges."""

    base: np.ndarray
    left: float
    top: float
    resolution: float

    def rectangle(self, corners: np.ndarray, tone: tuple[int, int, int]) -> None:
        """corners : (4, 2) mm, top left, top right, bottom right, bottom left."""
        cells = np.column_stack([corners[:, 0] - self.left, self.top - corners[:, 1]]) * self.resolution - 0.5
        low = np.maximum(np.floor(cells.min(axis=0)).astype(int) - 1, 0)
        high = np.minimum(np.ceil(cells.max(axis=0)).astype(int) + 2, self.base.shape[1::-1])
        if (high <= low).any():
            return
        xs, ys = np.meshgrid(np.arange(low[0], high[0]), np.arange(low[1], high[1]))
        cover = np.ones(xs.shape)
        for axis in (cells[1] - cells[0], cells[2] - cells[1]):
            length = np.hypot(*axis)
            along = ((xs - cells[0, 0]) * axis[0] + (ys - cells[0, 1]) * axis[1]) / length
            cover *= np.clip(along + 0.5, 0, 1) * np.clip(length - along + 0.5, 0, 1)
        part = self.base[low[1] : high[1], low[0] : high[0]]
        part[:] = np.round(part * (1 - cover[..., None]) + np.array(tone) * cover[..., None]).astype(np.uint8)


def _grain(rng: np.random.Generator, base: np.ndarray, resolution: float) -> None:
    """A boarded floor: planks with grain and dark joints."""
    height, width = base.shape[:2]
    fine = rng.normal(0, 1, (height // 8 + 1, width // 2 + 1)).astype(np.float32)
    fine = cv2.resize(cv2.GaussianBlur(fine, (0, 0), 6, sigmaY=0.8), (width, height))
    wood = np.array([0.55, 0.68, 0.82], np.float32)
    plank, joint = int(110 * resolution), max(1, int(resolution * 2))
    for start in range(0, height, plank):
        board = base[start : start + plank]
        shade = fine[start : start + plank] * np.float32(60) + np.float32(rng.uniform(-14, 14))
        tones = board * wood + shade[..., None]
        tones[:joint] *= np.float32(0.55)
        board[:] = np.clip(tones, 0, 255, out=tones)


def _paint_card(canvas: _Canvas, card: Card, x: float, y: float, turn: float) -> None:
    def place(points: np.ndarray) -> np.ndarray:
        return points @ _turn(turn) + (x, y)

    width, height = card.size
    canvas.rectangle(place(np.array([(0, height), (width, height), (width, 0), (0, 0)])), (PAPER,) * 3)
    for marker, corners in zip(card.marker_ids, card.marker_corners(), strict=True):
        modules = marker_modules(marker)
        step, drop = (corners[1] - corners[0]) / len(modules), (corners[3] - corners[0]) / len(modules)
        canvas.rectangle(place(corners), (INK,) * 3)
        for row, column in zip(*np.nonzero(modules), strict=True):
            start = corners[0] + column * step + row * drop
            canvas.rectangle(place(np.array([start, start + step, start + step + drop, start + drop])), (PAPER,) * 3)


def _photograph(view: View, camera: np.ndarray, base: np.ndarray, window, resolution: float) -> np.ndarray:
    """Each pixel looks up its plane point: the inverse map, by bands to bound memory.

    The map is worked out at every fourth pixel and filled in straight between, which is off by less than a thousandth
    of a pixel: lenses bend lines by less than 0.0003 px a pixel squared.
    """
    left, _, _, top = window
    out = np.empty((view.height, view.width, 3), np.uint8)
    columns = np.arange(0, view.width + STEP, STEP, dtype=float)
    across, down = np.meshgrid(np.arange(view.width) / STEP, np.arange(BAND) / STEP)
    at = across.astype(np.float32), down.astype(np.float32)
    for start in range(0, view.height, BAND):
        rows = np.arange(start, start + BAND + STEP, STEP, dtype=float)
        plane = view.to_plane(camera, np.stack(np.meshgrid(columns, rows), axis=-1).reshape(-1, 2))
        # Centre of texture cell (0, 0) lies half a cell in from the window's corner.
        u = ((plane[:, 0] - left) * resolution - 0.5).astype(np.float32).reshape(len(rows), -1)
        v = ((top - plane[:, 1]) * resolution - 0.5).astype(np.float32).reshape(len(rows), -1)
        there = [cv2.remap(coarse, *at, cv2.INTER_LINEAR) for coarse in (u, v)]
        band = cv2.remap(base, *there, cv2.INTER_AREA, borderMode=cv2.BORDER_REPLICATE)
        out[start : start + BAND] = band[: view.height - start]
    return out
