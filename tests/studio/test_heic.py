"""Phones' HEIC pictures: read where the decoder is installed, refused with what to do where it is not."""

from __future__ import annotations

import io
import subprocess
import sys
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


def test_without_the_decoder_the_refusal_says_what_to_send(tmp_path):
    """In a process of its own: once a decoder is known to Pillow it stays."""
    file = tmp_path / "IMG_1.HEIC"
    file.write_bytes(heic())
    program = (
        "import sys, pathlib; sys.modules['pillow_heif'] = None\n"
        "import django; django.setup()\n"
        "from studio.errors import Invalid\n"
        "from studio.services.pictures import picture_clean\n"
        "try: picture_clean(pathlib.Path(sys.argv[1]).read_bytes())\n"
        "except Invalid as refused: print(refused)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", program, str(file)], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert ran.stdout.startswith("This is a HEIC picture, and this site has no decoder for those. Send it as a JPEG")
