"""Works set into the client's own photo: in perspective, at true scale, with frame, shadow and the wall's light."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from .solve import Fit

Array = npt.NDArray[np.float64]
Image = npt.NDArray[np.uint8]

#: Detail of a work's face before it is set into the photo [px per mm], and the most pixels along a side.
FACE_PX_A_MM = 2.0
FACE_MOST_PX = 3000
SHADOW_SOFT_MM = 14.0
SHADOW_DROP_MM = (5.0, -9.0)
SHADOW_DARK = 0.42
#: How far beyond its corners a patch reaches, so that nothing of the frame's shadow stays [mm].
PATCH_OVER_MM = 45.0
#: How much of the wall's unevenness of light falls on the work too.
LIGHT_SHARE = 0.85


@dataclass(frozen=True, slots=True)
class Face:
    """A work as it looks from the front.

    picture : (h, w, 3) uint8 BGR, filling the sight size; frame_mm and mat_mm: widths on each side;
    frame_bgr, mat_bgr: their colours.
    """

    picture: Image
    width_mm: float
    height_mm: float
    frame_mm: float = 0.0
    mat_mm: float = 0.0
    frame_bgr: tuple[int, int, int] = (38, 38, 40)
    mat_bgr: tuple[int, int, int] = (232, 240, 244)

    def painted(self) -> Image:
        """The whole face, frame and mat included."""
        scale = min(FACE_PX_A_MM, FACE_MOST_PX / max(self.width_mm, self.height_mm))
        size = max(4, round(self.width_mm * scale)), max(4, round(self.height_mm * scale))
        face = np.empty((size[1], size[0], 3), np.uint8)
        face[:] = self.frame_bgr
        frame, mat = round(self.frame_mm * scale), round((self.frame_mm + self.mat_mm) * scale)
        frame, mat = (min(inset, min(size) // 2 - 1) for inset in (frame, mat))
        if frame:
            # A bevel: lighter above and left, darker below and right.
            _bevel(face, frame)
        face[frame : size[1] - frame, frame : size[0] - frame] = self.mat_bgr
        sight = (size[0] - 2 * mat, size[1] - 2 * mat)
        face[mat : size[1] - mat, mat : size[0] - mat] = _cover(self.picture, sight)
        return face


@dataclass(frozen=True, slots=True)
class Placed:
    """A face with its lower left corner in the plane [mm]."""

    face: Face
    left: float
    bottom: float


def hang_in_photo(pixels: Image, fit: Fit, placed: Sequence[Placed], remove: Sequence[Array] = ()) -> Image:
    """The photo with the works on the wall.

    Args:
        pixels : (h, w, 3) uint8 BGR.
        fit: the solved picture, its plane the wall.
        placed: the works and where they hang.
        remove: (4, 2) [mm] outlines of what hangs there today, painted over in the wall's tone.

    Returns:
        A new picture of the same size.
    """
    out = pixels.copy()
    for outline in remove:
        out = paint_over(out, fit, outline)
    light = _light(out)
    for one in placed:
        _cast_shadow(out, fit, one)
        _set_face(out, fit, one, light)
    return out


def paint_over(pixels: Image, fit: Fit, outline: Array) -> Image:
    """What lies within `outline` ((4, 2) [mm]) replaced by the tone and grain of the wall around it."""
    middle = outline.mean(axis=0)
    arms = outline - middle
    grown = middle + arms * (1 + PATCH_OVER_MM / np.hypot(*arms.T)[:, None])
    corners = fit.to_pixels(grown)
    mask = np.zeros(pixels.shape[:2], np.uint8)
    cv2.fillConvexPoly(mask, np.round(corners).astype(np.int32), 255)
    left, top, width, height = cv2.boundingRect(np.round(corners).astype(np.int32))
    pad = round(0.35 * max(width, height)) + 8
    y0, y1 = max(0, top - pad), min(pixels.shape[0], top + height + pad)
    x0, x1 = max(0, left - pad), min(pixels.shape[1], left + width + pad)
    part, hole = pixels[y0:y1, x0:x1].astype(np.float32), mask[y0:y1, x0:x1] > 0
    smooth = _smooth_surface(part, ~hole)
    grain = float(np.std((part - smooth)[~hole])) if (~hole).any() else 0.0
    noise = np.random.default_rng(0).normal(0, min(grain, 4.0), part.shape).astype(np.float32)
    soft = cv2.GaussianBlur(hole.astype(np.float32), (0, 0), 3.0)[..., None]
    out = pixels.copy()
    out[y0:y1, x0:x1] = np.clip(part * (1 - soft) + (smooth + noise) * soft, 0, 255).astype(np.uint8)
    return out


def _smooth_surface(part: npt.NDArray[np.float32], known: npt.NDArray[np.bool_]) -> npt.NDArray[np.float32]:
    """A quadratic surface through the known pixels, with what strays from it (furniture, other works) left out."""
    rows, columns = np.nonzero(known)
    if len(rows) < 50:
        return np.broadcast_to(np.median(part.reshape(-1, 3), axis=0), part.shape).astype(np.float32)
    step = max(1, len(rows) // 6000)
    rows, columns = rows[::step], columns[::step]
    height, width = known.shape

    def terms(y: Array, x: Array) -> Array:
        u, v = x / width - 0.5, y / height - 0.5
        return np.stack([np.ones_like(u), u, v, u * u, u * v, v * v], axis=-1)

    values = part[rows, columns]
    base = np.median(values, axis=0)
    keep = np.abs(values - base).max(axis=1) < 40
    design = terms(rows.astype(float), columns.astype(float))
    for _ in range(3):
        if keep.sum() < 20:
            break
        found = np.linalg.lstsq(design[keep], values[keep], rcond=None)[0]
        miss = np.abs(values - design @ found).max(axis=1)
        keep = miss < max(6.0, 2.5 * float(np.median(miss[keep])))
    ys, xs = np.mgrid[0:height, 0:width].astype(float)
    return np.asarray(terms(ys, xs) @ found if keep.sum() >= 20 else np.broadcast_to(base, part.shape), np.float32)


def _light(pixels: Image) -> npt.NDArray[np.float32]:
    """How bright each part of the picture is against its middle tone, (h, w) about 1."""
    small = cv2.resize(cv2.cvtColor(pixels, cv2.COLOR_BGR2GRAY), (64, 64), interpolation=cv2.INTER_AREA)
    bright = cv2.GaussianBlur(cv2.dilate(small, np.ones((9, 9), np.uint8)).astype(np.float32), (0, 0), 8)
    even = np.asarray(bright / max(1.0, float(np.median(bright))), np.float32)
    return np.asarray(cv2.resize(even, pixels.shape[1::-1], interpolation=cv2.INTER_CUBIC), np.float32)


def _cast_shadow(out: Image, fit: Fit, one: Placed) -> None:
    corners = _corners(one) + np.array(SHADOW_DROP_MM)
    pixels = fit.to_pixels(corners)
    px_a_mm = float(np.hypot(*(pixels[1] - pixels[0]))) / one.face.width_mm
    soft = max(1.0, SHADOW_SOFT_MM * px_a_mm / 2)
    box = _padded_box(pixels, 3 * soft, out.shape)
    if box is None:
        return
    x0, y0, x1, y1 = box
    shade: npt.NDArray[np.float32] = np.zeros((y1 - y0, x1 - x0), np.float32)
    cv2.fillConvexPoly(shade, np.round((pixels - (x0, y0)) * 16).astype(np.int32), 1.0, cv2.LINE_AA, 4)
    shade = np.asarray(cv2.GaussianBlur(shade, (0, 0), soft), np.float32)
    part = out[y0:y1, x0:x1]
    part[:] = (part * (1 - SHADOW_DARK * shade[..., None])).astype(np.uint8)


def _set_face(out: Image, fit: Fit, one: Placed, light: npt.NDArray[np.float32]) -> None:
    """Each pixel of the photo looks up the face through the camera, lens distortion and all."""
    face = one.face.painted()
    pixels = fit.to_pixels(_outline(one))
    box = _padded_box(pixels, 2, out.shape)
    if box is None:
        return
    x0, y0, x1, y1 = box
    xs, ys = np.meshgrid(np.arange(x0, x1), np.arange(y0, y1))
    plane = fit.to_plane(np.column_stack([xs.ravel(), ys.ravel()]))
    scale = face.shape[1] / one.face.width_mm
    u = ((plane[:, 0] - one.left) * scale).reshape(xs.shape)
    v = ((one.bottom + one.face.height_mm - plane[:, 1]) * scale).reshape(xs.shape)
    shrink = max(1.0, scale * one.face.width_mm / max(1.0, float(np.hypot(*(pixels[len(pixels) // 4] - pixels[0])))))
    soft = cv2.GaussianBlur(face, (0, 0), 0.5 * shrink) if shrink > 1.2 else face
    at = ((u - 0.5).astype(np.float32), (v - 0.5).astype(np.float32))
    colours = cv2.remap(soft, *at, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    edge = 1 / shrink
    cover = np.clip(np.minimum.reduce([u, face.shape[1] - u, v, face.shape[0] - v]) * edge + 0.5, 0, 1)[..., None]
    lit = colours * (1 + LIGHT_SHARE * (light[y0:y1, x0:x1, None] - 1))
    part = out[y0:y1, x0:x1]
    part[:] = np.clip(part * (1 - cover) + lit * cover, 0, 255).astype(np.uint8)


def _corners(one: Placed) -> Array:
    right, top = one.left + one.face.width_mm, one.bottom + one.face.height_mm
    return np.array([(one.left, top), (right, top), (right, one.bottom), (one.left, one.bottom)])


def _outline(one: Placed) -> Array:
    """The edge as many points, since a lens bends it: (32, 2) mm."""
    corners = _corners(one)
    steps = np.linspace(0, 1, 8, endpoint=False)[:, None]
    return np.concatenate([a + (b - a) * steps for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)])


def _padded_box(pixels: Array, pad: float, shape: tuple[int, ...]) -> tuple[int, int, int, int] | None:
    low = np.maximum(np.floor(pixels.min(axis=0) - pad).astype(int), 0)
    high = np.minimum(np.ceil(pixels.max(axis=0) + pad).astype(int) + 1, shape[1::-1])
    if (high <= low).any():
        return None
    return int(low[0]), int(low[1]), int(high[0]), int(high[1])


def _cover(picture: Image, size: tuple[int, int]) -> Image:
    """The picture scaled to fill `size` (width, height), its middle kept."""
    scale = max(size[0] / picture.shape[1], size[1] / picture.shape[0])
    grown = cv2.resize(
        picture,
        (max(size[0], round(picture.shape[1] * scale)), max(size[1], round(picture.shape[0] * scale))),
        interpolation=cv2.INTER_AREA if scale < 1 else cv2.INTER_CUBIC,
    )
    x, y = (grown.shape[1] - size[0]) // 2, (grown.shape[0] - size[1]) // 2
    return np.asarray(grown[y : y + size[1], x : x + size[0]])


def _bevel(face: Image, width: int) -> None:
    height, across = face.shape[:2]
    for corners, gain in (
        ([(0, 0), (across, 0), (across - width, width), (width, width)], 1.18),
        ([(0, 0), (width, width), (width, height - width), (0, height)], 1.08),
        ([(across, 0), (across, height), (across - width, height - width), (across - width, width)], 0.9),
        ([(0, height), (width, height - width), (across - width, height - width), (across, height)], 0.82),
    ):
        tone = np.clip(face[0, 0].astype(float) * gain + (8 if gain > 1 else 0), 0, 255)
        cv2.fillConvexPoly(face, np.array(corners, np.int32), tuple(float(v) for v in tone), cv2.LINE_AA)
