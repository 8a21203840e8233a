"""Photographs as telephones make them: a JPEG with all that a telephone writes beside the pixels."""

from __future__ import annotations

from io import BytesIO

from PIL import Image, ImageDraw
from PIL.TiffImagePlugin import IFDRational

GPS = 0x8825
ORIENTATION = 0x0112
LATITUDE = (IFDRational(51), IFDRational(28), IFDRational(3847, 100))
SECRETS = (b"PocketCam 9", b"Ostrey Vale, hall 2", b"2026:03:09 08:15:00", b"<x:xmpmeta", b"GPSLatitude", b"a word")
"""What stands beside the pixels, to be looked for in bytes."""


def picture(words: str, *, size: tuple[int, int] = (640, 400)) -> Image.Image:
    """Words on green plastic, darker at the left than at the right."""
    image = Image.new("RGB", size, (40, 130, 60))
    draw = ImageDraw.Draw(image)
    draw.rectangle((0, 0, size[0] // 4, size[1]), fill=(20, 60, 30))
    draw.text((size[0] // 3, size[1] // 3), words, fill="white")
    return image


def photograph_of(words: str, *, turned: int = 1, size: tuple[int, int] = (640, 400)) -> bytes:
    """A JPEG that says where, when and with what it was taken, and how it is to be turned (EXIF 2.32, orientation)."""
    image = picture(words, size=size)
    exif = Image.Exif()
    exif[ORIENTATION] = turned
    exif[0x010F] = "PocketCam 9"
    exif[0x010E] = "Ostrey Vale, hall 2"
    exif[0x0132] = "2026:03:09 08:15:00"
    exif[GPS] = {1: "N", 2: LATITUDE, 3: "W", 4: LATITUDE, 29: "2026:03:09"}
    xmp = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><GPSLatitude>51,28.64N</GPSLatitude></x:xmpmeta>'
    stream = BytesIO()
    image.save(stream, "JPEG", quality=92, exif=exif, xmp=xmp, comment=b"a word of the photographer")
    return stream.getvalue()
