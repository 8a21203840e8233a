"""Calls about broken pieces: nothing that was said is lost, and nothing that came by a link decides anything."""

from __future__ import annotations

import dataclasses
from io import BytesIO

import pytest
from PIL import Image
from sqlalchemy import text

from schemas.answers import KitAnswer
from schemas.damage_report import (
    ChoiceRequest,
    ConfirmRequest,
    DamageReportAnswer,
    DamageReportRequest,
    DuplicateRequest,
    EvidenceRequest,
    GiveUpRequest,
    LinkRequest,
)
from schemas.requests import CancelRequest, ReorderRequest
from service.errors import (
    BadPicture,
    BadRequest,
    LinkUnknown,
    MarkUnknown,
    PhotoUnknown,
    ReorderClosed,
    ReportClosed,
    ReportUnknown,
    SetUnknown,
    StaleEdit,
    TooLarge,
)
from service.work import report_photo
from service.work.damage_choice import choose
from service.work.damage_reports import (
    add_evidence,
    add_report,
    give_up_report,
    list_reports,
    mark_duplicate,
    show_report,
)
from service.work.fit import cancel_reorder
from service.work.once import Retry
from service.work.print_marks import print_segment
from service.work.reorder import reorder, show_reorder
from service.work.report_link import MOST_ANSWERS, confirm_link, link_picture, make_link, open_link
from service.work.report_photo import add_photo, photo_bytes
from service.work.resolve import resolve_mark
from service.work.seen import tag_of
from service.work.workshop import Actor, Workshop
from tests.camera import SECRETS, photograph_of
from tests.small_kit import NUMBER_U2, NUMBER_U3, NUMBER_U4

WORDS = "The green one on line 4 is in pieces. I can read A5, something, SW."
HALF = {"words": WORDS, "mark": "A5??-SW*", "came_by": "ear", "caller": "night shift", "telephone": "+00 555 0199"}


def report(workshop: Workshop, **more: object) -> DamageReportAnswer:
    return add_report(workshop, DamageReportRequest.model_validate({**HALF, **more}), actor=Actor("desk"))


def evidence(workshop: Workshop, id_: int, **said: object) -> DamageReportAnswer:
    return add_evidence(workshop, id_, EvidenceRequest.model_validate({"evidence": [said]}))


def chosen(workshop: Workshop, id_: int, mark: str = NUMBER_U2, **more: object) -> DamageReportAnswer:
    return choose(workshop, id_, ChoiceRequest.model_validate({"mark": mark, **more}))


def ordered(workshop: Workshop, mark: str = NUMBER_U2, **more: object) -> int:
    return reorder(workshop, ReorderRequest.model_validate({"mark": mark, "reason": "crushed", **more})).id


def test_what_was_said_first_stays_and_what_was_said_last_stands(workshop: Workshop, issued: KitAnswer) -> None:
    first = report(workshop, evidence=[{"question": "stock_colour", "answer": "blue"}])
    assert (first.state, first.mark, first.reported_by, first.number) == ("reported", "A5??-SW*", "desk", None)
    evidence(workshop, first.id, question="stock_colour", answer="no, green")
    evidence(workshop, first.id, question="overall_length_mm", answer="418", tolerance_mm=5)
    evidence(workshop, first.id, question="telephone", answer="+00 555 0198")
    last = evidence(workshop, first.id, question="mark", answer="OSV4-FC1-A5??-SW*", came_by="eye")
    assert [(one.question, one.answer, one.tolerance_mm) for one in last.evidence] == [
        ("stock_colour", "blue", None),
        ("stock_colour", "no, green", None),
        ("overall_length_mm", "418", 5.0),
        ("telephone", "+00 555 0198", None),
        ("mark", "OSV4-FC1-A5??-SW*", None),
    ]
    assert (last.telephone, last.mark, last.came_by, last.words) == ("+00 555 0198", "OSV4-FC1-A5??-SW*", "eye", WORDS)
    assert [one.ordinal for one in last.evidence] == [1, 2, 3, 4, 5]
    with workshop.database.read() as connection:
        kept = connection.execute(text("SELECT mark, telephone FROM damage_report")).one()
    assert tuple(kept) == ("A5??-SW*", "+00 555 0199")


