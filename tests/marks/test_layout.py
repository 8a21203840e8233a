"""Templates become layouts, or say why not."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import FieldDoesNotFit, MissingGlyph, SymbolDoesNotFit, UnknownCode
from service.marks.dots import dots_per_mm
from service.marks.items import Block, Figure
from service.marks.layout import lay_out, lint_layout, lint_mark
from service.render.fonts import typeface
from service.rules.colours import STOCK_COLOURS
from tests.mark_factory import DPIS, LONGEST, TEMPLATE_NAMES, make_facts, make_layout, make_template


@pytest.mark.parametrize("dpi", DPIS)
@pytest.mark.parametrize("name", TEMPLATE_NAMES)
@pytest.mark.parametrize("facts", [{}, LONGEST], ids=["usual", "longest"])
def test_every_template_is_without_fault(name: str, dpi: int, facts: dict[str, Any]) -> None:
    assert lint_mark(make_template(name), make_facts(**facts), typeface(), dots_per_mm(dpi)) == []


@pytest.mark.parametrize("colour", STOCK_COLOURS)
@pytest.mark.parametrize("name", TEMPLATE_NAMES)
@pytest.mark.parametrize("black_only", [False, True])
def test_every_stock_colour_has_its_word_and_shape_on_every_template(
    name: str, colour: str, *, black_only: bool
) -> None:
    layout = make_layout(name, stock_colour=colour, black_only=black_only)
    assert lint_layout(make_template(name), layout) == []
    assert [run.text for run in layout.texts() if run.field == "colour"] == [colour]
    shapes = [item for item in layout.items if isinstance(item, Figure)]
    copies = len(make_template(name).colour_band.shapes)
    assert len(shapes) == copies * len(STOCK_COLOURS[colour].shape.polygons)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
@pytest.mark.parametrize("container", ["tall round 500 mL", "square 500 mL", "sport 330 mL", "12 fl oz sauce"])
def test_the_container_is_the_largest_text(name: str, container: str) -> None:
    layout = make_layout(name, container_words=container)
    sizes = {run.field: run.cap_height_mm for run in layout.texts()}
    container_size = sizes.pop("container")
    assert container_size > 1.3 * max(sizes.values())


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_a_mark_shows_the_number_whole_with_its_check_apart(name: str) -> None:
    *above, body, check = (run for run in make_layout(name).texts() if run.field == "number")
    assert "".join(run.text for run in (*above, body)) == "OSV4-FC1-A500-SW2-U3"
    assert [run.text for run in above] in ([], ["OSV4-FC1-A500-"])
    assert check.text == "-42"
    assert check.x_mm > body.x_mm + body.width_mm
    assert check.baseline_mm == body.baseline_mm
    assert check.weight != body.weight


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_a_mark_shows_the_key_in_two_fours_and_whom_to_call(name: str) -> None:
    words = " ".join(run.text for run in make_layout(name).texts())
    for wanted in ("K7M4 XRAW", "Kitwright demo shop", "+44 1632 960118", "discharge star wheel", "LEFT"):
        assert wanted in words


#: A key is drawn at random and a plant code is for ever: the widest of both have to fit.
WIDEST = {"key": "WWWWWWWM", "number": "MWM14-FC12-W1500-SW12-M13-42"}


@pytest.mark.parametrize("dpi", DPIS)
@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_the_widest_key_and_number_fit(name: str, dpi: int) -> None:
    assert lint_mark(make_template(name), make_facts(**WIDEST), typeface(), dots_per_mm(dpi)) == []


def test_what_is_empty_leaves_no_separator() -> None:
    texts = {run.field: run.text for run in make_layout(deck="", hand="").texts()}
    assert texts["deck+segment_count"] == "3 of 4"
    assert "hand" not in texts


def test_an_unknown_stock_colour_prints_no_band() -> None:
    assert not [item for item in make_layout(stock_colour="").items if isinstance(item, Figure)]


def test_a_colour_in_no_table_is_refused() -> None:
    with pytest.raises(UnknownCode, match="ultraviolet"):
        make_layout(stock_colour="ultraviolet")


def test_one_ink_is_black_on_white() -> None:
    layout = make_layout(black_only=True, stock_colour="yellow")
    assert {item.rgb for item in layout.items if isinstance(item, Block | Figure)} == {(0, 0, 0), (255, 255, 255)}


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
@pytest.mark.parametrize(
    ("fact", "field"),
    [("container_words", "container"), ("assembly_name", "assembly"), ("shop_name", "shop"), ("key", "key")],
)
def test_a_text_too_long_is_refused_with_its_field(name: str, fact: str, field: str) -> None:
    with pytest.raises(FieldDoesNotFit) as caught:
        lay_out(make_template(name), make_facts(**{fact: "W" * 150}), typeface(), 8.0)
    assert field in caught.value.field.split("+")
    assert "at least" in caught.value.what
    assert caught.value.place == f"template {name}"


def test_a_number_too_long_is_refused() -> None:
    with pytest.raises(FieldDoesNotFit) as caught:
        make_layout(number="OSVW123456-FC123456-AA123456-SW123456-U123456-42")
    assert caught.value.field == "number"


@pytest.mark.parametrize(
    "words", ["ψηλό στρογγυλό 500", "wysoka żółta 500", "høy rund 500 mL", "высокая 500 мл", "çok ĞİŞ 500 mL"]
)
@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_european_letters_are_set(name: str, words: str) -> None:
    layout = make_layout(name, container_words=words)
    assert " ".join(run.text for run in layout.texts() if run.field == "container") == words
    assert lint_layout(make_template(name), layout) == []


@pytest.mark.parametrize("words", ["高圆瓶", "زجاجة", "bottle 🍾", "bell\x07", "\u200bzero"])
def test_letters_that_the_face_lacks_are_refused_by_name(words: str) -> None:
    with pytest.raises(MissingGlyph) as caught:
        make_layout(container_words=words)
    assert caught.value.field == "container"
    assert "U+" in caught.value.what


def test_a_link_too_long_for_the_plate_is_refused() -> None:
    with pytest.raises(SymbolDoesNotFit) as caught:
        make_layout(public_url="https://kitwright.example.org/marks-of-the-shop/and-more")
    assert caught.value.field == "QR Code (link)"
    assert "mm" in caught.value.what


def test_a_link_of_47_characters_fits_at_every_resolution() -> None:
    for dpi in DPIS:
        layout = make_layout(dpi=dpi, public_url=LONGEST["public_url"])
        qr = next(symbol for symbol in layout.symbols() if symbol.kind == "qr")
        assert len(qr.text) == 47
        assert qr.module_mm >= 0.33


def test_the_lint_tells_every_fault_at_once() -> None:
    facts = make_facts(
        container_words="W" * 200, assembly_name="瓶", public_url="https://kitwright.example.org/" + "x" * 60
    )
    findings = lint_mark(make_template(), facts, typeface(), 8.0)
    assert {finding.rule for finding in findings} == {"field_does_not_fit", "missing_glyph", "symbol_does_not_fit"}
    assert all(finding.level == "error" and finding.todo for finding in findings)


@settings(max_examples=60, deadline=None)
@given(
    container=st.text(alphabet="abcdefghijklmnopqrstuvwxyz ÅŻ0123456789", min_size=1, max_size=30),
    assembly=st.text(alphabet="abcdefghijklmnopqrstuvwxyz ", max_size=30),
    deck=st.sampled_from(["lower", "middle", "upper", "neck", ""]),
    segments=st.integers(1, 99),
    hand=st.sampled_from(["LEFT", "RIGHT", ""]),
    mass_kg=st.floats(0, 200),
    name=st.sampled_from(TEMPLATE_NAMES),
    per_mm=st.sampled_from([8.0, 300 / 25.4, 600 / 25.4]),
)
def test_what_is_laid_out_has_no_fault(
    container: str,
    assembly: str,
    deck: str,
    segments: int,
    hand: str,
    mass_kg: float,
    name: str,
    per_mm: float,
) -> None:
    template = make_template(name)
    facts = make_facts(
        container_words=container,
        assembly_name=assembly,
        deck=deck,
        segment_of=f"segment {segments} of {segments}",
        hand=hand,
        mass_kg=mass_kg,
    )
    try:
        layout = lay_out(template, facts, typeface(), per_mm)
    except FieldDoesNotFit:
        return
    assert lint_layout(template, layout) == []
    assert all(run.text.strip() for run in layout.texts())
