"""Examples of what a kit is given as, and of what corrects it: all of the same invented kit."""

from __future__ import annotations

from collections.abc import Mapping

Document = dict[str, object]

_PLANT: Document = {"code": "OSV", "name": "Ostrey Vale", "customer": "Tarnquill Waters"}
_LINE: Document = {"ordinal": 4}
_MACHINE_PART: Document = {"class": "FC", "ordinal": 1, "rotation": "clockwise"}
_CONTAINER_PART: Document = {
    "code": "A500",
    "name": "tall round 500 mL",
    "nominal": 500,
    "unit": "mL",
    "shape": "round",
    "diameter_mm": 65.3,
    "height_mm": 212.0,
}
_SEGMENT_PART: Document = {
    "deck": "U",
    "ordinal": 3,
    "cut_file": "osv4-fc1-a500-sw2-u3.dxf",
    "revision": "B",
    "material": "UHMW-PE",
    "thickness_mm": 25.0,
    "quantity": 1,
    "hand": None,
}
_ASSEMBLY_PART: Document = {"code": "SW", "ordinal": 2, "name": "discharge star wheel", "segments": [_SEGMENT_PART]}
_JOINT_PART: Document = {"between": ["SW2-U3", "SW2-U4"], "form": "dovetail", "clearance_mm": 0.15}
_FACTS: Document = {"hand": "LEFT"}
FACT_CORRECTION: Document = {"number": "OSV4-FC1-A500-OR1-U1-97", "facts": _FACTS}
_ASSEMBLY_NAME: Document = {"assembly": "SW2", "name": "infeed star wheel"}
_CONTAINER_FACTS: Document = {"name": "tall round 500 mL", "height_mm": 212.5}
_MACHINE_FACTS: Document = {"rotation": "anticlockwise"}
_KIT_FACTS: Document = {"stock_colour": "blue", "assemblies": [_ASSEMBLY_NAME]}
_REPLACEMENT: Document = {
    "deck": "U",
    "cut_file": "osv4-fc1-a500-sw2-u3.dxf",
    "material": "UHMW-PE",
    "thickness_mm": 25.0,
}
_VOIDING: Document = {"number": "OSV4-FC1-A500-SW2-U3-42", "replacements": [_REPLACEMENT]}

MANIFEST: Document = {
    "plant": _PLANT,
    "line": _LINE,
    "machine": _MACHINE_PART,
    "container": _CONTAINER_PART,
    "stock_colour": "green",
    "assemblies": [_ASSEMBLY_PART],
}

MANIFEST_EXAMPLES: Mapping[str, Document] = {
    "AssemblyName": _ASSEMBLY_NAME,
    "AssemblyPart": _ASSEMBLY_PART,
    "ContainerFacts": _CONTAINER_FACTS,
    "ContainerPart": _CONTAINER_PART,
    "FactCorrection": FACT_CORRECTION,
    "JointPart": _JOINT_PART,
    "KitFacts": _KIT_FACTS,
    "KitManifest": MANIFEST,
    "LinePart": _LINE,
    "MachineFacts": _MACHINE_FACTS,
    "MachinePart": _MACHINE_PART,
    "PlantPart": _PLANT,
    "Replacement": _REPLACEMENT,
    "SegmentFacts": _FACTS,
    "SegmentPart": _SEGMENT_PART,
    "Voiding": _VOIDING,
}
