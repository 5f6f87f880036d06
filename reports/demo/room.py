"""A room photographed by nobody: its wall, floor and furniture seen through a known camera, as by a phone.

Room coordinates are millimetres: x along the wall from its left end, y up from the floor, z into the room.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from placements.photogrammetry.camera import Array, View, plane_homography

Canvas = npt.NDArray[np.uint8]
Tone = tuple[int, int, int]  # blue, green, red
Fill = tuple[int, ...]  # the same, with alpha where the canvas has one

STEP_PX = 8
DEEP_MM = 6000.0
PX_A_MM = 0.5
SKIRTING_MM = 110.0
X, Y, Z = np.eye(3)


@dataclass(frozen=True, slots=True)
class Stance:
    """Where the phone is held and what it looks at [mm], its turn, and its focal length over the long side."""

    eye: tuple[float, float, float]
    target: tuple[float, float, float]
    roll_deg: float = 0.8
    focal_ratio: float = 0.74
    barrel: float = -0.018

    def camera(self) -> Array:
        """As `placements.photogrammetry.camera` has it, (8,) float, looking at the wall's plane."""
        forward = np.subtract(self.target, self.eye)
        forward /= np.linalg.norm(forward)
        roll = np.radians(self.roll_deg)
        right = np.cross(forward, np.array([np.sin(roll), np.cos(roll), 0.0]))
        right /= np.linalg.norm(right)
        rotation = np.stack([right, np.cross(forward, right), forward])
        away = -rotation @ np.array(self.eye)
        return np.concatenate([cv2.Rodrigues(rotation)[0].ravel(), away, [np.log(self.focal_ratio), self.barrel]])


@dataclass(frozen=True, slots=True)
class Palette:
    wall: Tone = (196, 208, 212)
    floor: Tone = (86, 122, 160)
    trim: Tone = (232, 238, 240)


class Picture:
    """What the camera sees, painted plane by plane from the farthest to the nearest."""

    def __init__(self, view: View, camera: Array, eye: tuple[float, float, float]) -> None:
        self.view, self.camera, self.eye = view, camera, eye
        self.pixels = np.zeros((view.height, view.width, 3), np.float32)
        self._rotation = cv2.Rodrigues(camera[:3])[0]
        xs = np.arange(0, view.width + 2 * STEP_PX, STEP_PX, dtype=float)
        ys = np.arange(0, view.height + 2 * STEP_PX, STEP_PX, dtype=float)
        grid = np.stack(np.meshgrid(xs, ys), axis=-1)
        coarse = view.undistort(camera, grid.reshape(-1, 2)).reshape(grid.shape).astype(np.float32)
        columns, rows = np.meshgrid(np.arange(view.width) / STEP_PX, np.arange(view.height) / STEP_PX)
        self._seen = cv2.remap(coarse, columns.astype(np.float32), rows.astype(np.float32), cv2.INTER_LINEAR)

    def plane(
        self, canvas: Canvas, origin: tuple[float, float, float], across: Array, up: Array, size: tuple[float, float]
    ) -> None:
        """Paint a rectangle in space: `canvas` (BGR or BGRA) fills it, its last row at `origin`."""
        turned = self._rotation @ np.column_stack([across, up, np.cross(across, up)])
        camera = np.concatenate(
            [cv2.Rodrigues(turned)[0].ravel(), self.camera[3:6] + self._rotation @ np.array(origin), self.camera[6:]]
        )
        x0, y0, x1, y1 = self._box(camera, size)
        if x1 <= x0 or y1 <= y0:
            return
        seen = self._seen[y0:y1, x0:x1]
        back = np.linalg.inv(plane_homography(camera)).astype(np.float32)
        u, v, w = (seen @ back[:, :2].T + back[:, 2]).transpose(2, 0, 1)
        front = w > 1e-7
        w = np.where(front, w, 1.0)
        u, v = u / w, v / w
        fine = w * np.float32(np.exp(self.camera[6]) * self.view.scale)  # pixels a millimetre
        inside = np.minimum.reduce([u, size[0] - u, v, size[1] - v]) * fine + 0.5
        cover = (np.clip(inside, 0, 1) * front)[..., None]
        if not cover.any():
            return
        height, width = canvas.shape[:2]
        at = (
            (u * np.float32(width / size[0]) - 0.5).astype(np.float32),
            ((size[1] - v) * np.float32(height / size[1]) - 0.5).astype(np.float32),
        )
        colours = cv2.remap(canvas, *at, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE).astype(np.float32)
        if colours.shape[2] == 4:
            cover = cover * colours[..., 3:] / 255
        part = self.pixels[y0:y1, x0:x1]
        part[:] = part * (1 - cover) + colours[..., :3] * cover

    def _box(self, camera: Array, size: tuple[float, float]) -> tuple[int, int, int, int]:
        corners = np.array([(0, 0), (size[0], 0), size, (0, size[1])], float)
        depth = corners @ plane_homography(camera)[2, :2] + camera[5]
        if (depth < 50).any():
            return 0, 0, self.view.width, self.view.height
        seen = self.view.project(camera, corners)
        low, high = np.floor(seen.min(axis=0)).astype(int) - 8, np.ceil(seen.max(axis=0)).astype(int) + 9
        return max(low[0], 0), max(low[1], 0), min(high[0], self.view.width), min(high[1], self.view.height)

    def box(self, low: tuple[float, float, float], high: tuple[float, float, float], front: Canvas, tone: Tone) -> None:
        """A block: `front` faces the room, the faces seen beside it have the tone, lighter above and darker aside."""
        (x0, y0, z0), (x1, y1, z1) = low, high
        side = plain(tone, 0.78)
        if self.eye[0] < x0:
            self.plane(side, (x0, y0, z0), Z, Y, (z1 - z0, y1 - y0))
        if self.eye[0] > x1:
            self.plane(side, (x1, y0, z0), Z, Y, (z1 - z0, y1 - y0))
        if self.eye[1] > y1:
            self.plane(plain(tone, 1.1), (x0, y1, z0), X, Z, (x1 - x0, z1 - z0))
        self.plane(front, (x0, y0, z1), X, Y, (x1 - x0, y1 - y0))


