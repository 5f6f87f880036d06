import io
import json
import subprocess
import sys
import zlib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from studio import decoding
from studio.crops import Crop
from studio.errors import Invalid
from studio.services.pictures import (
    MAX_BYTES,
    picture_clean,
    picture_crop,
    picture_remove,
    picture_save,
)
from tests.factories import ArtworkFactory, MembershipFactory


def picture(size=(300, 200), colour=(200, 40, 40), form="JPEG", mode="RGB", **options):
    out = io.BytesIO()
    Image.new(mode, size, colour).save(out, form, **options)
    return out.getvalue()


def huge_png(width, height):
    """A few hundred bytes that claim width × height pixels."""

    def chunk(kind, body):
        return len(body).to_bytes(4, "big") + kind + body + zlib.crc32(kind + body).to_bytes(4, "big")

    header = width.to_bytes(4, "big") + height.to_bytes(4, "big") + bytes([1, 0, 0, 0, 0])
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 64)) + chunk(b"IEND", b"")
    )


def member(art):
    return MembershipFactory(studio=art.studio).user


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "TIFF"])
def test_pictures_are_encoded_anew_as_plain_jpeg(form):
    clean = picture_clean(picture(form=form))
    stored = Image.open(io.BytesIO(clean.jpeg))
    assert (stored.format, stored.mode, stored.size) == ("JPEG", "RGB", (300, 200))


def test_the_palette_is_that_of_the_picture():
    # sRGB #8B4513 is L 37.47, a 26.45, b 40.99 (D65), as colour-science 0.4.7 computes it.
    clean = picture_clean(picture(colour=(0x8B, 0x45, 0x13), form="PNG"))
    assert clean.palette_lab[0] == pytest.approx((37.47, 26.45, 40.99), abs=1.0)


def test_metadata_does_not_survive():
    exif = Image.Exif()
    exif[0x010F] = "Maker of cameras"
    exif[0x8825] = {1: "N", 2: (38.0, 43.0, 0.0)}
    clean = picture_clean(picture(exif=exif.tobytes(), comment=b"secret place"))
    assert b"Maker" not in clean.jpeg
    assert b"secret" not in clean.jpeg
    assert not Image.open(io.BytesIO(clean.jpeg)).getexif()


def test_a_phone_held_upright_gives_an_upright_picture():
    exif = Image.Exif()
    exif[0x0112] = 6  # the picture is stored turned; EXIF 2.32, tag 274
    assert (picture_clean(picture(exif=exif.tobytes())).width, picture_clean(picture()).width) == (200, 300)


def test_what_is_transparent_is_laid_on_white():
    clean = picture_clean(picture(mode="RGBA", colour=(0, 0, 0, 0), form="PNG"))
    assert np.asarray(Image.open(io.BytesIO(clean.jpeg))).min() > 250


def test_large_pictures_are_made_smaller():
    clean = picture_clean(picture(size=(4000, 3000)))
    assert (clean.width, clean.height) == (2400, 1800)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", "SVG"),
        (b"\xef\xbb\xbf  <?xml version='1.0'?><svg/>", "SVG"),
        (b"", "not a picture"),
        (b"%PDF-1.7", "not a picture"),
        (b"\x00" * 100, "not a picture"),
        (picture(form="GIF"), "not a picture that can be read"),
        (picture(form="BMP"), "not a picture that can be read"),
        (picture(form="EPS"), "not a picture that can be read"),
        (picture(size=(8, 8)), "too small"),
        (picture(size=(400, 400), form="PNG")[:-40], "broken"),
        (huge_png(9_000, 7_000), "claims 9,000 × 7,000 pixels; of a PNG at most 36 million"),
        (huge_png(50_000, 50_000), "far more pixels"),
        (b"\xff\xd8" + b"\0" * MAX_BYTES, "25 MB"),
    ],
    ids=["svg", "svg bom", "nothing", "pdf", "zeros", "gif", "bmp", "eps", "tiny", "cut", "large", "bomb", "heavy"],
)
def test_what_is_no_safe_picture_is_refused(content, message):
    with pytest.raises(Invalid, match=message):
        picture_clean(content)


