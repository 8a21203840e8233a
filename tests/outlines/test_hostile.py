"""Files that are no DXF, damaged ones, and ones made to do harm: each is refused by name, none crashes the reader."""

from __future__ import annotations

import random
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import BadCutFile, KitwrightError
from service.outlines.drawing import read_drawing
from tests.outlines.dxf_files import circle, dxf_bytes, empty_document, rectangle, written


def good_file(*, binary: bool = False) -> bytes:
    """A file with every kind of curve, a block and a repeated block."""
    document = empty_document()
    block = document.blocks.new("BOLT")
    block.add_circle((0, 0), 1)
    msp = document.modelspace()
    rectangle(msp, 0, 0, 100, 40)
    msp.add_blockref("BOLT", (20, 20), dxfattribs={"rotation": 30})
    repeated = {"row_count": 2, "column_count": 3, "row_spacing": 5, "column_spacing": 10, "xscale": 0.5}
    msp.add_blockref("BOLT", (50, 20), dxfattribs=repeated)
    msp.add_line((160, 0), (200, 0))
    msp.add_arc((200, 10), 10, 270, 90)
    msp.add_line((200, 20), (160, 20))
    msp.add_arc((160, 10), 10, 90, 270)
    msp.add_ellipse((300, 0), major_axis=(30, 0), ratio=0.5)
    msp.add_spline([(400, 0, 0), (430, 30, 0), (400, 60, 0), (370, 30, 0), (400, 0, 0)])
    msp.add_polyline2d([(500, 0, 0.3), (550, 0, 0), (520, 30, 0)], format="xyb", close=True)
    msp.add_text("note")
    return written(document, binary=binary)


GOOD = {False: good_file(), True: good_file(binary=True)}


def test_the_file_that_is_damaged_below_is_good() -> None:
    text, binary = (read_drawing(GOOD[kind], name="good.dxf") for kind in (False, True))
    assert text.material.equals_exact(binary.material, 1e-9)
    assert text.hole_count == 7


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b" \r\n\x00\x1a", "empty"),
        (b"\x89PNG\r\n\x1a\n" + bytes(64), "PNG"),
        (b"\xff\xd8\xff\xe0" + bytes(64), "JPEG"),
        (b"%PDF-1.7\n", "PDF"),
        (b"PK\x03\x04" + bytes(64), "ZIP"),
        (b"AC1027" + bytes(64), "DWG"),
        (b"<svg xmlns='x'/>", "markup"),
        (b'{"dxf": 1}', "JSON"),
        (b"hello\nworld\n" * 20, "group code"),
        (bytes(range(256)) * 40, "cannot be read"),
        (b"AutoCAD Binary DXF\r\n\x1a\x00" + bytes(range(256)), "cannot be read"),
        (b"0\nEOF\n", "no closed outline|does not say"),
    ],
)
def test_what_is_no_dxf_is_named(data: bytes, words: str) -> None:
    with pytest.raises(KitwrightError, match=words) as caught:
        read_drawing(data, name="part.dxf")
    assert caught.value.value in {"part.dxf", None}


@pytest.mark.parametrize("binary", [False, True], ids=["text", "binary"])
def test_a_file_that_ends_too_early_is_refused_wherever_it_ends(binary: bool) -> None:  # noqa: FBT001 -- a parameter
    whole = GOOD[binary]
    end = whole.rindex(b"EOF") + 3
    for cut in (*range(64, end, 997), end - 8, end - 4, end - 1):
        with pytest.raises(BadCutFile):
            read_drawing(whole[:cut], name="cut.dxf")


def test_line_ends_and_trailing_bytes_make_no_difference() -> None:
    whole = GOOD[False]
    plain = read_drawing(whole, name="good.dxf")
    for variant in (
        whole.replace(b"\n", b"\r\n"),
        b"\xef\xbb\xbf" + whole,
        whole + b"\x1a\x00\x00",
        b"999\nnote\n" + whole,
    ):
        assert read_drawing(variant, name="good.dxf") == plain


@pytest.mark.parametrize("number", [b"1O0.0", b"100,0", b"100.0.0", b"--100"])
def test_a_number_that_would_have_to_be_guessed_is_refused(number: bytes) -> None:
    with pytest.raises(BadCutFile):
        read_drawing(GOOD[False].replace(b"\n100.0\n", b"\n" + number + b"\n"), name="typo.dxf")


