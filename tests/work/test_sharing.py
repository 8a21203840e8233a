"""Shared parts and retired kits: who leans on whom, and what a kit out of use still does."""

from __future__ import annotations

from collections.abc import Callable

import pypdfium2
import pytest

from schemas.answers import KitAnswer
from schemas.pieces import RetirementRequest, SetRequest, ShareRequest, UnshareRequest
from schemas.requests import CorrectionRequest, ReorderRequest, ShopRequest
from service.errors import BadRequest, Contradiction, KitRetired, LintFailed, SegmentShared
from service.store import interfaces, kits
from service.work.correct import correct_kit
from service.work.engrave import engrave_kit, engrave_segment
from service.work.history import history
from service.work.make_set import make_set
from service.work.once import Retry
from service.work.packet import reorder_packet
from service.work.plates import kit_plates
from service.work.print_marks import print_kit, print_segment
from service.work.read import read_mark
from service.work.reorder import reorder
from service.work.resolve import resolve_mark
from service.work.retire import retire_kit
from service.work.share import share_segment, unshare_segment
from service.work.shop_facts import set_shop_facts
from service.work.show_kit import show_kit
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_PLATES, NUMBER_U3, issue_small, segment

HOME, GUEST = "OSV4-FC1-A500", "OSV4-FC1-C330"
RAILS = {"RL1": [segment("RL1-U1", cut_file="osv4-fc1-a500-or1-l1.dxf")]}
RETIRE = RetirementRequest(reason="bottle is not filled any more")


def issue_guest(workshop: Workshop, *, ordinal: int = 1, **changes: object) -> KitAnswer:
    """A second kit, of the same machine unless an ordinal says otherwise."""
    container = {"code": "C330", "name": "sport 330 mL", "nominal": 330, "unit": "mL", "shape": "round"}
    machine = {"class": "FC", "ordinal": ordinal, "rotation": "clockwise"}
    return issue_small(workshop, container=container, machine=machine, segments=RAILS, **changes)


@pytest.fixture
def guest(stocked: Workshop, issued: KitAnswer) -> KitAnswer:
    return issue_guest(stocked)


def share(workshop: Workshop, number: str = NUMBER_PLATES, kit: str = GUEST) -> KitAnswer:
    return share_segment(workshop, kit, ShareRequest(number=number))


def test_a_shared_segment_keeps_its_number_and_both_kits_say_so(stocked: Workshop, guest: KitAnswer) -> None:
    kit = share(stocked)
    assert [(row.number, row.status) for row in kit.segments][-1] == (NUMBER_PLATES, "shared")
    assert resolve_mark(stocked, NUMBER_PLATES).serves == (GUEST,)
    for subject in (NUMBER_PLATES, GUEST):
        event = history(stocked, subject).events[-1]
        assert (event.verb, event.after) == ("share", {"segment": NUMBER_PLATES, "serves": GUEST})
    with stocked.database.read() as connection:
        plates = {plate.segment.number: plate.facts for plate in kit_plates(stocked, connection, HOME)}
    assert plates[NUMBER_PLATES].serves == ("C330",)
    assert plates[NUMBER_U3].serves == ()


def test_sharing_twice_changes_nothing(stocked: Workshop, guest: KitAnswer) -> None:
    share(stocked)
    lines = len(history(stocked, GUEST).events)
    share(stocked)
    assert len(history(stocked, GUEST).events) == lines


def test_what_cannot_be_shared_is_said(stocked: Workshop, guest: KitAnswer) -> None:
    with pytest.raises(BadRequest, match="the kit's own"):
        share(stocked, kit=HOME)
    with pytest.raises(BadRequest, match="does not serve"):
        unshare_segment(stocked, GUEST, UnshareRequest(number=NUMBER_PLATES, reason="never did"))


def test_a_place_that_is_taken_is_not_given_twice(stocked: Workshop, issued: KitAnswer) -> None:
    container = {"code": "C330", "name": "sport 330 mL", "nominal": 330, "unit": "mL", "shape": "round"}
    issue_small(stocked, container=container, segments={"BP1": [segment("BP1-X1")]})
    with pytest.raises(BadRequest, match="stands on BP1-X1"):
        share(stocked)


def test_two_machines_share_by_somebodys_word_only(stocked: Workshop, issued: KitAnswer) -> None:
    other = issue_guest(stocked, ordinal=2).number
    with pytest.raises(Contradiction, match="two machines"):
        share(stocked, kit=other)
    with stocked.database.write() as connection:
        found = [kits.find_kit(connection, number) for number in (HOME, other)]
        machines = [kit.machine.id for kit in found if kit is not None]
        interfaces.add_interface(
            connection,
            machine_ids=(machines[0], machines[1]),
            assembly="BP1",
            interface="bolt pattern",
            note="",
            recorded_by="owner",
            recorded_at="2026-03-09T08:15:00Z",
        )
    share(stocked, kit=other)
    assert resolve_mark(stocked, NUMBER_PLATES).serves == (other,)
    with pytest.raises(Contradiction):
        share(stocked, NUMBER_U3, kit=other)


def test_a_kit_that_others_lean_on_is_not_retired_and_they_are_named(stocked: Workshop, guest: KitAnswer) -> None:
    share(stocked)
    with pytest.raises(SegmentShared, match=f"{GUEST} leans on {NUMBER_PLATES}"):
        retire_kit(stocked, HOME, RETIRE)
    assert show_kit(stocked, HOME).status == "issued"
    unshare_segment(stocked, GUEST, UnshareRequest(number=NUMBER_PLATES, reason="own plates were made"))
    assert resolve_mark(stocked, NUMBER_PLATES).serves == ()
    assert retire_kit(stocked, HOME, RETIRE).status == "retired"


