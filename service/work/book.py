"""The paper book of a kit: everything on record about it, set so that it is of use without this service.

Nothing is written down when a book is made: equal records give equal bytes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

from sqlalchemy import Connection

from service.errors import UnknownCode
from service.marks.book import Book, BookMaterial, CodeWords, SpentNumber
from service.marks.book_segment import BookPiece, BookRevision, BookSegment
from service.marks.work_sheet import two_fours
from service.outlines.stored import from_bytes
from service.render.book_pdf import book_pdf
from service.rules.lifting import cautions, lifting_caution
from service.rules.materials import material
from service.store import containers, cutfiles, ledger, sharing, shop
from service.store.values import ContainerRow, KitRow, LineRow, PieceRow, RevisionRow, SegmentRow
from service.work.book_example import worked_example
from service.work.book_facts import BookFacts
from service.work.book_joints import kit_joints, segment_joints
from service.work.book_machine import machine_past, same_machines, surveyed
from service.work.book_names import older_marks
from service.work.mark_facts import deck_word, kit_facts
from service.work.plan import colour_rgb
from service.work.plates import kit_on_record, other_kits
from service.work.reuse import reasons_to_check
from service.work.workshop import Workshop

BookPaper = Literal["a4", "letter"]
_OF_ORDER = {"cancelled": "with reorder", "replaced": "by reorder"}
"""What a reorder has to do with the end of a piece; of any other end: it replaced the piece."""


def kit_book(workshop: Workshop, kit: str, *, paper: BookPaper = "a4") -> bytes:
    """The book as a PDF.

    Args:
        workshop: where the records are.
        kit: the kit's number.
        paper: ``a4`` or ``letter``.

    Raises:
        KitUnknown: no such kit.
        BadRequest: another paper.
        ReadBackFailed: a page of the finished file does not prove itself.
    """
    with workshop.database.read() as connection:
        facts = BookFacts.of(connection, kit_on_record(connection, kit))
        book = _book(workshop, connection, facts)
        drawings = cutfiles.drawing_bytes(connection, {facts.shown[row.id].id for row in facts.rows})
    return workshop.rendering.run(
        draw_book,
        book,
        {facts.shown[row.id].sha256: drawings[facts.shown[row.id].id] for row in facts.rows},
        paper=paper,
    )


def draw_book(book: Book, drawings: Mapping[str, bytes], *, paper: BookPaper) -> bytes:
    """The book with its outlines; runs in a rendering process."""
    return book_pdf(book, {name: from_bytes(data) for name, data in drawings.items()}, paper=paper)


def _book(workshop: Workshop, connection: Connection, facts: BookFacts) -> Book:
    kit, tables = facts.kit, facts.tables
    the_shop = shop.shop_facts(connection)
    common = kit_facts(kit, the_shop, tables, workshop.public_url)
    own = [_segment(connection, facts, row) for row in facts.rows]
    tip = ledger.tip(connection)
    names = tuple(dict.fromkeys(row.material for row in facts.rows))
    return Book(
        kit=kit.number,
        retired=_retired(connection, kit),
        container=common.container_words,
        container_code=kit.container.code,
        container_facts=_container_facts(kit.container),
        serves=tuple(f"{row.code} {row.name}" for row in containers.further_containers(connection, kit.id)),
        customer=kit.plant.customer,
        plant=kit.plant.name,
        machine=f"{kit.machine.name} {kit.number.rsplit('-', 1)[0]}",
        turns=f"{kit.machine.rotation} seen from above" if kit.machine.rotation else "",
        born=_line(kit.born_line),
        now=kit.stands_on or "on no line",
        colour=kit.stock_colour,
        colour_rgb=colour_rgb(kit.stock_colour),
        issued_on=_day(kit.issued_at),
        ledger=str(tip),
        records_of=_day(tip.at),
        shop_name=the_shop.name,
        shop_address=the_shop.address,
        shop_telephone=the_shop.telephone,
        codes=_code_words(facts),
        segments=tuple(own),
        joints=kit_joints(facts),
        example_choice=worked_example(facts),
        spent=tuple(
            SpentNumber(
                number=row.number,
                key=two_fours(row.key),
                place=row.place,
                reason=row.void_reason or "",
                piece_keys=tuple(two_fours(piece.key) for piece in facts.made.get(row.id, ()) if piece.key),
            )
            for row in facts.spent
        ),
        materials=tuple(_material(name) for name in names),
        cautions=_cautions(facts.rows),
        past=machine_past(connection, kit),
        surveyed=surveyed(connection, kit),
        same=same_machines(connection, kit),
        older=older_marks(connection, facts),
        check_first=reasons_to_check(connection, kit),
    )


def _retired(connection: Connection, kit: KitRow) -> str:
    """Since when and why a kit is out of use; empty while it is in use."""
    row = sharing.retirement_of(connection, kit.id)
    return "" if row is None else f"{_day(row.retired_at)}: {row.reason}"


def _cautions(rows: Sequence[SegmentRow]) -> tuple[str, ...]:
    """The cautions of a changeover; the one on lifting speaks of the heaviest piece."""
    heaviest = max((row.mass_kg for row in rows), default=None)
    lifting = lifting_caution(heaviest)
    return tuple(
        f"Heaviest piece, {text}" if text == lifting and heaviest is not None else text for text in cautions(heaviest)
    )


def _line(line: LineRow) -> str:
    """The name of a line, and its ordinal where the name does not say it."""
    return line.name if str(line.ordinal) in line.name else f"{line.name} (line {line.ordinal})"


def _container_facts(container: ContainerRow) -> tuple[tuple[str, str], ...]:
    """What tells the container, label and value, the empty ones left out."""
    body = " × ".join(f"{side:g}" for side in (container.width_mm, container.depth_mm) if side is not None)
    measured = " to ".join(f"{side:g}" for side in (container.min_body_mm, container.max_body_mm) if side is not None)
    rows = (
        ("Content", f"{container.nominal} {container.unit}".strip()),
        ("Shape", container.shape),
        ("Body", f"{container.diameter_mm:g} mm across" if container.diameter_mm else f"{body} mm" if body else ""),
        ("Body measured", f"{measured} mm" if measured else ""),
        ("Height", f"{container.height_mm:g} mm" if container.height_mm else ""),
        ("Neck finish", container.neck_finish),
        ("Drawing", container.drawing_issue),
    )
    return tuple((label, value) for label, value in rows if value)


def _code_words(facts: BookFacts) -> CodeWords:
    kit, tables = facts.kit, facts.tables
    assemblies = dict.fromkeys(row.assembly_code for row in facts.rows)
    decks = dict.fromkeys(row.deck for row in facts.rows)
    return CodeWords(
        plant=f"{kit.plant.code} {kit.plant.name}",
        line=_line(kit.born_line),
        machine=kit.machine.name,
        machine_class=_code(kit.machine.machine_class, tables.machine_classes),
        container=f"{kit.container.code} {kit.container.name}, {kit.container.nominal} {kit.container.unit}".strip(),
        assemblies=tuple((code, tables.assemblies.get(code, "")) for code in assemblies),
        decks=tuple((code, tables.decks.get(code, "")) for code in decks),
    )


def _code(code: str, table: Mapping[str, str]) -> str:
    return f"{code} {table.get(code, '')}".strip()


def _segment(connection: Connection, facts: BookFacts, row: SegmentRow) -> BookSegment:
    serves = other_kits(connection, row)
    return BookSegment(
        number=row.number,
        key=row.key,
        place=row.place,
        assembly_code=f"{row.assembly_code}{row.assembly_ordinal}",
        assembly=row.assembly_name,
        deck=deck_word(facts.tables, row.deck),
        position=facts.positions[row.id],
        hand=row.hand or "",
        quantity=row.quantity,
        material=row.material,
        colour=row.stock_colour,
        colour_rgb=colour_rgb(row.stock_colour),
        thickness_mm=row.thickness_mm,
        measured_thickness_mm=row.measured_thickness_mm,
        mass_kg=row.mass_kg,
        marked_face=row.marked_face or "",
        cut_file=row.cut_file,
        revision=row.revision,
        built=facts.members[row.id].as_built,
        outline=facts.shown[row.id].sha256,
        home_kit=row.kit_number,
        serves=serves,
        revisions=tuple(_revision(one) for one in facts.revisions[row.cut_file_id]),
        pieces=tuple(_piece(one) for one in facts.made[row.id]),
        joints=segment_joints(facts, row),
    )


def _revision(row: RevisionRow) -> BookRevision:
    joints = f"the joint to {', '.join(row.joints_changed)}" if row.joints_changed else ""
    withdrawn = f"{_day(row.withdrawn_at)}: {row.withdrawn_reason}" if row.withdrawn_at else ""
    return BookRevision(
        letter=row.letter,
        released_on=_day(row.released_at),
        sha256=row.sha256,
        changed="; ".join(filter(None, (joints, ", ".join(row.interfaces_changed)))),
        note=row.note,
        withdrawn=withdrawn,
    )


def _piece(row: PieceRow) -> BookPiece:
    return BookPiece(
        key=row.key,
        set_number=row.set_number,
        count=row.count,
        revision=row.revision,
        condition=row.condition,
        made_on=_day(row.made_at) if row.made_at else "",
        material_batch=row.material_batch or "",
        deviations=row.deviations or "",
        ended=_ended(row),
    )


def _ended(row: PieceRow) -> str:
    """What became of a scrapped piece, in words."""
    day = f"on {_day(row.ended_at)}" if row.ended_at else ""
    order = "" if row.end_reorder_id is None else f"{_OF_ORDER.get(row.end or '', 'replaced by')} {row.end_reorder_id}"
    return ", ".join(filter(None, (" ".join(filter(None, (row.end, day))), order, row.end_note)))


def _material(name: str) -> BookMaterial:
    try:
        known = material(name)
    except UnknownCode:
        return BookMaterial(name=name, density_g_cm3=None, alpha_per_k=None, max_continuous_c=None)
    return BookMaterial(
        name=name,
        density_g_cm3=known.density_g_cm3,
        alpha_per_k=known.alpha_per_k,
        max_continuous_c=known.max_continuous_c,
    )


def _day(moment: str) -> str:
    """The day of a moment as the records keep it."""
    return moment.partition("T")[0]
