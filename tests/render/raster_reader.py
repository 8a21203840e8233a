"""PWG raster read again by two readers that share nothing with the writer: one written from PWG 5102.4, and libcups.

The library is asked with ctypes; it stands on every machine with Debian's ``libcups2``, which ``ippeveprinter`` needs.
"""

from __future__ import annotations

import ctypes
import ctypes.util
import os
import struct
import tempfile
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class RasterPage:
    """One page: the fields of its header that are looked at, and its lines as octets."""

    media_class: str
    resolution: tuple[int, int]
    points: tuple[int, int]
    width: int
    height: int
    bits_per_color: int
    bits_per_pixel: int
    color_space: int
    colors: int
    size_name: str
    pages: int
    lines: NDArray[np.uint8]


def read_raster(data: bytes) -> list[RasterPage]:
    """Every page of a document, read octet by octet as PWG 5102.4 sections 4.1 to 4.4 say."""
    assert data[:4] == b"RaS2"
    at, pages = 4, []
    while at < len(data):
        header = data[at : at + 1796]
        at += 1796
        word = [struct.unpack_from(">I", header, offset)[0] for offset in range(0, 1796, 4)]
        width, height, bits = word[372 // 4], word[376 // 4], word[388 // 4]
        line_octets, unit = word[392 // 4], max(1, bits // 8)
        lines: list[bytes] = []
        while len(lines) < height:
            times = data[at] + 1
            at += 1
            line = b""
            while len(line) < line_octets:
                count = data[at]
                at += 1
                assert count != 128, "reserved"
                if count < 128:
                    line += data[at : at + unit] * (count + 1)
                    at += unit
                else:
                    line += data[at : at + unit * (257 - count)]
                    at += unit * (257 - count)
            assert len(line) == line_octets
            lines += [line] * times
        assert len(lines) == height
        pages.append(_page(header, word, width, height, b"".join(lines)))
    return pages


def _page(header: bytes, word: list[int], width: int, height: int, octets: bytes) -> RasterPage:
    return RasterPage(
        media_class=header[:64].rstrip(b"\0").decode(),
        resolution=(word[276 // 4], word[280 // 4]),
        points=(word[352 // 4], word[356 // 4]),
        width=width,
        height=height,
        bits_per_color=word[384 // 4],
        bits_per_pixel=word[388 // 4],
        color_space=word[400 // 4],
        colors=word[420 // 4],
        size_name=header[1732:1796].rstrip(b"\0").decode(),
        pages=word[452 // 4],
        lines=np.frombuffer(octets, dtype=np.uint8).reshape(height, -1),
    )


def libcups() -> ctypes.CDLL | None:
    """The library of the printing system, where it is installed."""
    name = ctypes.util.find_library("cups")
    if name is None:
        return None
    library = ctypes.CDLL(name)
    library.cupsRasterOpen.restype = ctypes.c_void_p
    library.cupsRasterOpen.argtypes = [ctypes.c_int, ctypes.c_int]
    library.cupsRasterReadHeader2.argtypes = [ctypes.c_void_p, ctypes.c_char_p]
    library.cupsRasterReadPixels.argtypes = [ctypes.c_void_p, ctypes.c_char_p, ctypes.c_uint]
    library.cupsRasterClose.argtypes = [ctypes.c_void_p]
    return library


def read_by_libcups(library: ctypes.CDLL, data: bytes) -> list[RasterPage]:
    """The same pages as the printing system's own library reads them; its header is in the machine's byte order."""
    pages = []
    with tempfile.TemporaryFile() as file:
        file.write(data)
        file.flush()
        os.lseek(file.fileno(), 0, os.SEEK_SET)
        raster = library.cupsRasterOpen(file.fileno(), 0)
        assert raster
        header = ctypes.create_string_buffer(1796)
        while library.cupsRasterReadHeader2(raster, header):
            word = [struct.unpack_from("=I", header.raw, offset)[0] for offset in range(0, 1796, 4)]
            width, height, line_octets = word[372 // 4], word[376 // 4], word[392 // 4]
            buffer = ctypes.create_string_buffer(line_octets)
            lines = []
            for _ in range(height):
                assert library.cupsRasterReadPixels(raster, buffer, line_octets) == line_octets
                lines.append(buffer.raw)
            pages.append(_page(header.raw, word, width, height, b"".join(lines)))
        library.cupsRasterClose(raster)
    return pages
