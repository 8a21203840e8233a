"""Where a call stands: what was heard of the mark and what else the caller said, all of it in the address of the page.

Nothing is kept for somebody who only looks: the browser's way back undoes an answer, a link hands the call over to a
colleague, and two calls lie in two windows. A damage report is made when there is something to keep, and its number
then stands in the address too.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from urllib.parse import urlencode

CALL = "/desk/call"

LONGEST_ANSWER = 240
"""Characters of one answer, as many as the search takes."""

MOST_ANSWERS = 40
"""Answers that one call holds; whoever sends more wrote the address by hand."""

REPEATED = frozenset({"neighbour", "picture"})
"""Questions that may be answered more than once: a segment has several neighbours, and many pictures are shown."""

_TOLERANCE = "~"


@dataclass(frozen=True, slots=True)
class Told:
    """An answer of the caller; lengths carry how far off they may be, in mm."""

    question: str
    answer: str
    tolerance_mm: float | None = None

    @property
    def text(self) -> str:
        """As the address holds it: ``overall_length_mm:412~5``."""
        tolerance = "" if self.tolerance_mm is None else f"{_TOLERANCE}{self.tolerance_mm:g}"
        return f"{self.question}:{self.answer}{tolerance}"

    @classmethod
    def of(cls, text: str) -> Told | None:
        """From the address; None where it holds no answer."""
        question, colon, answer = text.partition(":")
        answer, tolerance = answer.strip(), None
        if question.endswith("_mm"):
            answer, _, off = (part.strip() for part in answer.partition(_TOLERANCE))
            tolerance = _figure(off)
        if not (colon and question.isidentifier() and answer) or len(answer) > LONGEST_ANSWER:
            return None
        return cls(question, answer, tolerance)


@dataclass(frozen=True, slots=True)
class Call:
    """One call.

    Attributes:
        mark: what is left of the mark, empty when nothing could be read.
        came_by: ``eye``, ``ear``, ``keyboard``, or empty when nobody said how it came in.
        told: what else the caller said, in the order in which it was said.
        passed: questions that the caller could not answer.
        ask: the question that is asked now; empty for the one that tells most.
        report: the damage report of this call, None as long as there is nothing to keep.
    """

    mark: str = ""
    came_by: str = ""
    told: tuple[Told, ...] = ()
    passed: tuple[str, ...] = ()
    ask: str = ""
    report: int | None = None

    @classmethod
    def of(
        cls,
        *,
        mark: str,
        came_by: str,
        said: Iterable[str],
        passed: Iterable[str],
        ask: str,
        report: int | None,
    ) -> Call:
        """From the address; what is no answer is left out."""
        call = cls(
            mark=mark.strip(),
            came_by=came_by.strip(),
            passed=tuple(dict.fromkeys(passed)),
            report=report,
        )
        for told in (Told.of(text) for text in said):
            call = call.with_told(told) if told is not None else call
        return call.asking(ask.strip()) if ask.strip() else call

    @property
    def nothing_said(self) -> bool:
        """Whether there is nothing to search by."""
        return not self.mark and not self.told

    def carried(self) -> Sequence[tuple[str, str]]:
        """All but mark and how it came, as the hidden fields of a form and the rest of an address."""
        pairs = [("said", told.text) for told in self.told]
        pairs += [("passed", question) for question in self.passed]
        if self.report is not None:
            pairs.append(("report", str(self.report)))
        return pairs

    @property
    def address(self) -> str:
        """The address of the page that shows this call."""
        first = [(name, value) for name, value in (("mark", self.mark), ("came_by", self.came_by)) if value]
        last = [("ask", self.ask)] if self.ask else []
        query = urlencode([*first, *self.carried(), *last])
        return f"{CALL}?{query}" if query else CALL

    def with_told(self, told: Told) -> Call:
        """With one more answer; a second answer to a question takes the place of the first."""
        kept = tuple(
            one
            for one in self.told
            if one.text != told.text and (told.question in REPEATED or one.question != told.question)
        )
        passed = tuple(question for question in self.passed if question != told.question)
        return replace(self, told=(*kept, told)[:MOST_ANSWERS], passed=passed, ask="")

    def without(self, told: Told) -> Call:
        """With one answer taken back."""
        return replace(self, told=tuple(one for one in self.told if one != told), ask="")

    def passing(self, question: str) -> Call:
        """The caller does not know the answer to a question."""
        return replace(self, passed=tuple(dict.fromkeys((*self.passed, question))), ask="")

    def reported(self, report: int) -> Call:
        """With a damage report that keeps what is said."""
        return replace(self, report=report)

    def asking(self, question: str) -> Call:
        """Another question than the one that tells most is asked; one that was passed over is open again."""
        return replace(self, ask=question, passed=tuple(one for one in self.passed if one != question))


def _figure(text: str) -> float | None:
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        return None
    return value if 0 <= value < 10_000 else None
