"""Photographs of a damage report: kept without what travels beside the pixels, and read at once.

What the symbols in a picture say is kept with it as it was read then. Where none of them settles which part it is,
what a person typed beside the picture is its mark.
"""

from __future__ import annotations

from schemas.damage_report import DamageReportAnswer
from service.errors import PhotoUnknown, TooLarge
from service.render.kept_photograph import kept_photograph
from service.store import damage_reports
from service.store.damage_reports import NewPhoto, PhotoRow
from service.work.damage_reports import note, report_answer
from service.work.once import NO_RETRY, Retry, answered, once
from service.work.read_picture import MOST_BYTES, read_picture
from service.work.report_record import record_of, require_not_given_up
from service.work.workshop import SERVICE, Actor, Workshop

__all__ = ["MOST_BYTES", "MOST_PHOTOS", "add_photo", "photo_bytes"]

MOST_PHOTOS = 20
"""So many photographs a report has at most."""


def add_photo(
    workshop: Workshop,
    report_id: int,
    data: bytes,
    *,
    typed: str = "",
    actor: Actor = SERVICE,
    retry: Retry = NO_RETRY,
) -> DamageReportAnswer:
    """Keep a photograph and read it.

    Args:
        workshop: the records and the vault.
        report_id: the report.
        data: the bytes as they were sent; what they are is decided by what they are, not by what they are called.
        typed: what a person sees in the picture.
        actor: who adds it.
        retry: the request as it is known again.

    Raises:
        ReportUnknown: there is no such report.
        ReportClosed: it was given up.
        TooLarge: more bytes or pixels than are taken, or more photographs than a report has.
        BadPicture: no picture, or a broken one.
        VaultUnavailable: it cannot be kept.
    """
    with workshop.database.read() as connection:
        before = answered(connection, retry, DamageReportAnswer)
        if before is not None:
            return before
        _refuse(photos=damage_reports.photos_of(connection, [report_id]).get(report_id, ()))
        require_not_given_up(record_of(connection, report_id))
    kept = workshop.rendering.run(kept_photograph, data)
    # What is kept is read, so that whoever looks at it later finds in it what was read.
    read = read_picture(workshop, kept.data)
    sha256 = workshop.vault.put(kept.data)
    visible = " ".join(typed.split())
    with workshop.database.write() as connection:

        def work() -> DamageReportAnswer:
            require_not_given_up(record_of(connection, report_id))
            _refuse(photos=damage_reports.photos_of(connection, [report_id]).get(report_id, ()))
            now = workshop.now()
            ordinal = damage_reports.add_photo(
                connection,
                report_id,
                NewPhoto(
                    sha256=sha256,
                    media_type=kept.media_type,
                    size_bytes=len(kept.data),
                    width_px=kept.width_px,
                    height_px=kept.height_px,
                    typed=visible or None,
                    mark=read.mark or visible or None,
                    reading=read.answer.model_dump_json(),
                    at=now,
                    actor=actor.name,
                ),
            )
            told: dict[str, object] = {
                "photo": ordinal,
                "sha256": sha256,
                "typed": visible or None,
                "mark": read.mark or visible or None,
            }
            note(connection, report_id, "photograph", told, now=now, actor=actor)
            return report_answer(connection, record_of(connection, report_id))

        return once(connection, retry, DamageReportAnswer, workshop.now(), work)


def photo_bytes(workshop: Workshop, report_id: int, photo_id: int) -> tuple[bytes, str]:
    """A photograph as it is kept, and its media type.

    Raises:
        ReportUnknown, PhotoUnknown: there is no such report or photograph.
        CutFileAltered, CutFileMissing: the vault no longer holds what was kept.
    """
    with workshop.database.read() as connection:
        record_of(connection, report_id)
        photos = damage_reports.photos_of(connection, [report_id]).get(report_id, ())
    for photo in photos:
        if photo.ordinal == photo_id:
            return workshop.vault.get(photo.sha256), photo.media_type
    raise PhotoUnknown(
        f"damage report {report_id} has {len(photos)} photographs",
        field="photo",
        value=photo_id,
        todo="Look at the report for those that it has",
    )


def _refuse(*, photos: tuple[PhotoRow, ...]) -> None:
    if len(photos) >= MOST_PHOTOS:
        raise TooLarge(
            f"a report has at most {MOST_PHOTOS} photographs",
            field="file",
            value=len(photos),
            todo="Write a report for each broken piece",
        )
