"""The engraving of a segment or a kit: strokes in the units of the cut file, and a preview over the outline."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from service.errors import BadCutFile, BadRequest, LintFailed, NoEngravingRoom
from service.findings import Finding
from service.marks.cutters import USUAL_CUTTER, Cutter
from service.marks.engraved import TiedTag
from service.store import cutfiles
from service.work.drawing_room import packed
from service.work.engraving_room import EngravingForm, draw_engraved_cut_file, draw_engraving, place_text
from service.work.placement import EngravedPart, parts_to_engrave
from service.work.plates import Plate, kit_plates, segment_plates
from service.work.print_marks import on_record
from service.work.read import find_active
from service.work.workshop import SERVICE, Actor, Workshop

Record = Mapping[str, str | float | bool]

_COLUMNS = ("rung", "cap_height_mm", "margins", "seen", "direction", "hand", "revision_mark_mm", "cutter")
"""What the list of a kit's engravings says of each besides number, key and file."""


@dataclass(frozen=True, slots=True)
class Engraved:
    """A finished file, and what goes on record of each mark in it or left out of it."""

    data: bytes
    records: tuple[Record, ...]


@dataclass(frozen=True, slots=True)
class CutFile:
    """A released cut file.

    Attributes:
        name: of the file.
        letter: its revision.
        data: the bytes as they were released.
    """

    name: str
    letter: str
    data: bytes

    @property
    def kept_as(self) -> str:
        """Where an archive keeps it untouched."""
        return f"cut/{self.name.removesuffix('.dxf')}-rev-{'initial' if self.letter == '-' else self.letter}.dxf"


def engrave_segment(
    workshop: Workshop,
    mark: str,
    *,
    form: EngravingForm,
    cutter: Cutter = USUAL_CUTTER,
    override: str | None = None,
    actor: Actor = SERVICE,
) -> bytes:
    """The engraving of one segment, or of the piece whose key was given.

    Raises:
        MarkUnknown, AmbiguousMark, PlaceVoided: the mark is not settled.
        KitRetired: the kit is out of use, and no reason is given under ``override``.
        NoEngravingRoom: no text of the ladder fits; a tied tag carries the number then.
        LintFailed: the cutter is set deeper than its form or the sheet allows.
        ReadBackFailed: the strokes do not read as the text.
    """
    with workshop.database.read() as connection:
        plate = segment_plates(workshop, connection, find_active(connection, mark, field="number"))[0]
        part = parts_to_engrave(connection, [plate])[0]

    def draw() -> Engraved:
        return workshop.rendering.run(draw_one, part, form=form, cutter=cutter)

    return on_record(
        workshop,
        [plate],
        kind="engraving",
        form=form,
        actor=actor,
        verb="engrave",
        override=override,
        draw=draw,
        details=_details,
    ).data