def test_a_report_says_something(workshop: Workshop) -> None:
    with pytest.raises(ValueError, match="says something"):
        DamageReportRequest()
    with pytest.raises(ReportUnknown):
        show_report(workshop, 1)


def test_the_choice_with_what_was_ruled_out_goes_with_the_order(workshop: Workshop, issued: KitAnswer) -> None:
    id_ = report(workshop).id
    first = chosen(workshop, id_, NUMBER_U4, reason="the deck was misheard")
    shown = [{"number": NUMBER_U2, "probability": 0.9}, {"number": NUMBER_U4, "probability": 0.1}]
    last = chosen(workshop, id_, NUMBER_U2, rejected=[NUMBER_U4, NUMBER_U3], shown=shown, reason="seen in the picture")
    assert first.choice == last.choices[0]
    assert last.choice is not None
    assert (last.state, last.number, last.choice.rejected) == ("identified", NUMBER_U2, (NUMBER_U4, NUMBER_U3))
    assert [one.probability for one in last.choice.shown] == [0.9, 0.1]
    with pytest.raises(BadRequest, match=f"is about {NUMBER_U2}"):
        ordered(workshop, NUMBER_U4, report=id_)
    order = show_reorder(workshop, ordered(workshop, report=id_))
    assert order.report == id_
    called, identified, decided = order.history
    assert (called.state, called.by, WORDS in called.evidence) == ("reported", "desk", True)
    assert (identified.state, identified.rejected) == ("identified", (NUMBER_U4, NUMBER_U3))
    assert identified.reason == "seen in the picture"
    assert decided.state == "decided"
    done = show_report(workshop, id_)
    assert (done.state, done.order) == ("decided", order.id)
    for again in (lambda: chosen(workshop, id_, NUMBER_U3), lambda: ordered(workshop, report=id_, also="once more")):
        with pytest.raises(ReportClosed, match=f"reorder {order.id} stands"):
            again()
    cancel_reorder(workshop, order.id, CancelRequest(reason="held after all"))
    assert show_report(workshop, id_).state == "identified"
    assert ordered(workshop, report=id_) == order.id + 1


def test_an_order_of_a_report_without_a_choice_chooses(workshop: Workshop, issued: KitAnswer) -> None:
    id_ = report(workshop).id
    ordered(workshop, NUMBER_U3, report=id_)
    assert show_report(workshop, id_).number == NUMBER_U3


def test_nobody_chooses_over_anothers_head(workshop: Workshop, issued: KitAnswer) -> None:
    looked = report(workshop)
    seen = frozenset({tag_of(looked)})
    evidence(workshop, looked.id, question="hand", answer="left")
    with pytest.raises(StaleEdit):
        choose(workshop, looked.id, ChoiceRequest(mark=NUMBER_U2), seen=seen)
    now = frozenset({tag_of(show_report(workshop, looked.id))})
    assert choose(workshop, looked.id, ChoiceRequest(mark=NUMBER_U2), seen=now).number == NUMBER_U2


@pytest.mark.parametrize(
    ("more", "error"),
    [
        ({"mark": "OSV4-FC9-A500-SW2-U3-99"}, MarkUnknown),
        ({"mark": NUMBER_U2, "rejected": [NUMBER_U4, "nothing at all"]}, MarkUnknown),
        ({"mark": NUMBER_U2, "rejected": [NUMBER_U2]}, BadRequest),
        ({"mark": NUMBER_U2, "set": 7}, SetUnknown),
    ],
)
def test_a_choice_names_what_is_there(
    workshop: Workshop, issued: KitAnswer, more: dict[str, object], error: type[Exception]
) -> None:
    id_ = report(workshop).id
    before = show_report(workshop, id_)
    with pytest.raises(error):
        choose(workshop, id_, ChoiceRequest.model_validate(more))
    assert show_report(workshop, id_) == before


