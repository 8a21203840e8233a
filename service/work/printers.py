"""The printers that the shop has named: who they are, what one can do, and what it is sent.

Jobs go to named printers only. Were any address taken over HTTP, whoever may ask the service could have it call into
the network it stands in; at the terminal, the one who asks has that network anyway.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType

from schemas.answers.printers import (
    MediaAnswer,
    MediaRangeAnswer,
    NamedPrinterAnswer,
    PrinterAnswer,
    PrinterListAnswer,
    PrintPlanAnswer,
)
from service.errors import BadPrinterAddress, PrinterUnknown, UnsafeSetting
from service.marks.dots import dots_per_mm
from service.printers.address import PrinterAddress
from service.printers.capabilities import Capabilities
from service.printers.ipp_printer import IppPrinter
from service.printers.plan import PrintPlan, choose
from service.render.pwg_raster import pages_of_pdf, pwg_raster
from service.render.sheets import SHEET_SIZES_MM, Paper
from service.render.turned_pdf import turned_pdf
from service.work.workshop import Workshop

_PIECE = 65_536


def read_printers(text: str, *, field: str = "KITWRIGHT_PRINTERS") -> Mapping[str, str]:
    """Printers by name from ``bench=ipp://labels.example/ipp/print, office=ipps://…``.

    Raises:
        UnsafeSetting: a part without a name or with one used before, or an address that is no printer's.
    """
    named: dict[str, str] = {}
    for part in filter(None, (part.strip() for part in text.split(","))):
        name, _, uri = (word.strip() for word in part.partition("="))
        if not name or name in named or not all(char.isalnum() or char in "-_. " for char in name):
            raise UnsafeSetting(
                "each printer has a name of its own, of letters, digits, blanks, dots and dashes",
                field=field,
                value=part,
                todo="Write name=ipp://host/path, several parted by commas",
            )
        try:
            named[name] = PrinterAddress.parse(uri, field=field).uri
        except BadPrinterAddress as error:
            raise UnsafeSetting(error.what, field=field, value=uri, todo=error.todo, place=name) from error
    return MappingProxyType(named)


def list_printers(workshop: Workshop) -> PrinterListAnswer:
    """The printers that the shop has named."""
    return PrinterListAnswer(
        printers=tuple(NamedPrinterAnswer(name=name, uri=uri) for name, uri in workshop.printers.items())
    )


def printer_of(workshop: Workshop, name: str, *, any_address: bool = False) -> IppPrinter:
    """A printer by its name; with ``any_address``, as at the terminal, by its address too.

    Raises:
        PrinterUnknown: no printer of the shop has this name.
        BadPrinterAddress: what was given at the terminal is no address.
    """
    if any_address and "://" in name:
        return IppPrinter(name)
    uri = workshop.printers.get(name)
    if uri is None:
        known = ", ".join(workshop.printers)
        raise PrinterUnknown(
            "the shop has no printer of this name",
            field="printer",
            value=name,
            todo=f"Use one of {known}" if known else "Name the shop's printers in KITWRIGHT_PRINTERS",
        )
    return IppPrinter(uri)


def ask_printer(
    workshop: Workshop,
    name: str,
    *,
    template: str | None,
    paper: Paper = "roll",
    dpi: int = 203,
    any_address: bool = False,
) -> PrinterAnswer:
    """What a printer can do, and how marks of a template would go to it; ``any_address`` as for ``printer_of``.

    Raises:
        PrinterUnknown, TemplateUnknown: no such printer or template.
        BadRequest: a resolution that marks are not drawn for.
        PrinterUnreachable, NoPrinter, PrinterRefused: it cannot be asked.
        PrinterStopped, FormatRefused, MediaRefused, ResolutionRefused: marks of this template cannot go to it.
    """
    asked = None if template is None else workshop.template(template)
    dots_per_mm(dpi)
    printer = printer_of(workshop, name, any_address=any_address)
    can = printer.capabilities()
    plan = None
    if asked is not None and template is not None:
        width_mm, height_mm = page_size(asked.width_mm, asked.height_mm, paper)
        plan = _plan_answer(template, choose(can, width_mm=width_mm, height_mm=height_mm, dpi=dpi))
    return _answer(name, printer.address.uri, can, plan)


def page_size(width_mm: float, height_mm: float, paper: Paper) -> tuple[float, float]:
    """The page that marks of a size are printed on: their own on a roll, else the sheet's."""
    return (width_mm, height_mm) if paper == "roll" else SHEET_SIZES_MM[paper]


def document_of(file: Path, plan: PrintPlan) -> Iterator[bytes]:
    """What a printer is sent for a proven PDF, piece by piece: the file itself, turned if need be, or its dots."""
    if plan.raster_type is None:
        with turned_pdf(file) if plan.turned else file.open("rb") as stream:
            while piece := stream.read(_PIECE):
                yield piece
        return
    pages = pages_of_pdf(file, drawn_dpi=plan.drawn_dpi, printer_dpi=plan.printer_dpi, turned=plan.turned)
    yield from pwg_raster(
        pages,
        kind=plan.raster_type,
        dpi=plan.printer_dpi,
        x_hmm=plan.media.x_hmm,
        y_hmm=plan.media.y_hmm,
        media_name=plan.media.name,
    )


def _plan_answer(template: str, plan: PrintPlan) -> PrintPlanAnswer:
    return PrintPlanAnswer(
        template=template,
        format=plan.format,
        width_mm=plan.media.x_hmm / 100,
        height_mm=plan.media.y_hmm / 100,
        turned=plan.turned,
        drawn_dpi=plan.drawn_dpi,
        printer_dpi=plan.printer_dpi,
        notes=plan.notes,
    )


def _answer(name: str, uri: str, can: Capabilities, plan: PrintPlanAnswer | None) -> PrinterAnswer:
    loaded = {(one.x_hmm, one.y_hmm) for one in can.ready}
    others = [one for one in can.sizes if (one.x_hmm, one.y_hmm) not in loaded]
    media = [*((one, True) for one in can.ready), *((one, False) for one in others)]
    return PrinterAnswer(
        name=name,
        uri=uri,
        model=can.model,
        location=can.location,
        state=can.state,
        reasons=can.reasons,
        accepting=can.accepting,
        queued=can.queued,
        formats=can.formats,
        media=tuple(
            MediaAnswer(width_mm=one.x_hmm / 100, height_mm=one.y_hmm / 100, name=one.name, loaded=is_loaded)
            for one, is_loaded in media
        ),
        ranges=tuple(
            MediaRangeAnswer(
                least_width_mm=one.x_hmm.low / 100,
                most_width_mm=one.x_hmm.high / 100,
                least_height_mm=one.y_hmm.low / 100,
                most_height_mm=one.y_hmm.high / 100,
            )
            for one in can.ranges
        ),
        dpi=can.dpi,
        colour=can.colour,
        plan=plan,
    )
