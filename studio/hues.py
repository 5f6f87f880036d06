"""Names for the colours of a picture, so that art can be looked for by colour."""

from __future__ import annotations

import math
from collections.abc import Iterable

#: In the order of the colour wheel; the last three have no hue.
HUES = ("red", "orange", "yellow", "green", "blue", "violet", "pink", "brown", "white", "grey", "black")

# Hue angles h_ab in CIELAB (D65). The borders are our own reading of the sRGB primaries and secondaries, whose
# angles are red 40, yellow 103, green 136, blue 306, magenta 328 degrees.
_BORDERS = ((20, "pink"), (52, "red"), (78, "orange"), (112, "yellow"), (190, "green"), (308, "blue"), (332, "violet"))


def hue_of(lab: tuple[float, float, float]) -> str:
    """The name of one CIELAB (D65) colour."""
    lightness, a, b = lab
    chroma = math.hypot(a, b)
    if chroma < 9 or lightness < 8:
        return "black" if lightness < 28 else "white" if lightness > 86 else "grey"
    angle = math.degrees(math.atan2(b, a)) % 360
    name = next((name for border, name in _BORDERS if angle < border), "pink")
    if name in ("red", "orange", "yellow") and lightness < 55 and chroma < 55:
        return "brown"
    if name in ("orange", "yellow") and lightness > 82 and chroma < 18:
        return "white"
    return name


def hues_of(palette_lab: Iterable[tuple[float, float, float]]) -> str:
    """The hues of a palette as one text that a query can look into: `,blue,grey,`; empty for none."""
    names = dict.fromkeys(hue_of((lab[0], lab[1], lab[2])) for lab in palette_lab)
    return f",{','.join(names)}," if names else ""
