"""The plan of a kit: the real outlines in colour, laid out by assembly and deck, one segment lit."""

from __future__ import annotations

from collections.abc import Callable, Collection

from sqlalchemy import Connection

from service.errors import KitwrightError
from service.marks.plan import PlanPart
from service.outlines.stored import from_bytes
from service.render.outline_svg import outline_svg
from service.render.plan_svg import plan_svg
from service.rules.colours import stock_colour
from service.store import codes, cutfiles, kits
from service.store.values import SegmentRow
from service.work.mark_facts import deck_word
from service.work.plates import kit_on_record
from service.work.read import find_mark
from service.work.workshop import Workshop

GREY = (150, 150, 150)


def kit_plan(
    workshop: Workshop,
    kit: str,
    *,
    lit: Collection[str] = (),
    only_around: str | None = None,
    width_px: float = 1000.0,
    href: Callable[[str], str] | None = None,
) -> str:
    """The plan of a kit as SVG.

    Args:
        workshop: where the records are.
        kit: the kit's number.
        lit: numbers of segments that stand out.
        only_around: show only the assembly of this number.
        width_px: how wide the picture is.
        href: where a click on a segment leads, from its number.

    Raises:
        KitUnknown: no such kit.
    """
    with workshop.database.read() as connection:
        row = kit_on_record(connection, kit)
        rows = [segment for segment in kits.kit_segments(connection, row.id) if not segment.voided]
        rows += kits.shared_into(connection, row.id)
        if only_around is not None:
            assemblies = {segment.assembly_id for segment in rows if segment.number == only_around}
            rows = [segment for segment in rows if segment.assembly_id in assemblies]
        parts = plan_parts(connection, rows, href)
    return plan_svg(parts, lit=set(lit), width_px=width_px, title=f"Plan of kit {row.number}")


def segment_picture(workshop: Workshop, mark: str) -> str:
    """The outline of the segment that a mark names, with its overall dimensions."""
    with workshop.database.read() as connection:
        segment = find_mark(connection, mark).segment
        drawing = from_bytes(cutfiles.drawing_bytes(connection, [segment.revision_id])[segment.revision_id])
    return outline_svg(drawing, title=f"Outline of {segment.number}")


def plan_parts(
    connection: Connection,
    rows: list[SegmentRow],
    href: Callable[[str], str] | None = None,
) -> list[PlanPart]:
    """Segments as a plan shows them, in the order given."""
    tables = codes.code_tables(connection)
    drawings = {
        revision_id: from_bytes(data)
        for revision_id, data in cutfiles.drawing_bytes(connection, {row.revision_id for row in rows}).items()
    }
    return [
        PlanPart(
            id=row.number,
            place=row.place,
            deck=deck_word(tables, row.deck),
            assembly=f"{row.assembly_code}{row.assembly_ordinal} {row.assembly_name}",
            drawing=drawings[row.revision_id],
            colour=colour_rgb(row.stock_colour),
            label=f"{row.deck}{row.ordinal}",
            href=href(row.number) if href else None,
            quantity=row.quantity,
        )
        for row in rows
    ]


def colour_rgb(word: str) -> tuple[int, int, int]:
    """A stock colour's sRGB values; grey for a word that is in no table any more."""
    try:
        return stock_colour(word).rgb
    except KitwrightError:
        return GREY
