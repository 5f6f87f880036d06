"""Phones' HEIC pictures are read like any other."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from PIL import Image

from studio.errors import Invalid
from studio.services.pictures import photograph_clean, picture_clean

ROOT = Path(__file__).resolve().parents[2]


def heic(size=(1200, 900), exif=None):
    """A left half of red and a right half of blue, coded as phones do it (HEVC)."""
    pixels = np.zeros((size[1], size[0], 3), np.uint8)
    pixels[:, : size[0] // 2], pixels[:, size[0] // 2 :] = (200, 40, 40), (40, 40, 200)
    out = io.BytesIO()
    made = pillow_heif.from_pillow(Image.fromarray(pixels))
    made.save(out, quality=90, **({"exif": exif} if exif else {}))
    return out.getvalue()


def test_heic_is_decoded_and_stored_as_plain_jpeg():
    exif = Image.Exif()
    exif[0x010F] = "Maker of telephones"
    exif.get_ifd(0x8769)[0xA405] = 26
    content = heic(exif=exif.tobytes())
    assert content[4:12] == b"ftypheic"
    clean = photograph_clean(content)
    assert clean.focal_ratio == pytest.approx(26 / 36)
    assert b"Maker of telephones" not in clean.jpeg
    stored = Image.open(io.BytesIO(clean.jpeg))
    assert (stored.format, stored.size, dict(stored.getexif())) == ("JPEG", (1200, 900), {})
    assert stored.getpixel((300, 450)) == pytest.approx((200, 40, 40), abs=12)
    assert stored.getpixel((900, 450)) == pytest.approx((40, 40, 200), abs=12)


def test_broken_heic_is_refused():
    content = heic()
    with pytest.raises(Invalid):
        picture_clean(content[: len(content) // 2])
