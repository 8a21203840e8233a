"""A picture of a damaged plate at the desk and on the floor."""

from __future__ import annotations

import re
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from service.render.png import picture as drawn
from service.work.resolve import resolve_mark
from tests.mark_factory import make_layout
from tests.web.conftest import Desk


def photographed_plate(desk: Desk) -> tuple[str, bytes]:
    """A segment on record, and a picture of a plate of it."""
    text = desk.client.get("/shop/kits/OSV4-FC1-A500").text
    number = re.findall(r"/desk/segments/([A-Z0-9-]+)", text)[0]
    key = resolve_mark(desk.workshop, number).key
    assert key is not None
    grey = np.asarray(drawn(make_layout(key=key)).convert("L"))
    wide = np.pad(np.kron(grey, np.ones((3, 3), np.uint8)), 60, constant_values=60)
    buffer = BytesIO()
    Image.fromarray(wide).save(buffer, "PNG")
    return number, buffer.getvalue()


@pytest.mark.parametrize("way", ["/desk", "/floor"])
def test_a_picture_is_taken_read_and_shown_with_its_symbols(desk: Desk, way: str) -> None:
    assert f'href="{way}/picture"' in desk.client.get(way).text
    form = desk.client.get(f"{way}/picture").text
    assert 'accept="image/*" capture="environment"' in form
    number, data = photographed_plate(desk)
    answer = desk.client.post(f"{way}/picture", files={"file": ("plate.png", data, "image/png")})
    assert answer.status_code == 200
    assert number.rpartition("-")[0] in answer.text
    assert answer.text.count('<polygon class="found whole"') >= 3
    assert "data:image/jpeg;base64," in answer.text
    assert "img-src 'self' data:" in answer.headers["content-security-policy"]
    assert "symbols could be decoded as usual" in answer.text


def test_what_is_no_picture_is_said_on_the_page(desk: Desk) -> None:
    answer = desk.client.post("/desk/picture", files={"file": ("plate.png", b"no picture", "image/png")})
    assert answer.status_code == 422
    assert "JPEG" in answer.text
    assert desk.client.post("/floor/picture").status_code == 422


def test_a_picture_of_nothing_says_what_to_do(desk: Desk) -> None:
    buffer = BytesIO()
    Image.new("L", (200, 150), 90).save(buffer, "PNG")
    answer = desk.client.post("/floor/picture", files={"file": ("x.png", buffer.getvalue())})
    assert answer.status_code == 200
    assert "Not readable" in answer.text
    assert "Move closer" in answer.text


def test_only_people_inside_send_pictures(guarded: Desk) -> None:
    assert guarded.client.get("/floor/picture").status_code == 303
    assert guarded.client.post("/floor/picture", files={"file": ("x.png", b"x")}).status_code == 401
