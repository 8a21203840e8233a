"""What marks have to bear before they are handed out.

Every symbol of every mark is put to the mildest damages of the set, and none may fail twice: a decoder that lays its
grid from the corner of what it sees misses about one whole symbol in 4,000 at a first look, and a person aims again.
The whole set takes longer, and what it finds hangs on where the symbols lie and how large they are far more than on
what they say. So it is run once for each make of mark (template, resolution, places and sizes of the symbols), which
is remembered, and beyond that for one mark of every hundred of a job, drawn by a fixed seed. All of these together
must keep the floors of the template.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from schemas.label_template import LabelTemplate
from service.errors import LintFailed
from service.findings import Finding
from service.marks.content import MarkFacts
from service.marks.dots import dots_per_mm
from service.marks.items import Layout, TextRun
from service.marks.layout import lay_out
from service.marks.survival import Trial, card_of, content_of, symbol_name
from service.marks.survival_lint import BELOW_FLOOR, PRACTICE, About, lint_survival
from service.render.damage_window import chance
from service.render.damages import DAMAGES, EVERY_MARK
from service.render.fonts import typeface
from service.render.survival import NEARER_MM, as_printed, run_trials

#: Of so many marks of a job one is put to the whole set.
ONE_IN = 100

#: Where the choice of these marks starts.
_SEED = 16022

#: So many makes of mark are remembered.
_MOST_MAKES = 64


@dataclass(frozen=True, slots=True)
class _Make:
    """Marks that differ only in what they say."""

    template: LabelTemplate
    dpi: int
    symbols: tuple[tuple[str, int, int, int, int, int], ...]

    @classmethod
    def of(cls, template: LabelTemplate, dpi: int, layout: Layout) -> _Make:
        return cls(
            template,
            dpi,
            tuple(
                (one.kind, one.modules.width, one.left_dots, one.top_dots, one.module_dots, one.row_dots)
                for one in layout.symbols()
            ),
        )


_known: OrderedDict[_Make, tuple[Trial, ...]] = OrderedDict()


def prove_survival(template: LabelTemplate, marks: Sequence[MarkFacts], *, dpi: int) -> None:
    """Put the marks of a job to the damages.

    Raises:
        LintFailed: a symbol fails a mild damage, a symbol or the identity falls below its floor
            (``survival_below_floor``), or a damaged mark reads as another piece (``survival_wrong_text``).
        BadRequest: an unknown resolution.
        FieldDoesNotFit, SymbolDoesNotFit, MissingGlyph, UnknownCode: a mark cannot be laid out.
    """
    findings = lint_job(template, marks, dpi=dpi)
    if findings:
        raise LintFailed([finding for _, finding in findings])


def lint_job(template: LabelTemplate, marks: Sequence[MarkFacts], *, dpi: int) -> list[About]:
    """Everything that stands against handing these marks out, as far as damage goes, and which symbol it is about."""
    findings: list[About] = []
    makes: dict[_Make, tuple[Layout, MarkFacts]] = {}
    chosen = _sample(len(marks))
    sampled: dict[_Make, list[Trial]] = {}
    for index, facts in enumerate(marks):
        layout = lay_out(template, facts, typeface(), dots_per_mm(dpi))
        make = _Make.of(template, dpi, layout)
        makes.setdefault(make, (layout, facts))
        findings += _mild(layout, facts)
        if index in chosen:
            sampled.setdefault(make, []).extend(_whole_set(template, layout, facts))
    for make, (layout, facts) in makes.items():
        trials = [*_of_make(make, layout, facts), *sampled.get(make, ())]
        findings += lint_survival(card_of(template, layout, facts, trials, _untold(layout)))
    return findings


def _sample(count: int) -> frozenset[int]:
    """The marks of a job that are put to the whole set, one in a hundred."""
    picks = chance(_SEED, count // ONE_IN) * count
    return frozenset(int(pick) for pick in picks)


def _of_make(make: _Make, layout: Layout, facts: MarkFacts) -> tuple[Trial, ...]:
    known = _known.get(make)
    if known is None:
        known = _known[make] = _whole_set(make.template, layout, facts)
        while len(_known) > _MOST_MAKES:
            _known.popitem(last=False)
    return known


def _whole_set(template: LabelTemplate, layout: Layout, facts: MarkFacts) -> tuple[Trial, ...]:
    """The whole set. Merging all symbols takes longest, and goes on only until the floor of the mark is kept."""
    grey = as_printed(layout)
    trials = list(run_trials(layout, facts, grey=grey, merge=False))
    missing = template.least_survival * len(trials) - sum(trial.identity for trial in trials)
    for index, (damage, trial) in enumerate(zip(DAMAGES, trials, strict=True)):
        if missing <= 0:
            break
        if not trial.identity:
            (trials[index],) = run_trials(layout, facts, [damage], grey=grey)
            missing -= trials[index].merged
    return tuple(trials)


def _mild(layout: Layout, facts: MarkFacts) -> Iterator[About]:
    """Symbols of one mark that fail one of the mildest damages; letters are left out, they lie outside quiet zones."""
    bare = replace(layout, items=tuple(item for item in layout.items if not isinstance(item, TextRun)))
    symbols = list(layout.symbols())
    for damage, trial in zip(EVERY_MARK, run_trials(bare, facts, EVERY_MARK, merge=False), strict=True):
        if all(trial.read):
            continue
        (again,) = run_trials(bare, facts, [damage], merge=False, round_mm=NEARER_MM)
        either = [first or second for first, second in zip(trial.read, again.read, strict=True)]
        for index, (symbol, reads) in enumerate(zip(symbols, either, strict=True)):
            if reads:
                continue
            finding = Finding(
                rule=BELOW_FLOOR,
                level="error",
                message=f"it does not read after {trial.damage}, which every symbol has to bear: {trial.sentence}",
                field=symbol_name(index + 1, symbol.kind, content_of(facts, symbol)),
                value=facts.number,
                todo="Give the symbol larger modules or a finer printer",
                place=f"template {layout.template}",
                source=PRACTICE,
            )
            yield index, finding


def _untold(layout: Layout) -> list[list[bool]]:
    """What a lint does not ask: which symbols read when one is taken away."""
    symbols = list(layout.symbols())
    return [[False] * len(symbols) for _ in symbols]
