"""What a page shows, as plain frozen values: the pages know these and nothing else.

Numbers stay numbers (a template prints the unit); times stay ISO 8601 text in UTC; drawings are finished SVG.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from schemas.answers import FindingAnswer
from service.errors import Faults, KitwrightError, UnknownCode, shown
from service.findings import Finding
from service.rules.colours import StockColour, stock_colour


class Picture(str):
    """Finished SVG: a template sets it as it is, where any other text is escaped."""

    __slots__ = ()

    def __html__(self) -> str:
        return self

    @classmethod
    def inline(cls, svg: str) -> Picture:
        """A drawing made to stand alone, for the inside of a page.

        Its ids go, since a page may show several drawings, and so do its style attributes, which the page's security
        policy refuses; the page's own style sheet says how wide a drawing is.
        """
        return cls(re.sub(r'\s(?:id|style)="[^"]*"', "", svg[svg.index("<svg") :]))


@dataclass(frozen=True, slots=True)
class Number:
    """A number with its check set apart: what stands before the check and the two digits."""

    text: str

    @property
    def stem(self) -> str:
        """All groups before the check."""
        return self.text.rpartition("-")[0]

    @property
    def check(self) -> str:
        """The two check digits."""
        return self.text.rpartition("-")[2]


@dataclass(frozen=True, slots=True)
class Colour:
    """A stock colour: its word, and its swatch with the shape that stands for it."""

    word: str
    swatch: Picture

    @classmethod
    def of(cls, word: str) -> Colour:
        """The colour of a word; a word that is in no table keeps its word and gets an empty swatch."""
        try:
            return cls(word, _swatch(stock_colour(word)))
        except UnknownCode:
            return cls(word, Picture(""))


def _swatch(colour: StockColour) -> Picture:
    """The colour as a small picture: a filled square with the shape in the ink that reads on it."""
    ink = "#{:02x}{:02x}{:02x}".format(*colour.ink_rgb)
    shapes = "".join(
        f'<polygon fill="{ink}" points="{" ".join(f"{4 + 24 * x:.2f},{28 - 24 * y:.2f}" for x, y in polygon)}"/>'
        for polygon in colour.shape.polygons
    )
    return Picture(
        '<svg class="swatch" viewBox="0 0 32 32" aria-hidden="true" focusable="false">'
        f'<rect x="0.75" y="0.75" width="30.5" height="30.5" rx="4" fill="{colour.hex}" stroke="#16302e" '
        f'stroke-width="1.5"/>{shapes}</svg>'
    )


@dataclass(frozen=True, slots=True)
class Sentence:
    """A finding or an error as a person reads it.

    Attributes:
        level: ``error`` stops; ``warning`` is only said.
        what: what is wrong, with the field and its value.
        todo: the next thing to do.
        place: where in the input, empty when it is the whole.
        code: the stable code, for someone who asks for help.
    """

    level: str
    what: str
    todo: str
    place: str
    code: str

    @classmethod
    def of_finding(cls, finding: Finding) -> Sentence:
        """What a lint rule says."""
        value = shown(finding.value) if finding.value else ""
        what = f"{worded(finding.field)} {value}".strip() + f": {finding.message}."
        return cls(finding.level, what, f"{finding.todo}.", finding.place, finding.rule)

    @classmethod
    def of_answer(cls, finding: FindingAnswer) -> Sentence:
        """The same where a verb has already answered it."""
        return cls.of_finding(
            Finding(
                rule=finding.code,
                level=finding.level,
                message=finding.message,
                field=finding.field,
                value=finding.value,
                todo=finding.todo,
                place=finding.place,
            )
        )

    @classmethod
    def of_error(cls, error: KitwrightError) -> Sentence:
        """What an error says."""
        what = f"{worded(error.field)} {shown(error.value)}: {error.what}."
        return cls("error", what, f"{error.todo}.", error.place or "", error.code)


def worded(name: str) -> str:
    """A field's name in words, ``cut_file`` as "Cut file"."""
    text = name.replace("_", " ").strip()
    return text[:1].upper() + text[1:]


@dataclass(frozen=True, slots=True)
class Problem:
    """An error as a page of its own or above the form that caused it."""

    title: str
    status: int
    sentences: tuple[Sentence, ...]
    candidates: tuple[str, ...] = ()

    @classmethod
    def of(cls, error: KitwrightError, status: int) -> Problem:
        """The page's words for an error; one that carries findings says them all."""
        if isinstance(error, Faults):
            sentences = tuple(Sentence.of_finding(finding) for finding in error.findings)
        else:
            sentences = (Sentence.of_error(error),)
        return cls(error.title, status, sentences, tuple(getattr(error, "candidates", ())))


@dataclass(frozen=True, slots=True)
class Page:
    """A part of a long list and the way to the next part."""

    next_url: str | None = None
    first_url: str | None = None


@dataclass(frozen=True, slots=True)
class Form:
    """What a form had in it when it came back with a problem, so that nobody types twice."""

    values: Mapping[str, str] = field(default_factory=dict)
    problem: Problem | None = None

    def get(self, name: str, default: str = "") -> str:
        """What the field had in it, or the default on a fresh form."""
        return self.values.get(name, default)