@given(seed=st.integers(0, 2**32), binary=st.booleans(), hits=st.integers(1, 20))
@settings(max_examples=200, deadline=None)
def test_a_damaged_file_reads_or_is_refused_but_never_crashes(seed: int, binary: bool, hits: int) -> None:  # noqa: FBT001 -- drawn by Hypothesis
    chance = random.Random(seed)
    data = bytearray(GOOD[binary])
    entities = bytes(data).index(b"ENTITIES")
    for _ in range(hits):
        at = chance.randrange(chance.choice((0, entities)), len(data))
        match chance.randrange(5):
            case 0:
                data[at] = chance.randrange(256)
            case 1:
                del data[at : at + chance.randrange(1, 30)]
            case 2:
                data[at:at] = chance.randbytes(4)
            case 3:
                data[at:at] = chance.choice((b"nan", b"1e308", b"-1", b"99999999", b"inf", b"0"))
            case _:
                start = chance.randrange(len(data))
                data[at:at] = data[start : start + 100]
    with suppress(KitwrightError):
        drawing = read_drawing(bytes(data), name="damaged.dxf")
        assert drawing.material.is_valid
        assert drawing.area_mm2 > 0


class TestBombs:
    def chain_of_blocks(self, *, depth: int, width: int) -> bytes:
        """Blocks that each place the next one ``width`` times; the last holds a circle."""
        document = empty_document()
        rectangle(document.modelspace(), 0, 0, 100, 40)
        for level in range(depth):
            block = document.blocks.new(f"B{level}")
            for place in range(width):
                block.add_blockref(f"B{level + 1}", (place, 0))
        document.blocks.new(f"B{depth}").add_point((0, 0))
        document.modelspace().add_blockref("B0", (10, 10))
        return written(document)

    def test_blocks_nested_thousands_deep(self) -> None:
        with pytest.raises(BadCutFile, match="nested more than"):
            read_drawing(self.chain_of_blocks(depth=3000, width=1), name="deep.dxf")

    def test_blocks_that_double_thirty_times(self) -> None:
        with pytest.raises(BadCutFile, match="once blocks are taken apart"):
            read_drawing(self.chain_of_blocks(depth=30, width=2), name="doubling.dxf")

    def test_blocks_that_contain_each_other(self) -> None:
        document = empty_document()
        document.blocks.new("A").add_blockref("B", (0, 0))
        document.blocks.new("B").add_blockref("A", (0, 0))
        document.modelspace().add_blockref("A", (0, 0))
        with pytest.raises(BadCutFile, match="contains itself"):
            read_drawing(written(document), name="loop.dxf")

    def test_a_block_repeated_a_thousand_million_times(self) -> None:
        document = empty_document()
        document.blocks.new("A").add_circle((0, 0), 1)
        many = {"row_count": 32767, "column_count": 32767, "row_spacing": 3, "column_spacing": 3}
        document.modelspace().add_blockref("A", (0, 0), dxfattribs=many)
        with pytest.raises(BadCutFile, match="repeats its block") as caught:
            read_drawing(written(document), name="many.dxf")
        assert (caught.value.place or "").startswith("INSERT #")

    def test_more_points_than_any_part_has(self) -> None:
        data = dxf_bytes(lambda msp: [circle(msp, 0, 0, 1000 + step) for step in range(1500)])
        with pytest.raises(BadCutFile, match="points once its curves are flattened"):
            read_drawing(data, name="points.dxf")

    def test_more_outlines_than_any_part_has(self) -> None:
        data = dxf_bytes(
            lambda msp: [
                rectangle(msp, 2 * (at % 80), 2 * (at // 80), 2 * (at % 80) + 1, 2 * (at // 80) + 1)
                for at in range(5001)
            ]
        )
        with pytest.raises(BadCutFile, match="closed outlines"):
            read_drawing(data, name="outlines.dxf")

    def test_more_structures_than_any_file_has(self) -> None:
        with pytest.raises(BadCutFile, match="entities and vertices"):
            read_drawing(
                b"0\nSECTION\n2\nENTITIES\n" + b"0\nPOINT\n" * 250_001 + b"0\nENDSEC\n0\nEOF\n", name="flood.dxf"
            )

    @pytest.mark.parametrize(
        "attributes",
        [
            {"weights": [1.0, 0.0, 1.0, 1.0]},
            {"weights": [1.0, -1.0, 1.0, 1.0]},
            {"knots": [0.0, 0, 0, 0, 1, 1, 0, 1]},
            {"degree": 40},
        ],
        ids=["no weight", "negative weight", "falling knots", "degree"],
    )
    def test_splines_that_cannot_be_followed(self, attributes: dict[str, object]) -> None:
        document = empty_document()
        spline = document.modelspace().add_open_spline([(0, 0, 0), (10, 0, 0), (10, 10, 0), (0, 10, 0)])
        for attribute, value in attributes.items():
            if attribute == "degree":
                spline.dxf.degree = value
            else:
                setattr(spline, attribute, value)
        with pytest.raises(BadCutFile) as caught:
            read_drawing(written(document), name="spline.dxf")
        assert (caught.value.place or "").startswith("SPLINE #")
