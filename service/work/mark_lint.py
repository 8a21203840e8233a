"""The lint of the marks that a kit would get: each has to fit its plate before the number is given."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from schemas.label_template import LabelTemplate
from service.findings import Finding
from service.marks.content import MarkFacts
from service.marks.dots import dots_per_mm
from service.marks.layout import lint_mark
from service.numbering.tables import CodeTables
from service.render.fonts import typeface
from service.store.values import ShopFacts
from service.work.draft import Draft
from service.work.mark_facts import draft_facts, drafted_marks

PLATE = "nameplate-60x22"
DPI = 203


def lint_marks(
    templates: Mapping[str, LabelTemplate], public_url: str, draft: Draft, shop: ShopFacts, tables: CodeTables
) -> list[Finding]:
    """Everything that stands against printing the nameplates of a draft, each sentence once."""
    return lint_facts(templates, drafted_marks(draft, draft_facts(draft, shop, tables, public_url)))


def lint_facts(templates: Mapping[str, LabelTemplate], marks: Iterable[MarkFacts]) -> list[Finding]:
    """Everything that stands against printing these nameplates, each sentence once.

    Marks of one kit differ in few fields, so only marks of a different shape are laid out: the same texts in the same
    fields fit or do not fit alike.
    """
    findings: list[Finding] = []
    template = templates.get(PLATE)
    if template is None:
        return findings
    seen: set[tuple[str, str]] = set()
    for facts in _shapes(marks):
        for finding in lint_mark(template, facts, typeface(), dots_per_mm(DPI)):
            if (finding.rule, finding.field + finding.value) not in seen:
                seen.add((finding.rule, finding.field + finding.value))
                findings.append(replace(finding, place=finding.place or facts.number))
    return findings


def _shapes(marks: Iterable[MarkFacts]) -> Iterator[MarkFacts]:
    """One mark of each shape: the numbers' digits are all of one width, everything else is compared as it is."""
    met: set[MarkFacts] = set()
    for facts in marks:
        digits = str.maketrans("0123456789", "8888888888")
        shape = replace(
            facts,
            number=facts.number.translate(digits),
            message="",
            place=facts.place.translate(digits),
            segment_of=facts.segment_of.translate(digits),
            mass_kg=round(facts.mass_kg or 0, 1),
        )
        if shape not in met:
            met.add(shape)
            yield facts
