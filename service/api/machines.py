"""Machines, plants and lines: where a machine stands and stood, what was measured at it, and names in their time."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Path, Query, Request, Response

from schemas.answers import HistoryAnswer, KitAnswer
from schemas.machines import (
    MachineListAnswer,
    MachineRecordAnswer,
    MoveRequest,
    PlaceNamesAnswer,
    RenameRequest,
    ReuseCheckRequest,
    SameInterfaceAnswer,
    SameInterfaceListAnswer,
    SameInterfaceRequest,
    SurveyAnswer,
    SurveyRequest,
    WithdrawWordRequest,
)
from schemas.manifest import Part
from schemas.moments import Moment
from service.api.problems import RESPONSES
from service.api.requests import IdempotencyKey, actor_of, retry_of
from service.work import rename, where
from service.work.check_kit import check_kit
from service.work.history import history
from service.work.move import move_machine
from service.work.once import Retry
from service.work.same_interface import record_same_interface, withdraw_same_interface
from service.work.survey import survey_machine
from service.work.workshop import Workshop

On = Annotated[Moment | None, Query(description="A date or time to ask for; now unless given.")]
PlaceText = Annotated[str, Query(min_length=1, max_length=120)]
PageSize = Annotated[int, Query(ge=1, le=200)]
Ordinal = Annotated[int, Path(ge=1, le=99)]


def machine_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api", tags=["machines"], responses=RESPONSES)

    @router.get("/machines", response_model=MachineListAnswer)
    def list_machines(
        response: Response,
        *,
        plant: PlaceText | None = None,
        line: PlaceText | None = None,
        on: On = None,
        after: Annotated[str | None, Query(max_length=24)] = None,
        limit: PageSize = 50,
    ) -> MachineListAnswer:
        """Which machines stood in a place at a moment; plant and line by code, ordinal, or any name they ever had."""
        found = where.list_machines(workshop, plant=plant, line=line, on=on, after=after, limit=limit + 1)
        page = found.machines[:limit]
        if len(found.machines) > limit:
            asked = {"plant": plant, "line": line, "on": on, "after": page[-1].designation, "limit": limit}
            query = urlencode({name: value for name, value in asked.items() if value is not None})
            response.headers["Link"] = f'</api/machines?{query}>; rel="next"'
        return found.model_copy(update={"machines": page})

    @router.get("/machines/{designation}", response_model=MachineRecordAnswer)
    def get_machine(designation: str, on: On = None) -> MachineRecordAnswer:
        """A machine by its birth designation: where it stands now and was born, placements, surveys, kits."""
        return where.show_machine(workshop, designation, on=on)

    @router.get("/machines/{designation}/history", response_model=HistoryAnswer)
    def get_history(designation: str) -> HistoryAnswer:
        """The journal of a machine."""
        return history(workshop, where.show_machine(workshop, designation).designation)

    @router.post("/machines/{designation}/placements", status_code=201, response_model=MachineRecordAnswer)
    def post_placement(
        designation: str, body: MoveRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> MachineRecordAnswer:
        """Move a machine to another line, or off its line; its kits keep their numbers."""
        return move_machine(
            workshop, designation, body, actor=actor_of(request), retry=_retry(request, idempotency_key, body)
        )

    @router.post("/machines/{designation}/surveys", status_code=201, response_model=SurveyAnswer)
    def post_survey(
        designation: str, body: SurveyRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> SurveyAnswer:
        """Record a survey, a revision of what is known; kits to check before they are used again are named."""
        return survey_machine(
            workshop, designation, body, actor=actor_of(request), retry=_retry(request, idempotency_key, body)
        )

    @router.post("/kits/{kit}/reuse-checks", status_code=201, response_model=KitAnswer)
    def post_reuse_check(
        kit: str, body: ReuseCheckRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> KitAnswer:
        """A kit was held against the machine as it is now, and still fits."""
        return check_kit(workshop, kit, body, actor=actor_of(request), retry=_retry(request, idempotency_key, body))

    @router.post("/same-interfaces", status_code=201, response_model=SameInterfaceListAnswer)
    def post_same_interface(
        body: SameInterfaceRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> SameInterfaceListAnswer:
        """Somebody's word that two machines are the same where assemblies meet them; parts may then be shared."""
        return record_same_interface(
            workshop, body, actor=actor_of(request), retry=_retry(request, idempotency_key, body)
        )

    @router.post("/same-interfaces/{id_}/withdrawal", response_model=SameInterfaceAnswer)
    def post_withdrawal(
        id_: int, body: WithdrawWordRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> SameInterfaceAnswer:
        """The word does not hold any more."""
        return withdraw_same_interface(
            workshop, id_, body, actor=actor_of(request), retry=_retry(request, idempotency_key, body)
        )

    @router.get("/plants/{code}/names", response_model=PlaceNamesAnswer)
    def get_plant_names(code: str) -> PlaceNamesAnswer:
        """Every name that a plant ever bore."""
        return rename.plant_names(workshop, code)

    @router.post("/plants/{code}/names", status_code=201, response_model=PlaceNamesAnswer)
    def post_plant_name(
        code: str, body: RenameRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> PlaceNamesAnswer:
        """A plant took another name; its code stays for ever."""
        retry = _retry(request, idempotency_key, body)
        return rename.rename_plant(workshop, code, body, actor=actor_of(request), retry=retry)

    @router.get("/plants/{code}/lines/{ordinal}/names", response_model=PlaceNamesAnswer)
    def get_line_names(code: str, ordinal: Ordinal) -> PlaceNamesAnswer:
        """Every name that a line ever bore."""
        return rename.line_names(workshop, code, ordinal)

    @router.post("/plants/{code}/lines/{ordinal}/names", status_code=201, response_model=PlaceNamesAnswer)
    def post_line_name(
        code: str, ordinal: Ordinal, body: RenameRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> PlaceNamesAnswer:
        """A line took another name; its ordinal stays for ever."""
        retry = _retry(request, idempotency_key, body)
        return rename.rename_line(workshop, code, ordinal, body, actor=actor_of(request), retry=retry)

    return router


def _retry(request: Request, key: str | None, body: Part) -> Retry:
    return retry_of(request, key, body.model_dump_json().encode())
