"""What a page shows, as plain frozen values: the pages know these and nothing else.

Numbers stay numbers (a template prints the unit); times stay ISO 8601 text in UTC; drawings are finished SVG.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from markupsafe import Markup

from service.errors import KitwrightError, LintFailed, UnknownCode, shown
from service.findings import Finding
from service.rules.colours import StockColour, stock_colour


@dataclass(frozen=True, slots=True)
class Number:
    """A number with its check set apart: what stands before the check and the two digits."""

    text: str

    @property
    def stem(self) -> str:
        return self.text.rpartition("-")[0]

    @property
    def check(self) -> str:
        return self.text.rpartition("-")[2]


@dataclass(frozen=True, slots=True)
class Colour:
    """A stock colour: its word, and its swatch with the shape that stands for it."""

    word: str
    swatch: Markup

    @classmethod
    def of(cls, word: str) -> Colour:
        """The colour of a word; a word that is in no table keeps its word and gets an empty swatch."""
        try:
            return cls(word, _swatch(stock_colour(word)))
        except UnknownCode:
            return cls(word, Markup(""))


def _swatch(colour: StockColour) -> Markup:
    """The colour as a small picture: a filled square with the shape in the ink that reads on it."""
    ink = "#{:02x}{:02x}{:02x}".format(*colour.ink_rgb)
    shapes = "".join(
        f'<polygon fill="{ink}" points="{" ".join(f"{4 + 24 * x:.2f},{28 - 24 * y:.2f}" for x, y in polygon)}"/>'
        for polygon in colour.shape.polygons
    )
    return Markup(
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
        value = shown(finding.value) if finding.value else ""
        what = f"{worded(finding.field)} {value}".strip() + f": {finding.message}."
        return cls(finding.level, what, f"{finding.todo}.", finding.place, finding.rule)

    @classmethod
    def of_error(cls, error: KitwrightError) -> Sentence:
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
        """The page's words for an error; a lint that failed says all its findings."""
        if isinstance(error, LintFailed):
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
        return self.values.get(name, default)
