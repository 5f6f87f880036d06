"""Pictures of art: checked by content, re-encoded, stored under a name made of what they show."""

from __future__ import annotations

import hashlib
import io
import json
import logging
import os
import subprocess
import sys
import threading
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
from django.conf import settings
from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models import Q
from django.utils.module_loading import import_string
from PIL import Image

from studio import access, decoding
from studio.crops import Crop, cut
from studio.errors import Invalid
from studio.hues import hues_of
from studio.models import Artwork, User

#: Dominant colours, the most seen first: CIELAB (D65) triples.
Palette = tuple[tuple[float, float, float], ...]
MAX_BYTES = 25 * 2**20
MAX_SIDE_PX = 2400
LEAST_SIDE_PX = 16
#: Twelve megapixels and a little over: more detail costs time and shows no more.
MAX_PHOTOGRAPH_SIDE_PX = 4200
LEAST_PHOTOGRAPH_SIDE_PX = 600
_PALETTE_SIDE_PX = 96
KINDS = decoding.KINDS
#: How many pictures one web process has decoded at a time, each in up to half a gigabyte.
_DECODERS = threading.BoundedSemaphore(2)
#: All that a decoder is told of where it runs.
_ENVIRONMENT = ("PATH", "LD_LIBRARY_PATH", "SYSTEMROOT")
log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class CleanPicture:
    """A picture as it is stored: plain sRGB JPEG without any metadata, and its dominant colours (CIELAB, D65)."""

    jpeg: bytes
    width: int
    height: int
    palette_lab: Palette

    @property
    def name(self) -> str:
        return name_of(self.jpeg)


@dataclass(frozen=True, slots=True)
class CleanPhotograph:
    """A photograph to measure in: plain sRGB JPEG without any metadata, in as much detail as is of use.

    `focal_ratio` is the focal length over the picture's long side, where the file gives it.
    """

    jpeg: bytes
    width: int
    height: int
    focal_ratio: float | None

    @property
    def name(self) -> str:
        return name_of(self.jpeg)


def name_of(jpeg: bytes) -> str:
    """What a picture is stored as: by its content, so that the same one is stored once."""
    return f"{hashlib.sha256(jpeg).hexdigest()[:32]}.jpg"


def photograph_clean(content: bytes) -> CleanPhotograph:
    """Decode a photograph in full, trusting only its content, and encode it anew.

    Raises:
        Invalid: see `picture_clean`.
    """
    _expect_size(content)
    image, focal_ratio = _decoded(content, MAX_PHOTOGRAPH_SIDE_PX)
    if min(image.size) < LEAST_PHOTOGRAPH_SIDE_PX:
        raise Invalid(
            f"This photograph is {image.width} × {image.height} pixels: too small to measure in. Send it as taken, "
            "not a copy made small for messages."
        )
    out = io.BytesIO()
    image.save(out, "JPEG", quality=92)
    return CleanPhotograph(out.getvalue(), image.width, image.height, focal_ratio)


def picture_clean(content: bytes) -> CleanPicture:
    """Decode a picture, trusting only its content, and encode it anew.

    Raises:
        Invalid: not a picture, one of a kind that is not taken, too large, or broken.
    """
    _expect_size(content)
    image, _ = _decoded(content, MAX_SIDE_PX)
    return _encoded(image)


def _encoded(image: Image.Image) -> CleanPicture:
    if min(image.size) < LEAST_SIDE_PX:
        raise Invalid(f"This picture is {image.width} × {image.height} pixels: too small to show a piece.")
    image.thumbnail((MAX_SIDE_PX, MAX_SIDE_PX), Image.Resampling.LANCZOS)
    return CleanPicture(_jpeg(image, 88), image.width, image.height, palette_of(image))


def _jpeg(image: Image.Image, quality: int) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()


def palette_of(image: Image.Image) -> Palette:
    """The dominant colours of a picture, by the reader that the settings name."""
    small = image.copy()
    small.thumbnail((_PALETTE_SIDE_PX, _PALETTE_SIDE_PX))
    read = import_string(settings.PALETTE_READER)
    return tuple((round(L, 2), round(a, 2), round(b, 2)) for L, a, b in read(np.asarray(small.convert("RGB"))))


@transaction.atomic
def picture_save(*, artwork: Artwork, content: bytes, crop: Crop | None = None, palette: Palette = ()) -> Artwork:
    """Give a piece its picture and palette, cut from a photograph as asked; a `palette` that is known is kept.

    The photograph is kept wherever the picture shows less of it, so that it can be cut anew; what the piece had before
    goes once nothing shows it any more.

    Raises:
        Invalid: see `picture_clean` and `studio.crops`.
    """
    _expect_size(content)
    image, _ = _decoded(content, MAX_PHOTOGRAPH_SIDE_PX)
    crop = crop or Crop()
    clean = _encoded(_cut(artwork, image, crop))
    clean = replace(clean, palette_lab=palette or clean.palette_lab)
    less = not crop.whole or max(image.size) > MAX_SIDE_PX
    original = _stored(artwork, _jpeg(image, 90)) if less else ""
    return _store(artwork, clean, original, crop if original else None)


