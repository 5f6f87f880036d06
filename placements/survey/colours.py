"""A room's colours from what people write."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from placements.engine.colour import srgb_to_lab
from placements.engine.house import Colour
from studio.colours import rgb_of


@lru_cache(maxsize=512)
def colour_of(text: str) -> Colour | None:
    """A colour with its CIELAB (D65), to four places; None where the text names none."""
    rgb = rgb_of(text)
    if rgb is None:
        return None
    lightness, a, b = (round(float(one), 4) for one in srgb_to_lab(np.array(rgb)))
    return Colour(text.strip(), (lightness, a, b))
