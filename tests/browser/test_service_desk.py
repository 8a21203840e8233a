"""The service desk: from half-read text to the packet, in a real browser."""

from __future__ import annotations

import io
import re
import zipfile
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.demo_data import open_workshop
from tests.faults.processes import Service
from tests.web.parts import Piece, a_piece

pytestmark = pytest.mark.usefixtures("complaints")


@pytest.fixture(scope="module")
def piece(demo_folder: Path) -> Piece:
    workshop = open_workshop(demo_folder)
    found = a_piece(workshop)
    workshop.database.close()
    return found


def test_a_badly_read_number_is_ordered_again(page: Page, service: Service, piece: Piece) -> None:
    page.goto(f"{service.url}/")
    page.get_by_label("Type or scan any mark").fill(f"0sv4 fc1 a5oo 5w2 u3 {piece.number[-2:]}")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("was read with repairs")
    expect(page.get_by_role("heading", level=1)).to_have_text(piece.number)

    page.get_by_role("link", name="Order this segment").click()
    page.get_by_label("What happened").fill("crushed in a jam")
    page.get_by_label(re.compile(f"^{piece.key[:4]}-{piece.key[4:]}")).check()
    page.get_by_role("button", name="Decide and order").click()

    expect(page.get_by_role("heading", level=1)).to_contain_text("Cut revision")
    expect(page.get_by_role("heading", name="Why")).to_be_visible()
    with page.expect_download() as download:
        page.get_by_role("button", name="Packet for the shop (zip)").click()
    names = zipfile.ZipFile(io.BytesIO(download.value.path().read_bytes())).namelist()
    assert any(name.endswith(".dxf") for name in names)
    assert any(name.endswith(".pdf") for name in names)

    page.get_by_role("link", name="Reorders").click()
    expect(page.locator("table")).to_contain_text("crushed in a jam")


def test_a_wrong_check_offers_candidates_and_picks_none(page: Page, service: Service, piece: Piece) -> None:
    wrong = piece.number[:-2] + f"{(int(piece.number[-2:]) - 2 + 5) % 97 + 2:02}"
    page.goto(f"{service.url}/desk")
    page.get_by_label(re.compile("Type or scan anything")).fill(wrong)
    page.get_by_role("button", name="Look up").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Which segment is it?")
    expect(page.locator(".likely .picture svg").first).to_be_visible()
    page.locator(".likely").get_by_role("link", name=piece.number).click()
    expect(page.get_by_role("heading", level=1)).to_have_text(piece.number)


def test_an_unknown_number_is_said_and_the_field_is_ready_again(page: Page, service: Service) -> None:
    page.goto(f"{service.url}/desk?mark=MRG7-RN3-C250-RL4-X9")
    expect(page.locator(".call-found")).to_contain_text("This number was never issued")
    expect(page.get_by_label("What can be read of the mark")).to_be_focused()


def test_an_address_that_does_not_exist_is_a_page(page: Page, service: Service) -> None:
    answer = page.goto(f"{service.url}/desk/nothing/here")
    assert answer is not None
    assert answer.status == 404
    expect(page.get_by_role("heading", level=1)).to_have_text("No such address")
    page.get_by_role("link", name="To the start").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("What does the mark say?")
