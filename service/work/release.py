"""Release a revision of a cut file: the bytes are read, kept by their hash, and never change.

A file that is refused is not kept. Bytes go into the vault first and the record after them: a crash in between leaves
bytes that nothing names, never a record without bytes.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from schemas.answers import CutFileAnswer, RevisionAnswer
from service.errors import (
    BadFileName,
    BadRequest,
    BadRevision,
    CutFileUnknown,
    KitwrightError,
    RevisionExists,
    RevisionUnknown,
    TooLarge,
)
from service.numbering.number import Number
from service.numbering.tables import CodeTables
from service.outlines.drawing import read_drawing
from service.outlines.figures import outline_figures
from service.outlines.stored import from_bytes, to_bytes
from service.render.outline_svg import outline_svg
from service.rules.revision_letters import ordinal_of
from service.store import codes, cutfiles, events
from service.store.outline_figures import keep_figures
from service.store.values import CutFileSummary, RevisionRow
from service.work.naming import read_place
from service.work.once import NO_RETRY, Retry, answered, once
from service.work.release_findings import release_findings
from service.work.shown import revision_answer
from service.work.workshop import SERVICE, Actor, Workshop

MOST_BYTES = 20_000_000
"""A star wheel is some 20 kB; a hundred times a rich drawing is still below this."""

INTERFACES = ("hub bore", "bolt pattern", "pocket", "outside contour", "thickness")
# What Windows takes for a device whatever ending follows: a packet with such a file cannot be unpacked there.
# https://learn.microsoft.com/windows/win32/fileio/naming-a-file, "Naming conventions".
_DEVICES = {"CON", "PRN", "AUX", "NUL", *(f"{port}{digit}" for port in ("COM", "LPT") for digit in range(10))}
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._+ -]{0,113}\.dxf", re.IGNORECASE)


def release_revision(
    workshop: Workshop,
    name: str,
    data: bytes,
    *,
    revision: str,
    note: str = "",
    units: str | None = None,
    joints_changed: str = "",
    interfaces_changed: str = "",
    actor: Actor = SERVICE,
    retry: Retry = NO_RETRY,
) -> RevisionAnswer:
    """Read a DXF, keep it, and put the revision on record.

    Args:
        workshop: where the records and the vault are.
        name: the cut file's name, unique in the shop.
        data: the bytes of the DXF.
        revision: ``-`` or a letter after ASME Y14.35; it has to come after those already released.
        note: what changed, in words.
        units: the unit of a file that carries none.
        joints_changed: comma-separated neighbours, by number or place, to whom the joint changed.
        interfaces_changed: comma-separated: what else changed, of ``INTERFACES``.
        actor: who releases.
        retry: the request's Idempotency-Key.

    Raises:
        BadFileName, TooLarge, BadCutFile, NoOutline, NoUnits, SelfCrossing: the file is refused and not kept.
        BadRevision, RevisionExists: the letter is none, too early, or taken.
        BadRequest: a joint or interface is not named as it should be.
    """
    name = file_name(name)
    ordinal = ordinal_of(revision)
    letter = revision.strip().upper()
    if len(data) > MOST_BYTES:
        raise TooLarge(
            f"the file has {len(data):,} bytes, more than {MOST_BYTES:,}",
            field="file",
            value=name,
            todo="Take out what is not cut, such as pictures and layouts, and send it again",
        )
    interfaces = _interfaces(interfaces_changed)
    with workshop.database.read() as connection:
        tables = codes.code_tables(connection)
        joints = _joints(joints_changed, tables)
        # A file that will be refused has to be refused before its bytes are kept.
        before = answered(connection, retry, RevisionAnswer)
        if before is not None:
            return before
        _comes_after(cutfiles.revisions(connection, name), name, letter, ordinal)
    drawing = workshop.rendering.run(read_drawing, data, name=name, units=units.strip() or None if units else None)
    figures = workshop.rendering.run(outline_figures, drawing)
    sha256 = workshop.vault.put(data)
    with workshop.database.read() as connection:
        findings = release_findings(connection, name, letter, drawing, joints=joints, interfaces=interfaces)
    with workshop.database.write() as connection:

        def work() -> RevisionAnswer:
            earlier = cutfiles.revisions(connection, name)
            _comes_after(earlier, name, letter, ordinal)
            row = cutfiles.add_revision(
                connection,
                name=name,
                letter=letter,
                ordinal=ordinal,
                sha256=sha256,
                size_bytes=len(data),
                note=" ".join(note.split()),
                units=drawing.units,
                area_mm2=drawing.area_mm2,
                width_mm=drawing.width_mm,
                height_mm=drawing.height_mm,
                drawing=to_bytes(drawing),
                released_at=workshop.now(),
                joints_changed=joints,
                interfaces_changed=interfaces,
            )
            keep_figures(connection, {row.id: figures})
            answer = revision_answer(row, findings)
            events.record(
                connection,
                at=row.released_at,
                actor=actor.name,
                verb="revise",
                subject=name,
                before={"revision": earlier[-1].letter, "sha256": earlier[-1].sha256} if earlier else None,
                after=answer.model_dump(mode="json"),
            )
            return answer

        return once(connection, retry, RevisionAnswer, workshop.now(), work)


def cut_file(workshop: Workshop, name: str) -> CutFileAnswer:
    """A cut file with its revisions, and the segments cut from it."""
    with workshop.database.read() as connection:
        rows = cutfiles.revisions(connection, name)
        if not rows:
            raise _unknown(name)
        users = cutfiles.users_of(connection, rows[0].cut_file_id)
    return CutFileAnswer(
        name=rows[0].cut_file,
        revisions=tuple(revision_answer(row) for row in rows),
        segments=tuple(user.number for user in users),
    )


def cut_files(workshop: Workshop, *, after: str | None, limit: int) -> tuple[CutFileSummary, ...]:
    """A page of cut files."""
    with workshop.database.read() as connection:
        return cutfiles.cut_file_page(connection, after=after, limit=limit)


def revision_on_record(workshop: Workshop, name: str, letter: str) -> RevisionRow:
    """A released revision; raises CutFileUnknown or RevisionUnknown."""
    with workshop.database.read() as connection:
        row = cutfiles.find_revision(connection, name, letter.strip().upper())
        if row is not None:
            return row
        rows = cutfiles.revisions(connection, name)
    if not rows:
        raise _unknown(name)
    raise RevisionUnknown(
        f"this revision of {name} was never released",
        field="revision",
        value=letter,
        todo=f"Use one of {', '.join(row.letter for row in rows)}",
    )


def show_revision(workshop: Workshop, name: str, letter: str) -> RevisionAnswer:
    """What is on record about a revision; raises CutFileUnknown or RevisionUnknown."""
    return revision_answer(revision_on_record(workshop, name, letter))


def released_bytes(workshop: Workshop, name: str, letter: str) -> tuple[RevisionRow, bytes]:
    """The bytes of a revision, verified against their hash on the way out.

    Raises:
        CutFileUnknown, RevisionUnknown: not on record.
        CutFileAltered, CutFileMissing: the kept bytes are not those that were released.
    """
    row = revision_on_record(workshop, name, letter)
    return row, workshop.vault.get(row.sha256)


def outline_picture(workshop: Workshop, name: str, letter: str) -> str:
    """The outline of a revision as SVG with its overall dimensions."""
    row = revision_on_record(workshop, name, letter)
    with workshop.database.read() as connection:
        drawing = from_bytes(cutfiles.drawing_bytes(connection, [row.id])[row.id])
    return outline_svg(drawing)


def file_name(name: str) -> str:
    """A cut file's name as it is kept: a plain DXF file name, no path, no control characters.

    Raises:
        BadFileName: anything else.
    """
    plain = unicodedata.normalize("NFC", name).strip()
    stem = plain.partition(".")[0].strip().upper()
    if not _NAME.fullmatch(plain) or ".." in plain or stem in _DEVICES:
        raise BadFileName(
            "that name belongs to a device on the machines that cut"
            if stem in _DEVICES
            else "a cut file has a plain name of letters, digits, blanks and . _ + - that ends in .dxf",
            field="name",
            value=name,
            todo="Rename the file, for one osv4-fc1-a500-sw2-u3.dxf",
        )
    return plain


def _unknown(name: str) -> CutFileUnknown:
    return CutFileUnknown(
        "no cut file of this name was ever uploaded",
        field="cut_file",
        value=name,
        todo="Upload it, or correct its name",
    )


def _comes_after(rows: tuple[RevisionRow, ...], name: str, letter: str, ordinal: int) -> None:
    for row in rows:
        if row.letter == letter:
            raise RevisionExists(
                f"revision {letter} of {name} was released on {row.released_at}; released bytes never change",
                field="revision",
                value=letter,
                todo="Release the change under the next letter",
            )
    if rows and ordinal < rows[-1].ordinal:
        raise BadRevision(
            f"{name} already stands at revision {rows[-1].letter}",
            field="revision",
            value=letter,
            todo=f"Release it under a letter after {rows[-1].letter}",
        )


def _parts(text: str) -> Iterable[str]:
    return filter(None, (" ".join(part.split()) for part in text.split(",")))


def _joints(text: str, tables: CodeTables) -> tuple[str, ...]:
    """Neighbours by number or place, printed as they are kept."""
    found = []
    for part in _parts(text):
        try:
            parsed = Number.parse(part.upper(), tables) if part.count("-") > 1 else read_place(part, tables)
        except KitwrightError as error:
            raise BadRequest(
                f"a changed joint is named by the neighbour's number or place ({error.what})",
                field="joints_changed",
                value=part,
                todo="Write places such as SW2-U4, parted by commas",
            ) from error
        found.append(str(parsed))
    return tuple(dict.fromkeys(found))


def _interfaces(text: str) -> tuple[str, ...]:
    found = []
    for part in _parts(text):
        word = part.lower().replace("_", " ")
        if word not in INTERFACES:
            raise BadRequest(
                "no interface has this name",
                field="interfaces_changed",
                value=part,
                todo=f"Use {', '.join(INTERFACES)}, parted by commas; a joint goes into joints_changed",
            )
        found.append(word)
    return tuple(dict.fromkeys(found))