def plain(tone: Tone, gain: float = 1.0) -> Canvas:
    return np.full((4, 4, 3), np.clip(np.array(tone) * gain, 0, 255), np.uint8)


def paint_shell(
    picture: Picture, wall: Canvas, size: tuple[float, float], palette: Palette, rng: np.random.Generator
) -> None:
    """Ceiling, side walls and floor, and the wall itself as it was painted."""
    length, height = size
    picture.pixels[:] = np.array(palette.wall) * 0.9
    picture.plane(plain((236, 240, 241), 0.97), (-DEEP_MM, height, 0), X, Z, (length + 2 * DEEP_MM, DEEP_MM))
    picture.plane(_side(palette, height, 0.86), (0, 0, 0), Z, Y, (DEEP_MM, height))
    picture.plane(_side(palette, height, 0.8), (length, 0, 0), Z, Y, (DEEP_MM, height))
    picture.plane(boards(rng, palette.floor, length, DEEP_MM), (0, 0, 0), X, Z, (length, DEEP_MM))
    picture.plane(wall, (0, 0, 0), X, Y, size)


def _side(palette: Palette, height: float, gain: float) -> Canvas:
    """A side wall, darker into its corner, with its skirting."""
    rows, columns = int(height * 0.3), int(DEEP_MM * 0.1)
    shade = gain * (1 - 0.16 * np.exp(-np.arange(columns) / (0.06 * columns)))
    side = np.clip(np.array(palette.wall) * shade[None, :, None], 0, 255).repeat(rows, axis=0)
    side[rows - int(SKIRTING_MM * 0.3) :] = np.array(palette.trim) * gain
    return side.astype(np.uint8)


