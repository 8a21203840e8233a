"""Bytes to a DXF document: text or binary DXF of any version, or a sentence that says why not.

The reader forgives what changes no geometry: coordinates in odd order, blanks around names, comments, a wrong text
encoding. It refuses what could lose or bend a line without anyone noticing: a structure with missing parts, a file that
ends too early, a number that had to be guessed. What a file is, its content decides, never its name.
"""

from __future__ import annotations

import io
import logging
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ezdxf.audit import AuditError
from ezdxf.document import Drawing as DxfDocument
from ezdxf.lldxf.tagger import binary_tags_loader, tag_compiler
from ezdxf.lldxf.types import DXFTag
from ezdxf.recover import safe_tag_loader

from service.errors import BadCutFile

MAX_STRUCTURES = 250_000
"""Most entities, table rows, vertices and other structures in a file; a large cut file has some thousands."""

_BINARY_DXF = b"AutoCAD Binary DXF\r\n\x1a\x00"
_OTHER_KINDS: tuple[tuple[bytes, str], ...] = (
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a ZIP archive"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"AC10", "a DWG drawing"),
    (b"AC1.", "a DWG drawing"),
    (b"<", "a text with markup"),
    (b"{", "a JSON text"),
)

logging.getLogger("ezdxf").addHandler(logging.NullHandler())


@dataclass(frozen=True, slots=True)
class DxfFile:
    """A loaded document.

    Attributes:
        document: the document as the DXF library holds it.
        insunits: the value of ``$INSUNITS`` as it stands in the file; 0 when the file has none. The library itself
            answers 6 (metres) for a file without the variable, so the value is taken from the bytes.
    """

    document: DxfDocument
    insunits: int


def load_dxf(data: bytes, *, name: str) -> DxfFile:
    """The DXF document in some bytes.

    Args:
        data: the bytes of a text or binary DXF file.
        name: the file's name, for messages.

    Raises:
        BadCutFile: no DXF, a damaged one, or one with more than ``MAX_STRUCTURES`` structures.
    """
    _refuse_other_kinds(data, name)
    watch = _Watch()
    guesses: list[tuple[int, str]] = []
    try:
        if data.startswith(_BINARY_DXF):
            tags: Iterable[DXFTag] = tag_compiler(iter(binary_tags_loader(data)))
        else:
            tags = safe_tag_loader(io.BytesIO(data.removeprefix(b"\xef\xbb\xbf")), messages=guesses)
        document = DxfDocument.from_tags(watch.over(tags))
    except _TooMany:
        raise BadCutFile(
            f"more than {MAX_STRUCTURES:,} entities and vertices",
            field="file",
            value=name,
            todo="Save the outline alone, without hatches and details",
        ) from None
    except Exception as error:  # the library raises many classes on hostile bytes; each is the file's fault
        raise BadCutFile(
            f"it cannot be read as DXF ({_reason(error)})",
            field="file",
            value=name,
            todo="Save the drawing as DXF again and send it whole",
        ) from error
    for code, message in guesses:
        if code != AuditError.DECODING_ERROR:
            raise BadCutFile(
                f"a number had to be guessed: {message}",
                field="file",
                value=name,
                todo="Save the drawing as DXF again and send it whole",
            )
    return DxfFile(document=document, insunits=watch.insunits)


class _TooMany(Exception):
    """More structures than any cut file has."""


class _Watch:
    """Looks at the tags on their way into the library: counts structures and notes the units."""

    def __init__(self) -> None:
        self.structures = 0
        self.insunits = 0
        self._variable = ""

    def over(self, tags: Iterable[DXFTag]) -> Iterator[DXFTag]:
        for tag in tags:
            if tag.code == 0:
                self.structures += 1
                if self.structures > MAX_STRUCTURES:
                    raise _TooMany
            elif tag.code == 9:
                self._variable = str(tag.value)
            elif tag.code == 70 and self._variable == "$INSUNITS":
                self.insunits, self._variable = int(tag.value), ""
            yield tag


def _refuse_other_kinds(data: bytes, name: str) -> None:
    start = data[:512].removeprefix(b"\xef\xbb\xbf").lstrip()
    if not data.strip(b"\x00 \t\r\n\x1a"):
        raise BadCutFile("the file is empty", field="file", value=name, todo="Send the DXF file")
    for magic, kind in _OTHER_KINDS:
        if start.startswith(magic):
            raise BadCutFile(
                f"it is {kind}, not DXF", field="file", value=name, todo="Save the drawing as DXF and send that"
            )


def _reason(error: Exception) -> str:
    """The library's reason in one line, or the kind of the fault when it gives none."""
    text = " ".join(str(error).split()).removeprefix("DXFStructureError: ").rstrip(".")
    return text[:120] if text else type(error).__name__
