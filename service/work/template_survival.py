"""The lint of a template against damage: an example of its marks must keep the floors that the template states."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from schemas.label_template import LabelTemplate
from schemas.template_reading import Reading
from service.marks.content import MarkFacts, link, message_15434
from service.marks.template_findings import Pointer, TemplateFinding
from service.marks.worst_case import Recorded, worst_facts
from service.render.fonts import typeface
from service.render.survival_proof import lint_job

#: The widest key is no right one, and symbols are only ever merged to a right one.
EXAMPLE_KEY = "K7M4XRAW"


def survival_findings(reading: Reading, recorded: Recorded, *, source: str) -> Iterator[TemplateFinding]:
    """What stands against a template that states floors, at the coarsest printer that it is made for.

    Every other printer is tried as marks are drawn for it.
    """
    template = reading.template
    if template is None or not _states_floors(template):
        return
    pointer = Pointer(reading, source)
    for index, finding in lint_job(template, (_example(recorded),), dpi=min(template.resolutions)):
        path = ("least_survival",) if index is None else ("symbols", index)
        yield pointer.pointed(finding, path)


def _states_floors(template: LabelTemplate) -> bool:
    return template.least_survival > 0 or any(symbol.least_survival > 0 for symbol in template.symbols)


def _example(recorded: Recorded) -> MarkFacts:
    """The worst case with a key that is right."""
    facts = worst_facts(recorded, typeface())["bold"]
    return replace(
        facts,
        key=EXAMPLE_KEY,
        link=link(recorded.public_url, EXAMPLE_KEY),
        message=message_15434(facts.number, EXAMPLE_KEY, facts.revision, facts.quantity),
    )
