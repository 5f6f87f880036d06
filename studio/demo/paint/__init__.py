"""Pictures for the demonstration, painted by number: the same recipe always gives the same picture.

image = paint("hills", "coast", seed=3, ratio=1.6)
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from PIL import Image

from . import abstract, objects, photographs, prints, scenery
from .ground import PALETTES, Picture, Rng, as_image

Painter = Callable[[Rng, tuple[int, int], str], Picture]

PAINTERS: dict[str, Painter] = {
    painter.__name__: painter
    for painter in (
        scenery.hills,
        scenery.shore,
        scenery.evening,
        scenery.meadow,
        scenery.birches,
        scenery.boats,
        abstract.strokes,
        abstract.veils,
        abstract.stones,
        abstract.bands,
        abstract.gestures,
        abstract.facets,
        prints.branch,
        prints.arcs,
        prints.contours,
        prints.vessels,
        prints.charcoal,
        prints.sunprint,
        photographs.dunes,
        photographs.water,
        photographs.fog,
        photographs.stair,
        photographs.facade,
        photographs.shell,
        photographs.bloom,
        objects.stripes,
        objects.diamonds,
        objects.land_cloth,
        objects.carved,
        objects.waves,
        objects.mirror,
        objects.clock,
        objects.basket,
    )
}


def paint(painter: str, palette: str, *, seed: int, ratio: float, long_side_px: int = 760) -> Image.Image:
    """One picture; `ratio` is its width by its height.

    Raises:
        KeyError: no such painter or palette.
    """
    if palette not in PALETTES:
        raise KeyError(palette)
    ratio = float(np.clip(ratio, 0.2, 5.0))
    wide = long_side_px if ratio >= 1 else round(long_side_px * ratio)
    high = round(wide / ratio)
    return as_image(PAINTERS[painter](np.random.default_rng(seed), (high, wide), palette))
