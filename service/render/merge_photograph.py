"""A photograph as grey levels: whatever a phone or scanner sends, and nothing that would hurt the machine."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from io import BytesIO
from typing import TypeVar

import numpy as np
from PIL import Image, ImageOps, UnidentifiedImageError

from service.errors import BadPicture, TooLarge
from service.render.read_back import Grey

MOST_BYTES = 24_000_000
"""Largest file that is taken."""

MOST_PIXELS = 120_000_000
"""Most pixels that a file may declare; what cannot be made smaller while it is decoded may have a third of it."""

_WORKED_ON = 4000
"""Longer side of the picture that is worked on, in pixels."""

T = TypeVar("T")
_FORMATS = ("JPEG", "PNG", "WEBP", "BMP", "TIFF", "GIF")
_LEAST_SIDE = 16


def photograph(data: bytes) -> Grey:
    """The picture upright as its EXIF data says, as grey levels; of several frames the first.

    Raises:
        TooLarge: more bytes or pixels than are taken.
        BadPicture: no picture, a broken one, or one too small to hold a symbol.
    """
    return opened(data, _decoded)


def opened(data: bytes, work: Callable[[Image.Image], T]) -> T:
    """What is made of a picture whose bytes, form and size were looked at before a pixel of it is decoded.

    Raises:
        TooLarge, BadPicture: as ``photograph``, also when ``work`` finds the picture broken.
    """
    if not data:
        raise BadPicture("the file is empty", field="file", value="0 bytes", todo="Send the picture again")
    if len(data) > MOST_BYTES:
        raise TooLarge(
            f"a picture has at most {MOST_BYTES // 10**6} MB",
            field="file",
            value=f"{len(data)} bytes",
            todo="Send a smaller picture, or only the part with the plate",
        )
    try:
        with warnings.catch_warnings():
            # What a declared size would cost is decided below, before anything is decoded.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            # Formats beyond the commonest are known only after this.
            Image.init()
            with Image.open(BytesIO(data), formats=_FORMATS) as image:
                _refuse_size(image)
                return work(image)
    except UnidentifiedImageError as error:
        raise BadPicture(
            "this is no JPEG, PNG, WebP, BMP, TIFF or GIF",
            field="file",
            value=f"{len(data)} bytes",
            todo="Send the picture as the camera made it, or as JPEG or PNG",
        ) from error
    except Image.DecompressionBombError as error:
        raise _too_many_pixels("more than the reader of pictures lets in") from error
    except (
        OSError,
        SyntaxError,
        ValueError,
        EOFError,
        OverflowError,
        MemoryError,
        ArithmeticError,
        LookupError,
    ) as error:
        raise BadPicture(
            "the picture is broken or cut off",
            field="file",
            value=f"{len(data)} bytes",
            todo="Take it again, or send the whole file",
        ) from error


def _refuse_size(image: Image.Image) -> None:
    width, height = image.size
    if width * height > (MOST_PIXELS if image.format in ("JPEG", "MPO") else MOST_PIXELS // 3):
        raise _too_many_pixels(f"{width} × {height}")
    if min(width, height) < _LEAST_SIDE:
        raise BadPicture(
            "a symbol needs more pixels than this picture has",
            field="file",
            value=f"{width} × {height} pixels",
            todo="Send a picture in which a module is at least two pixels wide",
        )


def _decoded(image: Image.Image) -> Grey:
    # A JPEG is decoded at a half, a quarter or an eighth of its size where that is enough.
    image.draft("L", (_WORKED_ON, _WORKED_ON))
    grey = grey_levels(image)
    longer = max(grey.size)
    if longer > _WORKED_ON:
        scale = _WORKED_ON / longer
        size = (max(_LEAST_SIDE, round(grey.width * scale)), max(_LEAST_SIDE, round(grey.height * scale)))
        grey = grey.resize(size, Image.Resampling.BOX)
    turned = ImageOps.exif_transpose(with_turn(grey, image))
    return np.ascontiguousarray(np.asarray(turned, dtype=np.uint8))


def with_turn(grey: Image.Image, source: Image.Image) -> Image.Image:
    """A picture with the turn of its source, which changing its mode may have lost."""
    turn = source.getexif().get(_ORIENTATION)
    if turn is not None:
        grey.getexif()[_ORIENTATION] = turn
    return grey


_ORIENTATION = 0x0112


def grey_levels(image: Image.Image) -> Image.Image:
    """Eight bits a pixel: what is clear lies on white, and 16 bits are stretched over what they use."""
    if image.mode in ("I;16", "I;16B", "I;16L", "I", "F"):
        values = np.asarray(image, dtype=np.float64)
        finite = values[np.isfinite(values)]
        low, high = (float(finite.min()), float(finite.max())) if finite.size else (0.0, 0.0)
        scaled = np.nan_to_num((values - low) * (255 / (high - low) if high > low else 0.0))
        return Image.fromarray(scaled.astype(np.uint8))
    if "A" in image.getbands() or "transparency" in image.info:
        clear = image.convert("RGBA")
        ground = Image.new("RGBA", clear.size, (255, 255, 255, 255))
        return Image.alpha_composite(ground, clear).convert("L")
    return image.convert("L")


def _too_many_pixels(value: str) -> TooLarge:
    return TooLarge(
        f"a picture has at most {MOST_PIXELS // 10**6} million pixels",
        field="file",
        value=value,
        todo="Send a smaller picture, or only the part with the plate",
    )
