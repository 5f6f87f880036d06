"""Boxes on a plane, seen by a camera: each pixel asks where its ray ends, and how that place is lit.

Millimetres; x right, y up, z out of the plane towards the camera. The lens bends by Brown's model with two radial and
two tangential terms (Photogrammetric Engineering 37(8), 1971), the axis does not go through the picture's middle, and
what is seen is blurred, noisy and stored as JPEG: more than any model of the measuring knows.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache

import cv2
import numpy as np
from scipy.special import ndtr

#: Letter card number one, as its sheet prints it: four markers of 50 mm, 17 mm from the edges of 215.9 x 279.4 mm.
PAPER_MM = (215.9, 279.4)
MARKER_MM, MARGIN_MM = 50.0, 17.0
MARKERS = (0, 1, 2, 3)
BAND = 160


@dataclass(frozen=True)
class Camera:
    """`turn` : (3, 3), rows are its right, down and forward axes; `eye` : (3,) [mm]; `lens` : k1, k2, p1, p2."""

    width: int
    height: int
    focal_px: float
    centre: tuple[float, float]
    turn: np.ndarray
    eye: np.ndarray
    lens: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)

    def bent(self, x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        k1, k2, p1, p2 = self.lens
        r2 = x * x + y * y
        radial = 1 + k1 * r2 + k2 * r2 * r2
        return (
            x * radial + 2 * p1 * x * y + p2 * (r2 + 2 * x * x),
            y * radial + p1 * (r2 + 2 * y * y) + 2 * p2 * x * y,
        )

    def seen(self, points: np.ndarray) -> np.ndarray:
        """(n, 3) mm to (n, 2) px."""
        away = (points - self.eye) @ self.turn.T
        x, y = self.bent(away[:, 0] / away[:, 2], away[:, 1] / away[:, 2])
        return np.column_stack([x, y]) * self.focal_px + self.centre

    def rays(self, u: np.ndarray, v: np.ndarray) -> np.ndarray:
        """(3, n) directions of pixels, not of unit length."""
        at_x, at_y = (u - self.centre[0]) / self.focal_px, (v - self.centre[1]) / self.focal_px
        x, y = at_x, at_y
        for _ in range(5):
            bent_x, bent_y = self.bent(x, y)
            x, y = x + at_x - bent_x, y + at_y - bent_y
        return np.stack([self.turn[0, k] * x + self.turn[1, k] * y + self.turn[2, k] for k in range(3)])


@dataclass(frozen=True)
class Box:
    """Something framed, its face `depth` in front of the plane; widths in mm, tones BGR; `picture` fills the sight."""

    x: float
    y: float
    width: float
    height: float
    depth: float
    turn: float
    frame: tuple[float, float, float]
    frame_mm: float
    mat_mm: float
    picture: np.ndarray
    mat: tuple[float, float, float] = (226, 234, 238)
    #: How far the face's rim slopes back to the picture, as a change of tone from outside to inside.
    bevel: float = 0.0
    #: Where a window shows in its glass, as shares of the face, and how strongly; None where nothing does.
    glare: tuple[float, float, float, float] | None = None

    def corners(self) -> np.ndarray:
        """(4, 2) mm: top left, top right, bottom right, bottom left, of its outline on the plane."""
        w, h = self.width / 2, self.height / 2
        own = np.array([(-w, h), (w, h), (w, -h), (-w, -h)])
        c, s = np.cos(self.turn), np.sin(self.turn)
        return own @ np.array([[c, s], [-s, c]]) + (self.x, self.y)

    def face(self, x: np.ndarray, y: np.ndarray) -> np.ndarray:
        """(n, 3) tones of the face at its own coordinates, from its middle."""
        w, h = self.width / 2, self.height / 2
        inset = np.minimum(w - np.abs(x), h - np.abs(y))
        tones = np.empty((*x.shape, 3), np.float32)
        slope = 1 + self.bevel * (inset / max(self.frame_mm, 1.0) - 0.5)
        tones[:] = np.array(self.frame, np.float32) * slope[..., None]
        mat = inset > self.frame_mm
        tones[mat] = self.mat
        lip = mat & (inset < self.frame_mm + 2.5)
        tones[lip] *= 0.72  # the frame's own shadow on what it holds
        edge = self.frame_mm + self.mat_mm
        sight = inset > edge
        rows, columns = self.picture.shape[:2]
        u = ((x[sight] + w - edge) / (2 * (w - edge)) * columns - 0.5).astype(np.float32)
        v = ((h - edge - y[sight]) / (2 * (h - edge)) * rows - 0.5).astype(np.float32)
        looked = np.empty((u.size, 3), np.float32)
        for start in range(0, u.size, 30_000):  # cv2.remap takes rows of at most 32767
            part = slice(start, start + 30_000)
            edge = {"borderMode": cv2.BORDER_REPLICATE}
            got = cv2.remap(self.picture, u[part][None], v[part][None], cv2.INTER_LINEAR, **edge)
            looked[part] = got[0]
        tones[sight] = looked
        if self.glare:
            at_x, at_y, reach, strength = self.glare
            over = np.exp(-((((x / w - at_x) / reach) ** 2 + ((y / h - at_y) / (1.6 * reach)) ** 2) ** 2))
            tones += (strength * over * (inset > self.frame_mm))[..., None]
        return tones


@dataclass(frozen=True)
class Sheet:
    """The printed card on the plane: its lower left corner, its turn, what its printer made of 100 mm, how it curls."""

    x: float
    y: float
    turn: float = 0.0
    printed: float = 1.0
    curl_mm: float = 0.0

    def on_sheet(self, corners: np.ndarray) -> np.ndarray:
        """(n, 2) mm of the plane, from the printed page's lower left corner along its edges, in true millimetres."""
        c, s = np.cos(self.turn), np.sin(self.turn)
        return (corners - (self.x, self.y)) @ np.array([[c, -s], [s, c]])

    def lift(self, x: np.ndarray) -> np.ndarray:
        return self.curl_mm * (2 * x / PAPER_MM[0] - 1) ** 2


