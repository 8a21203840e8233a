"""A shop after many years: everything that the records can hold has happened in it at least once."""

from __future__ import annotations

from schemas.aliases import AliasRequest, AliasWrongRequest
from schemas.answers import KitAnswer
from schemas.damage_report import (
    ChoiceRequest,
    ConfirmRequest,
    DamageReportRequest,
    EvidenceRequest,
    GiveUpRequest,
    LinkRequest,
)
from schemas.inspections import InspectionRequest
from schemas.machines import MoveRequest, RenameRequest, ReuseCheckRequest, SameInterfaceRequest, SurveyRequest
from schemas.machines import WithdrawWordRequest as WithdrawWord
from schemas.manifest_reading import read_manifest
from schemas.order_states import StepRequest
from schemas.pieces import (
    DeviationRequest,
    RetirementRequest,
    ScrapCountRequest,
    ScrapRequest,
    SetRequest,
    ShareRequest,
    TrackRequest,
)
from schemas.requests import CancelRequest, CorrectionRequest, ReorderRequest
from schemas.webhooks import WebhookRequest
from service.work.aliases import add_alias, mark_alias_wrong
from service.work.check_kit import check_kit
from service.work.correct import correct_kit
from service.work.damage_choice import choose
from service.work.damage_reports import add_evidence, add_report, give_up_report
from service.work.fit import cancel_reorder
from service.work.issue import issue_kit
from service.work.make_set import make_set
from service.work.move import move_machine
from service.work.order_states import step_order
from service.work.packet import reorder_packet
from service.work.print_jobs import cancel_print_job
from service.work.print_marks import print_segment
from service.work.prove import prove_marks
from service.work.rename import rename_line, rename_plant
from service.work.reorder import reorder
from service.work.report_link import confirm_link, make_link
from service.work.report_photo import add_photo
from service.work.resolve import resolve_mark
from service.work.retire import retire_kit
from service.work.same_interface import record_same_interface, withdraw_same_interface
from service.work.scrap import record_deviation, scrap_counted, scrap_piece
from service.work.share import share_segment
from service.work.show_kit import show_kit
from service.work.survey import survey_machine
from service.work.track_pieces import track_pieces
from service.work.webhooks import add_webhook, end_webhook
from service.work.workshop import Workshop
from tests.camera import photograph_of
from tests.small_kit import (
    NUMBER_PLATES,
    NUMBER_U2,
    NUMBER_U3,
    NUMBER_U4,
    as_bytes,
    make_dxf,
    manifest,
    release,
    segment,
)
from tests.small_shop import live, put_print_job

KIT, GUEST, TWIN, OLD = "OSV4-FC1-A500", "OSV4-FC1-C330", "OSV4-FC2-A500", "OSV4-FC1-E250"
STAR_HALVES = ("OSV4-FC1-C330-SW3-U1", "OSV4-FC1-C330-SW3-U2")


def live_long(workshop: Workshop) -> KitAnswer:
    """Fill an empty workshop; the first kit as it was issued."""
    kit = live(workshop)
    _designs_go_on(workshop)
    _second_set(workshop)
    _other_kits(workshop)
    _the_machine(workshop)
    _programs_that_listen(workshop)
    _calls(workshop)
    _orders(workshop)
    print_segment(workshop, NUMBER_U2, form="svg")
    _print_jobs(workshop)
    _on_the_bench(workshop)
    _older_marks(workshop)
    return kit


def _print_jobs(workshop: Workshop) -> None:
    """One is given up, one waits."""
    cancel_print_job(workshop, put_print_job(workshop, KIT))
    put_print_job(workshop, NUMBER_U2)


def _designs_go_on(workshop: Workshop) -> None:
    """U3 and U4 get a stronger joint in step, U2 a wider pocket."""
    release(workshop, "SW2-U3", revision="B", joints_changed="SW2-U4")
    release(workshop, "SW2-U4", revision="A", joints_changed="SW2-U3")
    release(
        workshop,
        "SW2-U2",
        revision="A",
        interfaces_changed="pocket, bolt pattern",
        data=make_dxf(corner=(0.0, -150.3), hole_mm=24),
    )


