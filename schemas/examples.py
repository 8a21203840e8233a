"""One example of each document that crosses the edge, all of the same invented shop, for the reference of the API."""

from __future__ import annotations

from collections.abc import Mapping

from schemas.alias_examples import ALIAS_EXAMPLES, SEGMENT_ALIAS
from schemas.code_examples import CODE_EXAMPLES
from schemas.damage_report_examples import DAMAGE_REPORT_EXAMPLES, STEP
from schemas.inspection_examples import INSPECTION_EXAMPLES
from schemas.locking_examples import LOCKING_EXAMPLES
from schemas.machine_examples import MACHINE_EXAMPLES
from schemas.manifest_examples import FACT_CORRECTION, MANIFEST_EXAMPLES
from schemas.picture_examples import PICTURE_EXAMPLES
from schemas.piece_examples import PIECE_EXAMPLES
from schemas.print_job_examples import PRINT_JOB_EXAMPLES
from schemas.printer_examples import PRINTER_EXAMPLES
from schemas.router_examples import ROUTER_EXAMPLES
from schemas.search_examples import SEARCH_EXAMPLES
from schemas.shop_lists_examples import SHOP_LISTS_EXAMPLES
from schemas.survival_examples import SURVIVAL_EXAMPLES
from schemas.template_examples import TEMPLATE_EXAMPLES

Document = dict[str, object]