@transaction.atomic
def picture_upload(*, by: User, artwork: Artwork, content: bytes, crop: Crop | None = None) -> Artwork:
    """`picture_save` by somebody, who must be of the studio."""
    access.require(by=by, studio=artwork.studio, roles=access.EVERYONE, to="change art")
    artwork._history_user = by
    return picture_save(artwork=artwork, content=content, crop=crop)


@transaction.atomic
def picture_crop(*, by: User, artwork: Artwork, crop: Crop) -> Artwork:
    """Cut a piece's picture anew from the photograph that it came from.

    Raises:
        Invalid: it has none, or see `studio.crops`.
    """
    access.require(by=by, studio=artwork.studio, roles=access.EVERYONE, to="change art")
    artwork._history_user = by
    source = artwork.original or artwork.picture
    if not source:
        raise Invalid(f"{artwork} has no picture to crop.")
    with source.open("rb") as file:
        image, _ = _decoded(file.read(), MAX_PHOTOGRAPH_SIDE_PX)
    return _store(artwork, _encoded(_cut(artwork, image, crop)), source.name, crop)


@transaction.atomic
def picture_remove(*, by: User, artwork: Artwork) -> Artwork:
    """Take a piece's picture, its photograph and its palette away."""
    access.require(by=by, studio=artwork.studio, roles=access.EVERYONE, to="change art")
    artwork._history_user = by
    return _store(artwork, None, "", None)


def sight_of(artwork: Artwork) -> tuple[float, float]:
    """Width and height [mm] of what is seen inside frame and mat."""
    border = 2 * ((artwork.frame_width_mm or 0) + (artwork.mat_width_mm or 0))
    return artwork.width_mm - border, artwork.height_mm - border


def proportion_of(artwork: Artwork) -> float:
    """Width over height of what is seen inside frame and mat."""
    width, height = sight_of(artwork)
    return width / height


def _cut(artwork: Artwork, image: Image.Image, crop: Crop) -> Image.Image:
    return cut(image, crop, proportion=proportion_of(artwork), most_px=MAX_SIDE_PX)


def _store(artwork: Artwork, clean: CleanPicture | None, original: str | None, crop: Crop | None) -> Artwork:
    old = {artwork.picture.name, artwork.original.name}
    palette = clean.palette_lab if clean else ()
    artwork.palette_lab, artwork.hues = [list(colour) for colour in palette], hues_of(palette)
    artwork.picture = _stored(artwork, clean.jpeg) if clean else ""
    artwork.original, artwork.crop = original, crop.stored() if crop else None
    artwork.version += 1
    artwork.save(update_fields=["picture", "original", "crop", "palette_lab", "hues", "version", "updated_at"])
    for name in filter(None, old - {artwork.picture.name, original}):
        transaction.on_commit(partial(_forget, name, artwork.picture.storage))
    return artwork


def _stored(artwork: Artwork, jpeg: bytes) -> str:
    """Where a picture is in the storage, by its content; put there if it is not yet."""
    field = Artwork._meta.get_field("picture")
    path = field.generate_filename(artwork, name_of(jpeg))
    storage = artwork.picture.storage
    return path if storage.exists(path) else storage.save(path, ContentFile(jpeg))


def _forget(name: str, storage: Any) -> None:
    if not Artwork.objects.filter(Q(picture=name) | Q(original=name)).exists():
        storage.delete(name)


def _expect_size(content: bytes) -> None:
    if len(content) > MAX_BYTES:
        raise Invalid(f"This file has {len(content) / 2**20:.1f} MB; a picture may have {MAX_BYTES // 2**20} MB.")


def _decoded(content: bytes, side_px: int) -> tuple[Image.Image, float | None]:
    """The picture in plain sRGB, its longer side at most `side_px` long, and its focal ratio; see `studio.decoding`."""
    if not settings.DECODE_APART:
        try:
            return decoding.decoded(content, side_px)
        except decoding.Refused as refusal:
            raise Invalid(str(refusal)) from None
    with _DECODERS:
        try:
            run = subprocess.run(
                [sys.executable, "-I", decoding.__file__, str(side_px)],
                input=content,
                capture_output=True,
                env={name: os.environ[name] for name in _ENVIRONMENT if name in os.environ},
                timeout=decoding.TIME * 2,
                check=True,
            )
        except (subprocess.CalledProcessError, subprocess.TimeoutExpired) as end:
            log.warning("a picture ended its decoder: %s", type(end).__name__)
            raise Invalid("This picture cannot be read in the time and memory for one. Send it smaller.") from None
    head, _, pixels = run.stdout.partition(b"\n")
    told = json.loads(head)
    if "refused" in told:
        raise Invalid(told["refused"])
    return Image.frombytes("RGB", told["size"], pixels), told["focal_ratio"]
