"""The program of a router for one segment, written and proven in a rendering process. Knows no database."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from schemas.router import Router, RouterTool
from service.errors import LintFailed
from service.findings import Finding
from service.marks.cutters import Cutter
from service.marks.engraving import Engraving
from service.marks.placed import PlacedEngraving
from service.marks.strokes import Point, Stroke
from service.marks.toolpath import Operation, cut_out, drill, engrave, run_time_s
from service.outlines.drawing import Drawing
from service.outlines.profile import Profile, profile_of
from service.render.engraving_read_back import prove_paths
from service.render.gcode import gcode
from service.render.gcode_reading import cut_paths, prove_path, prove_safe, travels
from service.work.engraving_room import place_text
from service.work.placement import EngravedPart

Zero = Literal["corner", "drawing"]
PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class ReleasedDesign:
    """What a part is cut from, as the remarks of its program say it.

    Attributes:
        cut_file: its name.
        sha256: of the released bytes.
    """

    cut_file: str
    sha256: str


@dataclass(frozen=True, slots=True)
class DrawnProgram:
    """A proven program, and what goes on record of the engraving in it."""

    data: bytes
    record: Mapping[str, str | float | bool]


def cutter_of(tool: RouterTool) -> Cutter:
    """An engraving tool of a magazine as the engraving is planned for it; raises BadRequest as ``Cutter`` does."""
    return Cutter(
        kind=tool.kind,
        diameter_mm=tool.diameter_mm,
        depth_mm=tool.depth_mm,
        angle_deg=tool.angle_deg,
        tip_mm=tool.tip_mm,
    )


def draw_program(
    part: EngravedPart,
    design: ReleasedDesign,
    router: Router,
    *,
    tool: RouterTool,
    profile_tool: RouterTool | None = None,
    zero: Zero = "corner",
) -> DrawnProgram:
    """The program: the text, and if a profile tool is given the revision letter, the holes and the outside contour.

    Args:
        part: what is engraved, and where it stands.
        design: what it is cut from.
        router: whose dialect it is.
        tool: that engraves.
        profile_tool: that cuts the profile.
        zero: where X 0 Y 0 lies: the lower left corner of the part's box, or the origin of its drawing.

    Raises:
        NoEngravingRoom: no text fits with this tool.
        LintFailed: the engraving or the profile cannot be cut with this tool.
        ReadBackFailed: the finished program does not cut what was planned, or travels unsafely.
    """
    placed = place_text(part, cutter_of(tool))
    engraving, drawing = placed.engraving, placed.face.drawing
    letter = placed.revision.strokes if placed.revision is not None and profile_tool is not None else ()
    left, bottom, _, _ = drawing.bounds_mm
    origin = (left, bottom) if zero == "corner" else (0.0, 0.0)
    operations = [_text(engraving, tool, router)]
    profile: Profile | None = None
    if profile_tool is not None:
        if letter:
            operations.append(engrave(letter, tool, router, words=f"revision {part.revision}"))
        profile = _checked_profile(drawing, profile_tool, design)
        operations += _profile(profile, profile_tool, router, part)
    seconds = run_time_s(operations, router)
    data = gcode(
        operations,
        router,
        remarks=_remarks(placed, part, design, router, tool, zero, seconds, profile),
        zero=origin,
        thickness_mm=part.thickness_mm,
    )
    planned = [*engraving.strokes, *((dot,) for dot in engraving.dots), *letter]
    _prove(data, router, part, tool, planned, profile_tool, profile, origin)
    _prove_text(data, router, part, tool, engraving, origin)
    return DrawnProgram(data, placed.record())


def _text(engraving: Engraving, tool: RouterTool, router: Router) -> Operation:
    words = " / ".join(engraving.lines)
    if engraving.dots:
        return drill(engraving.dots, tool, router, words=f"drilled dots: {words}")
    return engrave(engraving.strokes, tool, router, words=f"text: {words}")


def _profile(profile: Profile, tool: RouterTool, router: Router, part: EngravedPart) -> list[Operation]:
    found = []
    if profile.holes:
        found.append(
            cut_out(profile.holes, tool, router, thickness_mm=part.thickness_mm, bridges=False, words="inside contours")
        )
    found.append(
        cut_out(profile.outsides, tool, router, thickness_mm=part.thickness_mm, bridges=True, words="outside contour")
    )
    return found


def _checked_profile(drawing: Drawing, tool: RouterTool, design: ReleasedDesign) -> Profile:
    """The profile, held to what the tool can do."""
    profile = profile_of(drawing, tool.diameter_mm)
    findings = [
        Finding(
            rule="hole_narrower_than_cutter",
            level="error",
            message=f"the hole at {x:.1f}, {y:.1f} mm is narrower than the cutter of {tool.diameter_mm:g} mm",
            field="tool",
            value=tool.name,
            todo="Take a thinner profile cutter, or drill this hole apart and cut the profile without it",
            place=design.cut_file,
            source=PRACTICE,
        )
        for x, y in profile.closed
    ]
    if profile.crowded:
        findings.append(
            Finding(
                rule="parts_too_close",
                level="error",
                message=f"the cutter of {tool.diameter_mm:g} mm would run into the part or one beside it",
                field="tool",
                value=tool.name,
                todo="Take a thinner profile cutter, or lay the parts farther apart",
                place=design.cut_file,
                source=PRACTICE,
            )
        )
    if findings:
        raise LintFailed(findings)
    return profile


def _prove(
    data: bytes,
    router: Router,
    part: EngravedPart,
    tool: RouterTool,
    planned: Sequence[Stroke],
    profile_tool: RouterTool | None,
    profile: Profile | None,
    origin: Point,
) -> None:
    """Read the finished program back: what each tool cuts, and that nothing travels where it must not."""
    name = f"{part.number}.{router.extension}"
    top = part.thickness_mm if router.z_zero == "table" else 0.0
    deepest = max(tool.depth_mm, part.thickness_mm + profile_tool.depth_mm if profile_tool else 0.0)
    moves = travels(data, name=name)
    prove_safe(moves, top_mm=top, clearance_mm=router.clearance_mm, bottom_mm=top - deepest, name=name)
    for cutter, paths, what in (
        (tool, planned, "the text"),
        (profile_tool, (*profile.holes, *profile.outsides) if profile else (), "the profile"),
    ):
        if cutter is not None:
            moved = [tuple((x - origin[0], y - origin[1]) for x, y in path) for path in paths]
            prove_path(cut_paths(moves, top_mm=top, tools=frozenset({cutter.number})), moved, name=name, what=what)


def _prove_text(
    data: bytes, router: Router, part: EngravedPart, tool: RouterTool, engraving: Engraving, origin: Point
) -> None:
    """Read the text of the finished program as a picture: what is cut says what was chosen, upright and whole."""
    name = f"{part.number}.{router.extension}"
    top = part.thickness_mm if router.z_zero == "table" else 0.0
    cut = cut_paths(travels(data, name=name), top_mm=top, tools=frozenset({tool.number}))
    prove_paths([tuple((x + origin[0], y + origin[1]) for x, y in path) for path in cut], engraving, name=name)


def _remarks(
    placed: PlacedEngraving,
    part: EngravedPart,
    design: ReleasedDesign,
    router: Router,
    tool: RouterTool,
    zero: Zero,
    seconds: float,
    profile: Profile | None,
) -> list[str]:
    lies = "the lower left corner of the part's box" if zero == "corner" else "the origin of the cut file"
    face = "the upper face of the sheet" if router.z_zero == "top" else "the table under the sheet"
    remarks = [
        f"{part.number}  key {part.key[:4]} {part.key[4:]}",
        f"{design.cut_file} rev {part.revision}  SHA-256 {design.sha256[:16]}",
        f"{part.material} {part.thickness_mm:g} mm",
        f"X0 Y0 is {lies}, Z0 {face}",
        f"{placed.engraving.rung}: {placed.engraving.words}; {placed.place_words}",
        f"T{tool.number} {tool.name}, {tool.depth_mm:g} mm deep",
        f"run time about {_minutes(seconds)}",
        "Prove it over the sheet first. Hold-down, guards, speeds and feeds are the operator's.",
        "Follow your site's procedures and local law. This program does not authorise work.",
    ]
    if profile is not None and placed.revision is None:
        remarks.insert(6, f"no room for the letter of revision {part.revision}: mark it by hand")
    if profile is not None and profile.unreached_mm2 > 0:
        remarks.insert(6, f"{profile.unreached_mm2:.1f} mm2 stay in corners sharper than the cutter: finish by hand")
    return remarks


def _minutes(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole // 60} min {whole % 60:02} s"
