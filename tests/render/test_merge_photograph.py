"""Pictures from anywhere: what a phone or scanner sends is taken, and what would hurt is refused in words."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from service.errors import BadPicture, TooLarge
from service.render.merge_photograph import MOST_BYTES, photograph


def encoded(image: Image.Image, kind: str = "PNG", **more: object) -> bytes:
    buffer = BytesIO()
    image.save(buffer, kind, **more)
    return buffer.getvalue()


def ramp(mode: str = "L") -> Image.Image:
    """Black at the left, white at the right, the upper half darker."""
    grey = np.linspace(0, 255, 64)[None, :] * np.where(np.arange(32) < 16, 0.5, 1.0)[:, None]
    return Image.fromarray(grey.astype(np.uint8)).convert(mode)


def declared(width: int, height: int) -> bytes:
    """A PNG that says it is so large, and is not."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    body = chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


@pytest.mark.parametrize("mode", ["L", "RGB", "CMYK", "P", "1", "RGBA", "LA"])
def test_every_mode_becomes_grey(mode: str) -> None:
    kind = "TIFF" if mode == "CMYK" else "PNG"
    grey = photograph(encoded(ramp(mode), kind))
    assert grey.shape == (32, 64)
    assert grey.dtype == np.uint8
    assert grey[24, 4] < 80
    assert grey[24, 60] > 180


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "BMP", "TIFF", "GIF", "MPO"])
def test_every_format_is_taken(kind: str) -> None:
    assert photograph(encoded(ramp(), kind)).shape == (32, 64)


def test_what_is_of_no_known_format_is_told_which_are() -> None:
    with pytest.raises(BadPicture, match="JPEG"):
        photograph(b"no picture")


def test_sixteen_bits_are_stretched_over_what_they_use() -> None:
    values = np.linspace(1000, 3000, 64, dtype=np.uint16)[None, :].repeat(32, axis=0)
    grey = photograph(encoded(Image.fromarray(values)))
    assert (grey[0, 0], grey[0, -1]) == (0, 255)


def test_what_is_clear_lies_on_white() -> None:
    clear = Image.new("RGBA", (40, 40), (0, 0, 0, 0))
    assert (photograph(encoded(clear)) == 255).all()


@pytest.mark.parametrize(("turn", "shape"), [(1, (32, 64)), (3, (32, 64)), (6, (64, 32)), (8, (64, 32))])
@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_the_picture_is_turned_as_its_camera_says(turn: int, shape: tuple[int, int], kind: str) -> None:
    image = ramp()
    exif = image.getexif()
    exif[0x0112] = turn
    grey = photograph(encoded(image, kind, exif=exif))
    assert grey.shape == shape
    bright = {1: (-4, -4), 3: (4, 4), 6: (-4, 4), 8: (4, -4)}[turn]
    assert grey[bright] > 200


def test_of_several_frames_the_first_is_taken() -> None:
    frames = [Image.new("L", (32, 32), level) for level in (255, 0)]
    assert (photograph(encoded(frames[0], "GIF", save_all=True, append_images=frames[1:])) > 250).all()


def test_a_large_picture_is_made_smaller() -> None:
    grey = photograph(encoded(Image.new("L", (6000, 300), 200), "JPEG"))
    assert max(grey.shape) <= 4000


@pytest.mark.parametrize("size", [(50_000, 50_000), (2**31 - 1, 2**31 - 1), (100_000, 700)])
def test_a_declared_size_is_refused_before_it_is_decoded(size: tuple[int, int]) -> None:
    with pytest.raises((TooLarge, BadPicture)) as caught:
        photograph(declared(*size))
    assert caught.value.field == "file"


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"not a picture",
        b"\x89PNG\r\n\x1a\n",
        b"\xff\xd8\xff\xe0",
        b"GIF89a\x10\x00",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"%PDF-1.7\n",
        encoded(ramp())[:-60],
        encoded(ramp().resize((400, 400)), "JPEG")[:300],
        encoded(Image.new("L", (3, 3))),
        declared(64, 64),
        declared(0, 0),
    ],
)
def test_what_is_no_whole_picture_is_refused(data: bytes) -> None:
    with pytest.raises(BadPicture) as caught:
        photograph(data)
    assert caught.value.todo


def test_more_bytes_than_are_taken_are_refused() -> None:
    with pytest.raises(TooLarge):
        photograph(b"\xff" * (MOST_BYTES + 1))
