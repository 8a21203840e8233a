"""Every step of an order is told to those who asked, at least once, whatever becomes of the receiver meanwhile."""

from __future__ import annotations

import dataclasses
import json
from datetime import datetime, timedelta

import pytest

from schemas.answers import KitAnswer
from schemas.order_states import StepRequest
from schemas.requests import CancelRequest, ReorderRequest
from schemas.webhooks import NewWebhookAnswer, WebhookRequest
from service.errors import BadWebhookAddress, NothingToSend, WebhookUnknown
from service.rules.retrying import LONGEST_WAIT_S, MOST_TRIES, wait_after
from service.webhooks.address import WebhookAddress
from service.webhooks.posting import Posted
from service.webhooks.signing import signature
from service.work import order_log, webhook_notices
from service.work.fit import cancel_reorder
from service.work.once import Retry
from service.work.order_states import step_order
from service.work.reorder import reorder
from service.work.webhook_room import WebhookRoom
from service.work.webhook_sending import HOLDS, is_due, send_one
from service.work.webhooks import add_webhook, end_webhook, list_deliveries, list_webhooks, send_again
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_U2, NUMBER_U3
from tests.webhooks.receiver import Receiver, free_port, receiving, wait_until

START = datetime.fromisoformat("2026-03-09T08:15:00+00:00")


class Clock:
    """The time of a workshop, which a test moves on."""

    def __init__(self) -> None:
        self.moment = START

    def now(self) -> str:
        return self.moment.strftime("%Y-%m-%dT%H:%M:%SZ")

    def go_on(self, **by: float) -> None:
        self.moment += timedelta(**by)


def on_its_own_time(workshop: Workshop) -> tuple[Workshop, Clock]:
    clock = Clock()
    return dataclasses.replace(workshop, now=clock.now), clock


def hooked(workshop: Workshop, receiver: Receiver | str, *states: str) -> NewWebhookAnswer:
    url = receiver if isinstance(receiver, str) else receiver.url
    asked = WebhookRequest.model_validate({"url": url, "name": "planning", "states": states})
    return add_webhook(workshop, asked, loopback=True)


def order(workshop: Workshop, number: str = NUMBER_U3) -> int:
    return reorder(workshop, ReorderRequest(mark=number, reason="crushed")).id


def to_cut(workshop: Workshop, order_id: int) -> None:
    step_order(workshop, order_id, StepRequest(state="released_to_cut"))


def test_each_step_is_told_once_signed_and_in_order(workshop: Workshop, issued: KitAnswer) -> None:
    with receiving() as receiver:
        hook = hooked(workshop, receiver)
        id_ = order(workshop)
        to_cut(workshop, id_)
        cancel_reorder(workshop, id_, CancelRequest(reason="found one"))
        while send_one(workshop, loopback=True):
            pass
    bodies = [json.loads(notice.body) for notice in receiver.notices]
    assert [(body["before"], body["state"], body["sequence"]) for body in bodies] == [
        ("identified", "decided", 3),
        ("decided", "released_to_cut", 4),
        ("released_to_cut", "cancelled", 5),
    ]
    assert {(body["order"], body["number"]) for body in bodies} == {(id_, NUMBER_U3)}
    assert bodies[-1]["reason"] == "found one"
    for notice, body in zip(receiver.notices, bodies, strict=True):
        at = int(notice.headers["Kitwright-Timestamp"])
        assert notice.headers["Kitwright-Signature"] == signature(hook.secret, at, notice.body)
        assert notice.headers["Kitwright-Delivery"] == str(body["delivery"])
    assert {row.state for row in list_deliveries(workshop, hook.id, after=None, limit=9)} == {"delivered"}
    (shown,) = list_webhooks(workshop)
    assert (shown.delivered, shown.waiting, shown.given_up) == (3, 0, 0)
    assert not is_due(workshop)


def test_only_what_was_asked_for_is_told(workshop: Workshop, issued: KitAnswer) -> None:
    hook = hooked(workshop, "http://planning.example/", "released_to_cut")
    id_ = order(workshop)
    to_cut(workshop, id_)
    assert [row.order_state for row in list_deliveries(workshop, hook.id, after=None, limit=9)] == ["released_to_cut"]


def test_a_step_that_is_not_written_is_not_told(
    workshop: Workshop, issued: KitAnswer, monkeypatch: pytest.MonkeyPatch
) -> None:
    hook = hooked(workshop, "http://planning.example/")
    told = webhook_notices.tell_of

    def fails(*args: object, **more: object) -> None:
        told(*args, **more)  # type: ignore[arg-type]  # passed on as they came
        raise RuntimeError("the power fails before the commit")

    monkeypatch.setattr(order_log, "tell_of", fails)
    with pytest.raises(RuntimeError):
        order(workshop)
    assert list_deliveries(workshop, hook.id, after=None, limit=9) == ()


