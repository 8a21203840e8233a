"""Each error code: what provokes it over HTTP, or why HTTP cannot; the answer helps, and nothing is stored."""

from __future__ import annotations

from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from schemas.answers import KitAnswer
from schemas.router import parse_router
from service.api.problems import status_of
from service.api.reference import error_leaves
from service.errors import (
    BadKey,
    BadPrinterAddress,
    BadRouter,
    BadTemplate,
    JobAborted,
    KitwrightError,
    LinkUnknown,
    UnsafeSetting,
)
from service.numbering.key import Key
from service.printers.address import PrinterAddress
from service.printers.ipp_tags import JobState
from service.printers.jobs import JobStatus
from service.settings import Settings, refuse_unsafe
from service.store.template_folder import read_templates
from service.work.report_link import open_link
from service.work.workshop import Workshop
from tests.api.conftest import Look
from tests.api.problem_documents import problem_of
from tests.api.provocations import PROVOCATIONS
from tests.api.scene import Scene
from tests.api.terminal_refusals import TERMINAL, Provoke

# Code, why no request is answered with it, and what raises it then.
ELSEWHERE: dict[str, tuple[str, type[KitwrightError], Provoke]] = {
    **TERMINAL,
    "bad_key": (
        "a text that is no key may still be a number: the reader answers what it may be, or unknown",
        BadKey,
        lambda _workshop, _folder: Key.parse("K7M4-XRAX"),
    ),
    "bad_template": (
        "folders of templates are read when the service starts, and it does not start without one that is named",
        BadTemplate,
        lambda _workshop, folder: read_templates([folder / "missing"]),
    ),
    "bad_router": (
        "routers are read when the service starts, and it does not start with a wrong one",
        BadRouter,
        lambda _workshop, _folder: parse_router('name = "x"', source="x.toml"),
    ),
    "bad_printer_address": (
        "jobs go to printers that the shop has named, and it does not start with an address that is none",
        BadPrinterAddress,
        lambda _workshop, _folder: PrinterAddress.parse("http://labels.example/ipp/print"),
    ),
    "link_unknown": (
        "the page under a link answers people in their own words; no call of the API opens one",
        LinkUnknown,
        lambda workshop, _folder: open_link(workshop, "a token that nobody made"),
    ),
    "job_aborted": (
        "a job is followed after the request that gave it was answered; how it ended stands in its record",
        JobAborted,
        lambda _workshop, _folder: JobStatus(7, "plates", JobState.ABORTED, impressions=3).proven(),
    ),
    "unsafe_setting": (
        "the service does not start with it",
        UnsafeSetting,
        lambda _workshop, _folder: refuse_unsafe(Settings(host="0.0.0.0")),  # noqa: S104 - refused, as it should be
    ),
}
# Its code is that of the first finding: every code below that a kit is refused with has come through it.
CARRIES_OTHERS = {"lint_failed"}
# A mark that was begun and failed stands in the journal: intent and result are audited.
AUDITED = {"no_engraving_room", "read_back_failed"}
STATUS = {
    "not_json": 400,
    "not_signed_in": 401,
    "foreign_origin": 403,
    "foreign_host": 403,
    "method_not_taken": 405,
    "stale_edit": 412,
    "edit_unseen": 428,
    "too_large": 413,
    **dict.fromkeys(
        (
            "mark_unknown",
            "kit_unknown",
            "cut_file_unknown",
            "revision_unknown",
            "template_unknown",
            "router_unknown",
            "machine_unknown",
            "container_unknown",
            "alias_unknown",
            "place_unknown",
            "same_interface_unknown",
            "printer_unknown",
            "print_job_unknown",
            "reorder_unknown",
            "report_unknown",
            "photo_unknown",
            "link_unknown",
            "webhook_unknown",
            "page_unknown",
            "piece_unknown",
            "set_unknown",
        ),
        404,
    ),
    **dict.fromkeys(
        (
            "contradiction",
            "revision_exists",
            "revision_withdrawn",
            "mark_exists",
            "place_voided",
            "segment_shared",
            "token_stale",
            "ambiguous_mark",
            "print_job_closed",
            "nothing_asked",
            "reorder_closed",
            "already_on_order",
            "fit_disputed",
            "step_refused",
            "report_closed",
            "nothing_to_send",
            "design_letters_spent",
            "piece_gone",
            "piece_on_order",
            "too_few_pieces",
            "kit_retired",
            "request_in_progress",
        ),
        409,
    ),
    **dict.fromkeys(("cut_file_altered", "cut_file_missing", "read_back_failed", "defect"), 500),
    **dict.fromkeys(("database_unavailable", "vault_unavailable"), 503),
    **dict.fromkeys(("printer_unreachable", "no_printer", "printer_refused", "printer_stopped"), 502),
}


def test_every_code_is_held_to_this() -> None:
    assert {kind.code for kind in error_leaves()} == {*PROVOCATIONS, *ELSEWHERE, *CARRIES_OTHERS}


@pytest.fixture
def scene(
    client: TestClient, workshop: Workshop, settings: Settings, issued: KitAnswer, monkeypatch: pytest.MonkeyPatch
) -> Scene:
    """A service over its own copy of the issued small kit."""
    return Scene(client, workshop, settings, monkeypatch)


@pytest.mark.parametrize("code", PROVOCATIONS)
def test_a_code_is_answered_with_what_to_do(scene: Scene, on_record: Look, code: str) -> None:
    ask = PROVOCATIONS[code](scene)
    before = on_record()
    answer = ask()
    document = problem_of(answer)
    assert (document.code, document.status) == (code, STATUS.get(code, 422))
    assert ("Retry-After" in answer.headers) == (document.status == 503)
    assert "secret" not in answer.text
    if code not in AUDITED:
        assert on_record() == before


@pytest.mark.parametrize("code", ["database_unavailable", "vault_unavailable"])
def test_where_the_records_are_kept_stands_in_the_log_alone(
    scene: Scene, caplog: pytest.LogCaptureFixture, code: str
) -> None:
    kept = {"database_unavailable": scene.settings.database_url, "vault_unavailable": scene.settings.vault_url}[code]
    folder = kept.removeprefix("sqlite:///").rpartition("/")[0]
    text = PROVOCATIONS[code](scene)().text
    assert folder not in text
    assert "in its log" in text
    assert folder in caplog.text


@pytest.mark.parametrize("code", ELSEWHERE)
def test_a_code_that_no_request_is_answered_with(
    workshop: Workshop, issued: KitAnswer, tmp_path: Path, code: str
) -> None:
    _reason, kind, provoke = ELSEWHERE[code]
    with pytest.raises(kind) as caught:
        provoke(workshop, tmp_path)
    assert caught.value.code == code
    assert status_of(caught.value) in (404, 409, 422, 500, 502, 503)
    assert caught.value.field in str(caught.value)
    assert str(caught.value).endswith(f"{caught.value.todo}.")
