"""The program that a router engraves a segment with, and cuts it out if that is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection

from schemas.answers.routers import RouterAnswer, RouterListAnswer, RouterToolAnswer
from schemas.router import Router, RouterTool
from service.errors import RevisionUnknown, RevisionWithdrawn, RouterUnknown
from service.store import cutfiles
from service.work.placement import parts_to_engrave
from service.work.plates import segment_plates
from service.work.print_marks import on_record
from service.work.read import find_active
from service.work.router_room import DrawnProgram, ReleasedDesign, Zero, cutter_of, draw_program
from service.work.workshop import SERVICE, Actor, Workshop

USUAL_ROUTER = "metric"


@dataclass(frozen=True, slots=True)
class RouterProgram:
    """A proven program and the name of its file."""

    data: bytes
    name: str


def program_segment(
    workshop: Workshop,
    mark: str,
    *,
    router: str = USUAL_ROUTER,
    tool: int | None = None,
    profile: bool = False,
    zero: Zero = "corner",
    override: str | None = None,
    actor: Actor = SERVICE,
) -> RouterProgram:
    """The engraving of one segment, or of the piece whose key was given, as a program in RS-274.

    Args:
        workshop: the records and where drawing runs.
        mark: number, key, link or message.
        router: whose dialect and tools.
        tool: number of the tool that engraves; the first of the magazine that can unless said.
        profile: whether the letter of the revision, the holes and the outside contour are cut as well.
        zero: where X 0 Y 0 lies.
        override: why, although the kit is retired.
        actor: who asks.

    Raises:
        MarkUnknown, AmbiguousMark, PlaceVoided: the mark is not settled.
        RouterUnknown: no such router, or no such tool in it.
        KitRetired: the kit is out of use, and no reason is given under ``override``.
        RevisionWithdrawn: a profile that must not be cut any more.
        CutFileAltered, CutFileMissing: the profile would not be cut from what was released.
        NoEngravingRoom, LintFailed: nothing fits, or the tool cannot cut it.
        ReadBackFailed: the finished program does not cut what was planned.
    """
    chosen = workshop.router(router)
    engraver = _tool(chosen, "engrave", tool)
    cutter = _tool(chosen, "profile", None) if profile else None
    with workshop.database.read() as connection:
        plate = segment_plates(workshop, connection, find_active(connection, mark, field="number"))[0]
        part = parts_to_engrave(connection, [plate])[0]
        design = _design(connection, plate.segment.cut_file, part.revision, profile=profile)
    if profile:
        # A profile is cut from what was released, or not at all: the bytes must still be those.
        workshop.vault.get(design.sha256)

    def draw() -> DrawnProgram:
        return workshop.rendering.run(draw_program, part, design, chosen, tool=engraver, profile_tool=cutter, zero=zero)

    drawn = on_record(
        workshop,
        [plate],
        kind="engraving",
        form=f"{chosen.name}.{chosen.extension}",
        actor=actor,
        verb="engrave",
        override=override,
        draw=draw,
        details=lambda program: {"engraved": [dict(program.record)]},
    )
    return RouterProgram(drawn.data, f"{part.number}.{chosen.extension}")


def list_routers(workshop: Workshop) -> RouterListAnswer:
    """The shop's routers and their tools."""
    return RouterListAnswer(
        routers=[
            RouterAnswer(
                name=router.name,
                title=router.title,
                units=router.units,
                extension=router.extension,
                tools=[_tool_answer(tool) for tool in router.tools],
            )
            for _, router in sorted(workshop.routers.items())
        ]
    )


def _design(connection: Connection, cut_file: str, letter: str, *, profile: bool) -> ReleasedDesign:
    row = cutfiles.find_revision(connection, cut_file, letter)
    if row is None:
        raise RevisionUnknown(
            "this revision is not on record", field="revision", value=letter, todo="Release it first", place=cut_file
        )
    if profile and row.withdrawn_at is not None:
        raise RevisionWithdrawn(
            f"it was withdrawn: {row.withdrawn_reason or 'no reason is on record'}",
            field="revision",
            value=letter,
            todo="Reorder the segment: the reorder says which revision to cut instead",
            place=cut_file,
        )
    return ReleasedDesign(cut_file, row.sha256)


def _tool_answer(tool: RouterTool) -> RouterToolAnswer:
    return RouterToolAnswer(
        number=tool.number,
        name=tool.name,
        use=tool.use,
        diameter_mm=tool.diameter_mm,
        depth_mm=tool.depth_mm,
        groove_mm=round(cutter_of(tool).groove_mm, 3) if tool.use == "engrave" else None,
    )


def _tool(router: Router, use: Literal["engrave", "profile"], number: int | None) -> RouterTool:
    fitting = [tool for tool in router.tools if tool.use == use and number in (None, tool.number)]
    if not fitting:
        uses = {"engrave": "engraves", "profile": "cuts profiles"}
        known = ", ".join(f"{tool.number} {tool.name}" for tool in router.tools if tool.use == use)
        raise RouterUnknown(
            f"the router {router.name} has no tool {'' if number is None else f'{number} '}that {uses[use]}",
            field="tool",
            value=number,
            todo=f"Use one of {known}" if known else "Add such a tool to the router's file",
        )
    return fitting[0]
