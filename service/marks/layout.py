"""A template and the facts of one mark become a layout for one printer resolution.

Text shrinks to its floor and is then refused with the field named; a symbol takes the largest module of whole dots that
its room allows and is refused below the module that readers can read. Nothing is ever cut off.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial

from schemas.label_template import LabelTemplate
from service.errors import BadInput
from service.findings import Finding
from service.marks.content import MarkFacts, spaced_key, symbol_text
from service.marks.items import Item, KeepOut, Layout
from service.marks.layout_lint import lint_layout as lint_layout
from service.marks.lettering import Typeface
from service.marks.placing import place_band, place_rule, place_text, wording_of
from service.marks.placing_pictures import picture_text, place_picture
from service.marks.placing_symbols import place_symbol


def lay_out(
    template: LabelTemplate, facts: MarkFacts, typeface: Typeface, dots_per_mm: float, *, black_only: bool = False
) -> Layout:
    """Lay one mark out.

    Args:
        template: the tag format.
        facts: what the mark says.
        typeface: metrics of both weights, from ``render.fonts.typeface()``.
        dots_per_mm: of the printer, from ``marks.dots.dots_per_mm``.
        black_only: for a printer with one ink: the band is white with a black frame, its shape and word black.

    Raises:
        FieldDoesNotFit: a text does not fit its field at its floor.
        SymbolDoesNotFit: a symbol cannot be printed in whole dots of a readable size, or cannot hold its text.
        MissingGlyph: the face lacks a letter.
        UnknownCode: the stock colour is in no table.
    """
    return assembled(
        template,
        facts,
        dots_per_mm,
        tuple(item for part in parts(template, facts, typeface, dots_per_mm, black_only=black_only) for item in part()),
    )


def lint_mark(template: LabelTemplate, facts: MarkFacts, typeface: Typeface, dots_per_mm: float) -> list[Finding]:
    """Everything that stands against printing this mark: what :func:`lay_out` would raise, and the layout's own lint.

    Unlike ``lay_out`` it does not stop at the first fault.
    """
    findings: list[Finding] = []
    items: list[Item] = []
    for part in parts(template, facts, typeface, dots_per_mm, black_only=False):
        try:
            items.extend(part())
        except BadInput as error:
            findings.append(
                Finding(
                    rule=error.code,
                    level="error",
                    message=error.what,
                    field=error.field,
                    value=str(error.value),
                    todo=error.todo,
                    place=error.place or f"template {template.name}",
                )
            )
    return findings + lint_layout(template, assembled(template, facts, dots_per_mm, tuple(items)))


def assembled(template: LabelTemplate, facts: MarkFacts, per_mm: float, items: tuple[Item, ...]) -> Layout:
    """A layout of items that are placed already."""
    return bare_layout(template, per_mm, items, title=facts.number or facts.kit or spaced_key(facts.key))


def bare_layout(template: LabelTemplate, per_mm: float, items: tuple[Item, ...], *, title: str = "") -> Layout:
    """Items on the plate of a template, whatever mark they belong to."""
    return Layout(
        template=template.name,
        title=title,
        width_mm=template.width_mm,
        height_mm=template.height_mm,
        corner_radius_mm=template.corner_radius_mm,
        margin_mm=template.margin_mm,
        per_mm=per_mm,
        keep_outs=tuple(
            KeepOut(hole.x_mm, hole.y_mm, hole.diameter_mm / 2, hole.diameter_mm / 2 + hole.clearance_mm)
            for hole in template.holes
        ),
        items=items,
    )


def parts(
    template: LabelTemplate, facts: MarkFacts, typeface: Typeface, per_mm: float, *, black_only: bool
) -> Iterator[Callable[[], Sequence[Item]]]:
    """One call for each part of the template, so that each part's faults can be told apart."""
    yield partial(place_band, template.colour_band, facts, typeface, per_mm, template=template, black_only=black_only)
    for rule in template.rules:
        yield partial(place_rule, rule, per_mm)
    for field in template.fields:
        yield partial(place_text, field, facts, typeface, per_mm, template=template)
    for symbol in template.symbols:
        yield partial(place_symbol, symbol, facts, per_mm)
    for picture in template.pictures:
        yield partial(place_picture, picture, facts, typeface, black_only=black_only)


def shown(template: LabelTemplate, facts: MarkFacts) -> tuple[str, ...]:
    """What each part of the template shows, in the order of :func:`parts`: equal texts are placed equally."""
    texts = [facts.stock_colour, *[""] * len(template.rules)]
    texts.extend([wording_of(field, facts, template.languages) for field in template.fields])
    texts.extend([symbol_text(facts, symbol.content) for symbol in template.symbols])
    texts.extend([picture_text(picture, facts) for picture in template.pictures])
    return tuple(texts)
