"""Examples of documents about what will lock, by the name of the model."""

from __future__ import annotations

from collections.abc import Mapping

Document = dict[str, object]

_SPOT: Document = {"x_mm": 94.7, "y_mm": -77.3}
_CLEARANCE: Document = {
    "least_mm": -1.85,
    "median_mm": 0.15,
    "greatest_mm": 2.15,
    "length_mm": 231.0,
    "play_mm": 0.0,
}
_JOINT: Document = {
    "number": "OSV4-FC1-A500-SW2-U4-39",
    "place": "SW2-U4",
    "as_built": "A",
    "survives": True,
    "state": "collides",
    "sentence": "The pieces would lie over each other on 57.7 mm², 1.85 mm deep at (94.7, -77.3).",
    "declared": False,
    "computed": False,
    "clearance": _CLEARANCE,
    "overlap_mm2": 57.7,
    "depth_mm": 1.85,
    "at": _SPOT,
    "picture": "/api/segments/OSV4-FC1-A500-SW2-U3-42/locking/B/OSV4-FC1-A500-SW2-U4-39.svg",
}
_DIFFERENCE: Document = {
    "interface": "joint",
    "neighbour": "SW2-U4",
    "size_mm": 2.0,
    "sentence": "joint to SW2-U4: 2.00 mm at (93.4, -75.8)",
    "at": {"x_mm": 93.4, "y_mm": -75.8},
    "declared": True,
}
_REVISION: Document = {
    "revision": "B",
    "released_at": "2026-03-09T08:15:00Z",
    "note": "stronger dovetails towards SW2-U4 after a neck cracked",
    "withdrawn": False,
    "verdict": "collides",
    "sentence": "SW2-U4: the pieces would lie over each other on 57.7 mm², 1.85 mm deep at (94.7, -77.3).",
    "joints": [_JOINT],
    "differences": [_DIFFERENCE],
    "disputed": False,
}
_PIECE: Document = {
    "number": "OSV4-FC1-A500-SW2-U3-42",
    "place": "SW2-U3",
    "cut_file": "osv4-fc1-a500-sw2-u3.dxf",
    "revision": "A",
    "mass_kg": 0.64,
}
_SET: Document = {
    "goal": "as_built",
    "by": "computed",
    "revision": "A",
    "possible": True,
    "pieces": [_PIECE],
    "count": 1,
    "mass_kg": 0.64,
    "sentence": "Cut SW2-U3 at A: 1 segment, 0.64 kg.",
}

LOCKING_EXAMPLES: Mapping[str, Document] = {
    "ClearanceAnswer": _CLEARANCE,
    "CutSetAnswer": _SET,
    "CutSetPieceAnswer": _PIECE,
    "DifferenceAnswer": _DIFFERENCE,
    "JointFitAnswer": _JOINT,
    "LockingAnswer": {
        "number": "OSV4-FC1-A500-SW2-U3-42",
        "place": "SW2-U3",
        "cut_file": "osv4-fc1-a500-sw2-u3.dxf",
        "as_built": "A",
        "why_unknown": None,
        "temperature_c": 20.0,
        "piece_temperature_c": 20.0,
        "cutter_mm": 6.0,
        "oversize_mm": 0.0,
        "revisions": [_REVISION],
        "sets": [_SET],
        "disputes": [],
        "thickness": "24.80 mm, as SW2-U4 measured, not the nominal 25 mm",
        "tolerances": ["Edges that lie no farther apart than 0.05 mm are the same edge."],
    },
    "RevisionFitAnswer": _REVISION,
    "SpotAnswer": _SPOT,
}
