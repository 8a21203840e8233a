"""The assembler: from drawings and a manifest to numbered parts, in a real browser."""

from __future__ import annotations

import io
import json
import re
import zipfile
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from service.demo.shop import demo_shop
from tests.browser.conftest import DESK
from tests.faults.processes import Service
from tests.web.test_shop import manifest

KIT = "OSV4-FC1-A500"
pytestmark = pytest.mark.usefixtures("complaints")


def test_a_kit_is_issued_from_drawing_to_plan(page: Page, service: Service, tmp_path: Path) -> None:
    page.set_viewport_size({"width": DESK["width"], "height": DESK["height"]})
    drawing = demo_shop().cut_files[0]
    path = tmp_path / "osv4-fc1-e750-rl1-u1.dxf"
    path.write_bytes(drawing.data)

    page.goto(f"{service.url}/shop/cut-files")
    page.get_by_label("Drawing (DXF)").set_input_files(path)
    page.get_by_label("Revision", exact=True).fill("-")
    page.get_by_label("What changed").fill("first release")
    page.get_by_role("button", name="Release").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(path.name)
    expect(page.locator(".outline-picture svg")).to_be_visible()

    kit = manifest(container="tall round 750 mL")
    kit["assemblies"][0]["segments"][0]["cut_file"] = path.name
    page.goto(f"{service.url}/shop/new-kit")
    page.get_by_label("or paste it").fill(json.dumps(kit))
    page.get_by_role("button", name="Prepare").click()
    expect(page.get_by_role("heading", name="Ready to issue")).to_be_visible()
    assert page.url.endswith("/shop/new-kit"), "the form stays where it is"
    page.get_by_role("button", name=re.compile("^Issue OSV4-FC1-")).click()

    expect(page.get_by_role("heading", level=1)).to_contain_text("tall round 750\u00a0mL")
    number = page.locator("[data-number]").get_attribute("data-number")
    assert number is not None
    page.locator(f"[data-plan] a[href='/desk/segments/{number}']").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(number)


def test_what_is_wrong_is_said_under_the_form(page: Page, service: Service) -> None:
    page.goto(f"{service.url}/shop/new-kit")
    page.get_by_label("or paste it").fill('{"plant": ')
    page.get_by_role("button", name="Prepare").click()
    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("no JSON")
    expect(alert).to_contain_text("line 1, column")
    expect(page.get_by_label("or paste it")).to_have_value('{"plant": ')
    kit = manifest(container="tall round 750 mL")
    kit["assemblies"][0]["segments"][0]["material"] = "cheese"
    page.get_by_label("or paste it").fill(json.dumps(kit))
    page.get_by_role("button", name="Prepare").click()
    expect(page.locator("#prepared-here")).to_contain_text("Not ready to issue")
    expect(page.locator("#prepared-here")).to_contain_text("cheese")
    expect(page.get_by_role("button", name=re.compile("^Issue"))).to_have_count(0)


def test_a_manifest_file_is_shown_before_it_is_sent(page: Page, service: Service, tmp_path: Path) -> None:
    path = tmp_path / "kit.json"
    path.write_text(json.dumps(manifest(container="tall round 750 mL")), encoding="utf-8")
    page.goto(f"{service.url}/shop/new-kit")
    page.get_by_label("Kit manifest as a file").set_input_files(path)
    expect(page.get_by_label("or paste it")).to_have_value(path.read_text(encoding="utf-8"))


def test_row_and_outline_point_at_each_other(page: Page, service: Service) -> None:
    page.set_viewport_size({"width": DESK["width"], "height": DESK["height"]})
    page.goto(f"{service.url}/shop/kits/{KIT}")
    row = page.locator("[data-number]").first
    number = row.get_attribute("data-number")
    outline = page.locator(f"[data-plan] a[href='/desk/segments/{number}']")
    row.hover()
    expect(outline).to_have_class(re.compile(r"\bhover\b"))
    outline.focus()
    expect(row).to_have_class(re.compile(r"\blit\b"))


def test_the_plates_open_and_the_engraving_is_downloaded(page: Page, service: Service) -> None:
    page.goto(f"{service.url}/shop")
    page.get_by_role("link", name=re.compile(r"-A12$")).click()
    with page.expect_response("**/nameplates.pdf") as printed:
        page.get_by_role("button", name="Make the PDF").click()
    assert printed.value.status == 200
    assert printed.value.headers["content-type"] == "application/pdf"
    page.goto(f"{service.url}/shop")
    page.get_by_role("link", name=re.compile(r"-A12$")).click()
    with page.expect_download() as download:
        page.get_by_role("button", name="Engraving files (zip)").click()
    archive = zipfile.ZipFile(io.BytesIO(download.value.path().read_bytes()))
    assert any(name.endswith(".dxf") for name in archive.namelist())


def test_a_kit_is_issued_without_scripts(browser: Browser, service: Service) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{service.url}/shop/new-kit")
    page.get_by_label("or paste it").fill(json.dumps(manifest(container="tall square 750 mL", place=2)))
    page.get_by_role("button", name="Prepare").click()
    page.get_by_role("button", name=re.compile("^Issue OSV4-FC1-")).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("tall square 750\u00a0mL")
    context.close()
