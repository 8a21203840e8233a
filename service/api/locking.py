"""The desk: what will lock into the pieces that survived."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Path, Query, Response

from schemas.locking import LockingAnswer
from service.api.problems import RESPONSES
from service.api.requests import MOST_ID, Mark, RevisionLetter, answers_file, picture
from service.outlines.joint_fit import CUTTER_MM
from service.rules.materials import REFERENCE_TEMPERATURE_C
from service.work.joint_picture import joint_picture
from service.work.outlines_compared import Conditions
from service.work.what_locks import what_locks
from service.work.workshop import Workshop

Survivors = Annotated[
    list[Annotated[str, Query(max_length=500)]] | None,
    Query(
        max_length=100,
        description="Marks of the neighbours that survived, one parameter each; all of them unless said.",
        examples=[["OSV4-FC1-A500-SW2-U4-39"]],
    ),
]
OfSet = Annotated[
    int | None,
    Query(alias="set", ge=1, le=MOST_ID, description="The set of the broken piece, where the mark is no piece's key."),
]
Neighbour = Annotated[
    str, Path(description="The neighbour, by number or place.", examples=["SW2-U4"], alias="neighbour", max_length=80)
]
MachineTemperature = Annotated[
    float,
    Query(ge=-50, le=150, description="Temperature of the pieces that stay in the machine, in °C.", examples=[4.0]),
]
PieceTemperature = Annotated[
    float | None,
    Query(
        ge=-50,
        le=150,
        description="Temperature of the new piece when it is put in, in °C; that of the others unless said.",
        examples=[20.0],
    ),
]
CutterWidth = Annotated[
    float, Query(ge=0, le=50, description="Diameter of the cutter that cuts the profile, in mm.", examples=[6.0])
]
Oversize = Annotated[
    float,
    Query(
        ge=-2,
        le=2,
        description="How far every edge comes out beyond the drawn line, in mm; below zero inside it.",
        examples=[0.05],
    ),
]


def asked_conditions(
    temperature_c: MachineTemperature = REFERENCE_TEMPERATURE_C,
    piece_temperature_c: PieceTemperature = None,
    cutter_mm: CutterWidth = CUTTER_MM,
    oversize_mm: Oversize = 0.0,
) -> Conditions:
    """Under which the pieces have to lock."""
    warm = temperature_c if piece_temperature_c is None else piece_temperature_c
    return Conditions(temperature_c, warm, cutter_mm, oversize_mm)


AskedConditions = Annotated[Conditions, Depends(asked_conditions)]


def locking_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api/segments", tags=["desk"], responses=RESPONSES)

    @router.get("/{number}/locking", response_model=LockingAnswer)
    def get_locking(
        number: Mark, conditions: AskedConditions, survivors: Survivors = None, set_number: OfSet = None
    ) -> LockingAnswer:
        """Every released revision held against what survived, by the record and by the outlines; what to cut."""
        return what_locks(workshop, number, survivors=survivors, set_number=set_number, conditions=conditions)

    @router.get(
        "/{number}/locking/{revision}/{neighbour}.svg",
        response_class=Response,
        responses=answers_file("The picture.", "image/svg+xml"),
    )
    def get_spot(
        number: Mark,
        revision: RevisionLetter,
        neighbour: Neighbour,
        conditions: AskedConditions,
        set_number: OfSet = None,
    ) -> Response:
        """The spot at the joint to one neighbour: both outlines, overlaps, gaps in mm."""
        return picture(
            joint_picture(workshop, number, revision, neighbour, set_number=set_number, conditions=conditions)
        )

    return router
