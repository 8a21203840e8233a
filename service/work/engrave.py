"""The engraving of a segment or a kit: strokes in the units of the cut file, and a preview over the outline."""

from __future__ import annotations

from service.errors import BadRequest, LintFailed, NoEngravingRoom
from service.findings import Finding
from service.store import cutfiles
from service.work.drawing_room import packed
from service.work.engraving_room import EngravingForm, draw_engraving
from service.work.plates import Plate, kit_plates, segment_plates
from service.work.print_marks import on_record
from service.work.read import find_active
from service.work.workshop import SERVICE, Actor, Workshop


def engrave_segment(
    workshop: Workshop, mark: str, *, form: EngravingForm, override: str | None = None, actor: Actor = SERVICE
) -> bytes:
    """The engraving of one segment, or of the piece whose key was given.

    Raises:
        MarkUnknown, AmbiguousMark, PlaceVoided: the mark is not settled.
        KitRetired: the kit is out of use, and no reason is given under ``override``.
        NoEngravingRoom: no text of the ladder fits; a tied tag carries the number then.
        ReadBackFailed: the strokes do not read as the text.
    """
    with workshop.database.read() as connection:
        plate = segment_plates(workshop, connection, find_active(connection, mark, field="number"))[0]
        drawing = _drawings(workshop, [plate])[0]

    def draw() -> bytes:
        return workshop.rendering.run(
            draw_engraving, drawing, number=plate.facts.number, key=plate.facts.key, form=form
        )

    return on_record(
        workshop, [plate], kind="engraving", form=form, actor=actor, verb="engrave", override=override, draw=draw
    )


def engrave_kit(
    workshop: Workshop,
    kit: str,
    *,
    set_number: int | None = None,
    override: str | None = None,
    actor: Actor = SERVICE,
) -> bytes:
    """One DXF a mark of a kit, or of one set of it, zipped, and a list of what was engraved.

    A segment without room for any text is named in the list, and does not stop the others.

    Raises:
        KitUnknown, SetUnknown: no such kit or set.
        KitRetired: the kit is out of use, and no reason is given under ``override``.
        LintFailed: no segment at all has room.
    """
    with workshop.database.read() as connection:
        plates = kit_plates(workshop, connection, kit, set_number=set_number)
    if not plates:
        raise BadRequest(
            "no place of this kit is in use, or no piece of this set is fitted",
            field="kit",
            value=kit,
            todo="Add segments to the kit, or name another set",
        )
    drawings = _drawings(workshop, plates)

    def draw() -> bytes:
        return workshop.rendering.run(
            draw_kit_engravings,
            [(drawing, plate.facts.number, plate.facts.key) for plate, drawing in zip(plates, drawings, strict=True)],
        )

    return on_record(
        workshop, plates, kind="engraving", form="dxf", actor=actor, verb="engrave", override=override, draw=draw
    )


def draw_kit_engravings(parts: list[tuple[bytes, str, str]]) -> bytes:
    """The archive of a kit's engravings from (drawing, number, key); runs in a rendering process."""
    files: list[tuple[str, bytes]] = []
    lines: list[str] = []
    refused: list[Finding] = []
    for drawing, number, key in parts:
        name = f"{number}.dxf" if f"{number}.dxf" not in {known for known, _ in files} else f"{number} {key}.dxf"
        try:
            files.append((name, draw_engraving(drawing, number=number, key=key, form="dxf")))
            lines.append(f"{number}\t{key}\t{name}\n")
        except NoEngravingRoom as error:
            refused.append(
                Finding(
                    rule=error.code,
                    level="error",
                    message=error.what,
                    field="number",
                    value=number,
                    todo=error.todo,
                    place=number,
                )
            )
            lines.append(f"{number}\t{key}\tnot engraved: {error.what}. {error.todo}.\n")
    if not files:
        raise LintFailed(refused)
    return packed([("engravings.tsv", "".join(["number\tkey\tfile\n", *lines]).encode()), *files])


def _drawings(workshop: Workshop, plates: tuple[Plate, ...] | list[Plate]) -> list[bytes]:
    """The outline that each plate's piece was cut from."""
    wanted = [_revision_id(plate) for plate in plates]
    with workshop.database.read() as connection:
        found = cutfiles.drawing_bytes(connection, set(wanted))
    return [found[revision_id] for revision_id in wanted]


def _revision_id(plate: Plate) -> int:
    piece = plate.piece
    return piece.revision_id if piece is not None and piece.revision_id is not None else plate.segment.revision_id
