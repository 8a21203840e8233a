"""The page on a caller's telephone: open without signing in, in three languages, saying no more than the plate does."""

from __future__ import annotations

import html
import re
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from service.web.confirm_words import CONFIRM, language_for
from service.work.damage_reports import list_reports, show_report
from service.work.resolve import resolve_mark
from tests.web.conftest import OWNER_KEY, Desk, desk_over
from tests.web.parts import number_at


def sent(desk: Desk, *places: str) -> tuple[str, list[str], str]:
    """Pictures of these places sent to a caller: the path of the link, their numbers, and the desk's page."""
    numbers = [number_at(desk.workshop, place) for place in places]
    page = desk.client.post("/desk/call/send", data={"mark": "??V4-FC1-A5??-SW", "numbers": numbers})
    assert page.status_code == 200, page.text
    (link,) = re.findall(r'<a class="mono" href="([^"]+)"', page.text)
    return urlsplit(html.unescape(link)).path, numbers, page.text


def test_the_desk_shows_the_link_and_its_code(own_desk: Desk) -> None:
    path, numbers, page = sent(own_desk, "SW2-U3", "SW2-U4")
    assert path.startswith("/r/")
    assert 'aria-label="QR Code of the link"' in page
    assert "data-ask-again" in page
    text = own_desk.client.get(path).text
    assert text.count('class="outline-picture"') == 2
    assert all(number in text for number in numbers)


def test_a_link_opens_to_a_stranger_and_says_no_more_than_the_plate(own_desk: Desk) -> None:
    path, (number,), _ = sent(own_desk, "SW2-U3")
    facts = resolve_mark(own_desk.workshop, number)
    guarded = desk_over_the_same(own_desk)
    text = guarded.client.get(path).text
    assert number in text
    kept_inside = [facts.customer, facts.plant, facts.cut_file, facts.key[:4], facts.machine.name, facts.kit + '"']
    assert [value for value in kept_inside if value in text] == []
    assert "/desk" not in text
    assert "/shop" not in text
    assert guarded.client.get("/desk").status_code == 303


def desk_over_the_same(own: Desk) -> Desk:
    """The same records behind an owner key, and nobody signed in."""
    return desk_over(Path(str(own.workshop.database.url.database)).parent, owner_key=OWNER_KEY)


def test_the_answer_reaches_the_desk_and_can_be_changed(own_desk: Desk) -> None:
    path, (first, second), page = sent(own_desk, "SW2-U3", "SW2-U4")
    (ask_again,) = re.findall(r'data-ask-again="([^"]+)"', page)
    waiting = own_desk.client.get(html.unescape(ask_again)).text
    assert "No answer yet" in waiting
    answer = own_desk.client.post(path, params={"lang": "pl"}, data={"ordinal": "2"})
    assert answer.status_code == 303
    assert "Twoja odpowiedź: " + second in own_desk.client.get(answer.headers["location"]).text
    told = own_desk.client.get(html.unescape(ask_again)).text
    assert second in told
    assert "Take it as an answer" in told
    own_desk.client.post(path, data={"ordinal": "none"})
    changed = own_desk.client.get(html.unescape(ask_again)).text
    assert "none of these" in changed
    assert f"not+{first}+{second}" in changed
    (made,) = list_reports(own_desk.workshop, after=None, limit=9)
    report = show_report(own_desk.workshop, made.id)
    assert [(said.question, said.answer, said.given_by) for said in report.evidence] == [
        ("picture", second, "caller"),
        ("picture", "none", "caller"),
    ]
    # The caller's word is evidence; nobody chose anything yet.
    assert report.choice is None


@pytest.mark.parametrize("path", ["/r/nothing", "/r/" + "A" * 32, "/r/%00", "/r/%3Cscript%3E"])
def test_a_link_that_is_not_open_says_so_and_nothing_else(own_desk: Desk, path: str) -> None:
    for answer in (
        own_desk.client.get(path, params={"lang": "de"}),
        own_desk.client.post(path, params={"lang": "de"}, data={"ordinal": "1"}),
    ):
        assert answer.status_code == 404
        assert "Dieser Link ist nicht mehr offen" in answer.text
        assert "<script" not in answer.text


def test_an_answer_that_is_none_is_refused(own_desk: Desk) -> None:
    path, _, _ = sent(own_desk, "SW2-U3")
    for ordinal in ("0", "7", "x", "", "-1"):
        assert 400 <= own_desk.client.post(path, data={"ordinal": ordinal}).status_code < 500
    (made,) = list_reports(own_desk.workshop, after=None, limit=9)
    assert show_report(own_desk.workshop, made.id).evidence == ()


@pytest.mark.parametrize(
    ("chosen", "accepted", "language"),
    [
        ("", "", "en"),
        ("", "pl-PL,pl;q=0.9,en;q=0.8", "pl"),
        ("", "fr;q=0.9, de-AT;q=0.7, en;q=0.8", "en"),
        ("", "fr, de;q=0.5", "de"),
        ("", "de;q=0, en;q=0.1", "en"),
        ("", "de;q=nonsense", "de"),
        ("pl", "de", "pl"),
        ("xx", "de", "de"),
        ("<script>", "", "en"),
    ],
)
def test_the_language_is_the_one_that_is_asked_for(chosen: str, accepted: str, language: str) -> None:
    assert language_for(chosen, accepted) == language


def test_every_language_says_everything() -> None:
    for one in CONFIRM.values():
        assert all(getattr(one, name).strip() for name in one.__slots__)
        assert "{0}" in one.chosen
