"""Examples of label templates and of what the lint says of them, for the document of the API."""

from __future__ import annotations

import tomllib
from typing import Any

from schemas.label_template import LabelTemplate

Document = dict[str, Any]

TEMPLATE_TOML = """\
name = "shelf-tag-50x25"
title = "Shelf tag 50 × 25 mm"
stock = "Printed polyester, self-adhesive, for the shelf and not for the part"
width_mm = 50
height_mm = 25
margin_mm = 0.5
reading_distance_mm = 400

[colour_band]
x_mm = 0
y_mm = 0
width_mm = 7
height_mm = 25
shapes = [{ x_mm = 1, y_mm = 1, width_mm = 5, height_mm = 5 }]

[colour_band.word]
x_mm = 0.6
y_mm = 17
width_mm = 5.8
height_mm = 7
max_cap_mm = 2
min_cap_mm = 1.3
align = "centre"
reading_distance_mm = 280

[[fields]]
show = ["container"]
x_mm = 8
y_mm = 0.6
width_mm = 41.4
height_mm = 4.2
max_cap_mm = 3.4
min_cap_mm = 2
weight = "bold"

[[fields]]
show = ["number"]
x_mm = 8
y_mm = 5.2
width_mm = 41.4
height_mm = 2.8
max_cap_mm = 2.2
min_cap_mm = 1.8

[[fields]]
show = ["key"]
x_mm = 8
y_mm = 15
width_mm = 26
height_mm = 4
max_cap_mm = 2.6
min_cap_mm = 2
weight = "bold"

[[fields]]
words = { en = "two people lift" }
when = ["heavy"]
x_mm = 8
y_mm = 10
width_mm = 26
height_mm = 4
max_cap_mm = 2.4
min_cap_mm = 1.8

[[fields]]
show = ["shop", "telephone"]
x_mm = 8
y_mm = 20
width_mm = 26
height_mm = 4.4
max_cap_mm = 1.5
min_cap_mm = 1.1
lines = 2
reading_distance_mm = 250

[[symbols]]
kind = "data_matrix"
content = "key"
x_mm = 35
y_mm = 10
width_mm = 14
height_mm = 14
min_module_mm = 0.33
"""

_TEMPLATE: Document = LabelTemplate.model_validate(tomllib.loads(TEMPLATE_TOML)).model_dump(mode="json")
_BOX: Document = {"x_mm": 1.0, "y_mm": 1.0, "width_mm": 5.0, "height_mm": 5.0}
_FINDING: Document = {
    "code": "too_small_to_read",
    "level": "error",
    "message": "capitals of 1.2 mm are too small for 400 mm: h = 2 D tan(theta/2) asks for 1.75 mm at theta = 15' and "
    "prefers 2.33 mm at 20'",
    "field": "fields[2].min_cap_mm",
    "value": "1.2",
    "todo": "Set min_cap_mm to 1.75 or more, or state the shorter distance",
    "place": "shelf-tag-50x25.toml, line 54",
    "source": "NUREG-0700 rev. 3, 11.4.1.5-1: labels subtend at least 15 minutes of arc, preferred 20",
    "line": 54,
}
_LEFT_OUT: Document = {"file": "shelf-tag-50x25.toml", "own": True, "findings": [_FINDING]}
_SUMMARY: Document = {
    "name": "nameplate-60x22",
    "title": "Screw-on nameplate 60 × 22 mm",
    "stock": "Engraved two-layer laminate or printed aluminium, two screws",
    "finish": "matt",
    "width_mm": 60.0,
    "height_mm": 22.0,
    "reading_distance_mm": 450.0,
    "languages": ["en"],
    "resolutions": [203, 300, 600],
    "own": False,
    "findings": [],
}

TEMPLATE_EXAMPLES: dict[str, Document] = {
    "Box": _BOX,
    "Hole": {"x_mm": 4.0, "y_mm": 11.0, "diameter_mm": 3.2, "clearance_mm": 1.4},
    "ColourBand": _TEMPLATE["colour_band"],
    "ColourWord": _TEMPLATE["colour_band"]["word"],
    "TextField": _TEMPLATE["fields"][3],
    "Symbol": _TEMPLATE["symbols"][0],
    "Picture": {**_BOX, "kind": "plan", "align": "centre", "valign": "middle"},
    "LabelTemplate": _TEMPLATE,
    "TemplateAnswer": _SUMMARY,
    "TemplateFindingAnswer": _FINDING,
    "TemplateLeftOutAnswer": _LEFT_OUT,
    "TemplateListAnswer": {"templates": [_SUMMARY], "left_out": [_LEFT_OUT]},
    "TemplateLintAnswer": {"clean": False, "name": "shelf-tag-50x25", "findings": [_FINDING]},
    "SchemaAnswer": {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "LabelTemplate",
        "description": "One tag format, of which nothing is wrong that its file alone can tell.",
        "type": "object",
        "properties": {"name": {"type": "string"}},
        "required": ["name"],
        "additionalProperties": False,
        "$defs": {},
    },
}
"""By the name of the schema."""
