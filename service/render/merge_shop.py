"""Reading a photograph with the shop's own plates: from the bytes of a file to what it says."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from io import BytesIO

from PIL import Image

from schemas.label_template import LabelTemplate
from service.errors import BadInput
from service.marks.content import MarkFacts, link
from service.marks.dots import DOTS_PER_MM
from service.marks.items import BLACK, Block, Extent, Item, Layout, PlacedSymbol
from service.marks.key_codes import data_matrix_size
from service.marks.layout import bare_layout
from service.marks.placing_symbols import place_symbol
from service.render.merge_modules import LEAST_MARGIN, text_before_key
from service.render.merge_photograph import photograph
from service.render.merge_picture import PictureReading, read_picture

#: Keys of the two sizes of Data Matrix that keys make, the common one first. They only stand for the room they take.
_SIZES = {14: "K7M4XRAW", 12: "A234567W"}

_SHOWN = 900
"""Longer side of the picture that is shown again."""


@dataclass(frozen=True, slots=True)
class ReadPhotograph:
    """A reading, and the picture to look at.

    Attributes:
        reading: what it says.
        jpeg: the picture made small, as base64; empty when none was asked for.
    """

    reading: PictureReading
    jpeg: str


def read_photograph(
    data: bytes, templates: Sequence[LabelTemplate], public_url: str, *, shown: bool = False
) -> ReadPhotograph:
    """Read a file with a picture of a plate of one of these templates.

    Args:
        data: the bytes of the file.
        templates: of the shop.
        public_url: that stands in the codes.
        shown: whether the picture is wanted as well.

    Raises:
        TooLarge, BadPicture: as :func:`photograph`.
    """
    grey = photograph(data)
    reading = read_picture(grey, plate_layouts(templates, public_url, _SIZES[14]))
    if not reading.texts and reading.key is None:
        small = read_picture(grey, plate_layouts(templates, public_url, _SIZES[12]), matrix_size=12)
        if small.margin >= LEAST_MARGIN and small.key is not None:
            reading = small
    return ReadPhotograph(reading, _jpeg(Image.fromarray(grey)) if shown else "")


def plate_layouts(templates: Iterable[LabelTemplate], public_url: str, key: str) -> tuple[Layout, ...]:
    """The symbols of plates of these templates from every printer, those that lie alike once; of keys as long as this.

    Raises:
        ValueError: the key's Data Matrix is of no size that a key has.
    """
    if data_matrix_size(key) not in _SIZES:
        raise ValueError(key)
    facts = MarkFacts(number="", key=key, link=link(public_url, key), message="")
    made: dict[tuple[object, ...], Layout] = {}
    for template in templates:
        for per_mm in DOTS_PER_MM.values():
            symbols = tuple(_mergeable(template, facts, per_mm))
            if symbols:
                places = tuple((symbol.kind, *_tenths(symbol)) for symbol in symbols)
                items: tuple[Item, ...] = (*_band(template), *symbols)
                made.setdefault((template.name, places), bare_layout(template, per_mm, items, title=template.name))
    return tuple(made.values())


def _mergeable(template: LabelTemplate, facts: MarkFacts, per_mm: float) -> Iterable[PlacedSymbol]:
    for symbol in template.symbols:
        if symbol.content not in ("key", "link"):
            continue
        try:
            placed = place_symbol(symbol, facts, per_mm)
        except BadInput:
            # Not printable on this printer, or with this address: then no such plate is to be read either.
            continue
        for item in placed:
            if isinstance(item, PlacedSymbol) and text_before_key(item.kind, item.text) is not None:
                yield item


def _band(template: LabelTemplate) -> Iterable[Block]:
    band = template.colour_band
    if band is not None:
        extent = Extent(band.x_mm, band.y_mm, band.x_mm + band.width_mm, band.y_mm + band.height_mm)
        yield Block("band", extent, BLACK)


def _tenths(symbol: PlacedSymbol) -> tuple[int, ...]:
    extent = symbol.extent
    return tuple(round(5 * edge) for edge in (extent.left, extent.top, extent.right, extent.bottom))


def _jpeg(image: Image.Image) -> str:
    image.thumbnail((_SHOWN, _SHOWN))
    buffer = BytesIO()
    image.save(buffer, "JPEG", quality=80)
    return base64.b64encode(buffer.getvalue()).decode("ascii")
