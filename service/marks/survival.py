"""The survival card of a mark: after which damages each symbol still reads, and what says who it is when one is lost.

Plain values; ``render.survival`` finds them out with the independent decoder.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from schemas.label_template import LabelTemplate, SymbolContent
from service.errors import BadInput
from service.marks.content import MarkFacts, symbol_text
from service.marks.items import Extent, Layout, PlacedSymbol, TextRun
from service.marks.symbols import SYMBOL_NAMES, SymbolKind
from service.numbering.reading import read

Family = Literal["loss", "scratches", "blur", "fog", "tilt", "print", "light", "stain"]
FAMILIES: tuple[Family, ...] = get_args(Family)

#: What each family of damages is, as a person says it.
FAMILY_WORDS: dict[Family, str] = {
    "loss": "a worn or blotted part",
    "scratches": "scratches",
    "blur": "a blurred look",
    "fog": "fog and fading",
    "tilt": "read askew",
    "print": "a worn print head",
    "light": "uneven light and gloss",
    "stain": "stains",
}

#: What people read where no symbol does, in the order in which they look for it.
Written = Literal["number", "key"]
WRITTEN: tuple[Written, ...] = get_args(Written)


@dataclass(frozen=True, slots=True)
class Trial:
    """What one damage left of a mark.

    Attributes:
        damage: its name.
        family: its family.
        sentence: what it does to the plate.
        severity: 1 for the mildest of its family.
        read: for each symbol of the mark whether it still reads.
        identity: whether a symbol reads that names the piece.
        merged: whether the key comes out when the modules of all symbols are weighed together; tried where no symbol
            reads that names the piece.
        wrong: texts that came out and that the service would take for another piece's number or key.
        refused: texts that came out garbled and that nobody could take for a number or key: the one check symbol of a
            Code 128 lets about one garbled reading in a hundred pass, and the check of the number stops it.
    """

    damage: str
    family: Family
    sentence: str
    severity: int
    read: tuple[bool, ...]
    identity: bool
    merged: bool
    wrong: tuple[str, ...]
    refused: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Tally:
    """How many damages of a family were tried, and how many survived."""

    family: Family
    tried: int
    survived: int

    @property
    def share(self) -> float:
        """Survived over tried."""
        return self.survived / self.tried


@dataclass(frozen=True, slots=True)
class Carriers:
    """What still says who the piece is when one symbol is gone.

    Attributes:
        symbols: numbers of the symbols that read then and name the piece, counted from 1.
        written: what people can still read: ``number``, ``key``.
    """

    symbols: tuple[int, ...]
    written: tuple[Written, ...]


@dataclass(frozen=True, slots=True)
class SymbolSurvival:
    """One symbol of the card.

    Attributes:
        index: its number on the card, from 1.
        kind: of symbol.
        content: what it holds; None where that is none of the contents of a template.
        extent: where its modules lie, in mm from the upper left corner.
        module_mm: width of a module.
        families: how it did against each family.
        lost: names of the damages after which it did not read.
        floor: the share that the template asks of it, 0 for none.
        without: what carries the identity when it is gone.
    """

    index: int
    kind: SymbolKind
    content: SymbolContent | None
    extent: Extent
    module_mm: float
    families: tuple[Tally, ...]
    lost: tuple[str, ...]
    floor: float
    without: Carriers

    @property
    def name(self) -> str:
        """What people call it: ``Data Matrix 2 (key)``."""
        return symbol_name(self.index, self.kind, self.content)

    @property
    def tried(self) -> int:
        """How many damages it was put to."""
        return sum(tally.tried for tally in self.families)

    @property
    def share(self) -> float:
        """The share of damages after which it reads."""
        return 1 - len(self.lost) / self.tried


@dataclass(frozen=True, slots=True)
class SurvivalCard:
    """How one mark, or several of one make, did against the whole set of damages.

    Attributes:
        template: name of the template.
        width_mm: of the plate.
        height_mm: of the plate.
        per_mm: dots per millimetre of the printer.
        marks: how many marks of this make were put to it.
        symbols: how each symbol did.
        identity: how the identity did: any symbol that names the piece, or else all of them merged.
        unmerged: how it did with single symbols alone.
        floor: the share that the template asks of the identity, 0 for none.
        trials: what each damage left.
    """

    template: str
    width_mm: float
    height_mm: float
    per_mm: float
    marks: int
    symbols: tuple[SymbolSurvival, ...]
    identity: tuple[Tally, ...]
    unmerged: tuple[Tally, ...]
    floor: float
    trials: tuple[Trial, ...]

    @property
    def tried(self) -> int:
        """How many damages were tried."""
        return len(self.trials)

    @property
    def share(self) -> float:
        """The share of damages after which the identity comes out."""
        return sum(trial.identity or trial.merged for trial in self.trials) / self.tried

    @property
    def share_unmerged(self) -> float:
        """The share after which it comes out of a single symbol."""
        return sum(trial.identity for trial in self.trials) / self.tried

    @property
    def wrong(self) -> tuple[tuple[str, str], ...]:
        """Damage and text wherever one came out that would be taken for another piece."""
        return tuple((trial.damage, text) for trial in self.trials for text in trial.wrong)

    @property
    def refused(self) -> tuple[tuple[str, str], ...]:
        """Damage and text wherever one came out garbled."""
        return tuple((trial.damage, text) for trial in self.trials for text in trial.refused)


def symbol_name(index: int, kind: SymbolKind, content: SymbolContent | None) -> str:
    """What people call a symbol of a card."""
    return f"{SYMBOL_NAMES[kind]} {index}" + (f" ({content})" if content else "")


def names_the_piece(facts: MarkFacts, text: str) -> bool:
    """Whether a text leads to this very piece or segment; what a crate holds does not."""
    return any(name and name in text for name in (facts.key, facts.number))


class _AllIssued:
    """Records in which every number and key that is right in itself was issued: the worst case for a garbled text."""

    def issued_numbers(self, numbers: Collection[str]) -> Collection[str]:
        return numbers

    def issued_keys(self, keys: Collection[str]) -> Collection[str]:
        return keys


def taken_for_another(facts: MarkFacts, text: str) -> bool:
    """Whether the service would take a text for a number or key that is not this mark's, were every number issued."""
    try:
        reading = read(text, register=_AllIssued())
    except BadInput:
        return False
    if reading.outcome not in ("exact", "repaired"):
        return False
    return (reading.number or facts.number, reading.key or facts.key) != (facts.number, facts.key)


