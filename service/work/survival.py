"""The survival card of a mark on record: nothing is printed, and nothing goes into the ledger."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from schemas.answers.survival import (
    SurvivalAnswer,
    SurvivalDamageAnswer,
    SurvivalSymbolAnswer,
    SurvivalTallyAnswer,
    SurvivalTextAnswer,
)
from service.marks.content import MarkFacts
from service.marks.dots import dots_per_mm
from service.marks.survival import FAMILY_WORDS, SurvivalCard, SymbolSurvival, Tally, Trial, carried_on
from service.render.survival_svg import card_and_picture
from service.work.plates import segment_plates
from service.work.print_marks import DEFAULT_DPI, DEFAULT_TEMPLATE
from service.work.read import find_active
from service.work.workshop import Workshop

_DIGITS = 4


class ShownCard(NamedTuple):
    """A card and the picture of its plate, as SVG."""

    answer: SurvivalAnswer
    picture: str


def mark_survival(
    workshop: Workshop, mark: str, *, template: str = DEFAULT_TEMPLATE, dpi: int = DEFAULT_DPI
) -> ShownCard:
    """Put the mark of a segment, or of the piece whose key was given, to the whole set of damages.

    Raises:
        NumberUnknown, MarkUnknown, AmbiguousMark, PlaceVoided: the mark names no segment in use.
        TemplateUnknown, BadRequest: no such template or resolution.
        FieldDoesNotFit, SymbolDoesNotFit, MissingGlyph, UnknownCode: the mark cannot be laid out.
    """
    chosen = workshop.template(template)
    dots_per_mm(dpi)
    with workshop.database.read() as connection:
        plates = segment_plates(workshop, connection, find_active(connection, mark, field="number"))
    facts = plates[0].facts
    card, picture = workshop.rendering.run(card_and_picture, chosen, facts, dpi=dpi)
    return ShownCard(_answer(card, facts, dpi), picture)


def _answer(card: SurvivalCard, facts: MarkFacts, dpi: int) -> SurvivalAnswer:
    return SurvivalAnswer(
        number=facts.number,
        key=facts.key,
        template=card.template,
        dpi=dpi,
        width_mm=card.width_mm,
        height_mm=card.height_mm,
        tried=card.tried,
        share=round(card.share, _DIGITS),
        share_of_single_symbols=round(card.share_unmerged, _DIGITS),
        floor=card.floor,
        families=_tallies(card.identity),
        symbols=[_symbol(symbol, card.symbols) for symbol in card.symbols],
        damages=[_damage(trial) for trial in card.trials],
        wrong=[SurvivalTextAnswer(damage=damage, text=text) for damage, text in card.wrong],
        refused=[SurvivalTextAnswer(damage=damage, text=text) for damage, text in card.refused],
    )


def _symbol(symbol: SymbolSurvival, symbols: Sequence[SymbolSurvival]) -> SurvivalSymbolAnswer:
    extent = symbol.extent
    return SurvivalSymbolAnswer(
        index=symbol.index,
        name=symbol.name,
        kind=symbol.kind,
        content=symbol.content,
        x_mm=round(extent.left, _DIGITS),
        y_mm=round(extent.top, _DIGITS),
        width_mm=round(extent.right - extent.left, _DIGITS),
        height_mm=round(extent.bottom - extent.top, _DIGITS),
        module_mm=round(symbol.module_mm, _DIGITS),
        share=round(symbol.share, _DIGITS),
        floor=symbol.floor,
        families=_tallies(symbol.families),
        lost=list(symbol.lost),
        carried_by=list(symbol.without.symbols),
        written=list(symbol.without.written),
        without=carried_on(symbol, symbols),
    )


def _damage(trial: Trial) -> SurvivalDamageAnswer:
    return SurvivalDamageAnswer(
        name=trial.damage,
        family=trial.family,
        sentence=trial.sentence,
        severity=trial.severity,
        read_by=[index for index, reads in enumerate(trial.read, 1) if reads],
        identity="symbol" if trial.identity else "merged" if trial.merged else "lost",
    )


def _tallies(tallies: Sequence[Tally]) -> list[SurvivalTallyAnswer]:
    return [
        SurvivalTallyAnswer(
            family=tally.family, words=FAMILY_WORDS[tally.family], tried=tally.tried, survived=tally.survived
        )
        for tally in tallies
    ]