def test_a_retired_kit_leans_on_nobody(stocked: Workshop, guest: KitAnswer) -> None:
    share(stocked)
    retire_kit(stocked, GUEST, RETIRE)
    assert resolve_mark(stocked, NUMBER_PLATES).serves == ()
    retire_kit(stocked, HOME, RETIRE)
    with pytest.raises(KitRetired):
        share(stocked, NUMBER_U3)


def test_a_place_of_a_shared_segment_is_not_voided(stocked: Workshop, guest: KitAnswer) -> None:
    share(stocked)
    with pytest.raises(SegmentShared, match=GUEST):
        correct_kit(
            stocked,
            HOME,
            CorrectionRequest.model_validate({"reason": "cut up differently", "void": [{"number": NUMBER_PLATES}]}),
        )


def test_a_shared_segment_that_interlocks_stays(stocked: Workshop, issued: KitAnswer) -> None:
    container = {"code": "C330", "name": "sport 330 mL", "nominal": 330, "unit": "mL", "shape": "round"}
    star = [{"deck": "U", "ordinal": 3, "shares": NUMBER_U3}, segment("SW2-U4")]
    joint = {"between": ["SW2-U3", "SW2-U4"], "form": "dovetail"}
    issue_small(stocked, container=container, segments={"SW2": star}, joints=[joint])
    with pytest.raises(SegmentShared, match="interlocks with it"):
        unshare_segment(stocked, GUEST, UnshareRequest(number=NUMBER_U3, reason="own one was made"))
    # Its set is checked against what is fitted of the other kit.
    assert make_set(stocked, GUEST, SetRequest()).shared == (NUMBER_U3,)


def test_numbers_of_a_retired_kit_still_resolve_and_say_so(stocked: Workshop, issued: KitAnswer) -> None:
    retry = Retry.of("once", "POST", b"x")
    kit = retire_kit(stocked, HOME, RETIRE, retry=retry)
    assert retire_kit(stocked, HOME, RETIRE, retry=retry) == kit
    assert (kit.status, kit.retired_reason) == ("retired", RETIRE.reason)
    for row in issued.segments:
        assert read_mark(stocked, row.number).outcome == "exact"
        answer = resolve_mark(stocked, row.number)
        assert (answer.kit_status, answer.retired_reason) == ("retired", RETIRE.reason)
        assert answer.retired_at is not None
    with pytest.raises(KitRetired, match="retired already"):
        retire_kit(stocked, HOME, RETIRE)
    event = history(stocked, HOME).events[-1]
    assert (event.verb, event.before) == ("retire", {"status": "issued"})


VERBS: dict[str, Callable[[Workshop, str | None], object]] = {
    "print": lambda shop, why: print_kit(shop, HOME, override=why),
    "print one": lambda shop, why: print_segment(shop, NUMBER_U3, form="svg", override=why),
    "engrave": lambda shop, why: engrave_kit(shop, HOME, override=why),
    "engrave one": lambda shop, why: engrave_segment(shop, NUMBER_U3, form="dxf", override=why),
    "make set": lambda shop, why: make_set(shop, HOME, SetRequest(override=why)),
    "reorder": lambda shop, why: reorder(shop, ReorderRequest(mark=NUMBER_U3, reason="crushed", override=why)),
}


@pytest.mark.parametrize("verb", VERBS)
def test_a_retired_kit_wants_a_reason_and_keeps_it(stocked: Workshop, issued: KitAnswer, verb: str) -> None:
    retire_kit(stocked, HOME, RETIRE)
    with pytest.raises(KitRetired, match=RETIRE.reason):
        VERBS[verb](stocked, None)
    assert [event.verb for event in history(stocked, HOME).events][-1] == "retire"
    VERBS[verb](stocked, "customer takes it up again")
    (event,) = [event for event in history(stocked, HOME).events if event.verb == "override"]
    assert event.after == {"verb": verb.removesuffix(" one"), "reason": "customer takes it up again"}


def test_a_packet_ordered_before_retiring_wants_a_reason(stocked: Workshop, issued: KitAnswer) -> None:
    before = reorder(stocked, ReorderRequest(mark=NUMBER_U3, reason="crushed"))
    retire_kit(stocked, HOME, RETIRE)
    with pytest.raises(KitRetired):
        reorder_packet(stocked, before.id)
    assert reorder_packet(stocked, before.id, override="the last one for the museum")
    after = reorder(stocked, ReorderRequest(mark=NUMBER_PLATES, reason="crushed", override="museum again"))
    assert reorder_packet(stocked, after.id)


def test_a_plate_without_room_for_the_other_kits_is_not_shared(stocked: Workshop, guest: KitAnswer) -> None:
    set_shop_facts(
        stocked, ShopRequest(name="Change parts and bottle handling of the whole valley", telephone="0" * 30)
    )
    with pytest.raises(LintFailed) as caught:
        share(stocked)
    assert "serves" in caught.value.field
    assert show_kit(stocked, GUEST).segments[-1].number != NUMBER_PLATES


@pytest.mark.parametrize(
    "template",
    ["nameplate-60x22", "nameplate-90x35", "tied-tag-80x50", "cart-placard-a5", "crate-label-a5", "rack-shelf-strip"],
)
def test_a_shipped_template_with_room_says_for_whom_a_part_stays_on(
    stocked: Workshop, guest: KitAnswer, template: str
) -> None:
    share(stocked)
    data = print_segment(stocked, NUMBER_PLATES, form="pdf", template=template)
    assert "stays on for C330" in pypdfium2.PdfDocument(data)[0].get_textpage().get_text_bounded()
