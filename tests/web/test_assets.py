"""Style sheet, scripts and faces come from this server, and only those that belong to the pages."""

from __future__ import annotations

import re

from service.web.assets import STATIC, address, assets
from tests.web.conftest import Desk


def test_the_style_sheet_is_served_and_kept_by_the_browser(desk: Desk) -> None:
    answer = desk.client.get(address("kitwright.css"))
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/css")
    assert "immutable" in answer.headers["cache-control"]
    again = desk.client.get(address("kitwright.css"), headers={"If-None-Match": answer.headers["etag"]})
    assert again.status_code == 304


def test_an_old_address_of_a_changed_file_is_not_kept_for_ever(desk: Desk) -> None:
    assert "immutable" not in desk.client.get("/static/kitwright.css?v=old").headers["cache-control"]


def test_nothing_else_can_be_fetched(desk: Desk) -> None:
    for path in ("/static/nothing.css", "/static/../pages.py", "/static/%2e%2e/pages.py", "/static/fonts/OFL.txt"):
        assert desk.client.get(path).status_code == 404


def test_every_file_that_the_style_sheet_names_is_there() -> None:
    css = (STATIC / "kitwright.css").read_text(encoding="utf-8")
    named = re.findall(r'url\("/static/([^"]+)"\)', css)
    assert named
    assert set(named) <= set(assets())
    assert "http" not in css
