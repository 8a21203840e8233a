"""Examples of legacy marks of the demonstration's kit, by the name of the model."""

from __future__ import annotations

from collections.abc import Mapping

Document = dict[str, object]

_ALIAS: Document = {
    "id": 12,
    "kind": "machine",
    "of": "OSV4-FC1",
    "text": "old Betty",
    "source": "what people call it",
    "note": "",
    "recorded_by": "owner",
    "recorded_at": "2026-03-09T08:15:00Z",
    "wrong_reason": None,
    "wrong_by": None,
    "wrong_at": None,
}
SEGMENT_ALIAS: Document = {
    **_ALIAS,
    "id": 13,
    "kind": "segment",
    "of": "OSV4-FC1-A500-SW2-U3-42",
    "text": "PO 4711/3",
    "source": "purchase order of 1998",
}
_REFUSED: Document = {
    "line": 4,
    "column": "number",
    "value": "0SV4-FC1-A500-SW2-U3-42",
    "code": "bad_request",
    "message": "it would have to be mended to be OSV4-FC1-A500-SW2-U3-42",
    "todo": "Write OSV4-FC1-A500-SW2-U3-42 if that is what bears the mark",
}
_REFUSED_CSV = (
    '"mark","number","refused_because"\r\n'
    '"PO 4711/4","0SV4-FC1-A500-SW2-U3-42","number \'0SV4-FC1-A500-SW2-U3-42\': it would have to be mended to be '
    'OSV4-FC1-A500-SW2-U3-42. Write OSV4-FC1-A500-SW2-U3-42 if that is what bears the mark."\r\n'
)

ALIAS_EXAMPLES: Mapping[str, Document] = {
    "AliasAnswer": _ALIAS,
    "AliasListAnswer": {"aliases": [_ALIAS]},
    "AliasRequest": {
        "kind": "machine",
        "of": "OSV4-FC1",
        "text": "old Betty",
        "source": "what people call it",
    },
    "AliasWrongRequest": {"reason": "Betty is the machine next to it"},
    "ImportAnswer": {
        "status": "imported",
        "lines": 3,
        "added": 2,
        "already": 0,
        "refused": [_REFUSED],
        "refused_csv": _REFUSED_CSV,
    },
    "RefusedLineAnswer": _REFUSED,
}
