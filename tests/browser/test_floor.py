"""The operator: a scan on a phone, and a hand scanner that types, in a real browser."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import OWNER_KEY, PHONE
from tests.demo_data import TELEPHONE, open_workshop
from tests.faults.processes import Service
from tests.web.parts import Piece, a_piece, number_at

GLOVE_PX = 56
"""The least size of what is touched with gloves; common practice, no source."""
pytestmark = pytest.mark.usefixtures("complaints")


@pytest.fixture(scope="module")
def piece(demo_folder: Path) -> Piece:
    workshop = open_workshop(demo_folder)
    found = a_piece(workshop)
    workshop.database.close()
    return found


@pytest.fixture(scope="module")
def handed(demo_folder: Path) -> str:
    """The number of a segment that has a hand."""
    workshop = open_workshop(demo_folder)
    found = number_at(workshop, "OR1-L2")
    workshop.database.close()
    return found


def test_a_scan_opens_a_page_for_a_phone(page: Page, guarded: Service, piece: Piece) -> None:
    page.set_viewport_size({"width": PHONE["width"], "height": PHONE["height"]})
    page.goto(f"{guarded.url}/S/{piece.key}")
    container = page.get_by_role("heading", level=1)
    expect(container).to_contain_text("tall round 500\u00a0mL")
    sizes = page.evaluate(
        "() => [...document.querySelectorAll('main *')].filter(e => e.childElementCount === 0 && e.textContent.trim())"
        ".map(e => [parseFloat(getComputedStyle(e).fontSize), e.tagName])"
    )
    largest = container.evaluate("e => parseFloat(getComputedStyle(e).fontSize)")
    assert all(size <= largest for size, _tag in sizes), "the container in words is the largest text"
    expect(page.locator("main")).to_contain_text("discharge star wheel")
    expect(page.get_by_role("link", name=TELEPHONE)).to_have_attribute("href", "tel:+005550100")
    expect(page.locator("main")).not_to_contain_text("Tarnquill")
    expect(page.locator(".plan")).to_have_count(0)


def test_signing_in_leads_back_to_the_scanned_part_with_its_place_lit(
    page: Page, guarded: Service, piece: Piece
) -> None:
    page.set_viewport_size({"width": PHONE["width"], "height": PHONE["height"]})
    page.goto(f"{guarded.url}/s/{piece.key}")
    page.get_by_role("link", name="Sign in").click()
    page.get_by_label("Owner key").fill(OWNER_KEY)
    page.get_by_role("button", name="Sign in").click()
    assert page.url == f"{guarded.url}/s/{piece.key}"
    lit = page.locator(".plan [aria-current]")
    expect(lit).to_have_count(1)
    expect(lit).to_have_attribute("href", f"/desk/segments/{piece.number}")
    page.get_by_role("link", name=re.compile("Order this segment")).click()
    expect(page.get_by_label(re.compile(f"^{piece.key[:4]}-{piece.key[4:]}"))).to_be_checked()


def test_what_is_touched_with_gloves_is_large(page: Page, service: Service, piece: Piece) -> None:
    page.set_viewport_size({"width": PHONE["width"], "height": PHONE["height"]})
    for address in ("/floor", f"/floor?mark={piece.key}", f"/s/{piece.key}"):
        page.goto(service.url + address)
        small = page.evaluate(
            "least => [...document.querySelectorAll('header a, button, input, a.button, a.tel')]"
            ".filter(e => !e.closest('.hidden-words') && e.getBoundingClientRect().height < least - 0.5)"
            ".map(e => e.outerHTML.slice(0, 80))",
            GLOVE_PX,
        )
        assert small == [], address


def test_the_hand_is_said_in_a_whole_word(page: Page, service: Service, handed: str) -> None:
    page.goto(f"{service.url}/floor?mark={handed}")
    expect(page.locator(".hand")).to_have_text(re.compile(r"^(LEFT|RIGHT)looking downstream$"))


def test_a_hand_scanner_types_wherever_the_focus_is(page: Page, service: Service, piece: Piece) -> None:
    page.goto(f"{service.url}/floor")
    page.evaluate("document.activeElement.blur()")
    page.keyboard.type(piece.key)
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_contain_text("discharge star wheel")
    # Scripts run when the page is read to its end; until then the field has the focus of its own.
    page.wait_for_load_state()
    page.evaluate("document.activeElement.blur()")
    page.keyboard.type(piece.neighbour)
    page.keyboard.press("Enter")
    expect(page.locator("main .number.big")).to_have_text(piece.neighbour)


def test_the_next_scan_replaces_the_one_before(page: Page, service: Service, piece: Piece) -> None:
    page.goto(f"{service.url}/floor?mark=XX")
    page.keyboard.type(piece.key)
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_contain_text("discharge star wheel")


class Wedge:
    """A scanner that types.

    Each key bears the moment at which the scanner sent it, 2 ms after the one before, so that a busy machine does not
    turn a scan into slow typing.
    """

    def __init__(self, page: Page) -> None:
        self._protocol = page.context.new_cdp_session(page)
        self._at = time.time()

    def types(self, text: str) -> None:
        """Each character as a key of its own."""
        for sign in text:
            self.presses(sign)

    def presses(self, key: str, *, control: bool = False) -> None:
        """One key, with Ctrl held if so asked."""
        self._at += 0.002
        said: dict[str, object] = {"key": key, "timestamp": self._at, "modifiers": 2 if control else 0}
        down = {**said, "type": "rawKeyDown"} if control else {**said, "type": "keyDown", "text": key}
        self._protocol.send("Input.dispatchKeyEvent", down)
        self._protocol.send("Input.dispatchKeyEvent", {**said, "type": "keyUp"})


def test_control_characters_of_a_scanner_open_no_dialog_and_reach_the_reader(
    page: Page, service: Service, piece: Piece
) -> None:
    # The message of ISO/IEC 15434 as a wedge scanner sends it: separators as Ctrl with a key.
    page.goto(f"{service.url}/floor")
    wedge = Wedge(page)
    wedge.types("[)>")
    for key, data in (("^", "06"), ("]", f"1P{piece.number}"), ("]", f"S{piece.key}"), ("^", ""), ("d", "")):
        wedge.presses(key, control=True)
        wedge.types(data)
    sent = page.get_by_label("Scan or type the mark").input_value()
    assert sent == f"[)>\x1e06\x1d1P{piece.number}\x1dS{piece.key}\x1e\x04"
    page.keyboard.press("Enter")
    expect(page.locator("main .number.big")).to_have_text(piece.number)
