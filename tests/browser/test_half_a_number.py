"""From half a number on the telephone to the packet, in a real browser; and the caller's page on a phone."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import DESK, PHONE, settings
from tests.demo_data import copied, open_workshop
from tests.faults.processes import Service, serving
from tests.web.parts import Piece, a_piece

pytestmark = pytest.mark.usefixtures("complaints")

HALF = "??V4-FC1-A5??-SW"


@pytest.fixture(scope="module")
def own(demo_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """A service of its own: what is ordered here would be on order for other tests."""
    folder = copied(demo_folder, tmp_path_factory.mktemp("calls") / "data")
    with serving(environment=settings(folder)) as running:
        yield running


@pytest.fixture(scope="module")
def piece(demo_folder: Path) -> Piece:
    workshop = open_workshop(demo_folder)
    found = a_piece(workshop)
    workshop.database.close()
    return found


TOLD = {
    "plant": "Ostrey Vale",
    "line": "line 4",
    "running": "tall round 500 mL",
    "machine": "filler-capper",
    "stock_colour": "green",
    "overall_length_mm": "309",
    "thickness_mm": "25",
    "deck": "upper",
}
"""What a caller answers who holds the upper segment 3 of the discharge star wheel, which is green."""


def answered(page: Page, piece: Piece) -> list[str]:
    """Answer as that caller does, as long as something is asked; the questions that were asked."""
    asked: list[str] = []
    while page.locator("[data-pass]").count() and len(asked) < 12:
        question = str(page.locator("[data-pass]").get_attribute("value"))
        asked.append(question)
        before = page.url
        if question == "picture" and page.locator("[data-answer]", has_text=piece.number).count():
            page.locator("[data-answer]", has_text=piece.number).press("Enter")
        elif question in TOLD:
            page.locator("#told").fill(TOLD[question])
            page.keyboard.press("Enter")
        else:
            # Outside a field a digit answers: 0 is "does not know".
            page.locator("[data-pass]").focus()
            page.keyboard.press("0")
        expect(page).not_to_have_url(before)
    return asked


def test_from_half_a_number_to_the_packet(page: Page, own: Service, piece: Piece) -> None:
    page.set_viewport_size(DESK)
    page.goto(f"{own.url}/desk")
    page.get_by_label("Heard on the telephone").check()
    page.get_by_label(re.compile("Type or scan anything")).fill(HALF)
    page.keyboard.press("Enter")

    status = page.get_by_role("status")
    expect(status).to_contain_text("issued numbers agree with every symbol that was heard")
    expect(page.get_by_label("Heard on the telephone")).to_be_checked()
    page.get_by_text("Ask something else").click()
    page.get_by_role("link", name=re.compile("colour", re.IGNORECASE)).click()
    page.get_by_role("button", name=re.compile("green")).click()
    expect(page.locator(".chips")).to_contain_text("green")
    page.goto(f"{page.url}&ask=pockets")
    page.locator("#told").fill("12")
    page.keyboard.press("Enter")
    expect(page.locator(".chips")).to_contain_text("Pockets: 12")

    # Nothing is picked beforehand, and every candidate says how sure it is.
    expect(page.locator(".likely input:checked, .likely [aria-pressed=true]")).to_have_count(0)
    assert page.locator(".likely .sure strong").count() == page.locator(".likely > li").count()
    assert answered(page, piece)

    # The four quarters of a wheel are alike, and nobody is told that one of them is it.
    expect(page.locator(".call-found")).to_contain_text(piece.number)
    expect(page.locator(".likely > li:not(.unlikely)")).to_have_count(4)
    page.goto(f"{page.url}&ask=neighbour")
    page.locator("#told").fill("SW2-U2")
    page.keyboard.press("Enter")
    expect(page.locator(".likely > li:not(.unlikely)")).to_have_count(2)
    # The caller wipes the plate and reads one more sign.
    page.get_by_label("What can be read of the mark").fill("??V4-FC1-A5??-SW?-?3")
    expect(page.locator(".likely > li:not(.unlikely)")).to_have_count(1)
    expect(page.locator(".likely > li").first).to_contain_text(piece.number)

    page.get_by_text("Who called, what happened").click()
    page.get_by_label("What happened").fill("The green one on line 4 is in pieces.")
    page.get_by_label("Who called").fill("night shift")
    page.get_by_role("button", name=f"Choose {piece.number}").click()

    expect(page.get_by_role("heading", level=1)).to_have_text("What will lock")
    expect(page.locator(".locking")).to_contain_text("Collides")
    expect(page.locator(".locking")).to_contain_text("Exact")
    spot = page.locator(".spots img").first
    spot.scroll_into_view_if_needed()
    expect(spot).to_have_js_property("complete", value=True)
    assert spot.evaluate("image => image.naturalWidth") > 100
    expect(page.get_by_role("heading", name="Before hands go in")).to_be_visible()

    expect(page.get_by_label("What happened")).to_have_value("The green one on line 4 is in pieces.")
    page.get_by_label(re.compile(f"^{piece.key[:4]}-{piece.key[4:]}")).check()
    page.get_by_role("button", name="Decide and order").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Cut revision A, as it was built")
    expect(page.locator(".timeline .now")).to_contain_text("Decided")
    with page.expect_download() as download:
        page.get_by_role("button", name="Packet for the shop (zip)").click()
    archive = zipfile.ZipFile(io.BytesIO(download.value.path().read_bytes()))
    sheets = [name for name in archive.namelist() if "sheet" in name and name.endswith(".pdf")]
    assert any(piece.number in text_of(archive.read(name)) for name in sheets), archive.namelist()

    page.get_by_role("button", name="Release it to be cut").click()
    expect(page.locator(".timeline .now")).to_contain_text("Released to cut")
    page.get_by_role("link", name="Service desk").first.click()
    expect(page.locator(".waiting")).to_contain_text(piece.number)


def text_of(pdf: bytes) -> str:
    """All that a document says, without blanks and hyphens at which a number may be broken."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return "".join(page.get_textpage().get_text_bounded() for page in document).replace("\r\n", "")
    finally:
        document.close()