def engrave_kit(
    workshop: Workshop,
    kit: str,
    *,
    set_number: int | None = None,
    cutter: Cutter = USUAL_CUTTER,
    override: str | None = None,
    actor: Actor = SERVICE,
) -> bytes:
    """The engravings of a kit, or of one set of it, zipped.

    The archive holds a list, for each mark the strokes alone and the cut file with them in it, and each cut file
    untouched beside them. A segment without room for any text is named in the list, and does not stop the others.

    Raises:
        KitUnknown, SetUnknown: no such kit or set.
        KitRetired: the kit is out of use, and no reason is given under ``override``.
        LintFailed: no segment at all has room, or the cutter suits none.
        CutFileAltered, CutFileMissing: the kept bytes are not those that were released.
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
        parts = parts_to_engrave(connection, plates)
        wanted = [_revision_id(plate) for plate in plates]
        revisions = cutfiles.revision_by_ids(connection, set(wanted))
    released = {
        id_: CutFile(row.cut_file, row.letter, workshop.vault.get(row.sha256)) for id_, row in revisions.items()
    }

    def draw() -> Engraved:
        jobs = [(part, released[revision_id]) for part, revision_id in zip(parts, wanted, strict=True)]
        return workshop.rendering.run(draw_kit_engravings, jobs, cutter=cutter)

    return on_record(
        workshop,
        plates,
        kind="engraving",
        form="zip",
        actor=actor,
        verb="engrave",
        override=override,
        draw=draw,
        details=_details,
    ).data


def preview_engraving(workshop: Workshop, mark: str) -> bytes:
    """Where a segment is engraved, as a picture; nothing goes on record, since nothing is cut from it.

    Raises:
        MarkUnknown, AmbiguousMark, PlaceVoided: the mark is not settled.
        NoEngravingRoom: no text of the ladder fits.
    """
    with workshop.database.read() as connection:
        plate = segment_plates(workshop, connection, find_active(connection, mark, field="number"))[0]
        part = parts_to_engrave(connection, [plate])[0]
    return workshop.rendering.run(draw_engraving, part, form="svg")


def draw_one(part: EngravedPart, *, form: EngravingForm, cutter: Cutter) -> Engraved:
    """One engraving and its record; runs in a rendering process."""
    return Engraved(draw_engraving(part, form=form, cutter=cutter), (_record(part, cutter),))


def draw_kit_engravings(jobs: Sequence[tuple[EngravedPart, CutFile]], *, cutter: Cutter) -> Engraved:
    """The archive of a kit's engravings; runs in a rendering process."""
    files: dict[str, bytes] = {}
    lines = ["\t".join(("number", "key", "file", *_COLUMNS)) + "\n"]
    records: list[Record] = []
    refused: list[Finding] = []
    for part, cut_file in jobs:
        name = f"{part.number}.dxf" if f"{part.number}.dxf" not in files else f"{part.number} {part.key}.dxf"
        try:
            files[name] = draw_engraving(part, form="dxf", cutter=cutter)
        except NoEngravingRoom as error:
            refused.append(
                Finding(
                    rule=error.code,
                    level="error",
                    message=error.what,
                    field="number",
                    value=part.number,
                    todo=error.todo,
                    place=part.number,
                )
            )
            tag = TiedTag(reason=error.what)
            records.append({"number": part.number, "key": part.key, **tag.record()})
            lines.append(f"{part.number}\t{part.key}\tnot engraved: {error.what}. {error.todo}.\t{tag.rung}\n")
            continue
        except LintFailed as error:
            refused += error.findings
            lines.append(f"{part.number}\t{part.key}\tnot engraved: {error}\n")
            continue
        record = _record(part, cutter)
        records.append(record)
        lines.append("\t".join((part.number, part.key, name, *(_cell(record.get(key, "")) for key in _COLUMNS))) + "\n")
        files |= with_profile(part, cut_file, f"with profile/{name}", cutter=cutter)
        files[cut_file.kept_as] = cut_file.data
    if not files:
        raise LintFailed(refused)
    listed = {"engravings.tsv": "".join(lines).encode(), **files}
    sums = "".join(f"{hashlib.sha256(data).hexdigest()}  {name}\n" for name, data in listed.items())
    return Engraved(packed([*listed.items(), ("SHA256SUMS", sums.encode())]), tuple(records))


def with_profile(part: EngravedPart, cut_file: CutFile, name: str, *, cutter: Cutter) -> dict[str, bytes]:
    """The cut file with text and revision in it under a name; nothing where its form does not allow that."""
    try:
        return {name: draw_engraved_cut_file(cut_file.data, part, name=cut_file.name, cutter=cutter)}
    except BadCutFile:
        return {}


def _record(part: EngravedPart, cutter: Cutter) -> Record:
    return {"number": part.number, "key": part.key, **place_text(part, cutter).record()}


def _cell(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _details(engraved: Engraved) -> Mapping[str, object]:
    return {"engraved": [dict(record) for record in engraved.records]}


def _revision_id(plate: Plate) -> int:
    piece = plate.piece
    return piece.revision_id if piece is not None and piece.revision_id is not None else plate.segment.revision_id