def test_no_decoder_but_those_of_photographs_sees_a_file(monkeypatch):
    from PIL import EpsImagePlugin

    def refuse(*_args, **_options):
        raise AssertionError("read as EPS")

    monkeypatch.setattr(EpsImagePlugin.EpsImageFile, "_open", refuse)
    with pytest.raises(Invalid, match="not a picture that can be read"):
        picture_clean(picture(form="EPS"))


def test_pictures_are_decoded_in_a_process_of_their_own(settings, monkeypatch):
    exif = Image.Exif()
    exif[0x0112] = 6  # turned, as above
    content = picture(exif=exif.tobytes())
    here = picture_clean(content)
    settings.DECODE_APART = True
    monkeypatch.setattr(decoding, "decoded", None)  # not in this one
    assert picture_clean(content) == here
    with pytest.raises(Invalid, match="of a PNG at most 36 million"):
        picture_clean(huge_png(9_000, 7_000))


#: What a decoder is told of where it runs, and what its interpreter adds.
KNOWN = {"PATH", "LD_LIBRARY_PATH", "LC_CTYPE"}


def test_decoder_that_ends_is_a_picture_that_cannot_be_read(settings, monkeypatch, tmp_path):
    greedy = tmp_path / "greedy.py"
    greedy.write_text(f"import os, sys; sys.exit(set(os.environ) <= {KNOWN})")  # ends well where it is told more
    settings.DECODE_APART = True
    monkeypatch.setattr(decoding, "__file__", str(greedy))
    with pytest.raises(Invalid, match="in the time and memory for one"):
        picture_clean(picture())


def test_decoder_takes_no_more_memory_than_it_may(tmp_path):
    """Run by itself with less: what does not fit is refused in words, and not by its end."""
    source = Path(decoding.__file__).read_text().replace("1536 * 2**20", "320 * 2**20")
    small = tmp_path / "small.py"
    small.write_text(source)
    out = io.BytesIO()
    Image.new("RGBA", (6_000, 6_000)).save(out, "PNG", compress_level=1)  # 144 MB, and as much again on white
    run = subprocess.run([sys.executable, "-I", small, "6000"], input=out.getvalue(), capture_output=True, check=True)
    assert "memory" in json.loads(run.stdout.partition(b"\n")[0])["refused"]


@pytest.mark.django_db
def test_a_piece_gets_its_picture_and_palette(settings, tmp_path, django_capture_on_commit_callbacks):
    settings.MEDIA_ROOT = tmp_path
    art = ArtworkFactory()
    with django_capture_on_commit_callbacks(execute=True):
        picture_save(artwork=art, content=picture())
    first = tmp_path / art.picture.name
    assert first.exists()
    assert art.picture.name.startswith(f"studios/{art.studio_id}/art/")
    assert art.palette_lab
    with django_capture_on_commit_callbacks(execute=True):
        picture_save(artwork=art, content=picture(colour=(0, 90, 0)))
    assert not first.exists()
    with django_capture_on_commit_callbacks(execute=True):
        picture_remove(by=member(art), artwork=art)
    art.refresh_from_db()
    assert (art.picture.name, art.palette_lab, art.version) == ("", [], 4)
    assert list(tmp_path.rglob("*.jpg")) == []


@pytest.mark.django_db
def test_a_picture_that_two_pieces_share_stays(settings, tmp_path, django_capture_on_commit_callbacks):
    settings.MEDIA_ROOT = tmp_path
    one, two = ArtworkFactory(), None
    two = ArtworkFactory(client=one.client)
    for art in (one, two):
        picture_save(artwork=art, content=picture())
    assert one.picture.name == two.picture.name
    with django_capture_on_commit_callbacks(execute=True):
        picture_remove(by=member(one), artwork=one)
    assert (tmp_path / two.picture.name).exists()


LEFT_HALF = ((0.0, 0.0), (0.5, 0.0), (0.5, 1.0), (0.0, 1.0))


