"""The inspection sheet of a reorder: from the records, with what its damage report ruled out."""

from __future__ import annotations

import io
import zipfile

import pypdfium2
import pytest

from schemas.damage_report import ChoiceRequest, DamageReportRequest
from schemas.requests import ReorderRequest
from service.errors import BadRequest, ReorderUnknown
from service.work.damage_choice import choose
from service.work.damage_reports import add_report
from service.work.packet import inspection_pdf, reorder_packet
from service.work.reorder import reorder
from service.work.withdraw import withdraw_revision
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_U2, NUMBER_U3, NUMBER_U4, file_of, issue_small, release, release_all


@pytest.fixture
def shop(workshop: Workshop) -> Workshop:
    release_all(workshop)
    issue_small(workshop)
    return workshop


def text_of(data: bytes) -> str:
    pages = [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(data)]
    return " ".join(" ".join(pages).split())


def test_it_says_what_is_measured_and_how_the_joints_come_out(shop: Workshop) -> None:
    answer = reorder(shop, ReorderRequest(mark=NUMBER_U3, reason="crushed"))
    text = text_of(inspection_pdf(shop, answer.id))
    assert "hole A: diameter 20.00 19.98 20.02 20.04" in text
    assert f"SW2-U4 {NUMBER_U4} 0.30" in text
    assert "nominal 25 mm" in text
    assert "ruled out" not in text
    with zipfile.ZipFile(io.BytesIO(reorder_packet(shop, answer.id))) as archive:
        assert text_of(archive.read("inspection-sheet.pdf")) == text


def test_a_neighbour_that_is_cut_too_is_met_as_it_will_be(shop: Workshop) -> None:
    release(shop, "SW2-U3", revision="A", joints_changed="SW2-U4")
    release(shop, "SW2-U4", revision="A", joints_changed=NUMBER_U3)
    answer = reorder(shop, ReorderRequest(mark=NUMBER_U3, reason="crushed", prefer="newest"))
    assert [(one.number, one.revision) for one in answer.also_cut] == [(NUMBER_U4, "A")]
    text = text_of(inspection_pdf(shop, answer.id))
    assert f"SW2-U4 {NUMBER_U4}, cut too at A" in text
    assert "lie over each other" not in text


def test_what_the_report_ruled_out_stands_beside_the_chosen_one(shop: Workshop) -> None:
    report = add_report(shop, DamageReportRequest(mark="A5??-SW*"))
    choose(shop, report.id, ChoiceRequest(mark=NUMBER_U3, rejected=(NUMBER_U4, NUMBER_U2)))
    request = ReorderRequest.model_validate({"mark": NUMBER_U3, "reason": "crushed", "report": report.id})
    answer = reorder(shop, request)
    text = text_of(inspection_pdf(shop, answer.id))
    assert "CUT THIS ONE: SW2-U3 of A500" in text
    assert "ruled out: SW2-U4 of A500" in text
    assert "ruled out: SW2-U2 of A500" in text


def test_nothing_to_cut_is_nothing_to_inspect(shop: Workshop) -> None:
    withdraw_revision(shop, file_of("SW2-U3"), "-", "wrong bore")
    answer = reorder(shop, ReorderRequest(mark=NUMBER_U3, reason="crushed"))
    with pytest.raises(BadRequest, match="nothing to cut"):
        inspection_pdf(shop, answer.id)
    with pytest.raises(ReorderUnknown):
        inspection_pdf(shop, 99)
