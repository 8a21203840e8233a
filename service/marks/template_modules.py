"""What a template asks of a symbol's modules, held against the dots of the printers that it is made for."""

from __future__ import annotations

import math
from collections.abc import Iterator

from schemas.label_template import LabelTemplate, Symbol
from schemas.toml_places import Path
from service.marks.dots import dots_per_mm
from service.marks.template_findings import Pointer, TemplateFinding

_SLACK = 1e-6


def module_findings(template: LabelTemplate, pointer: Pointer) -> Iterator[TemplateFinding]:
    """Modules that no printer of the template can make, at each resolution that it states."""
    for index, symbol in enumerate(template.symbols):
        yield from _of_symbol(symbol, template.resolutions, ("symbols", index), pointer)


def _of_symbol(symbol: Symbol, resolutions: tuple[int, ...], path: Path, pointer: Pointer) -> Iterator[TemplateFinding]:
    least, most = symbol.min_module_mm, symbol.max_module_mm
    under = [dpi for dpi in resolutions if least * dots_per_mm(dpi) < 1 - _SLACK]
    if under:
        coarsest = min(under)
        yield pointer.finding(
            "module_under_a_dot",
            (*path, "min_module_mm"),
            f"{least:g} mm is under the reach of the printer: one dot is {1 / dots_per_mm(coarsest):.3f} mm at "
            f"{_listed(under)} dpi",
            value=f"{least:g}",
            todo="Ask for a module that readers read, 0.25 mm or more, or state finer resolutions only",
        )
    between = [dpi for dpi in resolutions if most is not None and _whole_dots(least, most, dpi) is None]
    if between and most is not None:
        per_mm = dots_per_mm(between[0])
        below, above = math.floor(least * per_mm), math.floor(least * per_mm) + 1
        yield pointer.finding(
            "no_whole_dots",
            (*path, "max_module_mm"),
            f"from {least:g} to {most:g} mm there is no whole number of dots at {_listed(between)} dpi: {below} "
            f"are {below / per_mm:.3f} mm, {above} are {above / per_mm:.3f} mm",
            value=f"{most:g}",
            todo=f"Allow {above / per_mm:.3f} mm, or state other resolutions",
        )
    single = [dpi for dpi in resolutions if most is not None and _whole_dots(least, most, dpi) == 1]
    if single and most is not None:
        yield pointer.finding(
            "module_of_one_dot",
            (*path, "max_module_mm"),
            f"a module of at most {most:g} mm is one dot at {_listed(single)} dpi; ink that spreads by half a dot "
            "closes the gaps",
            value=f"{most:g}",
            todo="Allow two dots",
        )


def _whole_dots(least_mm: float, most_mm: float, dpi: int) -> int | None:
    """The most whole dots of a module within the bounds, None if there are none."""
    per_mm = dots_per_mm(dpi)
    dots = math.floor(most_mm * per_mm + _SLACK)
    return dots if dots >= 1 and dots >= least_mm * per_mm - _SLACK else None


def _listed(resolutions: list[int]) -> str:
    return ", ".join(map(str, resolutions))