def _second_set(workshop: Workshop) -> None:
    """Set 2 at the newest revisions; some of its pieces with keys, some reworked, some gone."""
    make_set(workshop, KIT, SetRequest.model_validate({"material_batch": "2026-114", "made_at": "2026-03-04"}))
    keys = track_pieces(workshop, NUMBER_PLATES, TrackRequest(track=3, set=2)).new_keys
    scrap_piece(workshop, keys[0], ScrapRequest(kind="lost", note="fell behind the conveyor"))
    scrap_counted(workshop, NUMBER_PLATES, ScrapCountRequest(kind="worn", count=2, set=1))
    record_deviation(
        workshop, _fitted_key(workshop, NUMBER_U2, 1), DeviationRequest(deviation="pocket 1 eased by 0.3 mm")
    )


def _other_kits(workshop: Workshop) -> None:
    """A guest of the same machine that shares parts and gives up a place, a twin machine, and a kit out of use."""
    guest = {"code": "C330", "name": "sport 330 mL", "nominal": 330, "unit": "mL", "shape": "round"}
    halves = [segment(f"SW3-U{n}", cut_file=f"osv4-fc1-a500-sw2-u{n}.dxf") for n in (1, 2)]
    issue_kit(workshop, read_manifest(as_bytes(manifest(container=guest, segments={"SW3": halves}, serves=["A500"]))))
    share_segment(workshop, GUEST, ShareRequest(number=NUMBER_PLATES))
    voided = next(
        row.number for row in show_kit(workshop, GUEST).segments if row.number.rpartition("-")[0] == STAR_HALVES[1]
    )
    correct_kit(
        workshop,
        GUEST,
        CorrectionRequest.model_validate(
            {"reason": "cut up otherwise", "void": [{"number": voided, "replacements": []}]}
        ),
    )
    twin = {"class": "FC", "ordinal": 2, "rotation": "clockwise"}
    plain = manifest(machine=twin, container={"code": "A500"}, segments={"SW2": [segment("SW2-U4")]})
    issue_kit(workshop, read_manifest(as_bytes(plain)))
    first, _ = record_same_interface(
        workshop,
        SameInterfaceRequest.model_validate(
            {
                "machines": ["OSV4-FC1", "OSV4-FC2"],
                "assemblies": ["SW2", "BP"],
                "interface": "hub bore and bolt pattern",
                "by": "fitter",
            }
        ),
    ).same_interfaces
    share_segment(workshop, TWIN, ShareRequest(number=NUMBER_PLATES))
    withdraw_same_interface(workshop, first.id, WithdrawWord(reason="measured again: 0.4 mm off"))
    old = {"code": "E250", "name": "flask 250 mL", "nominal": 250, "unit": "mL", "shape": "oval"}
    rail = [segment("RL1-U1", cut_file="osv4-fc1-a500-or1-l1.dxf")]
    issue_kit(workshop, read_manifest(as_bytes(manifest(container=old, segments={"RL1": rail}))))
    retire_kit(workshop, OLD, RetirementRequest(reason="bottle is not filled any more"))


def _the_machine(workshop: Workshop) -> None:
    """It is measured twice, checked, moved, taken off its line for a while; plant and line get other names."""
    for stated in (
        {
            "surveyed_at": "2026-03-02",
            "by": "fitter on shift A",
            "rotation": {"value": "clockwise", "grade": "measured"},
            "infeed_hand": {"value": "LEFT", "grade": "measured"},
            "pitch_mm": {"value": 104.72, "grade": "measured"},
            "pocket_count": {"value": 24, "grade": "measured"},
            "deck_heights_mm": {"U": {"value": 182.5, "grade": "copied_from_part"}},
        },
        {"surveyed_at": "2026-06-01", "pitch_diameter_mm": {"value": 800.0, "grade": "from_drawing"}},
    ):
        survey_machine(workshop, "OSV4-FC1", SurveyRequest.model_validate(stated))
    check_kit(workshop, GUEST, ReuseCheckRequest(by="fitter", note="runs true"))
    for moved in ({"line": None, "since": "2024-03-01"}, {"line": 7, "since": "2024-04-02", "note": "new hall"}):
        move_machine(workshop, "OSV4-FC1", MoveRequest.model_validate(moved))
    rename_plant(workshop, "OSV", RenameRequest.model_validate({"name": "Ostrey Mill", "since": "2025-01-01"}))
    rename_line(workshop, "OSV", 4, RenameRequest.model_validate({"name": "old hall", "since": "2025-02-01"}))


