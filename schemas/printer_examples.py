"""Examples of the printers of the invented shop, by the name of the model."""

from __future__ import annotations

from collections.abc import Mapping

_NAMED: dict[str, object] = {"name": "bench", "uri": "ipp://labels.example/ipp/print"}
_MEDIA: dict[str, object] = {"width_mm": 60.0, "height_mm": 22.0, "name": "om_plate_60x22mm", "loaded": True}
_RANGE: dict[str, object] = {
    "least_width_mm": 20.0,
    "most_width_mm": 108.0,
    "least_height_mm": 10.0,
    "most_height_mm": 300.0,
}
_PLAN: dict[str, object] = {
    "template": "nameplate-60x22",
    "format": "application/pdf",
    "width_mm": 60.0,
    "height_mm": 22.0,
    "turned": False,
    "drawn_dpi": 203,
    "printer_dpi": 203,
    "notes": [],
}

PRINTER_EXAMPLES: Mapping[str, dict[str, object]] = {
    "NamedPrinterAnswer": _NAMED,
    "PrinterListAnswer": {"printers": [_NAMED]},
    "MediaAnswer": _MEDIA,
    "MediaRangeAnswer": _RANGE,
    "PrintPlanAnswer": _PLAN,
    "PrinterAnswer": {
        **_NAMED,
        "model": "label printer at the marking bench",
        "location": "assembly, bench 2",
        "state": "idle",
        "reasons": [],
        "accepting": True,
        "queued": 0,
        "formats": ["application/pdf", "image/pwg-raster"],
        "media": [_MEDIA],
        "ranges": [_RANGE],
        "dpi": [203],
        "colour": False,
        "plan": _PLAN,
    },
}