@pytest.mark.django_db
def test_a_picture_is_cut_from_its_photograph_and_cut_again(settings, tmp_path, django_capture_on_commit_callbacks):
    settings.MEDIA_ROOT = tmp_path
    art = ArtworkFactory(width_mm=500, height_mm=1000)
    with django_capture_on_commit_callbacks(execute=True):
        picture_save(artwork=art, content=picture(), crop=Crop(LEFT_HALF, to_piece=False))
    by, first, photograph = member(art), art.picture.name, art.original.name
    with Image.open(tmp_path / first) as stored, Image.open(tmp_path / photograph) as whole:
        assert (stored.size, whole.size) == ((150, 200), (300, 200))
    with django_capture_on_commit_callbacks(execute=True):
        picture_crop(by=by, artwork=art, crop=Crop(LEFT_HALF, quarters=1))
    art.refresh_from_db()
    assert art.original.name == photograph
    assert Crop.of(art.crop) == Crop(LEFT_HALF, quarters=1)
    with Image.open(tmp_path / art.picture.name) as stored:
        assert stored.size == (150, 300)  # turned it is 200 × 300; to the piece's 1 to 2
    assert not (tmp_path / first).exists()
    with django_capture_on_commit_callbacks(execute=True):
        picture_crop(by=by, artwork=art, crop=Crop())
    with Image.open(tmp_path / art.picture.name) as stored:
        assert stored.size == (300, 200)
    with django_capture_on_commit_callbacks(execute=True):
        picture_remove(by=by, artwork=art)
    assert list(tmp_path.rglob("*.jpg")) == []


@pytest.mark.django_db
def test_a_picture_without_a_photograph_becomes_its_own(settings, tmp_path, django_capture_on_commit_callbacks):
    settings.MEDIA_ROOT = tmp_path
    art = ArtworkFactory()
    picture_save(artwork=art, content=picture())
    before = art.picture.name
    with django_capture_on_commit_callbacks(execute=True):
        picture_crop(by=member(art), artwork=art, crop=Crop(LEFT_HALF))
    assert (art.original.name, art.picture.name != before) == (before, True)
    assert (tmp_path / before).exists()


@pytest.mark.django_db
def test_more_detail_than_a_picture_keeps_stays_in_the_photograph(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    art = ArtworkFactory()
    picture_save(artwork=art, content=picture(size=(4000, 3000)))
    with Image.open(tmp_path / art.picture.name) as stored, Image.open(tmp_path / art.original.name) as whole:
        assert (stored.size, whole.size) == ((2400, 1800), (4000, 3000))
        assert not whole.getexif()


@pytest.mark.django_db
def test_a_refused_crop_changes_nothing(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    art = ArtworkFactory()
    picture_save(artwork=art, content=picture())
    before = (art.picture.name, art.version)
    with pytest.raises(Invalid, match="crossed"):
        picture_crop(by=member(art), artwork=art, crop=Crop(LEFT_HALF[::-1]))
    art.refresh_from_db()
    assert (art.picture.name, art.version) == before


WHOLE = {form: picture(size=(64, 48), form=form) for form in ("JPEG", "PNG", "WEBP", "TIFF")}


@given(st.sampled_from(sorted(WHOLE)), st.binary(min_size=1, max_size=60), st.floats(0, 1))
def test_any_damaged_picture_is_taken_or_refused(form, noise, where):
    content = bytearray(WHOLE[form])
    at = int(where * len(content))
    content[at : at + len(noise)] = noise
    try:
        clean = picture_clean(bytes(content))
    except Invalid:
        return
    assert clean.jpeg[:2] == b"\xff\xd8"


@given(st.binary(max_size=200))
def test_bytes_that_are_no_picture_are_refused(content):
    with pytest.raises(Invalid):
        picture_clean(content)


@pytest.mark.parametrize("profile", [b"x" * 200, b"", b"\0" * 128])
def test_a_colour_profile_that_cannot_be_read_is_taken_for_srgb(profile):
    """The numbers stay what they are; the picture is not called broken."""
    plain, _ = decoding.decoded(picture(icc_profile=profile), side_px=300)
    assert np.array(plain)[100, 150] == pytest.approx([200, 40, 40], abs=3)
