"""Decoding what somebody sent as a picture, in a process of its own: `python -I decoding.py SIDE < file`.

Whatever a decoder does with a hostile file, it does it there, with little memory, little time and nobody's secrets.
The answer on standard output is a line of JSON, `{"size": [w, h], "focal_ratio": …}` or `{"refused": "why"}`, then the
pixels, three bytes each. Nothing of ours is imported, so that it starts quickly.
"""

from __future__ import annotations

import io
import json
import sys
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pillow_heif
from PIL import Image, ImageCms, ImageFile, ImageOps, UnidentifiedImageError

#: What people may send, in words: HEIC is what phones take.
KINDS = "JPEG, PNG, WebP, TIFF or HEIC"
_FORMATS = ("JPEG", "PNG", "WEBP", "TIFF", "HEIF")
#: What cameras take: a phone's largest photographs have about 50 million pixels. A file that claims more is a bomb.
MAX_PIXELS = 64_000_000
#: Of what no camera takes, and is decoded whole: a sheet of A4 scanned at 600 dots to the inch has 35 million.
MAX_PIXELS_WHOLE = 36_000_000
_FROM_CAMERAS = ("JPEG", "HEIF")
#: What a decoder may take: memory [bytes] and time [s].
MEMORY, TIME = 1536 * 2**20, 30
_SHRINKING_MODES = ("RGB", "RGBA", "L", "CMYK")
_DECODING = threading.Lock()
pillow_heif.register_heif_opener()


class Refused(ValueError):
    """It is no picture that is taken; says why."""


def decoded(content: bytes, side_px: int) -> tuple[Image.Image, float | None]:
    """The picture upright in plain sRGB, its longer side at most `side_px` long, and its focal ratio.

    Raises:
        Refused: not a picture, one of a kind that is not taken, too large, or broken.
    """
    if content.lstrip(b"\xef\xbb\xbf \t\r\n")[:1] == b"<":
        raise Refused("This is a drawing in text form (SVG or HTML), which can carry programs. Send a JPEG or PNG.")
    try:
        with _strictly():
            image, focal_ratio = _opened(content, side_px)
            ImageOps.exif_transpose(image, in_place=True)
            plain = _plain(image)
            plain.thumbnail((side_px, side_px), Image.Resampling.LANCZOS)
            return plain, focal_ratio
    except Refused:
        raise
    except (Image.DecompressionBombWarning, Image.DecompressionBombError):
        raise Refused("This picture claims far more pixels than any camera takes. Send a smaller one.") from None
    except UnidentifiedImageError:
        raise Refused(f"This file is not a picture that can be read. Send a {KINDS}.") from None
    except MemoryError:
        raise Refused("This picture takes more memory than there is for one. Send it smaller, or as a JPEG.") from None
    except (OSError, ValueError, SyntaxError, EOFError) as error:
        raise Refused("This picture is broken or cut short. Save it again and send that.") from error


def _opened(content: bytes, side_px: int) -> tuple[Image.Image, float | None]:
    """The picture read whole, once its kind and size are known to be sound, and its focal ratio."""
    image = Image.open(io.BytesIO(content), formats=_FORMATS)  # no other decoder sees it
    most = MAX_PIXELS if image.format in _FROM_CAMERAS else MAX_PIXELS_WHOLE
    if image.width * image.height > most:
        raise Refused(
            f"This picture claims {image.width:,} × {image.height:,} pixels; of a {image.format} at most "
            f"{most // 10**6} million are taken. Send a smaller one."
        )
    focal_ratio = _focal_ratio(image)
    # A little less than asked for will do: so a photograph of 48 megapixels is decoded at half its size.
    least = 0.9 * side_px / max(image.size)
    image.draft("RGB", (int(least * image.width), int(least * image.height)))
    image.load()
    if image.mode in _SHRINKING_MODES:
        image.thumbnail((side_px, side_px), Image.Resampling.LANCZOS)  # before it is copied
    return image, focal_ratio


def _focal_ratio(image: Image.Image) -> float | None:
    """Focal length over the long side, from the 35 mm equivalent (a frame 36 mm long; Exif 2.3, tag A405)."""
    try:
        equivalent = float(image.getexif().get_ifd(0x8769).get(0xA405) or 0)
    except (TypeError, ValueError, KeyError, OSError, SyntaxError):
        return None
    return equivalent / 36 if 10 <= equivalent <= 200 else None


@contextmanager
def _strictly() -> Iterator[None]:
    """Refuse bombs, and files that are cut short, which the PDF library tells Pillow to fill up with grey.

    One picture at a time: both settings are the whole process's.
    """
    with _DECODING, warnings.catch_warnings():
        warnings.simplefilter("ignore")  # remarks on odd tags: the picture counts
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        lenient, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
        try:
            yield
        finally:
            ImageFile.LOAD_TRUNCATED_IMAGES = lenient


def _plain(image: Image.Image) -> Image.Image:
    """sRGB without profile or transparency (laid on white)."""
    profile = image.info.get("icc_profile")
    if profile and image.mode in ("RGB", "CMYK", "L"):
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            converted = ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"), outputMode="RGB")
            image = converted or image
        except (ImageCms.PyCMSError, OSError):
            pass  # a profile that cannot be read: the numbers are taken for sRGB
    if "A" in image.getbands() or "transparency" in image.info:
        image = image.convert("RGBA")
        ground = Image.new("RGB", image.size, "white")
        ground.paste(image, mask=image.getchannel("A"))
        return ground
    if image.mode in ("I;16", "I", "F"):
        import numpy as np  # for these few alone: it takes long to load

        values = np.asarray(image, dtype=np.float32)
        span = float(values.max() - values.min()) or 1.0
        image = Image.fromarray(((values - values.min()) / span * 255).astype(np.uint8))
    plain = Image.new("RGB", image.size)
    plain.paste(image.convert("RGB"))
    return plain


def _bound() -> None:
    """Take no more than a picture needs, and write no file. Where a system has no such limits, time alone is bound."""
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (TIME, TIME))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))


def main(side_px: int) -> None:
    _bound()
    pixels = b""
    try:
        image, focal_ratio = decoded(sys.stdin.buffer.read(), side_px)
        told: dict[str, Any] = {"size": image.size, "focal_ratio": focal_ratio}
        pixels = image.tobytes()
    except Refused as refusal:
        told = {"refused": str(refusal)}
    sys.stdout.buffer.write(json.dumps(told).encode() + b"\n" + pixels)


if __name__ == "__main__":
    main(int(sys.argv[1]))
