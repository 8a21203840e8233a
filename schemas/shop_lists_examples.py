"""Examples of lists over a plant: parts that bolt on in the wrong place, and places that break."""

from __future__ import annotations

from collections.abc import Mapping

Document = dict[str, object]

_FIRST: Document = {
    "number": "OSV4-FC1-A330-SW1-U1-29",
    "place": "SW1-U1",
    "kit": "OSV4-FC1-A330",
    "machine": "OSV4-FC1",
    "container": "A330",
    "hand": None,
    "stock_colour": "blue",
    "thickness_mm": 20.0,
    "cut_file": "osv4-fc1-a330-sw1-u1.dxf",
    "revision": "-",
    "holes": 4,
}
_SECOND: Document = {
    **_FIRST,
    "number": "OSV4-FC1-A330-SW1-U2-26",
    "place": "SW1-U2",
    "cut_file": "osv4-fc1-a330-sw1-u2.dxf",
}
_HOLE: Document = {
    "number": "OSV4-FC1-A330-SW1-U1-29",
    "cut_file": "osv4-fc1-a330-sw1-u1.dxf",
    "what": "add",
    "x_mm": -73.6,
    "y_mm": 26.7,
    "from_x_mm": None,
    "from_y_mm": None,
    "width_mm": 9.0,
    "length_mm": 9.0,
    "edge_mm": 11.9,
    "stops": "one",
    "steps": [
        "Add a hole of 9.0 mm at x -73.6, y 26.7 to osv4-fc1-a330-sw1-u1.dxf, and release it.",
        "Drill the deck of OSV4-FC1 under that hole, the flange too where it covers it; set a stud.",
        "Parts of the other kit for SW1-U1 of OSV4-FC1 need the hole as well: the stud stays.",
        "Whoever owns the machine decides whether its deck may be drilled, and isolates it before.",
    ],
}
_PAIR: Document = {
    "rank": 1,
    "first": _FIRST,
    "second": _SECOND,
    "holes_agree": 4,
    "every_hole": True,
    "gap_mm": 0.0,
    "turned_deg": 180.0,
    "turned_over": False,
    "mirror_twin": False,
    "alike": 0.9923,
    "overlap": 0.9947,
    "why": ["where they differ most their edges lie 6.1 mm apart", "both come out of the same crate", "both are blue"],
    "odd_holes": [
        _HOLE,
        {
            **_HOLE,
            "number": "OSV4-FC1-A330-SW1-U2-26",
            "cut_file": "osv4-fc1-a330-sw1-u2.dxf",
            "x_mm": -66.7,
            "y_mm": -38.6,
        },
    ],
    "no_odd_hole": None,
    "picture": "/api/segments/OSV4-FC1-A330-SW1-U1-29/over/OSV4-FC1-A330-SW1-U2-26.svg",
}
_PLACE: Document = {
    "number": "OSV4-FC1-A500-SW2-U3-42",
    "place": "SW2-U3",
    "kit": "OSV4-FC1-A500",
    "assembly": "discharge star wheel",
    "broken": 5,
    "piece_years": 3.93,
    "plain_rate": 1.2716,
    "rate": 0.8069,
    "rate_low": 0.3975,
    "rate_high": 1.2833,
    "in_use": 1,
    "expected": 0.0464,
    "spares": 0,
    "run_out": 0.045136,
    "few_data": False,
}
_LIKE: Document = {
    "machine_class": "FC",
    "places": 67,
    "broken": 13,
    "piece_years": 335.59,
    "rate": 0.0582,
    "weight_piece_years": 2.44,
    "borrowed": False,
}

SHOP_LISTS_EXAMPLES: Mapping[str, Document] = {
    "BoltsOnPartAnswer": _FIRST,
    "OddHoleAnswer": _HOLE,
    "BoltsOnPairAnswer": _PAIR,
    "BoltsOnWrongAnswer": {
        "plant": "OSV",
        "tolerance_mm": 0.5,
        "parts": 76,
        "without_pattern": 2,
        "patterns": 22,
        "same_shape": 23,
        "total": 180,
        "cut_off": 0,
        "pairs": [_PAIR],
    },
    "PlaceCasualtiesAnswer": _PLACE,
    "LikeMachinesAnswer": _LIKE,
    "CasualtiesAnswer": {
        "plant": "OSV",
        "kit": "OSV4-FC1-A500",
        "risk": 0.05,
        "lead_time_days": 21,
        "until": "2030-01-01T00:00:00Z",
        "broken": 13,
        "piece_years": 305.2,
        "note": "13 broken in 305.2 piece-years: the first places of this kit do break more often than most; how much "
        "more is not sure.",
        "like": [_LIKE],
        "total": 54,
        "places": [_PLACE],
        "spares": 0,
        "picture": "/api/kits/OSV4-FC1-A500/casualties.svg",
    },
}
"""By the name of the model; each validates against it."""
