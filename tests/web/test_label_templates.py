"""The shop desk's page of templates: pictures, findings, and a template that is pasted or chosen."""

from __future__ import annotations

import io
import re

import pytest
from PIL import Image

from schemas.template_reading import MOST_BYTES
from service.work.templates import list_templates
from tests.hostile_templates import CLEAN_PATH, HOSTILE, Hostile
from tests.web.conftest import Desk

CLEAN = CLEAN_PATH.read_text(encoding="utf-8")


def test_every_template_is_shown_with_its_picture(desk: Desk) -> None:
    page = desk.client.get("/shop/templates")
    assert page.status_code == 200
    for one in list_templates(desk.workshop).templates:
        assert one.title in page.text
        picture = desk.client.get(f"/shop/templates/{one.name}.png")
        assert picture.headers["content-type"] == "image/png"
        with Image.open(io.BytesIO(picture.content)) as image:
            assert image.width / image.height == pytest.approx(one.width_mm / one.height_mm, rel=0.02)


def test_the_page_is_found_from_the_kits(desk: Desk) -> None:
    assert 'href="/shop/templates"' in desk.client.get("/shop").text


@pytest.mark.parametrize("case", HOSTILE[::7], ids=[case.name for case in HOSTILE[::7]])
def test_a_broken_file_is_shown_with_its_finding_beside_the_line(desk: Desk, case: Hostile) -> None:
    sent = {"file": ("t.toml", case.path.read_bytes(), "application/toml")}
    page = desk.client.post("/shop/templates", files=sent)
    assert page.status_code == 200
    assert "Not yet." in page.text
    assert f"<code>{case.field}</code>" in page.text
    if case.line is not None:
        row = re.search(rf'<tr class="found"><th scope="row">{case.line}</th>.*?</tr>', page.text, re.DOTALL)
        assert row is not None
        assert f"<code>{case.field}</code>" in row[0]


def test_a_pasted_template_is_clean_and_drawn(desk: Desk) -> None:
    page = desk.client.post("/shop/templates", data={"text": CLEAN.replace("\n", "\r\n")})
    assert page.status_code == 200
    assert "Clean." in page.text
    assert page.text.count("<svg xmlns") == 1
    assert "OSV4-FC1-A500-SW2-U3" in page.text


def test_what_has_no_room_is_left_out_of_the_picture(desk: Desk) -> None:
    narrow = CLEAN.replace("width_mm = 52", "width_mm = 4", 1)
    page = desk.client.post("/shop/templates", data={"text": narrow})
    assert "Not yet." in page.text
    drawing = page.text[page.text.index("<svg xmlns") : page.text.index("</svg>", page.text.index("<svg xmlns"))]
    assert "tall round 500 mL" in drawing
    assert "discharge star wheel" not in drawing


def test_without_a_size_there_is_no_picture(desk: Desk) -> None:
    page = desk.client.post("/shop/templates", data={"text": CLEAN.replace("width_mm = 100", "width_mm = 0", 1)})
    assert "before the size of the mark is right" in page.text
    assert "<svg xmlns" not in page.text


def test_marks_in_a_pasted_text_are_text_on_the_page(desk: Desk) -> None:
    page = desk.client.post("/shop/templates", data={"text": 'title = "<script>alert(1)</script>"\nname = "</code>"'})
    assert "<script>alert" not in page.text
    assert "&lt;script&gt;alert(1)" in page.text


@pytest.mark.parametrize("data", [b"\xff\xfe\x00", b"", b"#" * (MOST_BYTES + 5), b"a = 1\n" * 40_000])
def test_any_file_is_answered(desk: Desk, data: bytes) -> None:
    page = desk.client.post("/shop/templates", files={"file": ("any.toml", data, "application/toml")})
    assert page.status_code == 200
    assert "Not yet." in page.text
    assert len(page.content) < 2_000_000


def test_nothing_sent_is_said_above_the_form(desk: Desk) -> None:
    page = desk.client.post("/shop/templates", data={"text": "  "})
    assert page.status_code == 422
    assert "no template was sent" in page.text


def test_strangers_see_no_templates(guarded: Desk) -> None:
    for answer in (guarded.client.get("/shop/templates"), guarded.client.get("/shop/templates/nameplate-60x22.png")):
        assert answer.status_code in (303, 401)
