"""A photograph that is kept holds nothing but its pixels, upright; what is a picture its content decides."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO

import numpy as np
import pytest
from PIL import Image, ImageOps
from PIL.PngImagePlugin import PngInfo

from service.errors import BadPicture, TooLarge
from service.render.kept_photograph import LONGEST_SIDE, kept_photograph
from service.render.merge_photograph import MOST_BYTES
from tests.camera import GPS, ORIENTATION, SECRETS, photograph_of, picture


def opened(data: bytes) -> Image.Image:
    image = Image.open(BytesIO(data))
    image.load()
    return image


def saved(image: Image.Image, form: str, **more: object) -> bytes:
    stream = BytesIO()
    image.save(stream, form, **more)
    return stream.getvalue()


def far_apart(one: Image.Image, other: Image.Image) -> float:
    """Mean difference of grey levels."""
    left, right = (np.asarray(image.convert("L"), dtype=float) for image in (one, other))
    assert left.shape == right.shape
    return float(np.abs(left - right).mean())


def test_the_camera_says_what_is_to_be_dropped() -> None:
    data = photograph_of("the plate")
    exif = opened(data).getexif()
    assert exif.get_ifd(GPS)[2] is not None
    assert all(secret in data for secret in SECRETS), "else nothing is proved below"


@pytest.mark.parametrize("turned", range(1, 9))
def test_nothing_of_where_and_when_remains_and_the_picture_stands_upright(turned: int) -> None:
    data = photograph_of("the plate", turned=turned)
    kept = kept_photograph(data)
    assert kept.media_type == "image/jpeg"
    for secret in (*SECRETS, b"Exif", b"ICC_PROFILE", b"http"):
        assert secret not in kept.data
    image = opened(kept.data)
    assert dict(image.getexif()) == {}
    assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density", "progression", "progressive"}
    # The markers of a JPEG: none of those that applications write for themselves but JFIF, and no comment.
    assert not any(marker in kept.data[:200] for marker in (b"\xff\xe1", b"\xff\xe2", b"\xff\xed", b"\xff\xfe"))
    upright = ImageOps.exif_transpose(opened(data))
    assert (kept.width_px, kept.height_px) == image.size == upright.size
    assert far_apart(image, upright) < 4
    if turned in (5, 6, 7, 8):
        assert image.size == (400, 640)


def test_a_png_stays_without_loss_and_loses_its_words() -> None:
    words = PngInfo()
    words.add_text("Location", "Ostrey Vale, hall 2")
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    exif[0x010F] = "PocketCam 9"
    drawn = picture("the plate")
    kept = kept_photograph(saved(drawn, "PNG", pnginfo=words, exif=exif))
    assert kept.media_type == "image/png"
    assert b"Ostrey" not in kept.data
    assert b"PocketCam" not in kept.data
    assert far_apart(opened(kept.data), drawn.transpose(Image.Transpose.ROTATE_270)) == 0
    chunks = []
    at = 8
    while at < len(kept.data):
        (length,) = struct.unpack(">I", kept.data[at : at + 4])
        chunks.append(kept.data[at + 4 : at + 8])
        at += length + 12
    assert set(chunks) == {b"IHDR", b"IDAT", b"IEND"}


@pytest.mark.parametrize("form", ["WEBP", "BMP", "TIFF", "GIF"])
def test_other_forms_become_one_of_two(form: str) -> None:
    kept = kept_photograph(saved(picture("the plate"), form))
    assert kept.media_type == ("image/jpeg" if form == "WEBP" else "image/png")
    assert far_apart(opened(kept.data), picture("the plate")) < 8


@pytest.mark.parametrize("mode", ["1", "L", "LA", "RGBA", "P", "CMYK", "I;16"])
def test_pictures_of_any_depth_are_kept(mode: str) -> None:
    image = Image.new("I;16", (64, 48)) if mode == "I;16" else picture("x", size=(64, 48)).convert(mode)
    kept = kept_photograph(saved(image, "TIFF"))
    assert (kept.width_px, kept.height_px) == (64, 48)


def test_what_is_huge_is_made_smaller() -> None:
    kept = kept_photograph(saved(Image.new("RGB", (LONGEST_SIDE * 2, 300), "green"), "JPEG"))
    assert kept.width_px <= LONGEST_SIDE
    assert abs(kept.width_px / kept.height_px - LONGEST_SIDE * 2 / 300) < 1


def bomb(width: int, height: int) -> bytes:
    """A PNG of some bytes that declares a picture of gigabytes."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 4096)) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    ("data", "error"),
    [
        (b"", BadPicture),
        (b"no picture at all", BadPicture),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", BadPicture),
        (b"%PDF-1.7\n", BadPicture),
        (photograph_of("cut off")[:3000], BadPicture),
        (saved(Image.new("RGB", (8, 8)), "PNG"), BadPicture),
        (bomb(60_000, 60_000), TooLarge),
        (bomb(8000, 8000), TooLarge),
        (b"\0" * (MOST_BYTES + 1), TooLarge),
    ],
    ids=["empty", "words", "svg", "pdf", "cut off", "too small", "bomb", "smaller bomb", "too many bytes"],
)
def test_what_is_no_picture_or_too_much_of_one_is_refused(data: bytes, error: type[Exception]) -> None:
    with pytest.raises(error):
        kept_photograph(data)
