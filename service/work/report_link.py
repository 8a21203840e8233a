"""A link for the caller's telephone: pictures of segments, and which of them it is.

Whoever has the link sees what stands on the plates, and may say yes or no; that is evidence, never a decision. The
token is random and only its SHA-256 is kept, so nobody finds a link in the records, in an export or in a backup.
"""

from __future__ import annotations

import hashlib
import json
import secrets
from datetime import datetime, timedelta

from sqlalchemy import Connection

from schemas.damage_report import ConfirmRequest, LinkAnswer, LinkPageAnswer, LinkPictureAnswer, LinkRequest
from service.errors import BadRequest, LinkUnknown
from service.store import codes, damage_reports, segments
from service.store.damage_reports import LinkRow, NewEvidence
from service.store.shop import shop_facts
from service.work.damage_reports import note
from service.work.mark_facts import deck_word
from service.work.once import NO_RETRY, Retry, once
from service.work.plan import segment_picture
from service.work.read import find_active
from service.work.report_record import record_of, require_not_given_up
from service.work.workshop import SERVICE, Actor, Workshop

CALLER = Actor("caller")
NONE = "none"
"""The answer that it is none of the pictures."""

MOST_ANSWERS = 20
"""So often a link takes an answer: whoever wavers may, and nobody fills the records."""


def make_link(
    workshop: Workshop, report_id: int, request: LinkRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> LinkAnswer:
    """Make a link; its address is in this answer and nowhere else.

    Raises:
        ReportUnknown: there is no such report.
        ReportClosed: it was given up.
        MarkUnknown, AmbiguousMark, PlaceVoided: a picture is asked for of no single segment.
    """
    with workshop.database.write() as connection:

        def work() -> LinkAnswer:
            require_not_given_up(record_of(connection, report_id))
            numbers = tuple(
                dict.fromkeys(
                    find_active(connection, mark, field=f"numbers[{index}]").segment.number
                    for index, mark in enumerate(request.numbers)
                )
            )
            now = workshop.now()
            token = secrets.token_urlsafe(24)
            expires = datetime.fromisoformat(now) + timedelta(hours=request.hours)
            expires_at = expires.strftime("%Y-%m-%dT%H:%M:%SZ")
            damage_reports.add_link(
                connection,
                report_id=report_id,
                token_sha256=_sha256(token),
                numbers=json.dumps(numbers),
                expires_at=expires_at,
                at=now,
                actor=actor.name,
            )
            told: dict[str, object] = {"numbers": list(numbers), "expires_at": expires_at}
            note(connection, report_id, "picture link", told, now=now, actor=actor)
            return LinkAnswer(
                report=report_id,
                url=f"{workshop.public_url}/r/{token}",
                token=token,
                numbers=numbers,
                expires_at=expires_at,
            )

        return once(connection, retry, LinkAnswer, workshop.now(), work)


def open_link(workshop: Workshop, token: str) -> LinkPageAnswer:
    """What opens under a link; raises LinkUnknown, in the same words for a wrong one and for one that has ended."""
    with workshop.database.read() as connection:
        return _page(connection, _open(workshop, connection, token))


def link_picture(workshop: Workshop, token: str, ordinal: int) -> str:
    """A picture of a link as SVG; raises LinkUnknown, also for a picture that the link does not show."""
    with workshop.database.read() as connection:
        numbers = json.loads(_open(workshop, connection, token).numbers)
    if not 1 <= ordinal <= len(numbers):
        raise _unknown()
    return segment_picture(workshop, numbers[ordinal - 1])


def confirm_link(workshop: Workshop, token: str, request: ConfirmRequest) -> LinkPageAnswer:
    """The caller says which picture it is, or that it is none; a later answer stands.

    Raises:
        LinkUnknown: the link is wrong or has ended, or shows no such picture.
        BadRequest: it took so many answers that it takes no more.
    """
    with workshop.database.write() as connection:
        link = _open(workshop, connection, token)
        numbers = json.loads(link.numbers)
        if request.ordinal is not None and request.ordinal > len(numbers):
            raise _unknown()
        answer = NONE if request.ordinal is None else numbers[request.ordinal - 1]
        given = _given(connection, link)
        if len(given) >= MOST_ANSWERS:
            raise BadRequest(
                "this link was answered often enough",
                field="ordinal",
                value=request.ordinal,
                todo="Call the shop",
            )
        if given[-1:] != [answer]:
            now = workshop.now()
            evidence = NewEvidence(
                question="picture",
                answer=answer,
                tolerance_mm=None,
                came_by=None,
                damage_link_id=link.id,
                at=now,
                actor=CALLER.name,
            )
            damage_reports.add_evidence(connection, link.damage_report_id, evidence)
            told: dict[str, object] = {"answer": answer, "shown": numbers}
            note(connection, link.damage_report_id, "picture answer", told, now=now, actor=CALLER)
        return _page(connection, link)


def _open(workshop: Workshop, connection: Connection, token: str) -> LinkRow:
    link = damage_reports.find_link(connection, _sha256(token))
    if link is None or link.expires_at <= workshop.now() or record_of(connection, link.damage_report_id).end:
        raise _unknown()
    return link


def _unknown() -> LinkUnknown:
    return LinkUnknown(
        "this link is not open: it was never made, or its time is over",
        field="link",
        value=None,
        todo="Call the shop and ask for a new one",
    )


def _page(connection: Connection, link: LinkRow) -> LinkPageAnswer:
    tables = codes.code_tables(connection)
    pictures = []
    for ordinal, number in enumerate(json.loads(link.numbers), 1):
        segment = segments.find_segment(connection, number)
        assert segment is not None
        deck = deck_word(tables, segment.deck)
        place_name = ", ".join(filter(None, (segment.assembly_name, f"{deck} deck" if deck else "")))
        pictures.append(
            LinkPictureAnswer(ordinal=ordinal, number=number, place_name=place_name, stock_colour=segment.stock_colour)
        )
    own = shop_facts(connection)
    given = _given(connection, link)
    return LinkPageAnswer(
        pictures=tuple(pictures),
        expires_at=link.expires_at,
        answered=given[-1] if given else None,
        shop_name=own.name,
        shop_telephone=own.telephone,
    )


def _given(connection: Connection, link: LinkRow) -> list[str]:
    rows = damage_reports.evidence_of(connection, [link.damage_report_id]).get(link.damage_report_id, ())
    return [row.answer for row in rows if row.damage_link_id == link.id]


def _sha256(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