def _on_the_bench(workshop: Workshop) -> None:
    """A plate on the right piece, and one on the wrong one."""
    key = _fitted_key(workshop, NUMBER_U2, 2)
    for engraved in (NUMBER_U4, NUMBER_U2):
        asked = {"plate": key, "engraving": engraved, "thickness_mm": 25.1}
        prove_marks(workshop, KIT, InspectionRequest.model_validate(asked))


def _older_marks(workshop: Workshop) -> None:
    """What people call things, one of it wrong and said again."""
    for kind, of, mark in (
        ("segment", NUMBER_U3, "STERN 2 / III"),
        ("kit", KIT, "PO 4711-3"),
        ("machine", "OSV4-FC1", "old Betty"),
        ("container", "OSV-A500", "the tall one"),
        ("line", "OSV4", "hall 2"),
        ("plant", "OSV", "the mill"),
    ):
        asked = {"kind": kind, "of": of, "text": mark, "source": "painted on"}
        add_alias(workshop, AliasRequest.model_validate(asked))
    wrong = add_alias(workshop, AliasRequest(kind="segment", of=NUMBER_U4, text="STERN 2 / IV", source="painted on"))
    mark_alias_wrong(workshop, wrong.id, AliasWrongRequest(reason="is the one next to it"))
    add_alias(workshop, AliasRequest(kind="segment", of=NUMBER_U2, text="STERN 2 / IV", note="seen on the part"))


def _programs_that_listen(workshop: Workshop) -> None:
    """One is told of every step from now on, one was let go of."""
    asked = WebhookRequest.model_validate({"url": "https://planning.example/kitwright", "name": "planning"})
    end_webhook(workshop, add_webhook(workshop, asked, loopback=False).id)
    only = asked.model_copy(update={"states": ("released_to_cut", "shipped")})
    add_webhook(workshop, only, loopback=False)


def _calls(workshop: Workshop) -> None:
    """One goes from half a number to the parcel, with a photograph and a picture confirmed; one is nothing."""
    begun = {"words": "the green one is in pieces", "mark": "A5??-SW*", "came_by": "ear", "caller": "night shift"}
    report = add_report(workshop, DamageReportRequest.model_validate(begun)).id
    length = {"question": "overall_length_mm", "answer": "150", "tolerance_mm": 5}
    add_evidence(workshop, report, EvidenceRequest.model_validate({"evidence": [length]}))
    add_photo(workshop, report, photograph_of("the plate"), typed="A5?? SW2")
    link = make_link(workshop, report, LinkRequest(numbers=(NUMBER_PLATES, NUMBER_U4)))
    confirm_link(workshop, link.token, ConfirmRequest(ordinal=1))
    choose(
        workshop, report, ChoiceRequest(mark=NUMBER_PLATES, set=2, rejected=(NUMBER_U4,), reason="the caller saw it")
    )
    asked = {"mark": NUMBER_PLATES, "set": 2, "reason": "cracked", "report": report}
    order = reorder(workshop, ReorderRequest.model_validate(asked))
    measured = {
        "feature": "thickness",
        "measured_mm": 25.06,
        "temperature_c": 23,
        "nominal_mm": 25,
        "tolerance_mm": 0.2,
    }
    for state in ("released_to_cut", "cut", "inspected", "shipped"):
        step = {"state": state, "measured": [measured] if state == "inspected" else [], "promised_on": "2026-03-20"}
        step_order(workshop, order.id, StepRequest.model_validate(step))
    nothing = add_report(workshop, DamageReportRequest(words="it was only dirty"))
    give_up_report(workshop, nothing.id, GiveUpRequest(reason="found whole"))


def _orders(workshop: Workshop) -> None:
    """One cancelled, one with its neighbour and a packet."""
    cancelled = reorder(workshop, ReorderRequest(mark=_fitted_key(workshop, NUMBER_U4, 1), reason="cracked"))
    cancel_reorder(workshop, cancelled.id, CancelRequest(reason="held after all"))
    newest = reorder(
        workshop,
        ReorderRequest.model_validate(
            {"mark": _fitted_key(workshop, NUMBER_U3, 1), "reason": "crushed", "prefer": "newest"}
        ),
    )
    assert newest.outcome == "current_needs_neighbours"
    assert reorder_packet(workshop, newest.id)


def _fitted_key(workshop: Workshop, number: str, set_number: int) -> str:
    return next(
        piece.key
        for piece in resolve_mark(workshop, number).pieces
        if piece.condition == "fitted" and piece.set == set_number and piece.key
    )
