"""The photograph that may lie under a wall's drawing, and what it is made of."""

from __future__ import annotations

import hashlib
import json

import cv2
import numpy as np
from django.core.cache import cache

from placements.models import Photo, PhotoPurpose, RunState
from placements.photogrammetry.errors import NotMeasurable
from placements.photogrammetry.rectify import rectified
from studio.models import Wall

from .measured import fit_on_wall

#: The longest side of what lies under a drawing [px]: twice what a page shows of it.
LONG_SIDE_PX = 1600
KEPT_SECONDS = 3600


def photo_under(wall: Wall) -> Photo | None:
    """The newest photograph of the wall that is measured and says where on the wall it is."""
    measured = Photo.objects.filter(wall=wall, state=RunState.READY, camera__isnull=False, level__isnull=False)
    return measured.exclude(purpose=PhotoPurpose.FLOOR).first()


def under_version(photo: Photo) -> str:
    """Changes with everything that the square view depends on."""
    wall = photo.wall
    made_of = [photo.picture.name, photo.camera, photo.level, wall.length_mm, wall.height_mm, LONG_SIDE_PX]
    return hashlib.sha256(json.dumps(made_of, sort_keys=True).encode()).hexdigest()[:20]


def square_view(photo: Photo) -> bytes:
    """The wall as photographed, seen square on: a WebP picture, clear where the photograph does not reach.

    Raises:
        NotMeasurable: it is not measured, does not say where the wall is, or its file is broken.
    """
    if photo.camera is None:
        raise NotMeasurable("This photograph is not measured.")
    key = f"under:{photo.pk}:{under_version(photo)}"
    made: bytes | None = cache.get(key)
    if made is None:
        made = _made(photo)
        cache.set(key, made, KEPT_SECONDS)
    return made


def _made(photo: Photo) -> bytes:
    fit, wall = fit_on_wall(photo), photo.wall
    scale = LONG_SIDE_PX / max(wall.length_mm, wall.height_mm)
    # No finer than is shown: a large photograph is decoded at half its size.
    large = max(photo.width_px, photo.height_px) > 1.5 * LONG_SIDE_PX
    with photo.picture.open("rb") as file:
        content = np.frombuffer(file.read(), np.uint8)
    pixels = cv2.imdecode(content, cv2.IMREAD_REDUCED_COLOR_2 if large else cv2.IMREAD_COLOR)
    if pixels is None:
        raise NotMeasurable("The photograph's file is damaged. Add the photograph again.")
    square = rectified(np.asarray(pixels), fit, wall.length_mm, wall.height_mm, scale)
    return cv2.imencode(".webp", square, [cv2.IMWRITE_WEBP_QUALITY, 72])[1].tobytes()
