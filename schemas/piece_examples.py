"""Examples of documents about sets, single pieces, shared parts and the ledger, by the name of the model."""

from __future__ import annotations

from collections.abc import Mapping

Document = dict[str, object]

_SHA256 = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"
_SCRAPPED: Document = {
    "key": "P3HW9TCP",
    "set": 1,
    "count": 1,
    "revision": "B",
    "condition": "scrapped",
    "deviations": None,
    "made_at": "2026-03-09T08:15:00Z",
    "material_batch": "PE-2207",
    "end": "broken",
    "end_note": "jaw of the gripper bent it in a jam",
    "ended_at": "2026-06-01T10:02:00Z",
    "replaced_in": None,
}
_SET_SEGMENT: Document = {
    "number": "OSV4-FC1-A500-SW2-U3-42",
    "place": "SW2-U3",
    "cut_file": "osv4-fc1-a500-sw2-u3.dxf",
    "revision": "B",
    "quantity": 1,
    "keys": ["R8CN5JF3"],
}
_SUMMARY: Document = {
    "set": 2,
    "fitted": 44,
    "damaged": 0,
    "ordered": 1,
    "scrapped": 1,
    "missing": 0,
    "made_at": "2026-03-02T00:00:00Z",
    "material_batch": "PE-2207",
}
_SCRAP: Document = {"kind": "broken", "note": "jaw of the gripper bent it in a jam"}
_TIP: Document = {"id": 1204, "sha256": _SHA256, "at": "2026-03-09T08:15:00Z", "tip": f"{_SHA256}:1204"}
_FAULT: Document = {
    "id": 3,
    "last_id": 3,
    "kind": "changed",
    "message": "row 3 does not say what it said when it was written",
}

PIECE_EXAMPLES: Mapping[str, Document] = {
    "DeviationRequest": {"deviation": "pocket 2 opened by 0.5 mm"},
    "LedgerAnswer": {
        "whole": False,
        "rows": 1204,
        "tip": _TIP,
        "anchors": [f"{_SHA256}:1204"],
        "fault_count": 1,
        "faults": [_FAULT],
    },
    "LedgerFaultAnswer": _FAULT,
    "LedgerTipAnswer": _TIP,
    "PieceOnRecordAnswer": {
        **_SCRAPPED,
        "number": "OSV4-FC1-A500-SW2-U3-42",
        "place": "SW2-U3",
        "kit": "OSV4-FC1-A500",
        "kit_status": "issued",
        "cut_file": "osv4-fc1-a500-sw2-u3.dxf",
        "sha256": _SHA256,
    },
    "PiecesAnswer": {"number": "OSV4-FC1-A500-SW2-U3-42", "pieces": [_SCRAPPED], "new_keys": []},
    "RetirementRequest": {"reason": "the bottle is filled no more"},
    "ScrapCountRequest": {**_SCRAP, "count": 2, "set": 1},
    "ScrapRequest": _SCRAP,
    "SetAnswer": {
        "kit": "OSV4-FC1-A500",
        "set": 2,
        "status": "made",
        "findings": [],
        "segments": [_SET_SEGMENT],
        "shared": [],
        "material_batch": "PE-2207",
        "made_at": "2026-03-02T00:00:00Z",
    },
    "SetListAnswer": {"kit": "OSV4-FC1-A500", "sets": [_SUMMARY]},
    "SetRequest": {"revisions": {"SW2-U3": "B"}, "material_batch": "PE-2207", "made_at": "2026-03-02"},
    "SetSegmentAnswer": _SET_SEGMENT,
    "SetSummaryAnswer": _SUMMARY,
    "ShareRequest": {"number": "OSV4-FC1-A500-SW2-U3-42"},
    "TrackRequest": {"track": 5, "set": 1},
    "UnshareRequest": {"number": "OSV4-FC1-A500-SW2-U3-42", "reason": "the kit got a guide of its own"},
}
