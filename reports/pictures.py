"""The pictures that sheets and phones show: small JPEGs made from what was uploaded, or why there is none."""

from __future__ import annotations

import hashlib
import io
import warnings
from dataclasses import dataclass, field

from django.core.files.base import File
from PIL import Image, ImageOps

from studio.models import Artwork

#: The longest side [px]: sharp on paper at 2 in, light on a phone.
LONGEST_PX = 600
QUALITY = 80
UNREADABLE = "Its picture cannot be read: go by title and size."


@dataclass(slots=True)
class Shelf:
    """JPEG bytes by work id, and why a picture is missing, by work id."""

    jpegs: dict[str, bytes] = field(default_factory=dict)
    unreadable: dict[str, str] = field(default_factory=dict)

    def keys(self) -> dict[str, str]:
        """The address of each picture within a sheet."""
        return {work: f"picture:{work}" for work in self.jpegs}

    def digest(self) -> str:
        """Changes when any picture does."""
        parts = (f"{work}={hashlib.sha256(self.jpegs[work]).hexdigest()}" for work in sorted(self.jpegs))
        return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def shelf_of(artworks: dict[str, Artwork]) -> Shelf:
    """The pictures of works by their ids. A picture that cannot be read is left out and said to be."""
    shelf = Shelf()
    for work, artwork in artworks.items():
        if not artwork.picture:
            continue
        jpeg = small_jpeg(artwork.picture)
        if jpeg is None:
            shelf.unreadable[work] = UNREADABLE
        else:
            shelf.jpegs[work] = jpeg
    return shelf


def small_jpeg(picture: File[bytes]) -> bytes | None:
    """A picture made small, upright, RGB and without metadata; None when it cannot be read.

    A full disk or a storage that is down is not the picture's fault and is raised.
    """
    try:
        with picture.open("rb") as file:
            content = file.read()
    except FileNotFoundError:
        return None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(content)) as image:
                image.draft("RGB", (2 * LONGEST_PX, 2 * LONGEST_PX))
                upright = ImageOps.exif_transpose(image).convert("RGB")
                upright.thumbnail((LONGEST_PX, LONGEST_PX))
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError, Image.DecompressionBombWarning):
        return None
    made = io.BytesIO()
    upright.save(made, "JPEG", quality=QUALITY)
    return made.getvalue()