def test_a_report_of_what_is_on_order_says_so_and_goes_with_that_order(workshop: Workshop, issued: KitAnswer) -> None:
    order = ordered(workshop)
    (finding,) = report(workshop, mark=NUMBER_U2).findings
    assert (finding.code, finding.level, finding.place) == ("already_on_order", "warning", f"reorder {order}")
    half = report(workshop)
    assert half.findings == ()
    assert chosen(workshop, half.id).findings == (finding,)
    joined = mark_duplicate(workshop, half.id, DuplicateRequest(order=order))
    assert (joined.state, joined.order, joined.findings) == ("decided", order, ())
    assert [one.duplicate for one in joined.orders] == [True]
    assert show_reorder(workshop, order).report is None, "it did not come of this report"
    cancel_reorder(workshop, order, CancelRequest(reason="found one"))
    with pytest.raises(ReorderClosed):
        mark_duplicate(workshop, report(workshop).id, DuplicateRequest(order=order))


def test_a_report_that_nothing_comes_of_is_closed(workshop: Workshop, issued: KitAnswer) -> None:
    id_ = report(workshop).id
    ended = give_up_report(workshop, id_, GiveUpRequest(reason="found whole"))
    assert (ended.state, ended.cancel_reason) == ("cancelled", "found whole")
    link = LinkRequest(numbers=(NUMBER_U2,))
    for verb in (
        lambda: give_up_report(workshop, id_, GiveUpRequest(reason="again")),
        lambda: evidence(workshop, id_, question="hand", answer="left"),
        lambda: chosen(workshop, id_),
        lambda: add_photo(workshop, id_, photograph_of("x")),
        lambda: make_link(workshop, id_, link),
        lambda: ordered(workshop, report=id_),
    ):
        with pytest.raises(ReportClosed):
            verb()


def test_reports_come_in_pages_and_a_repeated_one_once(workshop: Workshop, issued: KitAnswer) -> None:
    asked = DamageReportRequest.model_validate(HALF)
    retry = Retry.of("a key", "POST /api/damage-reports", b"{}")
    first = add_report(workshop, asked, retry=retry)
    assert add_report(workshop, asked, retry=retry) == first
    second = report(workshop)
    assert [one.id for one in list_reports(workshop, after=None, limit=9)] == [second.id, first.id]
    assert [one.id for one in list_reports(workshop, after=second.id, limit=9)] == [first.id]


def test_a_caller_confirms_a_picture_and_decides_nothing(workshop: Workshop, issued: KitAnswer) -> None:
    id_ = report(workshop).id
    link = make_link(workshop, id_, LinkRequest(numbers=(NUMBER_U4, NUMBER_U2, NUMBER_U4)))
    assert link.url == f"http://127.0.0.1:8000/r/{link.token}"
    opened = open_link(workshop, link.token)
    assert [one.number for one in opened.pictures] == [NUMBER_U4, NUMBER_U2]
    assert (opened.pictures[0].place_name, opened.answered) == ("discharge star wheel, upper deck", None)
    assert "<svg" in link_picture(workshop, link.token, 2)
    assert confirm_link(workshop, link.token, ConfirmRequest(ordinal=2)).answered == NUMBER_U2
    assert confirm_link(workshop, link.token, ConfirmRequest(ordinal=2)).answered == NUMBER_U2
    assert confirm_link(workshop, link.token, ConfirmRequest(ordinal=None)).answered == "none"
    now = show_report(workshop, id_)
    assert [(one.question, one.answer, one.given_by) for one in now.evidence] == [
        ("picture", NUMBER_U2, "caller"),
        ("picture", "none", "caller"),
    ]
    assert (now.state, now.number) == ("reported", None)


