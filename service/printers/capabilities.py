"""What a printer says that it can do, and how it is just now (RFC 8011 section 5.4, PWG 5102.4 section 5)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from service.printers import media
from service.printers.ipp_message import Attribute, Content, Range, Resolution, Spoken
from service.printers.ipp_tags import PrinterState
from service.printers.media import Media, MediaRange

#: What is asked; a printer that does not know one leaves it out.
ASKED = (
    "printer-name",
    "printer-info",
    "printer-location",
    "printer-make-and-model",
    "printer-state",
    "printer-state-message",
    "printer-state-reasons",
    "printer-is-accepting-jobs",
    "printer-up-time",
    "printer-resolution-supported",
    "queued-job-count",
    "document-format-supported",
    "operations-supported",
    "color-supported",
    "copies-supported",
    "media-supported",
    "media-ready",
    "media-default",
    "media-size-supported",
    "media-col-ready",
    "media-col-database",
    "media-col-supported",
    "media-left-margin-supported",
    "media-right-margin-supported",
    "media-top-margin-supported",
    "media-bottom-margin-supported",
    "print-scaling-supported",
    "print-color-mode-supported",
    "sides-supported",
    "pwg-raster-document-resolution-supported",
    "pwg-raster-document-type-supported",
    "job-creation-attributes-supported",
)


StateWord = Literal["idle", "processing", "stopped", "unknown"]
_STATES: dict[int, StateWord] = {
    PrinterState.IDLE: "idle",
    PrinterState.PROCESSING: "processing",
    PrinterState.STOPPED: "stopped",
}


@dataclass(frozen=True, slots=True)
class Capabilities:
    """One printer as it describes itself.

    Attributes:
        name, model, location: who it is, empty where it does not say.
        state: ``idle``, ``processing`` or ``stopped``.
        reasons: ``printer-state-reasons`` without ``none``, for one ``media-empty-error``.
        message: what it says of its state in words.
        accepting: whether it takes jobs.
        queued: jobs that wait, None where it does not say.
        up_s: seconds since it was started, None where it does not say.
        formats: media types of documents, as it orders them.
        sizes, ready, ranges: sizes that it takes, that are loaded, and ranges of sizes it takes.
        dpi: resolutions that are the same across and along.
        raster_dpi, raster_types: of documents in PWG raster, for one ``sgray_8``.
        colour: whether it prints in colour.
        most_copies: of one job.
        operations: codes of what it can be asked.
        takes: words of ``…-supported`` that say what a job may ask for, by the attribute's name without the ending.
    """

    name: str
    model: str
    location: str
    state: StateWord
    reasons: tuple[str, ...]
    message: str
    accepting: bool
    queued: int | None
    up_s: int | None
    formats: tuple[str, ...]
    sizes: tuple[Media, ...]
    ready: tuple[Media, ...]
    ranges: tuple[MediaRange, ...]
    dpi: tuple[int, ...]
    raster_dpi: tuple[int, ...]
    raster_types: tuple[str, ...]
    colour: bool
    most_copies: int
    operations: frozenset[int]
    takes: dict[str, frozenset[str]]

    def may_ask(self, name: str, word: str) -> bool:
        """Whether a job may ask this printer for a word, for one ``sides`` of ``one-sided``."""
        return word in self.takes.get(name, frozenset())


_WORDS = ("print-scaling", "print-color-mode", "sides", "media-col", "job-creation-attributes", "media")
#: How far the name of a size and its dimensions lie apart: thousandths of an inch and hundredths of a millimetre.
ROUNDING = 3
_SIDES = ("left", "right", "top", "bottom")


def capabilities_of(attributes: Sequence[Attribute]) -> Capabilities:
    """Read a printer's description; what it leaves out is empty."""
    said = _Said(attributes)
    names = list(said.words("media-supported"))
    takes = {name: frozenset(said.words(f"{name}-supported")) for name in _WORDS}
    for side in _SIDES:
        takes[f"media-{side}-margin"] = frozenset(map(str, said.numbers(f"media-{side}-margin-supported")))
    return Capabilities(
        name=said.text("printer-name"),
        model=said.text("printer-make-and-model"),
        location=said.text("printer-location"),
        state=_state(said.number("printer-state")),
        reasons=tuple(word for word in said.words("printer-state-reasons") if word != "none"),
        message=said.text("printer-state-message"),
        accepting=said.flag("printer-is-accepting-jobs", otherwise=True),
        queued=said.number("queued-job-count"),
        up_s=said.number("printer-up-time"),
        formats=tuple(word.lower() for word in said.words("document-format-supported")),
        sizes=_sizes(said, names),
        ready=_ready(said),
        ranges=_ranges(said, names),
        dpi=said.square_dpi("printer-resolution-supported"),
        raster_dpi=said.square_dpi("pwg-raster-document-resolution-supported"),
        raster_types=tuple(said.words("pwg-raster-document-type-supported")),
        colour=said.flag("color-supported", otherwise=False),
        most_copies=said.highest("copies-supported", otherwise=1),
        operations=frozenset(said.numbers("operations-supported")),
        takes=takes,
    )


