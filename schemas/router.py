"""A router as data: the dialect of RS-274 that its control reads, its speeds, and the tools in its magazine.

One TOML file a machine. What every control of the kind reads alike (RS-274/NGC, ISO 6983-1: G0, G1, G17, G20 or G21,
G90, G94) the service writes itself; what differs between controls stands in the file as blocks.
"""

from __future__ import annotations

import re
import tomllib
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationError, model_validator

from schemas.toml_places import brief, line_of, path_text
from service.errors import BadRouter

_WORDS_OF_BLOCKS = re.compile(r"[A-Z0-9 .+\-#=\[\]%()/*<>_]*")
_PLACEHOLDER = re.compile(r"\{([a-z_]*)\}")
PLACEHOLDERS = frozenset({"tool", "rpm", "seconds", "milliseconds"})
"""What a block may leave to be filled in: ``{tool}``, ``{rpm}``, ``{seconds}``, ``{milliseconds}``."""

Block = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=80)]
Blocks = Annotated[tuple[Block, ...], Field(max_length=20)]
Words = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=100)]
Length = Annotated[float, Field(gt=0, le=100, allow_inf_nan=False)]
Speed = Annotated[float, Field(gt=0, le=200_000, allow_inf_nan=False)]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class RouterTool(_Part):
    """A tool of the magazine.

    Attributes:
        number: its place, as the control calls it.
        name: what people call it.
        use: whether it engraves or cuts profiles.
        kind: form of its end.
        diameter_mm: of what cuts.
        depth_mm: how deep it engraves; for a profile, how far it runs below the sheet.
        step_down_mm: deepest single pass.
        angle_deg: included angle of a V cutter.
        tip_mm: flat at the point of a V cutter.
        feed_mm_per_min: along the path.
        plunge_mm_per_min: straight down.
        spindle_rpm: turns a minute.
    """

    number: Annotated[int, Field(ge=0, le=9999)]
    name: Words
    use: Literal["engrave", "profile"]
    kind: Literal["flat", "vee", "ball"]
    diameter_mm: Length
    depth_mm: Length
    step_down_mm: Length
    angle_deg: Annotated[float, Field(ge=0, le=150, allow_inf_nan=False)] = 0.0
    tip_mm: Annotated[float, Field(ge=0, le=50, allow_inf_nan=False)] = 0.0
    feed_mm_per_min: Speed
    plunge_mm_per_min: Speed
    spindle_rpm: Annotated[int, Field(gt=0, le=100_000)]

    @model_validator(mode="after")
    def _profile_is_straight(self) -> Self:
        if self.use == "profile" and self.kind != "flat":
            raise ValueError("a profile is cut with a straight cutter (kind flat)")
        return self


