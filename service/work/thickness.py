"""Which thickness to ask for: that of the neighbours where somebody measured it, since decks have to come out level."""

from __future__ import annotations

from collections.abc import Sequence

from service.store.values import SegmentRow

SAME_MM = 0.05
"""Thicknesses nearer to each other than this are one."""


def thickness_to_ask(segment: SegmentRow, neighbours: Sequence[SegmentRow]) -> str | None:
    """The thickness that the sheet of a new piece should have, in words; None where only the nominal is on record.

    Args:
        segment: what is cut.
        neighbours: the segments beside it that stay in the machine.
    """
    measured = [(row.place, row.measured_thickness_mm) for row in neighbours if row.measured_thickness_mm is not None]
    own = segment.measured_thickness_mm
    if not measured and own is None:
        return None
    nominal = f"not the nominal {segment.thickness_mm:g} mm"
    if not measured:
        return f"{own:.2f} mm, as the segment itself was measured, {nominal}"
    values = [value for _, value in measured]
    if max(values) - min(values) <= SAME_MM:
        return f"{values[0]:.2f} mm, as {_listed([place for place, _ in measured])} measured, {nominal}"
    each = _listed([f"{place} {value:.2f} mm" for place, value in measured])
    return f"between {min(values):.2f} and {max(values):.2f} mm, as its neighbours measured ({each}), {nominal}"


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
