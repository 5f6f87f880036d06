"""Colour as the eye compares it: sRGB to CIELAB, the CIEDE2000 difference, a picture's dominant colours."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

Lab = tuple[float, float, float]
Floats = NDArray[np.float64]


#: Linear sRGB to CIE XYZ (D65): IEC 61966-2-1:1999.
_SRGB_TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
_WHITE_D65 = _SRGB_TO_XYZ.sum(axis=1)
_POW25_7 = 25.0**7
_HISTOGRAM_STEP = 8
_MAX_PIXELS = 65_536
_KMEANS_ROUNDS = 12


def srgb_to_lab(rgb: ArrayLike) -> Floats:
    """CIELAB (D65, 2 degree observer) of 8-bit sRGB colours.

    Args:
        rgb: (..., 3) sRGB components, 0-255.

    Returns:
        (..., 3) float: L* in 0-100, a*, b*.

    Raises:
        ValueError: the last axis is not 3 or a component lies outside 0-255.

    Source: IEC 61966-2-1:1999 (sRGB); CIE 15:2004 (CIELAB). Neutral greys come out with a* = b* = 0, because the
    white is the matrix's own.
    """
    values = np.asarray(rgb, dtype=np.float64)
    if values.shape[-1:] != (3,):
        raise ValueError(f"colours need three components in the last axis, got shape {values.shape}")
    if values.size and (np.isnan(values).any() or values.min() < 0 or values.max() > 255):
        raise ValueError("sRGB components must lie in 0-255")
    encoded = values / 255.0
    linear = np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4)
    relative = linear @ _SRGB_TO_XYZ.T / _WHITE_D65
    delta = 6.0 / 29.0
    f = np.where(relative > delta**3, np.cbrt(relative), relative / (3 * delta**2) + 4.0 / 29.0)
    return np.stack(
        [116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])],
        axis=-1,
    )


def lab_to_srgb(lab: ArrayLike) -> NDArray[np.int64]:
    """8-bit sRGB of CIELAB (D65) colours, those outside the gamut clipped: the inverse of `srgb_to_lab`.

    Args:
        lab: (..., 3) L*, a*, b*.

    Returns:
        (..., 3) int, 0-255.

    Source: IEC 61966-2-1:1999 (sRGB); CIE 15:2004 (CIELAB).
    """
    values = np.asarray(lab, dtype=np.float64)
    fy = (values[..., 0] + 16) / 116
    f = np.stack([fy + values[..., 1] / 500, fy, fy - values[..., 2] / 200], axis=-1)
    delta = 6.0 / 29.0
    relative = np.where(f > delta, f**3, 3 * delta**2 * (f - 4.0 / 29.0))
    linear = np.clip((relative * _WHITE_D65) @ np.linalg.inv(_SRGB_TO_XYZ).T, 0.0, 1.0)
    encoded = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    return np.asarray(np.rint(encoded * 255), dtype=np.int64)


def ciede2000(first: ArrayLike, second: ArrayLike) -> Floats:
    """The CIEDE2000 colour difference with kL = kC = kH = 1.

    Args:
        first, second: (..., 3) CIELAB colours; the shapes broadcast.

    Returns:
        (...) float: the difference; about 1 is just noticeable side by side.

    Source: Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula: implementation notes, supplementary test
    data, and mathematical observations", Color Research and Application 30(1), 2005, equations 2-22.
    """
    one, two = np.broadcast_arrays(np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64))
    if one.shape[-1:] != (3,):
        raise ValueError(f"colours need three components in the last axis, got shape {one.shape}")
    l1, a1, b1 = np.moveaxis(one, -1, 0)
    l2, a2, b2 = np.moveaxis(two, -1, 0)
    c7 = ((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2) ** 7
    stretch = 1.5 - 0.5 * np.sqrt(c7 / (c7 + _POW25_7))
    c1, c2 = np.hypot(a1 * stretch, b1), np.hypot(a2 * stretch, b2)
    h1 = np.degrees(np.arctan2(b1, a1 * stretch)) % 360
    h2 = np.degrees(np.arctan2(b2, a2 * stretch)) % 360
    grey = c1 * c2 == 0

    dh = h2 - h1
    dh = np.where(dh > 180, dh - 360, np.where(dh < -180, dh + 360, dh))
    dh = np.where(grey, 0.0, dh)
    dl, dc = l2 - l1, c2 - c1
    dhue = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(dh / 2))

    l_mean, c_mean = (l1 + l2) / 2, (c1 + c2) / 2
    total = h1 + h2
    h_mean = np.where(np.abs(h1 - h2) <= 180, total / 2, np.where(total < 360, total / 2 + 180, total / 2 - 180))
    h_mean = np.where(grey, total, h_mean)

    t = (
        1
        - 0.17 * np.cos(np.radians(h_mean - 30))
        + 0.24 * np.cos(np.radians(2 * h_mean))
        + 0.32 * np.cos(np.radians(3 * h_mean + 6))
        - 0.20 * np.cos(np.radians(4 * h_mean - 63))
    )
    light = (l_mean - 50) ** 2
    sl = 1 + 0.015 * light / np.sqrt(20 + light)
    sc = 1 + 0.045 * c_mean
    sh = 1 + 0.015 * c_mean * t
    turn = 30 * np.exp(-(((h_mean - 275) / 25) ** 2))
    rt = -np.sin(np.radians(2 * turn)) * 2 * np.sqrt(c_mean**7 / (c_mean**7 + _POW25_7))
    kl, kc, kh = dl / sl, dc / sc, dhue / sh
    return np.asarray(np.sqrt(np.maximum(kl**2 + kc**2 + kh**2 + rt * kc * kh, 0.0)))


def dominant_colours(rgb_array: ArrayLike, k: int = 5) -> list[Lab]:
    """The colours that make up most of a picture, the most frequent first.

    Weighted k-means in CIELAB over the picture's colour histogram, started from the commonest colour and then the
    one farthest from those chosen (weighted by frequency): no randomness, the same picture gives the same answer.

    Args:
        rgb_array: (..., 3) 8-bit sRGB pixels.
        k: how many colours at most; a picture with fewer distinct colours gives fewer.

    Returns:
        At most k CIELAB triples.

    Raises:
        ValueError: no pixels, or k below 1.
    """
    pixels = np.asarray(rgb_array).reshape(-1, 3)
    if len(pixels) == 0 or k < 1:
        raise ValueError("dominant colours need at least one pixel and k of at least 1")
    pixels = pixels[:: max(1, len(pixels) // _MAX_PIXELS)].astype(np.int64)
    cell = pixels // _HISTOGRAM_STEP
    key = (cell[:, 0] << 16) | (cell[:, 1] << 8) | cell[:, 2]
    _, inverse, counts = np.unique(key, return_inverse=True, return_counts=True)
    means = np.stack([np.bincount(inverse, weights=pixels[:, c]) for c in range(3)], axis=1) / counts[:, None]
    colours, weight = srgb_to_lab(means), counts.astype(np.float64)

    centres = colours[[int(np.argmax(weight))]]
    while len(centres) < min(k, len(colours)):
        nearest = ((colours[:, None] - centres[None]) ** 2).sum(-1).min(1)
        centres = np.vstack([centres, colours[int(np.argmax(nearest * weight))]])
    share: Floats = np.zeros(len(centres))
    for _ in range(_KMEANS_ROUNDS):
        owner = ((colours[:, None] - centres[None]) ** 2).sum(-1).argmin(1)
        share = np.bincount(owner, weights=weight, minlength=len(centres)).astype(np.float64)
        sums = np.stack(
            [np.bincount(owner, weights=weight * colours[:, c], minlength=len(centres)) for c in range(3)], 1
        )
        centres = np.where(share[:, None] > 0, sums / np.maximum(share, 1)[:, None], centres)
    order = np.argsort(-share, kind="stable")
    return [(float(c[0]), float(c[1]), float(c[2])) for c in centres[order] if share.sum() > 0]


def palette_distance(first: Sequence[Lab], second: Sequence[Lab]) -> float | None:
    """How far two palettes lie apart: the mean, both ways, of each colour's difference to its nearest counterpart.

    Returns None where either palette is empty (no picture is not a difference).
    """
    if not first or not second:
        return None
    table = ciede2000(np.asarray(first)[:, None], np.asarray(second)[None])
    return float((table.min(axis=1).mean() + table.min(axis=0).mean()) / 2)
