"""A finished file on its way out: in blocks, so that none of it is held whole, and gone when the last one is out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import IO

_BLOCK = 2**18


def size_of(file: IO[bytes]) -> int:
    """The bytes of an open file, which is at its beginning afterwards."""
    size = file.seek(0, 2)
    file.seek(0)
    return size


def in_blocks(file: IO[bytes]) -> Iterator[bytes]:
    """The bytes of an open file from where it stands; it is closed at the end, also when nobody takes the rest."""
    with file:
        while block := file.read(_BLOCK):
            yield block
