"""A photograph as it is kept: decoded and written anew, so that only pixels are left of what the telephone sent.

Where a picture was taken, with what, when, by whom, a second smaller picture, words of an editor: all of that travels
beside the pixels, and none of it is copied. The pixels are turned upright first, as the data beside them asked for.
"""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from typing import Literal

from PIL import Image, ImageOps

from service.render.merge_photograph import grey_levels, opened, with_turn

LONGEST_SIDE = 4000
"""In pixels; what is larger is made smaller, which is still finer than what a mark is read from."""

_JPEG_QUALITY = 90


@dataclass(frozen=True, slots=True)
class KeptPhotograph:
    """The bytes that are kept, as what, and how large the picture is, upright."""

    data: bytes
    media_type: Literal["image/jpeg", "image/png"]
    width_px: int
    height_px: int


def kept_photograph(data: bytes) -> KeptPhotograph:
    """A photograph without anything but its pixels; of several frames the first.

    What came without loss, as a PNG, a scan or a screen, stays without loss.

    Raises:
        TooLarge: more bytes or pixels than are taken.
        BadPicture: no picture, a broken one, or one too small to hold a symbol.
    """
    return opened(data, _kept)


def _kept(image: Image.Image) -> KeptPhotograph:
    lossy = image.format in ("JPEG", "MPO", "WEBP")
    image.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
    pixels = ImageOps.exif_transpose(with_turn(_in_colour(image), image))
    if max(pixels.size) > LONGEST_SIDE:
        pixels.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.BOX)
    # A picture of its own: what Pillow keeps beside pixels would be written along otherwise.
    bare = Image.frombytes(pixels.mode, pixels.size, pixels.tobytes())
    stream = BytesIO()
    if lossy:
        bare.save(stream, "JPEG", quality=_JPEG_QUALITY, optimize=True)
    else:
        bare.save(stream, "PNG", optimize=False)
    return KeptPhotograph(stream.getvalue(), "image/jpeg" if lossy else "image/png", *bare.size)


def _in_colour(image: Image.Image) -> Image.Image:
    """Eight bits a colour; what is clear lies on white, and what has no colours stays grey."""
    if "A" in image.getbands() or "transparency" in image.info:
        clear = image.convert("RGBA")
        return Image.alpha_composite(Image.new("RGBA", clear.size, (255, 255, 255, 255)), clear).convert("RGB")
    grey = image.mode in ("1", "L", "I;16", "I;16B", "I;16L", "I", "F")
    return grey_levels(image) if grey else image.convert("RGB")
