"""The lint of a survival card: a symbol that dies sooner than its template promises, and a text that nobody printed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from service.findings import Finding
from service.marks.survival import FAMILY_WORDS, SurvivalCard, Trial

BELOW_FLOOR, WRONG_TEXT = "survival_below_floor", "survival_wrong_text"
PRACTICE = "common practice, no source"

#: Shares are of whole damages; less than this is rounding.
_SLACK = 1e-9


#: The index of the symbol that a finding is about, from 0; None where it is about the whole mark.
About = tuple[int | None, Finding]


def lint_survival(card: SurvivalCard) -> list[About]:
    """Everything that stands against handing out marks of this make, and which symbol it is about."""
    return [*_below_floor(card), *((None, finding) for finding in _wrong(card))]


def _below_floor(card: SurvivalCard) -> Iterator[About]:
    for symbol in card.symbols:
        if symbol.share < symbol.floor - _SLACK:
            lost = [trial for trial in card.trials if not trial.read[symbol.index - 1]]
            finding = _finding(
                card,
                field=symbol.name,
                value=_percent(symbol.share),
                message=f"it reads after {_percent(symbol.share)} of {card.tried} damages; its template asks for "
                f"{_percent(symbol.floor)}; worst is {_worst(lost)}",
            )
            yield symbol.index - 1, finding
    if card.share < card.floor - _SLACK:
        lost = [trial for trial in card.trials if not (trial.identity or trial.merged)]
        finding = _finding(
            card,
            field="identity",
            value=_percent(card.share),
            message=f"the mark names its piece after {_percent(card.share)} of {card.tried} damages; its template asks "
            f"for {_percent(card.floor)}; worst is {_worst(lost)}",
        )
        yield None, finding


def _wrong(card: SurvivalCard) -> Iterator[Finding]:
    for damage, text in card.wrong:
        yield Finding(
            rule=WRONG_TEXT,
            level="error",
            message=f"after the damage {damage} it reads as the number or key of another piece",
            field="symbols",
            value=text,
            todo="Report this; nothing was handed out",
            place=f"template {card.template}",
            source=PRACTICE,
        )


def _finding(card: SurvivalCard, *, field: str, value: str, message: str) -> Finding:
    return Finding(
        rule=BELOW_FLOOR,
        level="error",
        message=message,
        field=field,
        value=value,
        todo="Use several small symbols far apart, give the symbol larger modules, or state the lower floor",
        place=f"template {card.template}",
        source=PRACTICE,
    )


def _worst(lost: Sequence[Trial]) -> str:
    """The family that takes the most, and its mildest damage that does."""
    family, count = Counter(trial.family for trial in lost).most_common(1)[0]
    mildest = min((trial for trial in lost if trial.family == family), key=lambda trial: trial.severity)
    return f"{FAMILY_WORDS[family]} ({count} lost, first {mildest.damage}: {mildest.sentence})"


def _percent(share: float) -> str:
    """A share in percent, cut and not rounded, so that what falls short never looks as if it did not."""
    tenths = int(share * 1000 + _SLACK)
    return f"{tenths // 10} %" if tenths % 10 == 0 else f"{tenths / 10:.1f} %"