_SHA256 = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"
_MOMENT = "2026-03-09T08:15:00Z"
_CUT: Document = {"cut_file": "osv4-fc1-a500-sw2-u3.dxf", "revision": "B", "sha256": _SHA256}
_ALSO_CUT: Document = {
    "cut_file": "osv4-fc1-a500-sw2-u4.dxf",
    "revision": "C",
    "sha256": _SHA256,
    "number": "OSV4-FC1-A500-SW2-U4-39",
    "place": "SW2-U4",
    "keys": ["R8CN5JF3"],
}
_FINDING: Document = {
    "code": "cut_file_unknown",
    "level": "error",
    "message": "this cut file was never uploaded",
    "field": "cut_file",
    "value": "osv4-fc1-a500-sw2-u3.dxf",
    "todo": "Upload the file first, or correct its name",
    "place": "assemblies[0].segments[0].cut_file",
    "source": "",
}
_PIECE: Document = {
    "key": "P3HW9TCP",
    "set": 1,
    "count": 1,
    "revision": "B",
    "condition": "fitted",
    "deviations": None,
    "made_at": _MOMENT,
    "material_batch": "PE-2207",
    "end": None,
    "end_note": None,
    "ended_at": None,
    "replaced_in": None,
}
_JOINT: Document = {"form": "dovetail", "clearance_mm": 0.15, "inferred": False}
_KIT_JOINT: Document = {"between": ["OSV4-FC1-A500-SW2-U3-42", "OSV4-FC1-A500-SW2-U4-39"], **_JOINT}
_NEIGHBOUR: Document = {
    "number": "OSV4-FC1-A500-SW2-U4-39",
    "place": "SW2-U4",
    **_JOINT,
    "as_built": "B",
    "locks": True,
}
_MADE_OF: Document = {
    "cut_file": "osv4-fc1-a500-sw2-u3.dxf",
    "revision": "B",
    "quantity": 1,
    "material": "UHMW-PE",
    "thickness_mm": 25.0,
    "mass_kg": 3.21,
    "stock_colour": "green",
    "hand": None,
}
_KIT_SEGMENT: Document = {
    "number": "OSV4-FC1-A500-SW2-U3-42",
    "key": "K7M4XRAW",
    "place": "SW2-U3",
    "assembly": "discharge star wheel",
    **_MADE_OF,
    "status": "active",
    "pieces": [_PIECE],
}
_KIT_SUMMARY: Document = {
    "number": "OSV4-FC1-A500",
    "container": "tall round 500 mL",
    "machine": "FC1",
    "plant": "Ostrey Vale",
    "customer": "Tarnquill Waters",
    "line_now": "line 4",
    "stock_colour": "green",
    "segments": 46,
    "status": "issued",
    "issued_at": _MOMENT,
}
_REPAIR: Document = {"position": 0, "read": "0", "as": "O"}
_CANDIDATE: Document = {
    "number": "OSV4-FC1-A500-SW2-U3-42",
    "key": None,
    "part": None,
    "repairs": [{"position": 22, "read": "3", "as": "2"}],
    "assumed": ["one sign is wrong"],
}
_GROUP: Document = {"group": "assembly", "says": "SW2 star wheel 2"}
_READING: Document = {
    "outcome": "repaired",
    "number": "OSV4-FC1-A500-SW2-U3-42",
    "key": None,
    "repairs": [_REPAIR],
    "candidates": [],
    "groups": [],
    "note": "",
}
_REVISION: Document = {
    **_CUT,
    "size_bytes": 18204,
    "note": "dovetail to U4 widened",
    "units": "mm",
    "area_mm2": 138064.52,
    "width_mm": 412.5,
    "height_mm": 398.2,
    "released_at": _MOMENT,
    "withdrawn_at": None,
    "withdrawn_reason": None,
    "joints_changed": ["SW2-U4"],
    "interfaces_changed": [],
    "findings": [],
}
_WITHDRAWN: Document = {**_REVISION, "withdrawn_at": "2026-04-02T13:40:00Z", "withdrawn_reason": "hub bore too small"}
_WITHDRAWN_PIECE: Document = {
    "number": "OSV4-FC1-A500-SW2-U3-42",
    "key": "P3HW9TCP",
    "set": 1,
    "count": 1,
    "condition": "fitted",
}
_CUT_FILE_SUMMARY: Document = {
    "name": "osv4-fc1-a500-sw2-u3.dxf",
    "revision": "B",
    "revisions": 3,
    "segments": 1,
    "released_at": _MOMENT,
}
_MACHINE: Document = {
    "designation": "OSV4-FC1",
    "name": "filler-capper 1",
    "rotation": "clockwise",
    "born_on": "line 4",
    "now_on": "line 7",
}
_CONTAINER: Document = {
    "code": "A500",
    "name": "tall round 500 mL",
    "nominal": "500",
    "unit": "mL",
    "shape": "round",
    "height_mm": 212.0,
}
_MARK: Document = {
    "kind": "nameplate",
    "form": "nameplate-60x22",
    "text": "OSV4-FC1-A500-SW2-U3-42 P3HW9TCP",
    "state": "made",
    "made_at": _MOMENT,
    "verified_by": "zxing-cpp",
}
_REORDER: Document = {
    "id": 17,
    "number": "OSV4-FC1-A500-SW2-U3-42",
    "key": "R8CN5JF3",
    "keys": ["R8CN5JF3"],
    "outcome": "exact",
    "cut": _CUT,
    "also_cut": [],
    "reasons": ["Revision B is what the damaged piece was cut from; it locked into these neighbours."],
    "quantity": 1,
    "reason": "crushed",
    "prefer": "as_built",
    "survivors": ["OSV4-FC1-A500-SW2-U4-39"],
    "state": "decided",
    "ordered_at": _MOMENT,
    "open_orders": [],
    "set": 1,
    "override": None,
    "also": None,
    "report": 31,
    "since": _MOMENT,
    "promised_on": None,
    "ask_fitted_at": None,
    "next_states": ["released_to_cut", "fitted", "cancelled"],
    "history": [STEP],
    "open": True,
}
_SHOP: Document = {
    "name": "Demonstration shop",
    "address": "1 Router Lane",
    "telephone": "+00 555 0100",
    "street": "1 Router Lane",
    "postal_code": "00100",
    "town": "Workshop Town",
    "country": "GB",
}
_EVENT: Document = {
    "at": _MOMENT,
    "actor": "owner",
    "verb": "correct",
    "subject": "OSV4-FC1-A500-OR1-U1-97",
    "before": {"hand": "RIGHT"},
    "after": {"hand": "LEFT", "reason": "typed wrong"},
}
EXAMPLES: Mapping[str, Document] = {
    **ALIAS_EXAMPLES,
    **CODE_EXAMPLES,
    **DAMAGE_REPORT_EXAMPLES,
    **INSPECTION_EXAMPLES,
    **LOCKING_EXAMPLES,
    **ROUTER_EXAMPLES,
    **TEMPLATE_EXAMPLES,
    **MACHINE_EXAMPLES,
    **MANIFEST_EXAMPLES,
    **PICTURE_EXAMPLES,
    **PIECE_EXAMPLES,
    **SHOP_LISTS_EXAMPLES,
    **SURVIVAL_EXAMPLES,
    **PRINT_JOB_EXAMPLES,
    **PRINTER_EXAMPLES,
    **SEARCH_EXAMPLES,
    "AlsoCutAnswer": _ALSO_CUT,
    "CancelRequest": {"reason": "the old one was found"},
    "CandidateAnswer": _CANDIDATE,
    "ContainerAnswer": _CONTAINER,
    "CorrectionRequest": {"reason": "typed wrong", "correct": [FACT_CORRECTION]},
    "CutAnswer": _CUT,
    "CutFileAnswer": {
        "name": "osv4-fc1-a500-sw2-u3.dxf",
        "revisions": [_REVISION],
        "segments": ["OSV4-FC1-A500-SW2-U3-42"],
    },
    "CutFileListAnswer": {"cut_files": [_CUT_FILE_SUMMARY]},
    "CutFileSummaryAnswer": _CUT_FILE_SUMMARY,
    "EventAnswer": _EVENT,
    "FindingAnswer": _FINDING,
    "FittedRequest": {"deviations": "slot of screw 2 opened by 1 mm"},
    "GroupAnswer": _GROUP,
    "HealthAnswer": {"status": "ok"},
    "HistoryAnswer": {"events": [_EVENT]},
    "JointAnswer": _KIT_JOINT,
    "KitAnswer": {
        "number": "OSV4-FC1-A500",
        "status": "issued",
        "findings": [],
        "token": None,
        "customer": "Tarnquill Waters",
        "plant": "Ostrey Vale",
        "line": "line 4",
        "line_now": "line 4",
        "machine": "filler-capper 1",
        "container": "tall round 500 mL",
        "container_code": "A500",
        "rotation": "clockwise",
        "check_before_reuse": [],
        "serves": [],
        "stock_colour": "green",
        "issued_at": _MOMENT,
        "retired_at": None,
        "retired_reason": None,
        "leaned_on_by": [],
        "sets": [1],
        "segments": [_KIT_SEGMENT],
        "joints": [_KIT_JOINT],
    },
    "KitListAnswer": {"kits": [_KIT_SUMMARY]},
    "KitSegmentAnswer": _KIT_SEGMENT,
    "KitSummaryAnswer": _KIT_SUMMARY,
    "MachineAnswer": _MACHINE,
    "MarkAnswer": _MARK,
    "NeighbourAnswer": _NEIGHBOUR,
    "PieceAnswer": _PIECE,
    "Problem": {
        "type": "/docs#cut_file_unknown",
        "title": "The rules stop this",
        "status": 422,
        "detail": "cut_file 'osv4-fc1-a500-sw2-u3.dxf': this cut file was never uploaded. "
        "Upload the file first, or correct its name.",
        "instance": "/api/kits",
        "code": "cut_file_unknown",
        "field": "cut_file",
        "value": "osv4-fc1-a500-sw2-u3.dxf",
        "todo": "Upload the file first, or correct its name.",
        "place": "assemblies[0].segments[0].cut_file",
        "position": None,
        "candidates": [],
        "findings": [_FINDING],
    },
    "ReadAnswer": _READING,
    "ReadManyAnswer": {"readings": [_READING]},
    "ReadManyRequest": {"marks": ["0SV4 FC1 A5OO 5W2 U3 42", "K7M4-XRAW"]},
    "ReorderAnswer": _REORDER,
    "ReorderListAnswer": {"reorders": [_REORDER]},
    "ReorderRequest": {
        "mark": "OSV4-FC1-A500-SW2-U3-42",
        "quantity": 1,
        "reason": "crushed",
        "survivors": ["OSV4-FC1-A500-SW2-U4-39"],
        "prefer": "as_built",
    },
    "RepairAnswer": _REPAIR,
    "RevisionAnswer": _REVISION,
    "SegmentAnswer": {
        "number": "OSV4-FC1-A500-SW2-U3-42",
        "key": "K7M4XRAW",
        "place": "SW2-U3",
        "kit": "OSV4-FC1-A500",
        "customer": "Tarnquill Waters",
        "plant": "Ostrey Vale",
        "machine": _MACHINE,
        "container": _CONTAINER,
        "assembly": "discharge star wheel",
        "assembly_code": "SW2",
        "deck": "upper",
        "segment_of": "segment 3 of 4",
        **_MADE_OF,
        "measured_thickness_mm": None,
        "marked_face": None,
        "status": "active",
        "void_reason": None,
        "kit_status": "issued",
        "retired_at": None,
        "retired_reason": None,
        "current_revision": "B",
        "revisions": [_REVISION],
        "pieces": [_PIECE],
        "neighbours": [_NEIGHBOUR],
        "marks": [_MARK],
        "serves": [],
        "aliases": [SEGMENT_ALIAS],
        "cautions": ["Isolate the machine, lock it out and prove that it cannot start or move before hands go in."],
    },
    "ShopAnswer": _SHOP,
    "ShopRequest": _SHOP,
    "WithdrawalAnswer": {"revision": _WITHDRAWN, "pieces": [_WITHDRAWN_PIECE]},
    "WithdrawnPieceAnswer": _WITHDRAWN_PIECE,
    "WithdrawRequest": {"reason": "hub bore too small"},
}
"""By the name of the model; each validates against it."""
