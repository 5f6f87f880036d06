"""Rooms drawn by chance: framed things of all depths about a card, on walls and on floors, and a hand that aims."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from .solid import PAPER_MM, Box, Camera, Room, Sheet, photograph

#: Outer sizes of common ready-made frames in inches (5 x 7 to 24 x 30), common practice, no source.
SIZES_IN = ((5, 7), (8, 10), (11, 14), (16, 20), (12, 12), (20, 24), (9, 12), (24, 30))
FRAMES = ((42, 40, 38), (224, 226, 228), (66, 104, 146), (140, 178, 196), (92, 92, 70), (52, 66, 92))
HALF_MM = 914.4  # six feet across
FLAT_MM, DEEP_MM = (0.4, 3.0), (12.0, 60.0)


@dataclass(frozen=True)
class Shot:
    """A photograph and the truth about it. `told` : the focal ratio that its file gives, or None."""

    pixels: np.ndarray
    camera: Camera
    boxes: list[Box]
    sheet: Sheet
    told: float | None

    def corners(self, box: Box) -> np.ndarray:
        """(4, 2) mm from the card's lower left corner: where the box meets the plane."""
        return self.sheet.on_sheet(box.corners())

    def face_seen(self, box: Box) -> np.ndarray:
        """(4, 2) px: the corners of its face."""
        return self.camera.seen(np.column_stack([box.corners(), np.full(4, box.depth)]))


def painting(rng: np.random.Generator, side: int = 240) -> np.ndarray:
    """A picture of no known school: fields of colour, strokes and dots over a ground. (side, side, 3) float32 BGR."""
    base = rng.uniform(40, 215, 3)
    out = np.full((side, side, 3), base, np.float32)
    out += cv2.resize(rng.normal(0, 22, (5, 5, 3)).astype(np.float32), (side, side), interpolation=cv2.INTER_CUBIC)
    for _ in range(int(rng.integers(6, 22))):
        tone = tuple(float(value) for value in np.clip(base + rng.normal(0, 60, 3), 10, 245))
        start, end = rng.integers(0, side, (2, 2)).tolist()
        kind = rng.integers(3)
        if kind == 0:
            axes = (int(rng.integers(8, 60)), int(rng.integers(8, 60)))
            cv2.ellipse(out, start, axes, float(rng.uniform(0, 180)), 0, 360, tone, -1)
        elif kind == 1:
            cv2.line(out, start, end, tone, int(rng.integers(2, 18)))
        else:
            cv2.fillPoly(out, [rng.integers(0, side, (int(rng.integers(3, 6)), 2)).astype(np.int32)], tone)
    return np.clip(cv2.GaussianBlur(out, (0, 0), 0.8), 0, 255)


def boxes_about(rng: np.random.Generator, depths: tuple[float, float], count: int = 6) -> list[Box]:
    """Framed things within six feet, clear of the card and of one another."""
    taken = [(-130.0, -165.0, 130.0, 165.0)]
    found: list[Box] = []
    for _ in range(400):
        if len(found) == count:
            break
        sides = np.array(SIZES_IN[rng.integers(len(SIZES_IN))]) * 25.4
        width, height = sides if rng.random() < 0.5 else sides[::-1]
        x, y = rng.uniform(-HALF_MM + width / 2, HALF_MM - width / 2), rng.uniform(-650 + height / 2, 650 - height / 2)
        reach = 60.0
        box = (x - width / 2 - reach, y - height / 2 - reach, x + width / 2 + reach, y + height / 2 + reach)
        if any(box[0] < t[2] and t[0] < box[2] and box[1] < t[3] and t[1] < box[3] for t in taken):
            continue
        taken.append(box)
        found.append(framed(rng, x, y, width, height, float(rng.uniform(*depths))))
    return found


def framed(rng: np.random.Generator, x: float, y: float, width: float, height: float, depth: float) -> Box:
    rim = float(rng.uniform(10, 34))
    glass = rng.random() < 0.5
    return Box(
        x,
        y,
        width,
        height,
        depth,
        float(rng.uniform(-0.02, 0.02)),
        FRAMES[rng.integers(len(FRAMES))],
        rim,
        float(rng.uniform(20, 55)) if glass and min(width, height) > 220 else 0.0,
        painting(rng),
        bevel=float(rng.uniform(-0.25, 0.25)),
        glare=(*rng.uniform(-0.6, 0.6, 2).tolist(), float(rng.uniform(0.15, 0.35)), float(rng.uniform(30, 110)))
        if glass and rng.random() < 0.6
        else None,
    )