def test_typing_is_never_lost_and_the_way_back_takes_an_answer_back(page: Page, own: Service) -> None:
    page.set_viewport_size(DESK)
    page.goto(f"{own.url}/desk/call")
    field = page.get_by_label("What can be read of the mark")
    expect(field).to_be_focused()
    field.press_sequentially("A5*SW", delay=60)
    expect(page).to_have_url(re.compile(r"mark=A5\*SW|mark=A5%2ASW"))
    expect(field).to_be_focused()
    expect(field).to_have_value("A5*SW")
    expect(page.locator(".heard .agrees").first).to_be_visible()
    page.get_by_text("Who called, what happened").click()
    page.get_by_label("Who called").fill("half a na")

    field.focus()
    field.press("ArrowDown")
    expect(page.locator("[data-answer]").first).to_be_focused()
    page.keyboard.press("1")
    expect(page.locator(".chips li")).to_have_count(1)
    expect(page.get_by_label("Who called")).to_have_value("half a na")
    expect(page.locator(".call-question :focus, .likely :focus")).to_have_count(1)
    page.go_back()
    expect(page.locator(".chips li")).to_have_count(0)
    expect(field).to_have_value("A5*SW")
    page.keyboard.press("/")
    expect(field).to_be_focused()


def test_the_same_without_a_script(browser: Browser, own: Service) -> None:
    context = browser.new_context(java_script_enabled=False, viewport=DESK)
    page = context.new_page()
    page.goto(f"{own.url}/desk/call")
    page.get_by_label("What can be read of the mark").fill(HALF)
    page.get_by_label("Heard on the telephone").check()
    page.get_by_role("button", name="Search").click()
    page.locator("[data-answer]").first.click()
    expect(page.locator(".chips li")).to_have_count(1)
    page.locator(".chips a").click()
    expect(page.locator(".chips li")).to_have_count(0)
    page.get_by_role("button", name=re.compile("does not know")).click()
    expect(page.locator(".call-said")).to_contain_text("Does not know")
    page.get_by_role("button", name=re.compile("^Choose ")).first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("What will lock")
    context.close()


