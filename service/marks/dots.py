"""The printer's dots: a symbol reads at first pass only when each of its modules is a whole number of them.

A module of 2.6 dots comes out as now 2, now 3; at 203 dpi a Code 128 drawn off the grid does not read at all.
"""

from __future__ import annotations

import math

from service.errors import BadRequest, SymbolDoesNotFit

#: Dots per millimetre by the resolution's usual name. A "203 dpi" head has exactly 8 dots a millimetre (203.2 dpi).
DOTS_PER_MM: dict[int, float] = {203: 8.0, 300: 300 / 25.4, 600: 600 / 25.4}

#: Slack in dots that keeps floating point from losing a whole dot, far below anything a head can do.
_SLACK = 1e-6


def dots_per_mm(dpi: int) -> float:
    """Dots per millimetre of a printer resolution.

    Raises:
        BadRequest: a resolution that is not in ``DOTS_PER_MM``.
    """
    try:
        return DOTS_PER_MM[dpi]
    except KeyError:
        raise BadRequest(
            "the service draws for printers of other resolutions",
            field="dpi",
            value=dpi,
            todo=f"Ask for one of {', '.join(map(str, DOTS_PER_MM))}",
        ) from None


def nearest_dot(length_mm: float, per_mm: float) -> int:
    """The dot edge nearest to a length; halves go up."""
    return math.floor(length_mm * per_mm + 0.5)


def dots_within(start_mm: float, length_mm: float, per_mm: float) -> tuple[int, int]:
    """The first dot edge and the last that lie inside a stretch, as (first, last); last is never before first."""
    first = math.ceil(start_mm * per_mm - _SLACK)
    return first, max(first, math.floor((start_mm + length_mm) * per_mm + _SLACK))


def dots_covering(length_mm: float, per_mm: float) -> int:
    """The fewest whole dots that cover a length, at least one."""
    return max(1, math.ceil(length_mm * per_mm - _SLACK))


def module_dots(
    *,
    room_dots: int,
    modules: int,
    per_mm: float,
    min_module_mm: float,
    max_module_mm: float | None,
    field: str,
    value: str,
) -> int:
    """Dots of one module: the most that let ``modules`` of them, quiet zones included, lie in the room.

    Raises:
        SymbolDoesNotFit: even the smallest module that readers can read would reach beyond the room, or the largest
            allowed one is less than a dot or less than ``min_module_mm`` in whole dots.
    """
    dots = room_dots // modules
    if max_module_mm is not None:
        dots = min(dots, math.floor(max_module_mm * per_mm + _SLACK))
    if dots < 1 or dots / per_mm < min_module_mm - _SLACK:
        needed = max(1, math.ceil(min_module_mm * per_mm - _SLACK))
        raise SymbolDoesNotFit(
            f"{modules} modules with quiet zones need {modules * needed / per_mm:.1f} mm at {needed / per_mm:.3f} mm "
            f"a module in whole printer dots; the room is {room_dots / per_mm:.1f} mm",
            field=field,
            value=value,
            todo="Choose a larger format, a finer printer, or a shorter public address",
        )
    return dots
