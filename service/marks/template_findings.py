"""A finding about a label template: besides what every finding says, the line of the file and the path in it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from schemas.template_reading import ReadFault, Reading
from schemas.toml_places import Path, brief, path_text
from service.findings import Finding
from service.rules.template_rules import level_and_source


@dataclass(frozen=True, slots=True)
class TemplateFinding(Finding):
    """One sentence about a template; ``field`` is the path, for one ``fields[2].min_cap_mm``.

    Attributes:
        line: of the file, None for the whole file or where there is no text.
    """

    line: int | None = None


def place_of(source: str, line: int | None) -> str:
    """Where to look: ``file.toml, line 41``."""
    return source if line is None else f"{source}, line {line}"


def of_fault(fault: ReadFault, *, source: str) -> TemplateFinding:
    """The finding of a fault that the file alone tells."""
    level, named_source = level_and_source(fault.rule)
    return TemplateFinding(
        rule=fault.rule,
        level=level,
        message=fault.what,
        field=path_text(fault.path) or "template",
        value=fault.value,
        todo=fault.todo,
        place=place_of(source, fault.line),
        source=named_source,
        line=fault.line,
    )


@dataclass(frozen=True, slots=True)
class Pointer:
    """Makes findings that point into one file.

    Attributes:
        reading: of the file.
        source: what to call it.
    """

    reading: Reading
    source: str

    def finding(self, rule: str, path: Path, message: str, *, value: object = "", todo: str) -> TemplateFinding:
        """A finding of one of the rules for templates; ``path`` is that in the reading's parts."""
        line = self.reading.places.line(self.reading.path(path))
        level, source = level_and_source(rule)
        return TemplateFinding(
            rule=rule,
            level=level,
            message=message,
            field=path_text(self.reading.path(path)) or "template",
            value=brief(value),
            todo=todo,
            place=place_of(self.source, line),
            source=source,
            line=line,
        )

    def pointed(self, finding: Finding, path: Path) -> TemplateFinding:
        """Another rule's finding, pointed at its place in the file."""
        line = self.reading.places.line(self.reading.path(path))
        return TemplateFinding(
            rule=finding.rule,
            level=finding.level,
            message=finding.message,
            field=path_text(self.reading.path(path)) or "template",
            value=finding.value,
            todo=finding.todo,
            place=place_of(self.source, line),
            source=finding.source,
            line=line,
        )


def merged(findings: list[TemplateFinding]) -> tuple[TemplateFinding, ...]:
    """Each fault once, in the order of the file; what is wrong with the whole file comes first."""
    once = dict.fromkeys(findings)
    return tuple(sorted(once, key=lambda finding: (finding.line or 0, finding.level)))


def renamed(finding: TemplateFinding, source: str) -> TemplateFinding:
    """The same finding about a file of another name."""
    return replace(finding, place=place_of(source, finding.line))
