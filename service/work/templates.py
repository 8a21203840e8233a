"""The shop's label templates: what there is, what is wrong with each, what a mark of each looks like."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from schemas.answers import (
    TemplateAnswer,
    TemplateFindingAnswer,
    TemplateLeftOutAnswer,
    TemplateLintAnswer,
    TemplateListAnswer,
)
from schemas.label_template import LabelTemplate
from schemas.template_reading import Reading, read_bytes, read_data
from service.marks.dots import dots_per_mm
from service.marks.layout import lay_out
from service.marks.sample import sample_facts
from service.marks.template_findings import TemplateFinding
from service.marks.template_lint import as_far_as_it_goes
from service.marks.worst_case import Recorded
from service.render.fonts import typeface
from service.render.png import png
from service.render.svg import svg
from service.store.template_folder import TemplateFile
from service.work.lint_template import Linted, lint_reading, on_record
from service.work.workshop import Workshop

#: Called so in findings where a template is sent without the name of a file.
UNNAMED = "template"


def list_templates(workshop: Workshop) -> TemplateListAnswer:
    """Every template with what is wrong with it, and every file that is left out."""
    recorded = on_record(workshop)
    used = {name: _of_workshop(workshop, name, recorded) for name in sorted(workshop.templates)}
    own = {file.reading.parts.name for file in workshop.template_files if file.folder and file.reading.parts}
    return TemplateListAnswer(
        templates=tuple(
            _answer(workshop.templates[name], linted.findings, own=name in own) for name, linted in used.items()
        ),
        left_out=tuple(
            TemplateLeftOutAnswer(
                file=file.file_name,
                own=file.folder > 0,
                findings=finding_answers(lint_reading(file.reading, source=file.file_name, recorded=recorded).findings),
            )
            for file in workshop.template_files
            if file.reading.template is None
        ),
    )


def check_template(
    workshop: Workshop, data: bytes | Mapping[str, Any], *, source: str = "", damage: bool = False
) -> Linted:
    """Everything that is wrong with a template that somebody is writing.

    Args:
        workshop: whose records the texts come from.
        data: the bytes of a TOML file, or the tables of one from JSON.
        source: the name of its file, empty for none.
        damage: whether a mark of it is damaged too, as ``lint_reading`` says.
    """
    reading = read_bytes(data) if isinstance(data, bytes) else read_data(data)
    return workshop.rendering.run(
        lint_reading, reading, source=source or UNNAMED, recorded=on_record(workshop), damage=damage
    )


def lint_answer(linted: Linted) -> TemplateLintAnswer:
    """What the lint says, as it crosses the edge."""
    parts = linted.reading.parts
    return TemplateLintAnswer(
        clean=linted.is_clean,
        name=parts.name if parts is not None and "name" not in linted.reading.stand_ins else None,
        findings=finding_answers(linted.findings),
    )


def sample_png(workshop: Workshop, name: str, *, dpi: int = 203) -> bytes:
    """A sample mark of a template as a picture; its number and key are invented.

    Raises:
        TemplateUnknown: there is no such template.
        FieldDoesNotFit, SymbolDoesNotFit: the sample does not fit.
    """
    template = workshop.template(name)
    return png(lay_out(template, sample_facts(workshop.public_url), typeface(), dots_per_mm(dpi)), dpi=dpi)


def sample_svg(workshop: Workshop, reading: Reading) -> str | None:
    """A sample mark as a drawing with its edge and holes, of a template that may have faults.

    What has no room is left out; None where not even the size is right.
    """
    per_mm = dots_per_mm(reading.parts.resolutions[0]) if reading.parts is not None else 1.0
    layout = as_far_as_it_goes(reading, sample_facts(workshop.public_url), typeface(), per_mm)
    return None if layout is None else svg(layout, preview=True)


def finding_answers(findings: Iterable[TemplateFinding]) -> tuple[TemplateFindingAnswer, ...]:
    """Findings as they cross the edge; the rule is the stable code."""
    return tuple(
        TemplateFindingAnswer(
            code=finding.rule,
            level=finding.level,
            message=finding.message,
            field=finding.field,
            value=finding.value,
            todo=finding.todo,
            place=finding.place,
            source=finding.source,
            line=finding.line,
        )
        for finding in findings
    )


def _of_workshop(workshop: Workshop, name: str, recorded: Recorded) -> Linted:
    file = _file_of(workshop.template_files, name)
    if file is not None:
        return lint_reading(file.reading, source=file.file_name, recorded=recorded)
    reading: Reading = read_data(workshop.templates[name].model_dump(mode="json"))
    return lint_reading(reading, source=f"{name}.toml", recorded=recorded)


def _file_of(files: Iterable[TemplateFile], name: str) -> TemplateFile | None:
    """The file whose template of this name is used: the last one."""
    named = [file for file in files if file.reading.template is not None and file.reading.template.name == name]
    return named[-1] if named else None


def _answer(template: LabelTemplate, findings: Iterable[TemplateFinding], *, own: bool) -> TemplateAnswer:
    return TemplateAnswer(
        name=template.name,
        title=template.title,
        stock=template.stock,
        finish=template.finish,
        width_mm=template.width_mm,
        height_mm=template.height_mm,
        reading_distance_mm=template.reading_distance_mm,
        languages=template.languages,
        resolutions=template.resolutions,
        own=own,
        findings=finding_answers(findings),
    )