def test_the_caller_confirms_a_picture_on_a_telephone(page: Page, browser: Browser, own: Service) -> None:
    page.set_viewport_size(DESK)
    page.goto(f"{own.url}/desk/call?mark=%3F%3FV4-FC1-A5%3F%3F-SW2-U&came_by=ear")
    page.get_by_role("button", name=re.compile("^Send the .* to the caller")).click()
    expect(page.get_by_role("img", name="QR Code of the link")).to_be_visible()
    link = page.locator("a.mono").inner_text()
    expect(page.locator("[data-part=caller]")).to_contain_text("No answer yet")

    context = browser.new_context(viewport=PHONE, is_mobile=True, has_touch=True, locale="de-DE")
    phone = context.new_page()
    phone.goto(f"{own.url}/r/{link.rpartition('/')[2]}")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Welches dieser Teile ist es?")
    assert phone.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    buttons = phone.get_by_role("button", name=re.compile("^Das ist es"))
    assert all(box["height"] >= 44 for box in (one.bounding_box() for one in buttons.all()) if box)
    assert phone.locator(".to-confirm .outline-picture svg").first.bounding_box()["width"] > 250  # type: ignore[index]  # it is shown
    chosen = phone.locator(".to-confirm .number").nth(1).inner_text()
    buttons.nth(1).tap()
    expect(phone.get_by_role("status")).to_contain_text(chosen)

    # It appears at the desk by itself.
    said = page.locator("[data-part=caller]")
    expect(said).to_contain_text(chosen, timeout=15_000)
    phone.get_by_role("link", name="Polski").tap()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Która to z tych części?")
    context.close()

    said.get_by_role("link", name="Take it as an answer").click()
    expect(page.locator(".chips")).to_contain_text(f"The outline of {chosen}")
    expect(page.locator(".likely > li").first).to_contain_text(chosen)


def test_a_photograph_is_kept_and_typed_from(page: Page, own: Service, tmp_path: Path) -> None:
    picture = tmp_path / "broken.png"
    noise = Image.effect_noise((900, 600), 60).convert("RGB")
    noise.save(picture)
    page.set_viewport_size(DESK)
    page.goto(f"{own.url}/desk/call?said=stock_colour:green")
    page.get_by_label(re.compile("^A photograph of the mark")).set_input_files(picture)
    page.get_by_role("button", name="Keep and read it").click()
    expect(page.get_by_role("heading", name="Photograph 1")).to_be_visible()
    shown = page.locator(".photo-frame img")
    assert shown.evaluate("image => image.naturalWidth") == 900
    expect(page.locator(".chips")).to_contain_text("green")
    page.locator(".turn-90").check(force=True)
    assert shown.evaluate("image => getComputedStyle(image).transform").startswith("matrix(0, 1, -1, 0")
    page.locator(".zoom-4").check(force=True)
    frame = page.locator(".photo-frame")
    assert frame.evaluate("frame => frame.scrollWidth / frame.clientWidth") > 3.5
    page.get_by_label("What you see in it").fill("A5?? SW2")
    page.get_by_role("button", name="Search by it").click()
    expect(page.get_by_label("What can be read of the mark")).to_have_value("A5?? SW2")
    expect(page.get_by_label("Read by eye")).to_be_checked()
    # What was typed stays beside the picture.
    expect(page.get_by_label("What you see in it")).to_have_value("A5?? SW2")
