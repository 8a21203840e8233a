"""Symbols against a second encoder and a second decoder each, for the texts that marks really hold.

Marks are encoded by segno, ppf.datamatrix and python-barcode. The second encoders are zxing-cpp 3.1 and libdmtx 0.7;
they are the decoders too, each from another code base than the encoder whose symbol it reads.
"""

from __future__ import annotations

from typing import cast

import arbez_dmtx
import numpy as np
import pytest
import segno
import zxingcpp
from numpy.typing import NDArray

from service.marks.content import MarkFacts, symbol_text
from service.marks.symbols import QUIET_ZONE_MODULES, Modules, SymbolKind, code128, data_matrix, qr
from tests.segment_factory import random_facts

FACTS = tuple(random_facts(seed=18004, count=120))
Dark = NDArray[np.bool_]

FORMATS: dict[SymbolKind, zxingcpp.BarcodeFormat] = {
    "qr": zxingcpp.BarcodeFormat.QRCode,
    "data_matrix": zxingcpp.BarcodeFormat.DataMatrix,
    "code128": zxingcpp.BarcodeFormat.Code128,
}

#: libdmtx draws five pixels a module and two modules of white round the symbol.
DMTX_MODULE, DMTX_BORDER = 5, 10


def dark(modules: Modules) -> Dark:
    return np.array(modules.rows, dtype=bool)


def by_zxing(kind: zxingcpp.BarcodeFormat, text: str, **options: object) -> Dark:
    barcode = zxingcpp.create_barcode(text, kind, **options)
    return np.asarray(np.array(zxingcpp.write_barcode_to_image(barcode, scale=1, add_quiet_zones=False)) == 0)


def by_libdmtx(text: str) -> Dark:
    made = arbez_dmtx.encode(text.encode(), size="SquareAuto")  # type: ignore[no-untyped-call]  # it carries no types
    grey = np.frombuffer(made.pixels, dtype=np.uint8).reshape(made.height, made.width, 3)[:, :, 0]
    inner = grey[DMTX_BORDER:-DMTX_BORDER, DMTX_BORDER:-DMTX_BORDER]
    return np.asarray(inner[DMTX_MODULE // 2 :: DMTX_MODULE, DMTX_MODULE // 2 :: DMTX_MODULE] < 128)


def printed(modules: Dark, kind: SymbolKind) -> NDArray[np.uint8]:
    """Modules of four pixels with their quiet zone."""
    tall = np.repeat(modules, 40 if kind == "code128" else 4, axis=0).repeat(4, axis=1)
    return np.pad(np.where(tall, 0, 255).astype(np.uint8), 4 * QUIET_ZONE_MODULES[kind], constant_values=255)


def read_by_zxing(modules: Dark, kind: SymbolKind) -> zxingcpp.Barcode:
    formats = zxingcpp.BarcodeFormats([FORMATS[kind]])
    (found,) = zxingcpp.read_barcodes(printed(modules, kind), formats=formats)
    return found


def extra(found: zxingcpp.Barcode, name: str) -> str:
    """What the decoder says of a symbol beside its text."""
    return str(cast("dict[str, object]", found.extra)[name])


def read_by_libdmtx(modules: Dark) -> list[bytes]:
    seen = arbez_dmtx.decode(printed(modules, "data_matrix"), max_count=1)  # type: ignore[no-untyped-call]  # no types
    return [one.data for one in seen]


class TestQrCode:
    @pytest.mark.parametrize("facts", FACTS[:40], ids=lambda facts: facts.key)
    def test_the_link_has_the_version_and_level_of_the_second_encoder(self, facts: MarkFacts) -> None:
        """ISO/IEC 18004: at level Q version 2 holds 29 alphanumeric characters, version 3 holds 47."""
        ours = dark(qr(facts.link))
        other = by_zxing(zxingcpp.BarcodeFormat.QRCode, facts.link, ec_level="Q")
        for modules in (ours, other):
            found = read_by_zxing(modules, "qr")
            version = "2" if len(facts.link) <= 29 else "3"
            assert (found.text, extra(found, "Version"), found.ec_level) == (facts.link, version, "Q")
        assert ours.shape == other.shape

    def test_both_encoders_agree_module_by_module_under_one_mask(self) -> None:
        """They may choose different masks; under the mask that the second one chose the first makes its symbol."""
        for facts in FACTS[:40]:
            other = by_zxing(zxingcpp.BarcodeFormat.QRCode, facts.link, ec_level="Q")
            mask = int(extra(read_by_zxing(other, "qr"), "DataMask"))
            first = segno.make_qr(facts.link, error="Q", mode="alphanumeric", boost_error=False, mask=mask)
            assert (np.array(first.matrix, dtype=bool) == other).all()
            own = dark(qr(facts.link))
            mask = int(extra(read_by_zxing(own, "qr"), "DataMask"))
            first = segno.make_qr(facts.link, error="Q", mode="alphanumeric", boost_error=False, mask=mask)
            assert (np.array(first.matrix, dtype=bool) == own).all()


class TestDataMatrix:
    def test_a_bare_key_has_the_modules_of_the_second_encoder(self) -> None:
        for facts in FACTS:
            assert (dark(data_matrix(facts.key)) == by_libdmtx(facts.key)).all()

    @pytest.mark.parametrize("content", ["key", "message", "contents"])
    def test_two_decoders_read_the_symbols_of_three_encoders(self, content: str) -> None:
        """The encoders may choose other code sets, and sizes with them; what is said is the same."""
        for facts in FACTS[:25]:
            text = symbol_text(facts, content)  # type: ignore[arg-type]  # the contents of a Data Matrix
            ours, theirs = dark(data_matrix(text)), by_libdmtx(text)
            third = by_zxing(zxingcpp.BarcodeFormat.DataMatrix, text, force_square=True)
            for modules in (ours, theirs, third):
                assert modules.shape[0] == modules.shape[1]
                assert bytes(read_by_zxing(modules, "data_matrix").bytes) == text.encode()
                assert read_by_libdmtx(modules) == [text.encode()]


class TestCode128:
    def test_a_key_has_the_bars_of_the_second_encoder_where_no_digits_stand_together(self) -> None:
        """Both write such a key in code set B; runs of digits they may put into set C at different places."""
        compared = 0
        for facts in FACTS:
            if any(one.isdigit() and other.isdigit() for one, other in zip(facts.key, facts.key[1:], strict=False)):
                continue
            compared += 1
            assert (dark(code128(facts.key)) == by_zxing(zxingcpp.BarcodeFormat.Code128, facts.key)[:1]).all()
        assert compared > 20

    def test_the_second_encoder_is_never_narrower_by_more_than_one_symbol_character(self) -> None:
        for facts in FACTS:
            for text in (facts.key, facts.number):
                own = code128(text).width
                assert 0 <= own - by_zxing(zxingcpp.BarcodeFormat.Code128, text).shape[1] <= 11
                assert read_by_zxing(dark(code128(text)), "code128").text == text