class Router(_Part):
    """One machine.

    Attributes:
        name: how it is asked for, lower case with hyphens.
        title: what people call it.
        extension: ending of its files.
        units: what the control takes: ``mm`` (G21) or ``inch`` (G20).
        decimals: places behind the point.
        comments: in round brackets, behind a semicolon, or none at all.
        line_numbers: step between N words; 0 writes none.
        percent_signs: whether a program stands between two lines of ``%``.
        start: blocks after the common ones, for one the work offset.
        tool_change: blocks that bring a tool: ``{tool}``.
        spindle_start: blocks that start it: ``{rpm}``, ``{seconds}``, ``{milliseconds}`` of running up.
        spindle_stop: blocks that stop it.
        end: the last blocks.
        z_zero: whether Z 0 is the upper face of the sheet or the table under it.
        safe_height_mm: over the upper face; everything on the table is lower.
        clearance_mm: over the upper face; from there the tool goes down at the plunging feed.
        spindle_up_s: time that the spindle takes to its speed.
        rapid_mm_per_min: fastest travel, for the estimate.
        acceleration_mm_per_s2: of the axes, for the estimate.
        tool_change_s: time of a change, for the estimate.
        bridges: narrow places left standing at the foot of an outside contour, that hold the part in the sheet.
        bridge_width_mm: their width along the contour.
        bridge_height_mm: their height.
        tools: the magazine.
    """

    name: Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60)]
    title: Words
    extension: Annotated[str, StringConstraints(pattern=r"^[a-z0-9]{1,5}$")] = "nc"
    units: Literal["mm", "inch"] = "mm"
    decimals: Annotated[int, Field(ge=3, le=6)] = 3
    comments: Literal["brackets", "semicolon", "none"] = "brackets"
    line_numbers: Annotated[int, Field(ge=0, le=100)] = 0
    percent_signs: bool = True
    start: Blocks = ()
    tool_change: Blocks = ("T{tool} M6",)
    spindle_start: Annotated[Blocks, Field(min_length=1)] = ("S{rpm} M3",)
    spindle_stop: Annotated[Blocks, Field(min_length=1)] = ("M5",)
    end: Annotated[Blocks, Field(min_length=1)] = ("M30",)
    z_zero: Literal["top", "table"] = "top"
    safe_height_mm: Length = 15.0
    clearance_mm: Length = 2.0
    spindle_up_s: Annotated[float, Field(ge=0, le=60, allow_inf_nan=False)] = 3.0
    rapid_mm_per_min: Speed = 12_000
    acceleration_mm_per_s2: Annotated[float, Field(gt=0, le=50_000, allow_inf_nan=False)] = 500
    tool_change_s: Annotated[float, Field(ge=0, le=600, allow_inf_nan=False)] = 15
    bridges: Annotated[int, Field(ge=0, le=20)] = 4
    bridge_width_mm: Length = 8.0
    bridge_height_mm: Length = 1.0
    tools: Annotated[tuple[RouterTool, ...], Field(min_length=1, max_length=100)]

    @model_validator(mode="after")
    def _sense(self) -> Self:
        if self.clearance_mm > self.safe_height_mm:
            raise ValueError("clearance_mm is above safe_height_mm")
        if self.units == "inch" and self.decimals < 4:
            raise ValueError("inches need at least 4 decimals: a thousandth of an inch is coarser than 0.01 mm")
        if len({tool.number for tool in self.tools}) != len(self.tools):
            raise ValueError("two tools have one number")
        for field in ("start", "tool_change", "spindle_start", "spindle_stop", "end"):
            for block in getattr(self, field):
                unknown = set(_PLACEHOLDER.findall(block)) - PLACEHOLDERS
                if unknown or not _WORDS_OF_BLOCKS.fullmatch(_PLACEHOLDER.sub("", block)):
                    raise ValueError(
                        f"'{block}' in {field} is no block: capitals, digits and "
                        f"{', '.join(sorted(f'{{{name}}}' for name in PLACEHOLDERS))} only"
                    )
        return self

    def first_tool(self, use: Literal["engrave", "profile"]) -> RouterTool | None:
        """The first tool of the magazine for a use."""
        return next((tool for tool in self.tools if tool.use == use), None)


def parse_router(text: str, *, source: str) -> Router:
    """The router in a TOML text.

    Args:
        text: the TOML text.
        source: what to call it in an error, usually the file name.

    Raises:
        BadRouter: it is no TOML, or a field is missing, unknown or wrong; ``place`` names the source and the line.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        line = re.search(r"at line (\d+)", str(error))
        raise BadRouter(
            f"it is no TOML: {error}",
            field="router",
            value=source,
            todo="Correct the file at the place named",
            place=f"{source}, line {line[1]}" if line else source,
        ) from error
    try:
        return Router.model_validate(data)
    except ValidationError as error:
        first = error.errors(include_url=False, include_context=False)[0]
        path = tuple(first["loc"])
        message = first["msg"].removeprefix("Value error, ")
        others = error.error_count() - 1
        number = line_of(text, path)
        raise BadRouter(
            message[:1].lower() + message[1:] + (f" (and {others} more)" if others else ""),
            field=path_text(path) or "router",
            value="(not given)" if first["type"] == "missing" else brief(first["input"]) if path else source,
            todo="Correct the file of the router",
            place=source if number is None else f"{source}, line {number}",
        ) from error
