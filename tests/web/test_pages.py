"""Units as pages print them, and what no page may hold."""

from __future__ import annotations

import re

import pytest

from service.web.pages import (
    TEMPLATES,
    Who,
    environment,
    figure,
    in_groups,
    kilograms,
    millimetres,
    moment,
    octets,
    page,
    two_fours,
)
from service.web.views import Form, Picture, Problem, Sentence
from service.work.workshop import utc_now

ANYBODY = Who(signed_in=False, may_leave=False)


@pytest.mark.parametrize(
    ("value", "text"), [(25.0, "25 mm"), (25.4, "25.4 mm"), (0.15, "0.15 mm"), (308.614, "308.61 mm"), (-0.001, "0 mm")]
)
def test_a_length_has_no_needless_zeros(value: float, text: str) -> None:
    assert millimetres(value) == text


@pytest.mark.parametrize(("value", "text"), [(3.214, "3.21 kg"), (0.1854, "0.185 kg"), (0.0042, "0.004 kg")])
def test_a_light_piece_is_not_shown_as_nothing(value: float, text: str) -> None:
    assert kilograms(value) == text


def test_small_words() -> None:
    assert figure(1000.0) == "1000"
    assert octets(999) == "999 bytes"
    assert octets(20_040) == "20.0 kB"
    assert octets(4_000_000) == "4.0 MB"
    assert two_fours("K7M4XRAW") == "K7M4-XRAW"
    assert in_groups("0123456789abcdef") == "01234567 89abcdef"
    assert moment("2026-03-09T08:15:00Z") == "2026-03-09 08:15 UTC"
    assert re.fullmatch(r"\d{4}-\d\d-\d\d \d\d:\d\d UTC", moment(utc_now()))
    assert moment(None) == ""


@pytest.mark.parametrize("path", sorted(TEMPLATES.glob("*.html")), ids=lambda path: path.name)
def test_no_template_holds_what_the_security_policy_refuses(path: object) -> None:
    text = str(getattr(path, "read_text")(encoding="utf-8"))  # noqa: B009 - the parameter is typed as any object
    assert not re.search(r"\son\w+\s*=", text), "an inline event handler"
    assert not re.search(r"\sstyle\s*=", text), "an inline style"
    assert not re.search(r"<script(?![^>]*\bsrc=)", text), "an inline script"
    assert not re.search(r"https?://|\|\s*safe\b", text), "an address elsewhere, or text that is not escaped"


def test_every_template_can_be_read() -> None:
    for path in TEMPLATES.glob("*.html"):
        environment().get_template(path.name)


def test_what_people_typed_is_text_and_never_markup() -> None:
    sentence = Sentence("error", "<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "'", "bad_input")
    answer = page(
        "sign_in.html", who=ANYBODY, form=Form({}, Problem("<b>", 422, (sentence,))), next='"><script>alert(2)</script>'
    )
    html = bytes(answer.body).decode()
    assert "<script>alert" not in html
    assert "<img src=x" not in html
    assert "<b>" not in html


def test_every_page_says_what_a_browser_may_do_with_it() -> None:
    headers = page("sign_in.html", who=ANYBODY, form=Form(), next="/").headers
    assert "default-src 'self'" in headers["content-security-policy"]
    assert "frame-ancestors 'none'" in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["cache-control"] == "no-store"


def test_a_drawing_loses_its_ids_and_styles_inside_a_page() -> None:
    svg = '<?xml version="1.0"?>\n<svg id="a" style="max-width:100%" width="3"><path id="outline" d="M0 0"/></svg>'
    assert Picture.inline(svg) == '<svg width="3"><path d="M0 0"/></svg>'
