"""Answers remembered under an Idempotency-Key, in the transaction that did the work."""

from __future__ import annotations

from sqlalchemy import Connection, insert, select

from service.store.tables import Idempotency, table_of


def recall(connection: Connection, *, key: str, request: str) -> tuple[str, str] | None:
    """The payload's SHA-256 and the answer that were remembered, None when the key is new for this request.

    Args:
        connection: inside ``Database.write``, so that of two equal requests the second sees the first one's answer.
        key: the Idempotency-Key as its sender wrote it, without quotes.
        request: method and path, for example ``POST /api/kits``; one key may serve several.
    """
    row = connection.execute(
        select(Idempotency.payload_sha256, Idempotency.answer).where(
            Idempotency.key == key, Idempotency.request == request
        )
    ).one_or_none()
    return None if row is None else (row.payload_sha256, row.answer)


def remember(
    connection: Connection, *, key: str, request: str, payload_sha256: str, answer: str, answered_at: str
) -> None:
    """Keep an answer; it lives and dies with the transaction."""
    connection.execute(
        insert(table_of(Idempotency)),
        {
            "key": key,
            "request": request,
            "payload_sha256": payload_sha256,
            "answer": answer,
            "answered_at": answered_at,
        },
    )
