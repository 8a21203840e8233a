"""A finding: what a lint rule says about an input, a mark or a drawing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Level = Literal["error", "warning"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One sentence of one rule.

    Attributes:
        rule: the rule's stable name, for example ``cut_file_unknown``; also the stable code of the finding.
        level: ``error`` stops the issue, print or engraving; ``warning`` is shown and stops nothing.
        message: what is wrong, a clause without a full stop.
        field: the input field or mark field that is wrong.
        value: its value, as text.
        todo: the next thing to do, without a full stop.
        place: where in the input, for example ``assemblies[0].segments[2]``; empty when it is the whole.
        source: the standard and clause, or the words "common practice, no source".
    """

    rule: str
    level: Level
    message: str
    field: str
    value: str
    todo: str
    place: str = ""
    source: str = ""

    def sentence(self) -> str:
        """The finding as a person reads it."""
        where = f" at {self.place}" if self.place else ""
        return f"{self.field} '{self.value}'{where}: {self.message}. {self.todo}."
