"""What a printer is sent for marks of one size and resolution: format, paper, dots. What does not fit is refused here.

A mark is drawn in whole dots of the printer that it is drawn for. So a printer is chosen for the marks and never the
marks scaled to a printer: its resolution has to be that of the marks, or a whole multiple of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from service.errors import FormatRefused, MediaRefused, PrinterStopped, ResolutionRefused
from service.printers.capabilities import Capabilities
from service.printers.media import Media

PDF = "application/pdf"
PWG_RASTER = "image/pwg-raster"
#: Names in tenths of a millimetre and in thousandths of an inch round the same paper differently.
SAME_SIZE_HMM = 50
#: Best first. Marks are black on the stock's colour, so grey is enough where the printer has no colour.
RasterType = Literal["srgb_8", "sgray_8", "black_1"]
RASTER_TYPES: tuple[RasterType, ...] = ("srgb_8", "sgray_8", "black_1")


@dataclass(frozen=True, slots=True)
class PrintPlan:
    """How marks go to one printer.

    Attributes:
        format: media type of the document.
        media: the size that is asked for.
        turned: the printer has the paper the other way round: each page is turned by a quarter, clockwise.
        drawn_dpi: what the marks are drawn for.
        printer_dpi: what the printer is asked for; ``printer_dpi // drawn_dpi`` dots stand for one.
        raster_type: of a PWG raster document, for one ``sgray_8``; None for PDF.
        asks_resolution: the printer lets a job ask for its resolution.
        by_name: the paper is asked for by its name, since the printer takes no dimensions.
        job_asks: what else the job may ask of this printer, by attribute, one word each.
        borderless: the printer is asked for no margins.
        notes: what a person should know before printing, in whole sentences.
    """

    format: str
    media: Media
    turned: bool
    drawn_dpi: int
    printer_dpi: int
    raster_type: RasterType | None
    asks_resolution: bool
    by_name: bool
    job_asks: dict[str, str]
    borderless: bool
    notes: tuple[str, ...]


def choose(
    capabilities: Capabilities, *, width_mm: float, height_mm: float, dpi: int, colour: bool = True
) -> PrintPlan:
    """The way for pages of this size, drawn for this resolution.

    Raises:
        PrinterStopped: the printer is stopped or takes no jobs just now.
        FormatRefused: it takes neither PDF nor PWG raster.
        MediaRefused: it has no paper of this size.
        ResolutionRefused: its dots are not those of the marks.
    """
    _refuse_stopped(capabilities)
    kind = _format(capabilities)
    printer_dpi = _resolution(capabilities, kind, dpi)
    paper, turned, notes = _media(capabilities, round(width_mm * 100), round(height_mm * 100))
    return PrintPlan(
        format=kind,
        media=paper,
        turned=turned,
        drawn_dpi=dpi,
        printer_dpi=printer_dpi,
        raster_type=_raster_type(capabilities, colour=colour) if kind == PWG_RASTER else None,
        asks_resolution=printer_dpi in capabilities.dpi,
        by_name=paper.name is not None and not capabilities.may_ask("media-col", "media-size"),
        job_asks={
            name: word
            for name, word in (("print-scaling", "none"), ("sides", "one-sided"))
            if capabilities.may_ask(name, word)
        },
        borderless=_is_borderless(capabilities),
        notes=notes,
    )


def _refuse_stopped(capabilities: Capabilities) -> None:
    if capabilities.accepting and capabilities.state != "stopped":
        return
    why = ", ".join(capabilities.reasons) or capabilities.message or "it does not say why"
    what = "the printer is stopped" if capabilities.accepting else "the printer takes no jobs"
    raise PrinterStopped(
        f"{what}: {why}",
        field="printer",
        value=capabilities.name,
        todo="See to the printer and try again; nothing was sent",
    )


def _format(capabilities: Capabilities) -> str:
    for kind in (PDF, PWG_RASTER):
        if kind in capabilities.formats:
            return kind
    raise FormatRefused(
        f"the printer takes {_listed(capabilities.formats)}, and neither PDF nor PWG raster",
        field="printer",
        value=capabilities.name,
        todo="Print the PDF by way of a computer that has the printer's own driver",
    )


def _media(capabilities: Capabilities, x_hmm: int, y_hmm: int) -> tuple[Media, bool, tuple[str, ...]]:
    """The paper: loaded before named, named before any size of a range, as it is before turned."""
    for turned, (x, y) in ((False, (x_hmm, y_hmm)), (True, (y_hmm, x_hmm))):
        for group in (capabilities.ready, capabilities.sizes):
            for one in group:
                if one.is_size(x, y, within_hmm=SAME_SIZE_HMM):
                    return one, turned, _notes(capabilities, one)
        if any(one.holds(x, y) for one in capabilities.ranges):
            size = Media(x, y)
            return size, turned, _notes(capabilities, size)
    has = [*(one.words for one in capabilities.sizes), *(one.words for one in capabilities.ranges)]
    raise MediaRefused(
        f"the printer has no paper of this size; it has {_listed(has)}",
        field="media",
        value=f"{x_hmm / 100:g} × {y_hmm / 100:g} mm",
        todo="Choose a template of a size that it has, or another printer",
    )


def _notes(capabilities: Capabilities, chosen: Media) -> tuple[str, ...]:
    notes = []
    loaded = capabilities.ready
    if loaded and not any(one.is_size(chosen.x_hmm, chosen.y_hmm, within_hmm=SAME_SIZE_HMM) for one in loaded):
        notes.append(f"{chosen.words} is not loaded: {_listed([one.words for one in loaded])} is.")
    if chosen.margins_hmm and any(chosen.margins_hmm) and not _is_borderless(capabilities):
        notes.append(f"The printer leaves up to {max(chosen.margins_hmm) / 100:g} mm white at the edges.")
    notes += [f"The printer says {reason}." for reason in capabilities.reasons]
    return tuple(notes)


def _is_borderless(capabilities: Capabilities) -> bool:
    """Whether no margin at all may be asked for on every side."""
    sides = ("left", "right", "top", "bottom")
    return all(capabilities.may_ask("media-col", f"media-{side}-margin") for side in sides) and all(
        capabilities.may_ask(f"media-{side}-margin", "0") for side in sides
    )


def _resolution(capabilities: Capabilities, kind: str, dpi: int) -> int:
    """The lowest resolution that is the marks' or a whole multiple; the marks' own where the printer names none."""
    offered = capabilities.raster_dpi if kind == PWG_RASTER else capabilities.dpi
    if not offered and kind == PDF:
        return dpi
    for one in offered:
        if one % dpi == 0:
            return one
    raise ResolutionRefused(
        f"the marks are drawn for {dpi} dots per inch and the printer has {_listed([str(one) for one in offered])}",
        field="dpi",
        value=dpi,
        todo=_other_resolution(offered),
    )


def _other_resolution(offered: tuple[int, ...]) -> str:
    """Which of the resolutions that marks can be drawn for this printer has."""
    drawn = [known for known in (203, 300, 600) if any(one % known == 0 for one in offered)]
    if not drawn:
        return "Choose another printer"
    return f"Have them drawn for {' or '.join(map(str, drawn))} dots per inch, or choose another printer"


def _raster_type(capabilities: Capabilities, *, colour: bool) -> RasterType:
    for kind in RASTER_TYPES:
        if kind in capabilities.raster_types and (kind != "srgb_8" or (colour and capabilities.colour)):
            return kind
    if "srgb_8" in capabilities.raster_types:
        return "srgb_8"
    raise FormatRefused(
        f"the printer takes PWG raster as {_listed(capabilities.raster_types)} only",
        field="printer",
        value=capabilities.name,
        todo="Choose another printer",
    )


def _listed(words: tuple[str, ...] | list[str]) -> str:
    """At most six of them, and how many more."""
    if not words:
        return "nothing"
    more = f" and {len(words) - 6} more" if len(words) > 6 else ""
    return ", ".join(words[:6]) + more
