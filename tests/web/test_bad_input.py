"""Whatever is sent to a page, the answer is a page with a sentence, never a broken one."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.web.conftest import Desk
from tests.web.parts import KIT, number_at

SENTENCE = 'role="alert"'
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=60)
NASTY = st.sampled_from(
    [
        "\x00",
        "../../etc/passwd",
        "%00",
        "' OR 1=1 --",
        "OSV4-FC1-A500-SW2-U3-42\x1d",
        "[)>\x1e06\x1d1P",
        "http://[::1",
        "9" * 400,
        "\u202eABC",
        "K7M4-XRAW" * 30,
    ]
)
FORMS = (
    ("/shop/prepare", ("manifest",)),
    ("/shop/issue", ("manifest", "token", "retry_key")),
    ("/shop/details", ("name", "telephone", "street", "postal_code", "town", "country")),
    ("/shop/templates", ("text", "file", "damage")),
    (f"/shop/kits/{KIT}/correct", ("number", "field", "value", "reason", "version")),
    (f"/shop/kits/{KIT}/void", ("number", "reason", "replacements", "version")),
    (f"/shop/kits/{KIT}/nameplates.pdf", ("template", "paper", "dpi")),
    ("/desk/reorders", ("number", "mark", "reason", "quantity", "prefer", "survivors", "retry_key")),
    ("/desk/reorders/1/fitted", ("deviations",)),
    ("/desk/reorders/1/state", ("state", "evidence", "reason", "promised_on", "measured_mm", "temperature_c", "undo")),
    ("/desk/reorders/1/fitted-answer", ("answer", "why", "reason", "deviations")),
    ("/desk/call/note", ("mark", "came_by", "said", "passed", "report", "words", "caller", "telephone")),
    ("/desk/call/choice", ("mark", "said", "number", "offered", "words", "retry_key")),
    ("/desk/call/send", ("mark", "said", "numbers", "words")),
    ("/desk/call/photo", ("mark", "said", "typed", "file")),
    ("/desk/reports/1/duplicate", ("order",)),
    ("/desk/reports/1/given-up", ("reason",)),
    ("/r/nobody-made-this-link", ("ordinal",)),
    ("/sign-in", ("owner_key", "next")),
)


@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(mark=TEXTS | NASTY, way=st.sampled_from(["/desk", "/floor"]))
def test_any_text_in_the_field_gives_a_page(desk: Desk, mark: str, way: str) -> None:
    answer = desk.client.get(way, params={"mark": mark})
    assert answer.status_code < 500
    assert answer.status_code == 303 or "<h1" in answer.text


@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(data=st.data())
def test_any_text_in_a_form_gives_a_page(own_desk: Desk, data: st.DataObject) -> None:
    address, names = data.draw(st.sampled_from(FORMS))
    form = {name: data.draw(TEXTS | NASTY, label=name) for name in names}
    answer = own_desk.client.post(address, data=form)
    assert answer.status_code < 500
    # Empty fields of the print form mean its usual choices.
    assert answer.status_code == 303 or answer.content.startswith(b"%PDF") or "<h1" in answer.text


@pytest.mark.parametrize(
    "address",
    [
        "/s/%00",
        "/s/" + "K" * 3000,
        "/desk/segments/%E2%80%AE",
        "/desk/reorders/99999999999999999999",
        "/desk/reorders/-1",
        "/desk/reorders/one",
        "/desk/reports/99999999999999999999",
        "/desk/reports/%00",
        "/desk/call?report=99999999999999999999",
        "/desk/call?report=nonsense",
        f"/desk/segments/{KIT}-SW2-U9-99/locking",
        "/r/%00",
        "/desk/reorders?after=99999999999999999999",
        "/shop?after=nonsense",
        "/shop/kits/%00",
        "/shop/cut-files/%00",
        "/shop/cut-files/osv4-fc1-a500-sw2-u3.dxf/revisions/%00/file",
        "/desk?mark=" + "A" * 600,
    ],
)
def test_an_address_written_by_hand_is_answered_with_what_is_wrong(desk: Desk, address: str) -> None:
    answer = desk.client.get(address)
    assert 400 <= answer.status_code < 500
    assert SENTENCE in answer.text


def test_a_text_too_long_for_a_form_is_said_in_words(desk: Desk) -> None:
    answer = desk.client.post(
        "/shop/prepare", data={"manifest": "x" * 2_000_000}, files={"manifest_file": ("", b"", "text/plain")}
    )
    assert 400 <= answer.status_code < 500
    assert SENTENCE in answer.text


def test_a_file_too_long_is_said_in_words(desk: Desk) -> None:
    answer = desk.client.post("/shop/prepare", files={"manifest_file": ("kit.csv", b"x" * 5_000_000, "text/csv")})
    assert answer.status_code == 413
    assert "more than 4,000,000 bytes" in answer.text


def test_a_stranger_with_a_worn_code_is_not_told_what_else_is_on_record(guarded: Desk) -> None:
    guarded.client.cookies.clear()
    number = number_at(guarded.workshop, "SW2-U3")
    wrong = number[:-2] + f"{(int(number[-2:]) - 2 + 5) % 97 + 2:02}"
    answer = guarded.client.get(f"/s/{wrong}")
    assert answer.status_code == 409
    assert SENTENCE in answer.text
    assert number not in answer.text
