"""The lint of the marks that a kit would get: each has to fit its plate before the number is given."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from schemas.label_template import LabelTemplate
from service.findings import Finding
from service.marks import kit_lint
from service.marks.content import MarkFacts
from service.marks.dots import dots_per_mm
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
    """Everything that stands against printing these nameplates, each sentence once."""
    template = templates.get(PLATE)
    if template is None:
        return []
    findings: dict[tuple[str, str], Finding] = {}
    for facts, finding in kit_lint.lint_marks(template, marks, typeface(), dots_per_mm(DPI)):
        findings.setdefault(
            (finding.rule, finding.field + finding.value), replace(finding, place=finding.place or facts.number)
        )
    return list(findings.values())
