"""A request with an Idempotency-Key does its work once; every repetition gets the first answer.

The answer is written in the transaction that did the work, so that it is there exactly when the work is. Writers pass
one lock, so a repetition that comes while the first is still at work waits for it and then finds the answer.
After draft-ietf-httpapi-idempotency-key-header (an internet draft).
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from pydantic import BaseModel
from sqlalchemy import Connection

from service.errors import IdempotencyMismatch
from service.store import idempotency

A = TypeVar("A", bound=BaseModel)


@dataclass(frozen=True, slots=True)
class Retry:
    """The key that a client sent, the request it belongs to, and a hash of what was sent.

    Attributes:
        key: the Idempotency-Key without quotes; None when the client sent none.
        request: method and path.
        payload_sha256: of the body as it came.
    """

    key: str | None
    request: str
    payload_sha256: str

    @classmethod
    def of(cls, key: str | None, request: str, payload: bytes) -> Retry:
        """For a request as it came; a key in double quotes is the same key bare."""
        bare = key.strip() if key else ""
        if len(bare) >= 2 and bare[0] == bare[-1] == '"':
            bare = bare[1:-1]
        return cls(bare or None, request, hashlib.sha256(payload).hexdigest())


NO_RETRY = Retry(None, "", "")


def answered(connection: Connection, retry: Retry, answer: type[A]) -> A | None:
    """The answer that the same request got before, None if it never came.

    Raises:
        IdempotencyMismatch: the key was used for another payload.
    """
    before = None if retry.key is None else idempotency.recall(connection, key=retry.key, request=retry.request)
    if before is None:
        return None
    payload_sha256, kept = before
    if payload_sha256 != retry.payload_sha256:
        raise IdempotencyMismatch(
            "this key came before with another payload",
            field="Idempotency-Key",
            value=retry.key,
            todo="Send a new key with a new request, or the first payload again",
        )
    return answer.model_validate_json(kept)


def once(connection: Connection, retry: Retry, answer: type[A], now: str, work: Callable[[], A]) -> A:
    """Do the work, or give the answer that the same request got before.

    Raises:
        IdempotencyMismatch: the key was used for another payload.
    """
    before = answered(connection, retry, answer)
    if before is not None:
        return before
    made = work()
    if retry.key is not None:
        idempotency.remember(
            connection,
            key=retry.key,
            request=retry.request,
            payload_sha256=retry.payload_sha256,
            answer=made.model_dump_json(),
            answered_at=now,
        )
    return made