def _cell(at: np.ndarray, size_mm: float) -> np.ndarray:
    """Which of 512 cells a place falls into, over and over."""
    return np.floor(at / size_mm).astype(int) % 512


def plaster(rng: np.random.Generator):
    """A painted wall: plain, rough, or papered with faint stripes."""
    tones = [[196, 205, 210], [178, 190, 186], [150, 160, 176], [214, 220, 224], [120, 118, 110]]
    tone = np.array(tones[rng.integers(5)])
    rough, stripe = rng.choice([0.0, 2.5, 5.0]), rng.choice([0.0, 0.0, 7.0])
    grain = cv2.GaussianBlur(rng.normal(0, 1, (512, 512)).astype(np.float32), (0, 0), 1.6)
    grain *= rough / grain.std() if rough else 0

    def ground(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        bump = grain[_cell(y, 2.0), _cell(x, 2.0)]
        lines = stripe * (np.floor(x / 70.0) % 2)
        return (tone + (bump - lines)[:, None]).astype(np.float32)

    return ground


def boards(rng: np.random.Generator):
    """A floor of boards 120 mm wide, each of its own tone, with dark joints."""
    shades = rng.uniform(-16, 16, (64, 8))
    grain = cv2.GaussianBlur(rng.normal(0, 1, (512, 512)).astype(np.float32), (0, 0), 9, sigmaY=0.8)
    grain *= 7 / grain.std()

    def ground(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        row = np.floor(y / 120.0).astype(int)
        along = x + 310.0 * (row % 4)
        shade = shades[row % 64, np.floor(along / 1100.0).astype(int) % 8]
        tones = np.array([92.0, 128.0, 168.0])[None] + shade[:, None]
        tones += grain[_cell(y, 1.5), _cell(x, 6.0)][:, None]
        joint = (y % 120.0 < 2.0) | (along % 1100.0 < 2.0)
        tones[joint] *= 0.5
        return tones.astype(np.float32)

    return ground


def aimed(rng: np.random.Generator, size: tuple[int, int], *, tilt_deg: float = 40.0, reach: float = 1000.0) -> Camera:
    """A phone held so that a disc of `reach` about the card is in view, turned away by up to `tilt_deg`."""
    width, height = size
    ratio = float(rng.uniform(0.68, 0.86))
    tilt, way = np.radians(rng.uniform(0, tilt_deg)), rng.uniform(0, 2 * np.pi)
    look = np.array([np.sin(tilt) * np.cos(way), np.sin(tilt) * np.sin(way), np.cos(tilt)])
    half = 0.5 * height / (ratio * width)
    eye = np.append(rng.uniform(-60, 60, 2), 0.0) + look * (reach / half * 1.1 + reach * np.sin(tilt))
    roll = np.radians(rng.uniform(-5, 5))
    forward = -look
    down = np.array([np.sin(roll), -np.cos(roll), 0.0])
    right = np.cross(down, forward)
    right /= np.linalg.norm(right)
    turn = np.stack([right, np.cross(forward, right), forward])
    off = rng.normal(0, 0.003, 2) * width
    lens = (rng.uniform(-0.06, 0.015), rng.uniform(-0.01, 0.01), *rng.normal(0, 0.0004, 2))
    middle = ((width - 1) / 2 + off[0], (height - 1) / 2 + off[1])
    return Camera(width, height, ratio * width, middle, turn, eye, lens)


def shot(
    seed: int,
    *,
    depths: tuple[float, float] = DEEP_MM,
    floor: bool = False,
    size: tuple[int, int] = (4000, 3000),
    printed: float = 1.0,
    curl_mm: float = 0.0,
    tilt_deg: float = 40.0,
    boxes: list[Box] | None = None,
) -> Shot:
    rng = np.random.default_rng(seed)
    camera = aimed(rng, size, tilt_deg=tilt_deg)
    hung = boxes_about(rng, depths) if boxes is None else boxes
    sheet = Sheet(-PAPER_MM[0] / 2, -PAPER_MM[1] / 2, float(rng.uniform(-0.02, 0.02)), printed, curl_mm)
    light = np.array([rng.uniform(-0.6, 0.6), rng.uniform(0.3, 0.9), 1.0])
    room = Room(
        hung, sheet, boards(rng) if floor else plaster(rng), light / np.linalg.norm(light), rng.uniform(-0.12, 0.12, 2)
    )
    ratio = camera.focal_px / max(size)
    told = round(36 * ratio * float(rng.normal(1, 0.012))) / 36 if rng.random() < 0.6 else None
    return Shot(photograph(rng, room, camera, noise=float(rng.uniform(1.5, 4.0))), camera, hung, sheet, told)
