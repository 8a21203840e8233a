"""A notice on its way to a real server: taken, refused, hung, trickled at, sent elsewhere, and to nobody."""

from __future__ import annotations

import hashlib
import hmac
import time

import pytest

from service.webhooks.address import WebhookAddress
from service.webhooks.posting import post
from service.webhooks.signing import headers, signature
from tests.webhooks.receiver import Manner, free_port, receiving

BODY = '{"name": "Größe"}'.encode()


def test_a_signature_is_that_of_the_standard() -> None:
    """RFC 4231, test cases 1 and 2: the function; then what of a notice it is computed over."""
    known = {
        (b"\x0b" * 20, b"Hi There"): "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7",
        (b"Jefe", b"what do ya want for nothing?"): "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843",
    }
    for (key, data), digest in known.items():
        assert hmac.new(key, data, hashlib.sha256).hexdigest() == digest
    # A text that falls into a time and a body is signed as the standard signs it.
    assert signature("key", 7, b"what") == "sha256=" + hmac.new(b"key", b"7.what", hashlib.sha256).hexdigest()
    assert len({signature(*one) for one in (("a", 1, b"2"), ("a", 1, b"3"), ("a", 2, b"2"), ("b", 1, b"2"))}) == 4


def test_a_notice_arrives_byte_for_byte_and_its_receiver_can_tell_who_sent_it() -> None:
    with receiving() as receiver:
        address = WebhookAddress.parse(receiver.url, loopback=True)
        signed = headers("a secret", delivery=90, timestamp=1_764_100_000, body=BODY)
        assert post(address, BODY, signed, loopback=True).taken
    (notice,) = receiver.notices
    assert (notice.path, notice.body) == ("/kitwright?from=shop", BODY)
    assert notice.headers["Kitwright-Delivery"] == "90"
    by_hand = hmac.new(b"a secret", b"1764100000." + notice.body, hashlib.sha256).hexdigest()
    assert notice.headers["Kitwright-Signature"] == f"sha256={by_hand}"
    assert notice.headers["Host"] == f"127.0.0.1:{receiver.port}"


@pytest.mark.parametrize(
    ("manner", "said"),
    [
        ("fails", "HTTP 500"),
        ("elsewhere", "HTTP 307, which sends elsewhere"),
        ("says_nothing", "it cannot be reached"),
        ("hangs", "no answer within 0.5 seconds"),
        ("trickles", "no answer within 0.5 seconds"),
    ],
)
def test_what_is_not_taken_is_said_and_never_waited_for(manner: Manner, said: str) -> None:
    with receiving(manner) as receiver:
        address = WebhookAddress.parse(receiver.url, loopback=True)
        begun = time.monotonic()
        posted = post(address, BODY, {}, loopback=True, timeout_s=0.5)
        assert not posted.taken
        assert posted.said.startswith(said)
        # No speed is asked for: without an end the receiver would keep us for thirty seconds.
        assert time.monotonic() - begun < 15
    assert [notice.path for notice in receiver.notices] == ["/kitwright?from=shop"], "nobody is followed elsewhere"


def test_nobody_is_there() -> None:
    address = WebhookAddress.parse(f"http://127.0.0.1:{free_port()}/", loopback=True)
    posted = post(address, BODY, {}, loopback=True)
    assert (posted.taken, posted.said) == (False, "it cannot be reached: connection refused")
    unknown = WebhookAddress.parse("http://nowhere.invalid/", loopback=True)
    assert not post(unknown, BODY, {}, loopback=True).taken


def test_a_name_that_turns_out_to_be_this_machine_is_not_posted_to() -> None:
    with receiving() as receiver:
        address = WebhookAddress.parse(f"http://localhost:{receiver.port}/", loopback=False)
        posted = post(address, BODY, {}, loopback=False)
    assert not posted.taken
    assert "this very machine" in posted.said
    assert receiver.notices == []
