"""Colours as people write them: #rrggbb, or a name of the CSS Color Module Level 4."""

from __future__ import annotations

import re

from PIL import ImageColor

#: The names that are read, lower case and without spaces. Source: CSS Color Module Level 4, named colours.
NAMES: tuple[str, ...] = tuple(sorted(ImageColor.colormap))
_HEX = re.compile(r"^#[0-9a-f]{6}$")


def rgb_of(text: str) -> tuple[int, int, int] | None:
    """The 8-bit sRGB of a name, in any case and with or without spaces, or of #rrggbb; None where it is neither."""
    plain = re.sub(r"[\s_-]", "", text).lower()
    if not (_HEX.match(plain) or plain in ImageColor.colormap):
        return None
    red, green, blue = ImageColor.getrgb(plain)[:3]
    return red, green, blue
