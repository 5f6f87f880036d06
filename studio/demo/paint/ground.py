"""What every painter starts from: palettes, fields of noise, and the finish of paper and canvas.

A field is a (rows, columns) float array, a picture a (rows, columns, 3) float array of sRGB values in 0–1.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw
from scipy import ndimage

Field: TypeAlias = npt.NDArray[np.float64]
Picture: TypeAlias = npt.NDArray[np.float64]
Rng: TypeAlias = np.random.Generator

#: Each from the ground (lightest) to the deepest tone, with one accent last.
PALETTES: dict[str, tuple[str, ...]] = {
    "coast": ("#efe9dc", "#cfd6d3", "#8fa7ad", "#4f6f7e", "#22384a", "#c9824f"),
    "slate": ("#eceae4", "#c3c6c4", "#8c9496", "#565f66", "#262c33", "#b59a5b"),
    "clay": ("#f3e8d8", "#e2c3a0", "#c98d64", "#9c553a", "#4a2a22", "#6f7f5a"),
    "garden": ("#f2eedd", "#d3d5b0", "#98a673", "#5f7350", "#2c3b2f", "#c46a4a"),
    "plum": ("#f2e9e4", "#dcc3bf", "#a9848c", "#6d4a5e", "#33233a", "#c9a24b"),
    "dusk": ("#f6e3cf", "#eebd95", "#d38378", "#7d6583", "#333a5c", "#f2c14e"),
    "ink": ("#f4f1ea", "#d9d5cb", "#a19d94", "#5b5955", "#1d1c1c", "#8a3d2b"),
    "marsh": ("#eef0e6", "#cfd8c4", "#9bb0a0", "#5d7f7b", "#22424a", "#d9a441"),
}


def colours(palette: str) -> Picture:
    """The palette as (6, 3) sRGB values."""
    return np.array([[int(one[i : i + 2], 16) / 255 for i in (1, 3, 5)] for one in PALETTES[palette]])


def noise(rng: Rng, shape: tuple[int, int], cell: float, octaves: int = 4, stretch: float = 1.0) -> Field:
    """Smooth fractal noise in 0–1; `cell` is its largest feature as a share of the longer side, `stretch` draws it
    out along x."""
    rows, columns = shape
    side = max(shape)
    total = np.zeros(shape)
    strength = 1.0
    for octave in range(octaves):
        size = max(cell * side / 2**octave, 2.0)
        high, wide = rows / size, columns / (size * stretch)
        small = Image.fromarray(rng.random((int(high) + 3, int(wide) + 3)).astype(np.float32))
        # One cell of margin, so that the edge of the grid does not show.
        box = (0.5, 0.5, 0.5 + min(wide, small.width - 1.0), 0.5 + min(high, small.height - 1.0))
        total += strength * np.asarray(small.resize((columns, rows), Image.Resampling.BICUBIC, box=box))
        strength *= 0.5
    return spread(total)


def spread(field: Field) -> Field:
    """The field stretched to 0–1."""
    low, high = float(field.min()), float(field.max())
    return (field - low) / (high - low or 1.0)


def grid(shape: tuple[int, int]) -> tuple[Field, Field]:
    """x and y in 0–1, y downwards."""
    rows, columns = shape
    y, x = np.mgrid[0:rows, 0:columns]
    return x / max(columns - 1, 1), y / max(rows - 1, 1)


def blank(shape: tuple[int, int], colour: npt.ArrayLike) -> Picture:
    return np.broadcast_to(np.asarray(colour, dtype=float), (*shape, 3)).copy()


def mix(first: npt.ArrayLike, second: npt.ArrayLike, amount: npt.ArrayLike) -> Picture:
    """`first` where amount is 0, `second` where it is 1; colours and fields broadcast."""
    share = np.clip(np.asarray(amount, dtype=float), 0, 1)
    if share.ndim == 2:
        share = share[..., None]
    mixed: Picture = np.asarray(first) * (1 - share) + np.asarray(second) * share
    return mixed


def ramp(stops: Picture, field: Field) -> Picture:
    """The field coloured along a row of colours."""
    at = np.linspace(0, 1, len(stops))
    return np.stack([np.interp(field, at, stops[:, channel]) for channel in range(3)], axis=-1)


def soft(field: Field, edge: float) -> Field:
    """0 below zero, 1 above, over a soft edge."""
    return np.clip(field / edge + 0.5, 0, 1)


def blur(field: npt.NDArray[np.float64], share: float) -> npt.NDArray[np.float64]:
    """Blurred by a share of the longer side."""
    sigma = share * max(field.shape[:2])
    blurred: npt.NDArray[np.float64] = ndimage.gaussian_filter(field, (sigma, sigma, 0) if field.ndim == 3 else sigma)
    return blurred


def relief(height: Field, depth: float, light: tuple[float, float] = (-0.6, -0.7)) -> Field:
    """How a surface of that height is lit from the upper left: about 1 where it is flat."""
    steep = depth * max(height.shape)
    dy, dx = np.gradient(height)
    nx, ny = -dx * steep, -dy * steep
    size = np.sqrt(nx**2 + ny**2 + 1)
    lx, ly = light
    lz = 1.0
    lit: Field = (nx * lx + ny * ly + lz) / size / np.sqrt(lx**2 + ly**2 + lz**2) * np.sqrt(1 + lx**2 + ly**2)
    return lit


def canvas(rng: Rng, picture: Picture, strength: float = 0.05) -> Picture:
    """The tooth of a woven canvas and the ridges of a brush."""
    shape = picture.shape[:2]
    x, y = np.meshgrid(np.arange(shape[1]), np.arange(shape[0]))
    weave = np.sin(x * 2.1) * np.sin(y * 2.1) * 0.25 + rng.normal(0, 0.35, shape)
    brush = noise(rng, shape, 0.02, 2, stretch=6) - 0.5
    woven: Picture = np.clip(picture * (1 + strength * (weave * 0.5 + brush)[..., None]), 0, 1)
    return woven


def paper(rng: Rng, picture: Picture, strength: float = 0.03) -> Picture:
    """The tooth of a heavy paper."""
    fibre = ndimage.gaussian_filter(rng.normal(0, 1, picture.shape[:2]), 0.8)
    rough: Picture = np.clip(picture * (1 + strength * fibre[..., None]), 0, 1)
    return rough


def film(rng: Rng, grey: Field, warm: float = 0.02) -> Picture:
    """A black-and-white photograph: gentle curve, grain, darker corners, slightly warm."""
    x, y = grid(grey.shape)
    corner = 1 - 0.28 * ((x - 0.5) ** 2 + (y - 0.5) ** 2) * 2
    tone = np.clip(grey, 0, 1)
    tone = tone * tone * (3 - 2 * tone) * 0.6 + tone * 0.4
    tone = np.clip(tone * corner + rng.normal(0, 0.018, grey.shape), 0, 1) * 0.93 + 0.035
    return np.clip(np.stack([tone * (1 + warm), tone, tone * (1 - 1.6 * warm)], axis=-1), 0, 1)


def shape_mask(shape: tuple[int, int], outlines: list[list[tuple[float, float]]], width: float = 0.0) -> Field:
    """Polygons (or, with a width, lines) given in 0–1 of each side, drawn with smooth edges."""
    over = 2
    size = (shape[1] * over, shape[0] * over)
    image = Image.new("L", size)
    draw = ImageDraw.Draw(image)
    for outline in outlines:
        points = [(x * size[0], y * size[1]) for x, y in outline]
        if width:
            draw.line(points, fill=255, width=max(int(width * max(size)), 1), joint="curve")
        else:
            draw.polygon(points, fill=255)
    small = image.resize((shape[1], shape[0]), Image.Resampling.BOX)
    return np.asarray(small, dtype=float) / 255


def as_image(picture: Picture) -> Image.Image:
    return Image.fromarray((np.clip(picture, 0, 1) * 255 + 0.5).astype(np.uint8))
