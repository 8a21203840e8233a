"""The chain of the ledger: each row carries the SHA-256 (FIPS 180-4) of what it says and of the row before it.

What is hashed is one JSON object in the canonical form of RFC 8785, in UTF-8, with these members::

    {"actor":…,"after":…,"at":…,"before":…,"id":…,"previous":…,"subject":…,"verb":…}

``id`` is a number. ``before`` and ``after`` are the texts that stand in the table, as strings, or null: their spelling
counts, not only what they mean. ``previous`` is the SHA-256 of the row before, 64 zeros for the first. Anyone with a
JSON writer and a SHA-256 can compute it again.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import dataclass
from json.encoder import encode_basestring as _quoted

from service.errors import BadRequest

GENESIS = "0" * 64
"""What the first row of a ledger follows."""

_encode = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode
_ANCHOR = re.compile(r"([0-9a-fA-F]{64}):([0-9]{1,18})")


@dataclass(frozen=True, slots=True, order=True)
class Anchor:
    """A row of the ledger as it was written down outside: ``<SHA-256>:<id>``. Row 0 is the beginning of every ledger.

    Attributes:
        id: the row.
        sha256: of that row, 64 lower-case hexadecimal digits.
    """

    id: int
    sha256: str

    def __str__(self) -> str:
        return f"{self.sha256}:{self.id}"

    @classmethod
    def parse(cls, text: str) -> Anchor:
        """Read ``<SHA-256>:<id>``; blanks around it and upper case do no harm.

        Raises:
            BadRequest: it is something else.
        """
        found = _ANCHOR.fullmatch(text.strip())
        if found is None:
            raise BadRequest(
                "not a tip of the ledger",
                field="tip",
                value=text,
                todo="Give the 64 hexadecimal digits, a colon and the row's number, as they were printed",
            )
        return cls(int(found[2]), found[1].lower())


@dataclass(frozen=True, slots=True)
class LedgerTip:
    """The last row of the ledger; of an empty one row 0, 64 zeros and no time. Printed: ``<SHA-256>:<id>``.

    Attributes:
        id: the row.
        sha256: of that row, and with it of all rows before.
        at: when it was written, ISO 8601 in UTC; empty when there is no row.
    """

    id: int
    sha256: str
    at: str

    def __str__(self) -> str:
        return str(self.anchor)

    @property
    def anchor(self) -> Anchor:
        """What is written down elsewhere, to find rows that are cut off later."""
        return Anchor(self.id, self.sha256)


@dataclass(frozen=True, slots=True)
class ChainedRow:
    """A row as the table holds it, in the order of its columns; ``before`` and ``after`` are texts."""

    id: int
    at: str
    actor: str
    verb: str
    subject: str
    before: str | None
    after: str | None
    previous_sha256: str
    sha256: str

    def digest(self) -> str | None:
        """The SHA-256 that belongs to what the row says, None where no row can say that (bytes, half letters)."""
        texts = (self.at, self.actor, self.verb, self.subject, self.previous_sha256)
        may_be_empty = (self.before, self.after)
        if not all(isinstance(text, str) for text in texts):
            return None
        if not all(text is None or isinstance(text, str) for text in may_be_empty):
            return None
        try:
            return event_sha256(
                id_=self.id,
                at=self.at,
                actor=self.actor,
                verb=self.verb,
                subject=self.subject,
                before=self.before,
                after=self.after,
                previous=self.previous_sha256,
            )
        except UnicodeEncodeError:
            return None


def canonical_json(value: object) -> str:
    """JSON with sorted keys and no blanks: equal values give equal text.

    Raises:
        TypeError: a value that JSON has no form for.
        ValueError: a number that JSON has no form for (infinite, or no number).
    """
    return _encode(value)


def event_sha256(
    *,
    id_: int,
    at: str,
    actor: str,
    verb: str,
    subject: str,
    before: str | None,
    after: str | None,
    previous: str,
) -> str:
    """The SHA-256 of a row that follows ``previous``, 64 lower-case hexadecimal digits.

    Raises:
        UnicodeEncodeError: half a character, which no UTF-8 can hold.
    """
    # The object of the module's docstring, its members in the order of their names, without the detour of a dictionary.
    said = (
        f'{{"actor":{_quoted(actor)},"after":{"null" if after is None else _quoted(after)},"at":{_quoted(at)},'
        f'"before":{"null" if before is None else _quoted(before)},"id":{id_:d},"previous":{_quoted(previous)},'
        f'"subject":{_quoted(subject)},"verb":{_quoted(verb)}}}'
    )
    return hashlib.sha256(said.encode()).hexdigest()