def card_of(
    template: LabelTemplate,
    layout: Layout,
    facts: MarkFacts,
    trials: Sequence[Trial],
    alone: Sequence[Sequence[bool]],
    *,
    marks: int = 1,
) -> SurvivalCard:
    """What was found out, as a card.

    Args:
        template: of the mark.
        layout: of the mark, or of one that stands for all of its make.
        facts: of the same mark.
        trials: what each damage left, of all marks.
        alone: for each symbol, which symbols read when it alone is covered.
        marks: how many marks the trials are of.
    """
    placed = tuple(layout.symbols())
    naming = [names_the_piece(facts, symbol.text) for symbol in placed]
    return SurvivalCard(
        template=template.name,
        width_mm=layout.width_mm,
        height_mm=layout.height_mm,
        per_mm=layout.per_mm,
        marks=marks,
        symbols=tuple(
            SymbolSurvival(
                index=index + 1,
                kind=symbol.kind,
                content=content_of(facts, symbol),
                extent=symbol.extent,
                module_mm=symbol.module_mm,
                families=tallies((trial.family, trial.read[index]) for trial in trials),
                lost=tuple(trial.damage for trial in trials if not trial.read[index]),
                floor=floor_of(template, symbol),
                without=Carriers(
                    tuple(
                        other + 1
                        for other, reads in enumerate(alone[index])
                        if reads and naming[other] and other != index
                    ),
                    written_beside(layout, symbol),
                ),
            )
            for index, symbol in enumerate(placed)
        ),
        identity=tallies((trial.family, trial.identity or trial.merged) for trial in trials),
        unmerged=tallies((trial.family, trial.identity) for trial in trials),
        floor=template.least_survival,
        trials=tuple(trials),
    )


def tallies(outcomes: Iterable[tuple[Family, bool]]) -> tuple[Tally, ...]:
    """Outcomes counted by family, in the fixed order of the families."""
    counted: dict[Family, list[bool]] = {}
    for family, survived in outcomes:
        counted.setdefault(family, []).append(survived)
    return tuple(Tally(family, len(counted[family]), sum(counted[family])) for family in FAMILIES if family in counted)


def content_of(facts: MarkFacts, symbol: PlacedSymbol) -> SymbolContent | None:
    """Which of the contents of a template a symbol holds; a bare key is a key, whatever else may equal it."""
    for content in _CONTENTS:
        if symbol.text == symbol_text(facts, content):
            return content
    return None


_CONTENTS: tuple[SymbolContent, ...] = get_args(SymbolContent)


def floor_of(template: LabelTemplate, symbol: PlacedSymbol) -> float:
    """The floor that the template states for the symbol in whose room this one lies, 0 for none."""
    inner = symbol.extent
    for room in template.symbols:
        box = Extent(room.x_mm, room.y_mm, room.x_mm + room.width_mm, room.y_mm + room.height_mm)
        if room.kind == symbol.kind and box.holds(inner):
            return room.least_survival
    return 0.0


def written_beside(layout: Layout, symbol: PlacedSymbol) -> tuple[Written, ...]:
    """Which of number and key people can still read when a symbol and its quiet zone are covered."""
    clear: dict[str, bool] = {}
    for run in layout.texts():
        for name in _shown(run):
            # A number is set in two weights: it is read only where both are left.
            clear[name] = clear.get(name, True) and not run.extent.overlaps(symbol.quiet_extent)
    return tuple(name for name in WRITTEN if clear.get(name, False))


def _shown(run: TextRun) -> list[str]:
    return run.field.split("+")


#: More symbols than this are not named one by one, where none of them is missing.
_MOST_NAMED = 2


def carried_on(symbol: SymbolSurvival, others: Sequence[SymbolSurvival]) -> str:
    """The sentence that says what carries the identity when a symbol is lost."""
    rest = [others[index - 1].name for index in symbol.without.symbols]
    if len(rest) > _MOST_NAMED and len(rest) == len(others) - 1:
        rest = [f"any of the {len(rest)} other symbols"]
    names = [*rest, *([f"the {' and the '.join(symbol.without.written)} in letters"] if symbol.without.written else [])]
    if not names:
        return "Nothing else on the mark says which piece it is."
    return f"Then {'' if rest else 'only '}{_listed(names)} can say which piece it is."


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