@cache
def _marker(number: int) -> np.ndarray:
    published = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    return cv2.aruco.generateImageMarker(published, number, 6).astype(np.float32)


def _printed(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Ink on the page, (n,) 0 to 255, at places of the page as it was drawn."""
    ink = np.full(x.shape, 240, np.float32)
    far = MARGIN_MM + MARKER_MM
    places = (
        (MARGIN_MM, PAPER_MM[1] - far),
        (PAPER_MM[0] - far, PAPER_MM[1] - far),
        (PAPER_MM[0] - far, MARGIN_MM),
        (MARGIN_MM, MARGIN_MM),
    )
    for number, (left, bottom) in zip(MARKERS, places, strict=True):
        column, row = (x - left) / MARKER_MM * 6, 6 - (y - bottom) / MARKER_MM * 6
        on = (column >= 0) & (column < 6) & (row >= 0) & (row < 6)
        ink[on] = np.where(_marker(number)[row[on].astype(int), column[on].astype(int)] > 127, 240, 30)
    return ink


@dataclass(frozen=True)
class Room:
    """What is before the camera. `ground` : tones of the plane at x, y; `light` : towards the lamp, (3,)."""

    boxes: list[Box]
    sheet: Sheet | None
    ground: Callable[[np.ndarray, np.ndarray], np.ndarray]
    light: np.ndarray
    fall: np.ndarray = field(default_factory=lambda: np.zeros(2))

    def tones(self, camera: Camera, u: np.ndarray, v: np.ndarray) -> np.ndarray:
        """(n, 3) float, linear in what the sensor gets: the colours that pixels at u, v see."""
        rays = camera.rays(u, v)
        far = -camera.eye[2] / rays[2]
        x, y = camera.eye[0] + far * rays[0], camera.eye[1] + far * rays[1]
        tones = self.ground(x, y)
        tones *= (1 - self._shade(x, y))[..., None]
        if self.sheet:
            self._lay_sheet(camera, rays, tones)
        nearest = far
        for box in self.boxes:
            pixels = camera.seen(_hull(box))
            low, high = pixels.min(axis=0) - 3, pixels.max(axis=0) + 3
            near = np.nonzero((u >= low[0]) & (u <= high[0]) & (v >= low[1]) & (v <= high[1]))[0]
            if near.size:
                self._put_box(box, camera, rays[:, near], near, nearest, tones)
        return tones * (1 + (self.fall[0] * x + self.fall[1] * y) / 1000)[..., None]

    def _shade(self, x: np.ndarray, y: np.ndarray) -> np.ndarray:
        """How much of the lamp the boxes take from the plane: soft where they stand far off, dark at their foot."""
        lost = np.zeros(x.shape, np.float32)
        for box in self.boxes:
            reach = box.width + box.height
            near = (np.abs(x - box.x) < reach) & (np.abs(y - box.y) < reach)
            c, s = np.cos(box.turn), np.sin(box.turn)
            over = box.depth * np.array([-self.light[0], -self.light[1]]) / self.light[2]
            for share, soft, move in ((0.45, 1.5 + 0.35 * box.depth, 0.7), (0.25, 1.0 + 0.12 * box.depth, 0.2)):
                dx, dy = x[near] - box.x - move * over[0], y[near] - box.y - move * over[1]
                along, up = np.abs(c * dx + s * dy), np.abs(-s * dx + c * dy)
                part = ndtr((box.width / 2 - along) / soft) * ndtr((box.height / 2 - up) / soft)
                lost[near] = np.maximum(lost[near], share * part * min(1.0, box.depth / 6 + 0.1))
        return lost

    def _lay_sheet(self, camera: Camera, rays: np.ndarray, tones: np.ndarray) -> None:
        sheet, lift = self.sheet, 0.0
        for _ in range(3):
            far = (lift - camera.eye[2]) / rays[2]
            own = sheet.on_sheet(np.column_stack([camera.eye[0] + far * rays[0], camera.eye[1] + far * rays[1]]))
            lift = sheet.lift(np.clip(own[:, 0], 0, PAPER_MM[0]))
        on = (own > 0).all(axis=1) & (own < PAPER_MM).all(axis=1)
        middle = np.array(PAPER_MM) / 2
        drawn = (own[on] - middle) / sheet.printed + middle
        slope = 4 * sheet.curl_mm / PAPER_MM[0] * (2 * own[on, 0] / PAPER_MM[0] - 1)
        tones[on] = (_printed(drawn[:, 0], drawn[:, 1]) * (1 - 0.4 * slope * self.light[0]))[:, None]

    def _put_box(
        self, box: Box, camera: Camera, rays: np.ndarray, near: np.ndarray, nearest: np.ndarray, tones: np.ndarray
    ) -> None:
        """By slabs (Kay & Kajiya 1986, from memory): where each ray enters the box, and by which of its faces."""
        c, s = np.cos(box.turn), np.sin(box.turn)
        eye = camera.eye - (box.x, box.y, 0)
        from_eye = np.array([c * eye[0] + s * eye[1], -s * eye[0] + c * eye[1], eye[2]])
        own = np.stack([c * rays[0] + s * rays[1], -s * rays[0] + c * rays[1], rays[2]])
        low = np.array([-box.width / 2, -box.height / 2, 0.0])
        high = np.array([box.width / 2, box.height / 2, box.depth])
        with np.errstate(divide="ignore", invalid="ignore"):
            one, other = (low - from_eye)[:, None] / own, (high - from_eye)[:, None] / own
        enters, leaves = np.minimum(one, other), np.maximum(one, other)
        by = enters.argmax(axis=0)
        at = enters.max(axis=0)
        hit = (at < leaves.min(axis=0)) & (at < nearest[near])
        where, by, at = near[hit], by[hit], at[hit]
        nearest[where] = at
        place = from_eye[:, None] + at * own[:, hit]
        light = np.array([c * self.light[0] + s * self.light[1], -s * self.light[0] + c * self.light[1]])
        for axis in (0, 1):
            side = by == axis
            facing = np.sign(place[axis, side]) * light[axis]
            dark = 0.62 + 0.38 * np.clip(facing, -0.6, 0.9) + 0.1 * place[2, side] / box.depth
            tones[where[side]] = np.array(box.frame, np.float32) * dark[:, None]
        front = by == 2
        tones[where[front]] = box.face(place[0, front], place[1, front])


def _hull(box: Box) -> np.ndarray:
    flat = box.corners()
    return np.concatenate([np.column_stack([flat, np.full(4, z)]) for z in (0.0, box.depth)])


def photograph(
    rng: np.random.Generator, room: Room, camera: Camera, *, noise: float = 3.0, quality: int = 85
) -> np.ndarray:
    """(h, w, 3) uint8 BGR. Pixels at edges are the mean of sixteen rays, the others one."""
    out = np.empty((camera.height, camera.width, 3), np.float32)
    columns = np.arange(camera.width, dtype=np.float32)
    inner = (np.arange(4) + 0.5) / 4 - 0.5
    for start in range(0, camera.height, BAND):
        rows = np.arange(max(start - 1, 0), min(start + BAND + 1, camera.height), dtype=np.float32)
        u, v = (grid.ravel() for grid in np.meshgrid(columns, rows))
        band = room.tones(camera, u, v).reshape(len(rows), camera.width, 3)
        grey = band.mean(axis=2)
        rough = cv2.dilate(grey, np.ones((3, 3))) - cv2.erode(grey, np.ones((3, 3))) > 9
        at = np.nonzero(rough.ravel())[0]
        many = [room.tones(camera, u[at] + dx, v[at] + dy) for dx in inner for dy in inner]
        if at.size:
            band.reshape(-1, 3)[at] = np.mean(many, axis=0)
        first = int(start - rows[0])
        out[start : start + BAND] = band[first : first + BAND]
    out = cv2.GaussianBlur(out, (0, 0), float(rng.uniform(0.5, 0.9)))
    far = np.hypot(*np.meshgrid(np.linspace(-1, 1, camera.width), np.linspace(-1, 1, camera.height)))
    out *= (1 - rng.uniform(0.02, 0.12) * far**2)[..., None].astype(np.float32)
    out += rng.normal(0, noise, out.shape[:2]).astype(np.float32)[..., None] + rng.normal(0, 0.5 * noise, (1, 1, 3))
    coded = cv2.imencode(".jpg", np.clip(out, 0, 255).astype(np.uint8), [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return cv2.imdecode(coded, cv2.IMREAD_COLOR)
