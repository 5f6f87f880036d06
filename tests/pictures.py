"""Plain pictures for tests that only need one."""

from __future__ import annotations

import io

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image


def jpeg(tone: str | tuple[int, int, int] = "#667788", size: tuple[int, int] = (640, 420)) -> bytes:
    """A JPEG of one tone; size in pixels."""
    made = io.BytesIO()
    Image.new("RGB", size, tone).save(made, "JPEG")
    return made.getvalue()


def picture_file(size: tuple[int, int] = (300, 200)) -> SimpleUploadedFile:
    """A picture as a form sends it."""
    return SimpleUploadedFile("a.jpg", jpeg(size=size), "image/jpeg")
