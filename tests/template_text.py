"""A template from its text, for tests that want one which is right, or the first fault of one which is not."""

from __future__ import annotations

from schemas.label_template import LabelTemplate
from schemas.template_reading import read_text
from schemas.toml_places import path_text
from service.errors import BadTemplate


def parse_template(text: str, *, source: str) -> LabelTemplate:
    """The template in a TOML text; raises BadTemplate with the first fault where there is one."""
    reading = read_text(text)
    if reading.template is not None:
        return reading.template
    fault = reading.faults[0]
    raise BadTemplate(
        fault.what,
        field=path_text(fault.path) or "template",
        value=fault.value,
        todo=fault.todo,
        place=source if fault.line is None else f"{source}, line {fault.line}",
    )
