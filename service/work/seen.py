"""Which state of a record an edit was made from; an edit of another state than the one that stands is refused.

The tags are those of RFC 9110 section 8.8.3: equal exactly when the record stands as it did.
"""

from __future__ import annotations

import hashlib

from pydantic import BaseModel

from service.errors import StaleEdit

Seen = frozenset[str]
"""The tags of the states of which an edit may be made."""


def tag_of(answer: BaseModel) -> str:
    """The tag of a record that keeps no count of its changes: a hash of all that is answered of it."""
    return hashlib.sha256(answer.model_dump_json().encode()).hexdigest()[:24]


def refuse_stale(seen: Seen | None, now: str, *, what: str) -> None:
    """Refuse an edit that was made from another state.

    Args:
        seen: the states that the editor would accept, None for any.
        now: the tag of the record as it stands, read where nobody can change it before the edit is written.
        what: what is edited, for example ``this kit``.

    Raises:
        StaleEdit: the record stands otherwise.
    """
    if seen is not None and now not in seen:
        raise StaleEdit(
            f"somebody changed {what} since you looked at it",
            field="If-Match",
            value=", ".join(sorted(seen)),
            todo="Load it again, and change what is still wrong",
        )
