"""Machines, plants and lines: where a machine stands and stood, what was measured at it, and names in their time."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Path, Query, Request, Response

from schemas.answers import HistoryAnswer, KitAnswer
from schemas.answers.machines import (
    MachineListAnswer,
    MachineRecordAnswer,
    PlaceNamesAnswer,
    SameInterfaceAnswer,
    SameInterfaceListAnswer,
    SurveyAnswer,
)
from schemas.machines import (
    MoveRequest,
    RenameRequest,
    ReuseCheckRequest,
    SameInterfaceRequest,
    SurveyRequest,
    WithdrawWordRequest,
)
from schemas.manifest import Part
from schemas.moments import Moment
from schemas.text import Printable
from service.api.problems import EDITS, RESPONSES
from service.api.requests import (
    MOST_ID,
    IdempotencyKey,
    IfMatch,
    KitNumber,
    PageSize,
    actor_of,
    etag,
    if_match,
    retry_of,
)
from service.work import rename, where
from service.work.check_kit import check_kit
from service.work.history import history
from service.work.move import move_machine
from service.work.once import Retry
from service.work.same_interface import record_same_interface, withdraw_same_interface
from service.work.seen import tag_of
from service.work.survey import survey_machine
from service.work.workshop import Workshop

Designation = Annotated[
    str,
    Path(
        description="Where the machine was born, as in its kits' numbers, in any letter case; it finds the machine "
        "wherever that stands now.",
        examples=["OSV4-FC1"],
        alias="designation",
        max_length=24,
    ),
]
PlantCode = Annotated[
    Printable,
    Path(description="The plant's code, in any letter case.", examples=["OSV"], alias="code", max_length=12),
]
LineOrdinal = Annotated[
    int, Path(description="The line's ordinal in the plant.", examples=[4], alias="ordinal", ge=1, le=99)
]
WordId = Annotated[
    int,
    Path(description="Id of what was recorded of two machines.", examples=[1], alias="word_id", ge=1, le=MOST_ID),
]
On = Annotated[
    Moment | None,
    Query(
        description="The moment to ask for: a date (its first moment in UTC) or a time; now unless said.",
        examples=["2026-02-15"],
    ),
]
PlantText = Annotated[
    Printable | None,
    Query(
        description="Only machines that stood in this plant: its code, or any name that it ever bore.",
        examples=["OSV", "Ostrey Vale"],
        min_length=1,
        max_length=120,
    ),
]
LineText = Annotated[
    Printable | None,
    Query(
        description="Only machines that stood on this line: its ordinal, or any name that it ever bore; the lines "
        "that bore it at the moment asked for, if one did.",
        examples=["4", "line 4"],
        min_length=1,
        max_length=120,
    ),
]
After = Annotated[
    Printable | None,
    Query(description="Designation of the last machine of the page before.", examples=["OSV4-FC1"], max_length=24),
]


def machine_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api", tags=["machines"], responses=RESPONSES)

    @router.get("/machines", response_model=MachineListAnswer)
    def list_machines(
        response: Response,
        *,
        plant: PlantText = None,
        line: LineText = None,
        on: On = None,
        after: After = None,
        limit: PageSize = 50,
    ) -> MachineListAnswer:
        """Which machines stood in a place at a moment; the header ``Link`` leads to the next page.

        Plant and line are named by code, ordinal, or any name they ever had. Without a place every machine on record.
        """
        found = where.list_machines(workshop, plant=plant, line=line, on=on, after=after, limit=limit + 1)
        page = found.machines[:limit]
        if len(found.machines) > limit:
            asked = {"plant": plant, "line": line, "on": on, "after": page[-1].designation, "limit": limit}
            query = urlencode({name: value for name, value in asked.items() if value is not None})
            response.headers["Link"] = f'</api/machines?{query}>; rel="next"'
        return found.model_copy(update={"machines": page})

    @router.get("/machines/{designation}", response_model=MachineRecordAnswer)
    def get_machine(designation: Designation, on: On = None) -> MachineRecordAnswer:
        """A machine by its birth designation: where it stands now and was born, placements, surveys, kits."""
        return where.show_machine(workshop, designation, on=on)

    @router.get("/machines/{designation}/history", response_model=HistoryAnswer)
    def get_history(designation: Designation) -> HistoryAnswer:
        """What happened to a machine: moves, surveys, what was said of it and another, the first event first."""
        return history(workshop, where.show_machine(workshop, designation).designation)

    @router.post("/machines/{designation}/placements", status_code=201, response_model=MachineRecordAnswer)
    def post_placement(
        designation: Designation, body: MoveRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> MachineRecordAnswer:
        """Move a machine to another line, or off its line; its kits keep their numbers."""
        return move_machine(
            workshop, designation, body, actor=actor_of(request), retry=_retry(request, idempotency_key, body)
        )

    @router.post("/machines/{designation}/surveys", status_code=201, response_model=SurveyAnswer)
    def post_survey(
        designation: Designation, body: SurveyRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> SurveyAnswer:
        """Record a survey, a revision of what is known.

        The answer says where it disagrees with itself, and names the kits to check before they are used again.
        """
        return survey_machine(
            workshop, designation, body, actor=actor_of(request), retry=_retry(request, idempotency_key, body)
        )

    @router.post("/kits/{kit}/reuse-checks", status_code=201, response_model=KitAnswer)
    def post_reuse_check(
        kit: KitNumber, body: ReuseCheckRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> KitAnswer:
        """A kit was held against the machine as it is now, and still fits; it is not marked for a check any more."""
        return check_kit(workshop, kit, body, actor=actor_of(request), retry=_retry(request, idempotency_key, body))

    @router.post("/same-interfaces", status_code=201, response_model=SameInterfaceListAnswer)
    def post_same_interface(
        body: SameInterfaceRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> SameInterfaceListAnswer:
        """Somebody's word that two machines are the same where assemblies meet them; parts may then be shared."""
        return record_same_interface(
            workshop, body, actor=actor_of(request), retry=_retry(request, idempotency_key, body)
        )

    @router.post("/same-interfaces/{word_id}/withdrawal", response_model=SameInterfaceAnswer)
    def post_withdrawal(
        word_id: WordId, body: WithdrawWordRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> SameInterfaceAnswer:
        """What was recorded of two machines does not hold any more: nothing new is shared on its strength."""
        return withdraw_same_interface(
            workshop, word_id, body, actor=actor_of(request), retry=_retry(request, idempotency_key, body)
        )

    @router.get("/plants/{code}/names", response_model=PlaceNamesAnswer)
    def get_plant_names(code: PlantCode, response: Response) -> PlaceNamesAnswer:
        """Every name that a plant ever bore; each of them finds it. The ETag stands for this state."""
        return _tagged(response, rename.plant_names(workshop, code))

    @router.post("/plants/{code}/names", status_code=201, response_model=PlaceNamesAnswer, responses=EDITS)
    def post_plant_name(
        code: PlantCode,
        body: RenameRequest,
        request: Request,
        response: Response,
        *,
        if_match_header: IfMatch = None,
        idempotency_key: IdempotencyKey = None,
    ) -> PlaceNamesAnswer:
        """A plant took another name; its code stays for ever, and the old name still finds it."""
        retry, seen = _retry(request, idempotency_key, body), if_match(if_match_header)
        answer = rename.rename_plant(workshop, code, body, seen=seen, actor=actor_of(request), retry=retry)
        return _tagged(response, answer)

    @router.get("/plants/{code}/lines/{ordinal}/names", response_model=PlaceNamesAnswer)
    def get_line_names(code: PlantCode, ordinal: LineOrdinal, response: Response) -> PlaceNamesAnswer:
        """Every name that a line ever bore; each of them finds it. The ETag stands for this state."""
        return _tagged(response, rename.line_names(workshop, code, ordinal))

    @router.post(
        "/plants/{code}/lines/{ordinal}/names", status_code=201, response_model=PlaceNamesAnswer, responses=EDITS
    )
    def post_line_name(
        code: PlantCode,
        ordinal: LineOrdinal,
        body: RenameRequest,
        request: Request,
        response: Response,
        *,
        if_match_header: IfMatch = None,
        idempotency_key: IdempotencyKey = None,
    ) -> PlaceNamesAnswer:
        """A line took another name; its ordinal stays for ever, and the old name still finds it."""
        retry, seen = _retry(request, idempotency_key, body), if_match(if_match_header)
        answer = rename.rename_line(workshop, code, ordinal, body, seen=seen, actor=actor_of(request), retry=retry)
        return _tagged(response, answer)

    return router


def _retry(request: Request, key: str | None, body: Part) -> Retry:
    return retry_of(request, key, body.model_dump_json().encode())


def _tagged(response: Response, answer: PlaceNamesAnswer) -> PlaceNamesAnswer:
    response.headers.update(etag(tag_of(answer)))
    return answer