def test_a_receiver_that_fails_is_tried_again_and_given_up_in_the_end(workshop: Workshop, issued: KitAnswer) -> None:
    shop, clock = on_its_own_time(workshop)
    with receiving("fails") as receiver:
        hook = hooked(shop, receiver)
        order(shop)
        for tries in range(1, MOST_TRIES + 1):
            assert send_one(shop, loopback=True)
            (row,) = list_deliveries(shop, hook.id, after=None, limit=9)
            assert (row.tries, row.said) == (tries, "HTTP 500")
            wait = wait_after(tries)
            assert (row.state, row.next_try_at is None) == (("given_up", True) if wait is None else ("waiting", False))
            # Not a second before its time.
            clock.go_on(seconds=(wait or 1) - 1)
            assert not send_one(shop, loopback=True)
            clock.go_on(seconds=1)
        assert not send_one(shop, loopback=True)
        assert len(receiver.notices) == MOST_TRIES
        assert len({notice.body for notice in receiver.notices}) == 1, "the same notice, with the same id"
        assert list_webhooks(shop)[0].given_up == 1
        receiver.manner = "takes"
        (given_up,) = list_deliveries(shop, hook.id, after=None, limit=9)
        send_again(shop, hook.id, given_up.id)
        assert send_one(shop, loopback=True)
    (row,) = list_deliveries(shop, hook.id, after=None, limit=9)
    assert (row.state, row.tries) == ("delivered", 1)
    with pytest.raises(NothingToSend):
        send_again(shop, hook.id, row.id)


def test_waits_grow_and_end() -> None:
    waits = [wait_after(tries) for tries in range(1, MOST_TRIES + 1)]
    assert waits[:4] == [10, 30, 90, 270]
    assert waits[-1] is None
    known = [wait for wait in waits if wait is not None]
    assert known == sorted(known)
    assert max(known) == LONGEST_WAIT_S
    assert 24 * 3600 < sum(known) < 48 * 3600, "a day without anybody there is borne"


def test_one_that_is_being_sent_is_left_alone_until_its_sender_must_be_gone(
    workshop: Workshop, issued: KitAnswer
) -> None:
    shop, clock = on_its_own_time(workshop)
    with receiving() as receiver:
        hooked(shop, receiver)
        order(shop)

        def another_looks(address: WebhookAddress, body: bytes, headers: dict[str, str], *, loopback: bool) -> Posted:
            assert not is_due(shop)
            assert not send_one(shop, loopback=True), "two send the same notice"
            raise KeyboardInterrupt

        with pytest.raises(KeyboardInterrupt):
            send_one(shop, loopback=True, how=another_looks)
        assert not send_one(shop, loopback=True)
        clock.go_on(seconds=HOLDS.total_seconds())
        assert send_one(shop, loopback=True)
        assert len(receiver.notices) == 1


def test_a_receiver_that_hangs_holds_up_nobody_elses(workshop: Workshop, issued: KitAnswer) -> None:
    with receiving() as receiver:
        hooked(workshop, "http://planning.example/hangs")
        hooked(workshop, receiver)
        for number in (NUMBER_U2, NUMBER_U3):
            order(workshop, number)

        def hangs(address: WebhookAddress, body: bytes, headers: dict[str, str], *, loopback: bool) -> Posted:
            while send_one(workshop, loopback=True):
                pass
            return Posted(taken=False, said="no answer within 10 seconds")

        assert send_one(workshop, loopback=True, how=hangs)
    assert [json.loads(notice.body)["number"] for notice in receiver.notices] == [NUMBER_U2, NUMBER_U3]


def test_the_room_sends_by_itself_and_a_receiver_that_comes_back_gets_what_it_missed(
    workshop: Workshop, issued: KitAnswer
) -> None:
    port = free_port()
    shop, clock = on_its_own_time(workshop)
    room = WebhookRoom(shop, loopback=True)
    room.open()
    try:
        hook = hooked(shop, f"http://127.0.0.1:{port}/kitwright?from=shop")
        order(shop)

        def tries() -> int:
            return list_deliveries(shop, hook.id, after=None, limit=9)[0].tries

        assert wait_until(lambda: tries() == 1), "nobody was there"
        with receiving(port=port) as receiver:
            clock.go_on(seconds=10)
            assert wait_until(lambda: receiver.notices)
            assert wait_until(lambda: list_deliveries(shop, hook.id, after=None, limit=9)[0].state == "delivered")
    finally:
        room.close()


def test_an_ended_webhook_is_told_nothing_more(workshop: Workshop, issued: KitAnswer) -> None:
    with receiving() as receiver:
        hook = hooked(workshop, receiver)
        id_ = order(workshop)
        ended = end_webhook(workshop, hook.id)
        assert end_webhook(workshop, hook.id) == ended
        to_cut(workshop, id_)
        assert not send_one(workshop, loopback=True)
        (row,) = list_deliveries(workshop, hook.id, after=None, limit=9)
        assert (row.state, row.said) == ("given_up", "the webhook was ended")
        with pytest.raises(NothingToSend):
            send_again(workshop, hook.id, row.id)
    assert receiver.notices == []


def test_a_secret_is_told_once_and_a_repeated_request_registers_nothing_new(
    workshop: Workshop, issued: KitAnswer
) -> None:
    asked = WebhookRequest(url="http://planning.example/", name="planning")
    retry = Retry.of("one key", "POST /api/webhooks", b"{}")
    first = add_webhook(workshop, asked, loopback=False, retry=retry)
    assert add_webhook(workshop, asked, loopback=False, retry=retry) == first
    (shown,) = list_webhooks(workshop)
    assert first.secret not in shown.model_dump_json()
    assert len(first.secret) >= 40
    with pytest.raises(BadWebhookAddress):
        add_webhook(workshop, WebhookRequest(url="http://127.0.0.1/", name="x"), loopback=False)
    with pytest.raises(WebhookUnknown):
        list_deliveries(workshop, 7, after=None, limit=1)
