"""Print the marks of a kit or a segment: intended on record, drawn, read back, and only then handed out."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import IO, Literal, TypeVar

from sqlalchemy import Connection

from schemas.label_template import LabelTemplate
from service.errors import BadRequest, KitwrightError
from service.marks.dots import dots_per_mm
from service.store import backup, events, marks
from service.store.marks import NewMark
from service.work.drawing_room import DRAFT_PREFIX, DRAFT_SUFFIX, Paper, PlateForm, draw_plate, draw_plates_into
from service.work.mark_pictures import with_pictures
from service.work.out_of_use import refuse_retired
from service.work.plates import Plate, kit_plates, segment_plates
from service.work.read import find_active
from service.work.rendering import Tell, say_nothing
from service.work.workshop import SERVICE, Actor, Workshop

T = TypeVar("T")

DECODER = "zxing-cpp"
DEFAULT_TEMPLATE = "nameplate-60x22"
DEFAULT_DPI = 203


def print_kit(
    workshop: Workshop,
    kit: str,
    *,
    template: str = DEFAULT_TEMPLATE,
    paper: Paper = "roll",
    dpi: int = DEFAULT_DPI,
    start_cell: int = 1,
    set_number: int | None = None,
    override: str | None = None,
    actor: Actor = SERVICE,
) -> bytes:
    """The bytes of ``kit_file``."""
    with kit_file(
        workshop,
        kit,
        template=template,
        paper=paper,
        dpi=dpi,
        start_cell=start_cell,
        set_number=set_number,
        override=override,
        actor=actor,
    ) as file:
        return file.read()


def kit_file(
    workshop: Workshop,
    kit: str,
    *,
    template: str = DEFAULT_TEMPLATE,
    paper: Paper = "roll",
    dpi: int = DEFAULT_DPI,
    start_cell: int = 1,
    set_number: int | None = None,
    override: str | None = None,
    actor: Actor = SERVICE,
    tell: Tell = say_nothing,
) -> IO[bytes]:
    """All marks of a kit, or of one set of it, as one PDF, in assembly order.

    The file is open at its beginning and has no name that anybody should use; it is gone when it is closed.

    Raises:
        KitUnknown, TemplateUnknown, SetUnknown: no such kit, template or set.
        KitRetired: the kit is out of use, and no reason is given under ``override``.
        BadRequest: nothing of the kit bears a mark, or the paper has no such cell.
        FieldDoesNotFit, SymbolDoesNotFit, MissingGlyph: a mark cannot be laid out; nothing is handed out.
        ReadBackFailed: a symbol of the finished file is not what it should be; nothing is handed out.
        TargetUnavailable: the disk has no room for the file.
    """
    chosen = workshop.template(template)
    dots_per_mm(dpi)
    plates = plates_of_kit(workshop, kit, set_number=set_number)

    def draw() -> IO[bytes]:
        return proven_file(workshop, chosen, plates, paper=paper, dpi=dpi, start_cell=start_cell, tell=tell)

    return on_record(
        workshop, plates, kind="nameplate", form=template, actor=actor, verb="print", override=override, draw=draw
    )


def plates_of_kit(workshop: Workshop, kit: str, *, set_number: int | None) -> tuple[Plate, ...]:
    """The marks of a kit, or of one set of it, in assembly order; errors as for ``kit_file``."""
    with workshop.database.read() as connection:
        plates = kit_plates(workshop, connection, kit, set_number=set_number)
    if not plates:
        raise BadRequest(
            "no place of this kit is in use, or no piece of this set is fitted",
            field="kit",
            value=kit,
            todo="Add segments to the kit, or name another set",
        )
    return plates


def proven_file(
    workshop: Workshop,
    template: LabelTemplate,
    plates: Sequence[Plate],
    *,
    paper: Paper,
    dpi: int,
    start_cell: int = 1,
    tell: Tell = say_nothing,
) -> IO[bytes]:
    """Marks as one PDF, proven, open at its beginning; errors as for ``kit_file``.

    It is written under a name that says that it is a draft, so that nobody takes what a crash leaves for a result.
    """
    try:
        draft = NamedTemporaryFile(prefix=DRAFT_PREFIX, suffix=DRAFT_SUFFIX)  # noqa: SIM115  the caller closes it
    except OSError as error:
        raise backup.unwritable(error, tempfile.gettempdir()) from error
    try:
        facts = with_pictures(workshop, template, plates)
        workshop.rendering.run_watched(
            draw_plates_into, tell, Path(draft.name), template, facts, paper=paper, dpi=dpi, start_cell=start_cell
        )
    except OSError as error:
        draft.close()
        raise backup.unwritable(error, tempfile.gettempdir()) from error
    except BaseException:
        draft.close()
        raise
    return draft


def segment_file(
    workshop: Workshop,
    mark: str,
    *,
    template: str = DEFAULT_TEMPLATE,
    paper: Paper = "roll",
    dpi: int = DEFAULT_DPI,
    start_cell: int = 1,
    override: str | None = None,
    actor: Actor = SERVICE,
    tell: Tell = say_nothing,
) -> IO[bytes]:
    """The marks of one segment, or of the piece whose key was given, as one PDF; all else as for ``kit_file``."""
    chosen = workshop.template(template)
    dots_per_mm(dpi)
    plates = plates_of_segment(workshop, mark)

    def draw() -> IO[bytes]:
        return proven_file(workshop, chosen, plates, paper=paper, dpi=dpi, start_cell=start_cell, tell=tell)

    return on_record(
        workshop, plates, kind="nameplate", form=template, actor=actor, verb="print", override=override, draw=draw
    )


def plates_of_segment(workshop: Workshop, mark: str) -> tuple[Plate, ...]:
    """The marks of one segment, or of the piece whose key was given."""
    with workshop.database.read() as connection:
        return segment_plates(workshop, connection, find_active(connection, mark, field="number"))


def print_segment(
    workshop: Workshop,
    mark: str,
    *,
    form: Literal["pdf", "png", "svg"],
    template: str = DEFAULT_TEMPLATE,
    paper: Paper = "roll",
    dpi: int = DEFAULT_DPI,
    start_cell: int = 1,
    override: str | None = None,
    actor: Actor = SERVICE,
) -> bytes:
    """The mark of one segment, or of the piece whose key was given; errors as for ``kit_file``.

    A picture shows one mark: where a segment has several tracked pieces, the first.
    """
    if form == "pdf":
        with segment_file(
            workshop,
            mark,
            template=template,
            paper=paper,
            dpi=dpi,
            start_cell=start_cell,
            override=override,
            actor=actor,
        ) as file:
            return file.read()
    chosen = workshop.template(template)
    dots_per_mm(dpi)
    picture: PlateForm = form
    plates = plates_of_segment(workshop, mark)[:1]

    def draw() -> bytes:
        (facts,) = with_pictures(workshop, chosen, plates)
        return workshop.rendering.run(draw_plate, chosen, facts, form=picture, dpi=dpi)

    return on_record(
        workshop, plates, kind="nameplate", form=template, actor=actor, verb="print", override=override, draw=draw
    )


def on_record(
    workshop: Workshop,
    plates: Sequence[Plate],
    *,
    kind: Literal["nameplate", "engraving"],
    form: str,
    actor: Actor,
    verb: Literal["print", "engrave"],
    override: str | None = None,
    draw: Callable[[], T],
    details: Callable[[T], Mapping[str, object]] | None = None,
) -> T:
    """Write the intent, draw, and write the result: from the intent on, the numbers count as marked.

    ``details`` says what else of the result goes into the ledger.

    Raises:
        KitRetired: the kit is out of use, and no reason is given under ``override``.
    """
    subject = plates[0].segment.number if len(plates) == 1 else plates[0].segment.kit_number
    with workshop.database.write() as connection:
        now = workshop.now()
        again = _made_before(connection, plates, kind)
        refuse_retired(connection, plates[0].segment.kit_number, what=verb, override=override, actor=actor, now=now)
        ids = marks.intend_marks(
            connection,
            [
                NewMark(
                    segment_id=plate.segment.id,
                    piece_id=_piece_id(plate),
                    kind=kind,
                    form=form,
                    text=f"{plate.facts.number} {plate.facts.key}",
                    made_at=now,
                )
                for plate in plates
            ],
        )
        events.record(
            connection,
            at=now,
            actor=actor.name,
            verb=verb,
            subject=subject,
            before=None,
            after={
                "form": form,
                "kind": kind,
                "marks": len(ids),
                "state": "intended",
                "bear": _named(plates),
                # It stands here only: a mark that says so would be another mark than the one it stands for.
                **({"reprint": {"says": "REPRINT", "marks": _named(again)}} if again else {}),
            },
        )
    try:
        data = draw()
    except KitwrightError as error:
        _settle(workshop, ids, "failed", actor, verb, subject, error.code)
        raise
    _settle(workshop, ids, "made", actor, verb, subject, None, details(data) if details is not None else {})
    return data


def _made_before(connection: Connection, plates: Sequence[Plate], kind: str) -> list[Plate]:
    """Those of the plates whose mark was made before."""
    made = marks.made_marks(connection, {plate.segment.id for plate in plates}, kind)
    return [plate for plate in plates if (plate.segment.id, _piece_id(plate)) in made]


def _piece_id(plate: Plate) -> int | None:
    """The one piece that a mark is for, None when it stands for all of them."""
    return plate.piece.id if plate.piece is not None and plate.piece.key is not None else None


def _named(plates: Sequence[Plate]) -> list[dict[str, str]]:
    return [{"number": plate.facts.number, "key": plate.facts.key} for plate in plates]


def _settle(
    workshop: Workshop,
    ids: Sequence[int],
    state: Literal["made", "failed"],
    actor: Actor,
    verb: str,
    subject: str,
    reason: str | None,
    details: Mapping[str, object] | None = None,
) -> None:
    with workshop.database.write() as connection:
        marks.settle_marks(connection, ids, state, DECODER if state == "made" else None)
        events.record(
            connection,
            at=workshop.now(),
            actor=actor.name,
            verb=verb,
            subject=subject,
            before={"marks": len(ids), "state": "intended"},
            after={"marks": len(ids), "state": state, "reason": reason, **(details or {})},
        )
