"""Examples of documents about machines and places: a machine born on line 4 that was moved to line 7 in March."""

from __future__ import annotations

from collections.abc import Mapping

Document = dict[str, object]

_MOVED_AT = "2026-03-15T00:00:00Z"
_SURVEYED_AT = "2026-03-20T00:00:00Z"
_BY = "fitter on shift A"
_KITS = ["OSV4-FC1-A500"]

_BORN_ON: Document = {"plant_code": "OSV", "plant": "Ostrey Vale", "line_ordinal": 4, "line": "line 4"}
_STANDS_ON: Document = {**_BORN_ON, "line_ordinal": 7, "line": "line 7"}
_FIRST_STAY: Document = {"place": _BORN_ON, "since": None, "until": _MOVED_AT}
_STAY: Document = {"place": _STANDS_ON, "since": _MOVED_AT, "until": None}
_FIRST_NAME: Document = {"name": "line 4", "since": None, "until": "2026-05-01T00:00:00Z"}
_NAME: Document = {"name": "hall B", "since": "2026-05-01T00:00:00Z", "until": None}

_TURNS: Document = {"value": "clockwise", "grade": "measured"}
_PITCH: Document = {"value": 104.72, "grade": "measured"}
_POCKETS: Document = {"value": 24, "grade": "measured"}
_DIAMETER: Document = {"value": 810.0, "grade": "from_drawing"}
_DECK: Document = {"value": 182.5, "grade": "copied_from_part"}
_DIMENSION: Document = {"name": "pitch_mm", **_PITCH}
_DIMENSIONS: list[Document] = [
    {"name": "rotation", **_TURNS},
    _DIMENSION,
    {"name": "pocket_count", **_POCKETS},
    {"name": "pitch_diameter_mm", **_DIAMETER},
    {"name": "deck_height_mm U", **_DECK},
]
# 24 × 104.72 ÷ π = 800.002
_DISAGREES: Document = {
    "code": "survey_disagrees",
    "level": "warning",
    "message": "24 pockets at a pitch of 104.72 mm give a pitch diameter of 800.00 mm, 10.00 mm from this one",
    "field": "pitch_diameter_mm",
    "value": "810",
    "todo": "Count the pockets and measure again; take the pitch along the pitch circle, not straight across",
    "place": "pitch_diameter_mm",
    "source": "geometry: pitch diameter = pockets × pitch ÷ π, within 0.5 mm",
}
_SURVEY: Document = {
    "revision": 1,
    "surveyed_at": _SURVEYED_AT,
    "recorded_at": "2026-03-20T14:05:00Z",
    "by": _BY,
    "note": "hub cover was off",
    "dimensions": _DIMENSIONS,
    "findings": [_DISAGREES],
    "check_before_reuse": _KITS,
}
_WORD: Document = {
    "id": 1,
    "machines": ["OSV4-FC1", "OSV7-FC1"],
    "assembly": "SW2",
    "interface": "hub bore and bolt pattern",
    "note": "",
    "by": _BY,
    "recorded_at": "2026-03-21T09:30:00Z",
    "withdrawn_at": None,
    "withdrawn_reason": None,
}
_MACHINE: Document = {
    "designation": "OSV4-FC1",
    "machine_class": "FC",
    "name": "filler-capper 1",
    "rotation": "clockwise",
    "customer": "Tarnquill Waters",
    "born_on": _BORN_ON,
    "stands_on": _STANDS_ON,
    "stood": _FIRST_STAY,
    "kits": _KITS,
}

MACHINE_EXAMPLES: Mapping[str, Document] = {
    "DimensionAnswer": _DIMENSION,
    "GradedCount": _POCKETS,
    "GradedHand": {"value": "LEFT", "grade": "measured"},
    "GradedHeight": _DECK,
    "GradedLength": _PITCH,
    "GradedRotation": _TURNS,
    "MachineListAnswer": {"on": "2026-02-15T00:00:00Z", "machines": [_MACHINE]},
    "MachineRecordAnswer": {
        **_MACHINE,
        "placements": [_FIRST_STAY, _STAY],
        "surveys": [_SURVEY],
        "known": _DIMENSIONS,
        "findings": [_DISAGREES],
        "same_interfaces": [_WORD],
        "check_before_reuse": _KITS,
    },
    "MachineSummaryAnswer": _MACHINE,
    "MoveRequest": {"line": 7, "since": "2026-03-15", "note": "line 4 was taken down"},
    "NameAnswer": _NAME,
    "PlaceAnswer": _STANDS_ON,
    "PlaceNamesAnswer": {"designation": "OSV4", "name": "hall B", "names": [_FIRST_NAME, _NAME]},
    "RenameRequest": {"name": "hall B", "since": "2026-05-01"},
    "ReuseCheckRequest": {"by": _BY, "note": "ran 200 bottles"},
    "SameInterfaceAnswer": _WORD,
    "SameInterfaceListAnswer": {"same_interfaces": [_WORD]},
    "SameInterfaceRequest": {
        "machines": ["OSV4-FC1", "OSV7-FC1"],
        "assemblies": ["SW2"],
        "interface": "hub bore and bolt pattern",
        "by": _BY,
    },
    "StayAnswer": _STAY,
    "SurveyAnswer": _SURVEY,
    "SurveyRequest": {
        "surveyed_at": "2026-03-20",
        "by": _BY,
        "note": "hub cover was off",
        "rotation": _TURNS,
        "pitch_mm": _PITCH,
        "pocket_count": _POCKETS,
        "pitch_diameter_mm": _DIAMETER,
        "deck_heights_mm": {"U": _DECK},
    },
    "WithdrawWordRequest": {"reason": "the hub of OSV4-FC1 was bored out"},
}
"""By the name of the model; each validates against it."""
