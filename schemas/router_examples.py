"""Examples of the answers about routers, for the reference of the API."""

from __future__ import annotations

from collections.abc import Mapping

_TOOL: dict[str, object] = {
    "number": 1,
    "name": "straight engraving cutter 0.5 mm",
    "use": "engrave",
    "diameter_mm": 0.5,
    "depth_mm": 0.4,
    "groove_mm": 0.5,
}
_ROUTER: dict[str, object] = {
    "name": "metric",
    "title": "Router, millimetres, tool changer",
    "units": "mm",
    "extension": "nc",
    "tools": [_TOOL],
}
ROUTER_EXAMPLES: Mapping[str, dict[str, object]] = {
    "RouterToolAnswer": _TOOL,
    "RouterAnswer": _ROUTER,
    "RouterListAnswer": {"routers": [_ROUTER]},
}
