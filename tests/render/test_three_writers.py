"""PDF, PNG and SVG show the same: letters of the customers' languages, plan, silhouette and frame.

What cannot be set is refused by name in each of them.
"""

from __future__ import annotations

import unicodedata
from functools import partial
from io import BytesIO
from typing import Any

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray
from PIL import Image

from service.errors import MissingGlyph
from service.marks.items import Extent, Layout
from service.render.pdf import pdf
from service.render.png import png
from service.render.svg import svg
from service.render.svg_raster import rasterised
from service.work.drawing_room import draw_plate, draw_plates
from tests.mark_factory import make_facts, make_layout, make_template

Grey = NDArray[np.uint8]

#: Invented plants, customers and containers.
NAMES = {
    "Greek": ("Άνω Κοιλάδα", "Ύδατα Ψηλού Όρους", "ψηλό στρογγυλό 500"),
    "Polish": ("Żółć nad Łódką", "Źródła Ćmińskie", "wysoka żółta 500"),
    "Cyrillic": ("Їжачий Ґанок", "Воды Щёлкова Ъ", "высокая 500 мл"),
    "Nordic": ("Ærø Ødegård", "Åkerö Vatten", "høy rund 500"),
    "Turkish": ("Iğdır Gölbaşı", "Şişe ve Çiçek", "çok İĞŞ 500"),
}


def as_png(layout: Layout) -> Grey:
    with Image.open(BytesIO(png(layout, dpi=300))) as image:
        return np.asarray(image.convert("L"))


def as_pdf(layout: Layout) -> Grey:
    document = pypdfium2.PdfDocument(pdf([layout], paper="roll", dots_per_mm=layout.per_mm))
    bitmap = document[0].render(scale=layout.per_mm * 25.4 / 72, grayscale=True)
    grey = np.array(bitmap.to_numpy()).reshape(bitmap.height, -1)[:, : bitmap.width]
    document.close()
    return grey


def as_svg(layout: Layout) -> Grey:
    return rasterised(svg(layout))


def ink(grey: Grey, extent: Extent, per_mm: float) -> float:
    """How much darker than white a rectangle is on average, 0 to 1."""
    left, top, right, bottom = (round(edge * per_mm) for edge in (extent.left, extent.top, extent.right, extent.bottom))
    return float(1 - grey[top:bottom, left:right].mean() / 255)


@pytest.mark.parametrize("language", NAMES)
def test_letters_of_the_customers_languages_are_inked_alike_by_every_writer(language: str) -> None:
    plant, customer, container = NAMES[language]
    layout = make_layout("crate-label-a5", dpi=300, plant=plant, customer=customer, container_words=container)
    rasters = [write(layout) for write in (as_png, as_pdf, as_svg)]
    runs = [run for run in layout.texts() if run.field in ("customer+plant", "container")]
    assert " ".join(run.text for run in runs) == f"{container} {customer} · {plant}"
    for run in runs:
        shares = [ink(grey, run.extent, layout.per_mm) for grey in rasters]
        assert min(shares) > 0.1
        assert max(shares) < 1.15 * min(shares)


def test_each_letter_leaves_its_own_ink() -> None:
    """A letter that vanished, or came out as a box, would leave the same ink as another one."""
    seen: dict[bytes, str] = {}
    for char in "ΆάΩΨżŁłŹźЇЩЪёÆøĞıİşß":
        layout = make_layout("nameplate-60x22", dpi=300, container_words=char)
        (run,) = (run for run in layout.texts() if run.field == "container")
        left, top, right, bottom = (
            round(edge * layout.per_mm)
            for edge in (run.extent.left, run.extent.top, run.extent.right, run.extent.bottom)
        )
        for write in (as_png, as_pdf, as_svg):
            picture = (write(layout)[top:bottom, left:right] < 128).tobytes()
            assert any(picture)
            assert seen.setdefault(picture, char) == char


@pytest.mark.parametrize("form", ["NFD", "NFKD"])
def test_letters_that_come_in_parts_are_put_together(form: Any) -> None:
    for plant, customer, container in NAMES.values():
        apart: dict[str, Any] = {
            name: unicodedata.normalize(form, text)
            for name, text in (("plant", plant), ("customer", customer), ("container_words", container))
        }
        whole = make_layout("crate-label-a5", plant=plant, customer=customer, container_words=container)
        assert make_layout("crate-label-a5", **apart).items == whole.items


@pytest.mark.parametrize("form", ["pdf", "png", "svg"])
@pytest.mark.parametrize(
    ("fact", "text", "field", "named"),
    [
        ("container_words", "高圆瓶 500", "container", "'高' (U+9AD8, CJK UNIFIED IDEOGRAPH-9AD8)"),
        ("plant", "上谷", "customer+plant", "'上' (U+4E0A, CJK UNIFIED IDEOGRAPH-4E0A)"),
        ("customer", "مياه", "customer+plant", "'م' (U+0645, ARABIC LETTER MEEM)"),
        ("assembly_name", "star 🍾", "assembly", "(U+1F37E, BOTTLE WITH POPPING CORK)"),
        ("shop_name", "Q̈uelle", "shop+telephone", "(U+0308, COMBINING DIAERESIS)"),
    ],
)
def test_what_the_face_lacks_is_refused_by_its_name_and_field(
    fact: str, text: str, field: str, named: str, form: str
) -> None:
    template, facts = make_template("crate-label-a5"), make_facts(**{fact: text})
    draw = {
        "pdf": partial(draw_plates, template, [facts], paper="roll", dpi=203),
        "png": partial(draw_plate, template, facts, form="png", dpi=203),
        "svg": partial(draw_plate, template, facts, form="svg", dpi=203),
    }
    with pytest.raises(MissingGlyph) as caught:
        draw[form]()
    assert caught.value.field == field
    assert named in caught.value.what


@pytest.mark.parametrize("name", ["cart-placard-a5", "nameplate-90x35"])
def test_pictures_and_frames_come_out_alike(name: str) -> None:
    layout = make_layout(name, dpi=300)
    first, *others = (write(layout).astype(int) for write in (as_png, as_pdf, as_svg))
    # The rasteriser that reads SVG back draws lines in whole dots; it needs no more.
    for other, slack in zip(others, (0.05, 0.15), strict=True):
        assert other.shape == first.shape
        assert (abs(other - first) > 128).mean() < 0.03
        for item in layout.items:
            role = getattr(item, "role", "")
            if role in ("plan", "silhouette", "frame"):
                shares = [ink(grey.astype(np.uint8), item.extent, layout.per_mm) for grey in (first, other)]
                assert shares[0] == pytest.approx(shares[1], abs=slack), role