def test_a_link_opens_for_whoever_has_it_as_long_as_it_is_open(workshop: Workshop, issued: KitAnswer) -> None:
    id_ = report(workshop).id
    link = make_link(workshop, id_, LinkRequest(numbers=(NUMBER_U2,), hours=2))
    later = dataclasses.replace(workshop, now=lambda: link.expires_at)
    wrong = [(workshop, link.token[:-1]), (workshop, ""), (workshop, link.token + "A"), (later, link.token)]
    for shop, token in wrong:
        for verb in (
            lambda shop=shop, token=token: open_link(shop, token),
            lambda shop=shop, token=token: link_picture(shop, token, 1),
            lambda shop=shop, token=token: confirm_link(shop, token, ConfirmRequest(ordinal=1)),
        ):
            with pytest.raises(LinkUnknown) as caught:
                verb()
            assert caught.value.value is None, "what was tried stands in no log"
    for ordinal in (0, 2):
        with pytest.raises(LinkUnknown):
            link_picture(workshop, link.token, ordinal)
    with pytest.raises(LinkUnknown):
        confirm_link(workshop, link.token, ConfirmRequest(ordinal=2))
    other = make_link(workshop, id_, LinkRequest(numbers=(NUMBER_U2,)))
    assert other.token != link.token
    with workshop.database.read() as connection:
        tables = ("damage_link", "event", "damage_evidence")
        held = "".join(str(row) for table in tables for row in connection.execute(text(f"SELECT * FROM {table}")))
    assert link.token not in held
    for turn in range(MOST_ANSWERS):
        confirm_link(workshop, link.token, ConfirmRequest(ordinal=1 if turn % 2 else None))
    with pytest.raises(BadRequest, match="often enough"):
        confirm_link(workshop, link.token, ConfirmRequest(ordinal=None))
    give_up_report(workshop, id_, GiveUpRequest(reason="found whole"))
    with pytest.raises(LinkUnknown):
        open_link(workshop, link.token)


def test_a_photograph_is_kept_bare_and_what_its_symbols_say_is_its_mark(workshop: Workshop, issued: KitAnswer) -> None:
    id_ = report(workshop).id
    (key,) = [piece.key for piece in resolve_mark(workshop, NUMBER_U2).pieces]
    plate = print_segment(workshop, NUMBER_U2, form="png", dpi=300)
    turned = BytesIO()
    Image.open(BytesIO(plate)).convert("L").rotate(180, fillcolor=255).save(turned, "JPEG", quality=90)
    read = add_photo(workshop, id_, turned.getvalue(), typed="A5?? SW").photos[0]
    assert (read.id, read.reading.number, read.mark, read.typed) == (1, NUMBER_U2, key, "A5?? SW")
    bare = add_photo(workshop, id_, photograph_of("no symbol here"), typed="  A5??   SW ").photos[1]
    assert (bare.id, bare.reading.how, bare.mark) == (2, "not_read", "A5?? SW")
    data, media_type = photo_bytes(workshop, id_, 2)
    assert (media_type, len(data)) == (bare.media_type, bare.size_bytes)
    assert not any(secret in data for secret in SECRETS)
    nothing = add_photo(workshop, id_, photograph_of("nor here")).photos[2]
    assert (nothing.mark, nothing.typed) == (None, None)
    with pytest.raises(PhotoUnknown):
        photo_bytes(workshop, id_, 4)


def test_what_is_no_picture_is_not_kept(workshop: Workshop, issued: KitAnswer, monkeypatch: pytest.MonkeyPatch) -> None:
    id_ = report(workshop).id
    with pytest.raises(BadPicture):
        add_photo(workshop, id_, b"%PDF-1.7 not a picture, whatever it is called")
    monkeypatch.setattr(report_photo, "MOST_PHOTOS", 1)
    retry = Retry.of("a key", "POST", b"x")
    once = add_photo(workshop, id_, photograph_of("x"), retry=retry)
    assert add_photo(workshop, id_, photograph_of("x"), retry=retry) == once
    with pytest.raises(TooLarge, match="at most 1 photographs"):
        add_photo(workshop, id_, photograph_of("y"))
    assert len(show_report(workshop, id_).photos) == 1
    with pytest.raises(ReportUnknown):
        add_photo(workshop, 7, photograph_of("x"))