def _state(number: int | None) -> StateWord:
    return _STATES.get(number or 0, "unknown")


def _sizes(said: _Said, names: list[str]) -> tuple[Media, ...]:
    """Sizes by the printer's own dimensions first, since it compares with these; names fill in what it leaves out."""
    found: list[Media] = []
    measured = [
        *(media.of_collection(content) for content in said.contents("media-col-database")),
        *(
            size
            for content in said.contents("media-size-supported")
            if isinstance(size := media.of_size(content), Media)
        ),
        *(media.of_name(name) for name in names if not media.is_end_of_range(name)),
    ]
    for size in measured:
        if size is None:
            continue
        same = next(
            (at for at, one in enumerate(found) if one.is_size(size.x_hmm, size.y_hmm, within_hmm=ROUNDING)), None
        )
        if same is None:
            found.append(size)
        elif found[same].name is None:
            found[same] = replace(found[same], name=size.name)
    return tuple(found)


def _ready(said: _Said) -> tuple[Media, ...]:
    loaded = [size for content in said.contents("media-col-ready") if (size := media.of_collection(content))]
    return tuple(loaded or (size for name in said.words("media-ready") if (size := media.of_name(name))))


def _ranges(said: _Said, names: list[str]) -> tuple[MediaRange, ...]:
    found = media.ranges_of_names(names)
    found += [
        size
        for content in said.contents("media-size-supported")
        if isinstance(size := media.of_size(content), MediaRange)
    ]
    return tuple(dict.fromkeys(found))


class _Said:
    """Attributes by name, each read as what it should be; what is of another kind is left out, never trusted."""

    def __init__(self, attributes: Sequence[Attribute]) -> None:
        # A name that comes twice is against the standard, and happens; the first is what the printer itself goes by.
        self._by_name = {one.name: one for one in reversed(attributes)}

    def contents(self, name: str) -> Iterator[Content]:
        """All values."""
        one = self._by_name.get(name)
        return iter(() if one is None else [value.content for value in one.values])

    def words(self, name: str) -> Iterator[str]:
        """All values that are words, with or without a language."""
        for content in self.contents(name):
            if isinstance(content, str):
                yield content
            elif isinstance(content, Spoken):
                yield content.text

    def text(self, name: str) -> str:
        """The first word, or nothing."""
        return next(self.words(name), "")

    def numbers(self, name: str) -> Iterator[int]:
        """All whole numbers."""
        return (one for one in self.contents(name) if isinstance(one, int) and not isinstance(one, bool))

    def number(self, name: str) -> int | None:
        """The first whole number."""
        return next(self.numbers(name), None)

    def highest(self, name: str, *, otherwise: int) -> int:
        """The largest number, or end of a range."""
        tops = [*self.numbers(name), *(one.high for one in self.contents(name) if isinstance(one, Range))]
        return max([one for one in tops if one > 0], default=otherwise)

    def flag(self, name: str, *, otherwise: bool) -> bool:
        """Whether it is true."""
        return next((one for one in self.contents(name) if isinstance(one, bool)), otherwise)

    def square_dpi(self, name: str) -> tuple[int, ...]:
        """Resolutions in dots per inch, lowest first, of those that are the same across and along."""
        found = {
            round(one.dpi) for one in self.contents(name) if isinstance(one, Resolution) and one.across == one.along
        }
        return tuple(sorted(dpi for dpi in found if dpi > 0))
