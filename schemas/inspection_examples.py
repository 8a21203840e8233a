"""Examples of proving the marks of the demonstration's kit, by the name of the model."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

_ROW = {
    "number": "OSV4-FC1-A500-SW2-U3-42",
    "place": "SW2-U3",
    "key": "P3HW9TCP",
    "count": 1,
    "state": "right",
    "inspected_at": "2026-03-09T08:15:00Z",
    "inspected_by": "owner",
    "found": ["plate and engraving name this segment", "revision B as on record"],
}

INSPECTION_EXAMPLES: Mapping[str, Any] = {
    "InspectionAnswer": {
        "kit": "OSV4-FC1-A500",
        "number": "OSV4-FC1-A500-SW2-U3-42",
        "place": "SW2-U3",
        "key": "P3HW9TCP",
        "set": 1,
        "verdict": "right",
        "found": ["plate and engraving name this segment", "revision B as on record"],
        "inspected_at": "2026-03-09T08:15:00Z",
        "left": 4,
    },
    "InspectionRequest": {
        "plate": "P3HW-9TCP",
        "engraving": "OSV4-FC1-A500-SW2-U3-42",
        "engraved_revision": "B",
        "thickness_mm": 25.1,
        "material_batch": "PE-2291",
    },
    "ProofAnswer": {"kit": "OSV4-FC1-A500", "set": 1, "right": 1, "wrong": 0, "open": 0, "pieces": [_ROW]},
    "ProofRowAnswer": _ROW,
}