def boards(rng: np.random.Generator, tone: Tone, width_mm: float, depth_mm: float, px_a_mm: float = 0.3) -> Canvas:
    """Floor boards along the wall, with grain, joints and ends."""
    columns, rows = int(width_mm * px_a_mm), int(depth_mm * px_a_mm)
    grain = cv2.GaussianBlur(rng.normal(0, 1, (rows, columns // 6 + 1)).astype(np.float32), (0, 0), 5, sigmaY=0.7)
    grain = cv2.resize(grain, (columns, rows)) * 26
    floor = np.array(tone, np.float32) + grain[..., None]
    plank = int(150 * px_a_mm)
    for start in range(0, rows, plank):
        cuts = np.sort(rng.integers(0, columns, 3))
        for one in np.split(floor[start : start + plank], cuts, axis=1):
            one += rng.uniform(-9, 9)
        floor[start : start + 1] *= 0.72
        for cut in cuts:
            floor[start : start + plank, cut : cut + 1] *= 0.75
    laid: Canvas = np.clip(floor, 0, 255).astype(np.uint8)
    return laid


def wall_canvas(rng: np.random.Generator, size: tuple[float, float], palette: Palette) -> Canvas:
    """The bare wall: rolled paint, darker into its corners, skirting at its foot; PX_A_MM to the millimetre."""
    columns, rows = int(size[0] * PX_A_MM), int(size[1] * PX_A_MM)
    mottle = cv2.resize(rng.normal(0, 1.6, (rows // 60 + 2, columns // 60 + 2)).astype(np.float32), (columns, rows))
    across = np.arange(columns, dtype=np.float32) / np.float32(PX_A_MM)
    down = np.arange(rows, dtype=np.float32)[::-1] / np.float32(PX_A_MM)
    corner = 1 - 0.10 * np.exp(-across / 220) - 0.10 * np.exp(-(size[0] - across) / 220)
    edge = 1 - 0.08 * np.exp(-(size[1] - down) / 160) - 0.06 * np.exp(-down / 300)
    wall = (np.array(palette.wall, np.float32) + mottle[..., None]) * (edge[:, None] * corner[None])[..., None]
    foot = rows - int(SKIRTING_MM * PX_A_MM)
    wall[foot:] = np.array(palette.trim, np.float32) * corner[None, :, None]
    wall[foot - 2 : foot] *= 0.86
    wall[rows - 3 :] *= 0.7
    return np.clip(wall, 0, 255).astype(np.uint8)


def rectangle(canvas: Canvas, box: tuple[float, float, float, float], tone: Fill, px_a_mm: float = PX_A_MM) -> None:
    """Left, bottom, right, top [mm] filled with a tone; (0, 0) is the canvas's lower left corner."""
    left, bottom, right, top = (value * px_a_mm for value in box)
    rows = canvas.shape[0]
    corners = np.array([(left, rows - top), (right, rows - top), (right, rows - bottom), (left, rows - bottom)])
    cv2.fillConvexPoly(canvas, np.round((corners - 0.5) * 16).astype(np.int32), tone, cv2.LINE_AA, 4)


def shade(canvas: Canvas, box: tuple[float, float, float, float], soft_mm: float, dark: float) -> None:
    """A soft shadow on the wall."""
    coarse = 1.0 if soft_mm < 20 else 8.0
    rows, columns = canvas.shape[:2]
    reach = 3 * soft_mm
    x0, x1 = (int(np.clip(value * PX_A_MM, 0, columns)) for value in (box[0] - reach, box[2] + reach))
    y0, y1 = (int(np.clip(rows - value * PX_A_MM, 0, rows)) for value in (box[3] + reach, box[1] - reach))
    if x1 <= x0 or y1 <= y0:
        return
    part = canvas[y0:y1, x0:x1]
    mask: Canvas = np.zeros((int((y1 - y0) / coarse) + 1, int((x1 - x0) / coarse) + 1), np.uint8)
    left, low = x0 / PX_A_MM, (rows - y1) / PX_A_MM
    moved = (box[0] - left, box[1] - low, box[2] - left, box[3] - low)
    rectangle(mask, moved, (255, 255, 255), PX_A_MM / coarse)
    blurred = cv2.GaussianBlur(mask, (0, 0), soft_mm * PX_A_MM / coarse)
    fine = cv2.resize(blurred, (x1 - x0, y1 - y0), interpolation=cv2.INTER_LINEAR)
    part[:] = (part * (1 - dark * fine[..., None].astype(np.float32) / 255)).astype(np.uint8)


def develop(pixels: npt.NDArray[np.float32], rng: np.random.Generator) -> bytes:
    """Daylight from the left, falling off towards the picture's corners; the sensor's noise; a JPEG file."""
    height, width = pixels.shape[:2]
    across, down = np.linspace(-1, 1, width, dtype=np.float32), np.linspace(-1, 1, height, dtype=np.float32)[:, None]
    light = 1.02 - 0.10 * across - 0.04 * down - 0.09 * (across**2 + down**2)
    warm = np.array([0.965, 1.0, 1.02], np.float32)
    lit = pixels * light[..., None] * warm
    lit += cv2.resize(rng.normal(0, 2.2, (height, width)).astype(np.float32), (width, height))[..., None]
    coded = cv2.imencode(".jpg", np.clip(lit, 0, 255).astype(np.uint8), [cv2.IMWRITE_JPEG_QUALITY, 90])[1]
    return bytes(coded.tobytes())
