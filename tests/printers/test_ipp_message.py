"""Messages of IPP: what is written is read again, the standard's own example comes out, hostile bytes are refused."""

from __future__ import annotations

import struct
from contextlib import suppress
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from service.errors import BadRequest, NoPrinter
from service.printers.ipp_message import (
    DEEPEST_COLLECTION,
    MOST_VALUES,
    Attribute,
    Content,
    Group,
    Message,
    Range,
    Resolution,
    Spoken,
    Value,
    attribute,
    decoded,
    encoded,
)
from service.printers.ipp_tags import STRINGS, WITH_LANGUAGE, GroupTag, Operation, Tag

INT32 = st.integers(-(2**31), 2**31 - 1)
TEXTS = st.text(st.characters(codec="utf-8"), max_size=40)
ZONES = st.integers(-11 * 60, 13 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)) if minutes else UTC)
MOMENTS = st.datetimes(min_value=datetime(1, 1, 1), timezones=ZONES).map(  # noqa: DTZ001 - the zone is drawn beside it
    lambda moment: moment.replace(microsecond=moment.microsecond // 100_000 * 100_000)
)


def values(content: st.SearchStrategy[Content], *tags: int) -> st.SearchStrategy[Value]:
    return st.builds(Value, st.sampled_from(tags), content)


PLAIN = st.one_of(
    values(INT32, Tag.INTEGER, Tag.ENUM),
    values(st.booleans(), Tag.BOOLEAN),
    values(TEXTS, *sorted(STRINGS)),
    values(st.builds(Spoken, TEXTS, TEXTS), *sorted(WITH_LANGUAGE)),
    values(st.binary(max_size=40), Tag.OCTETS, 0x39, 0x7F),
    values(MOMENTS, Tag.DATE_TIME),
    values(st.builds(Resolution, INT32, INT32, st.sampled_from([3, 4])), Tag.RESOLUTION),
    values(st.builds(Range, INT32, INT32), Tag.RANGE),
    values(st.none(), Tag.UNSUPPORTED, Tag.UNKNOWN, Tag.NO_VALUE, 0x15),
)
NAMES = st.text(st.characters(codec="ascii", categories=["Ll", "Nd"], include_characters="-"), min_size=1, max_size=20)


def attributes(value: st.SearchStrategy[Value]) -> st.SearchStrategy[Attribute]:
    return st.builds(Attribute, NAMES, st.lists(value, min_size=1, max_size=4).map(tuple))


VALUES = st.recursive(
    PLAIN,
    lambda inner: st.lists(attributes(inner), max_size=3).map(
        lambda members: Value(Tag.BEGIN_COLLECTION, tuple(members))
    ),
    max_leaves=8,
)
MESSAGES = st.builds(
    Message,
    code=st.integers(0, 0xFFFF),
    request_id=st.integers(1, 2**31 - 1),
    groups=st.lists(
        st.builds(Group, st.sampled_from([1, 2, 4, 5, 6, 9]), st.lists(attributes(VALUES), max_size=4).map(tuple)),
        max_size=4,
    ).map(tuple),
    data=st.binary(max_size=40),
    version=st.sampled_from([(1, 1), (2, 0), (2, 2)]),
)


@settings(max_examples=200, deadline=None)
@given(message=MESSAGES)
def test_what_is_written_is_read_again(message: Message) -> None:
    assert decoded(encoded(message)) == message


def test_the_request_of_the_standards_example() -> None:
    """RFC 8010 appendix A.1, "Print-Job Request", octet by octet."""
    said = [
        (Tag.CHARSET, "attributes-charset", b"us-ascii"),
        (Tag.LANGUAGE, "attributes-natural-language", b"en-us"),
        (Tag.URI, "printer-uri", b"ipp://printer.example.com/ipp/print/pinetree"),
        (Tag.NAME, "job-name", b"foobar"),
        (Tag.BOOLEAN, "ipp-attribute-fidelity", b"\x01"),
    ]
    job = [(Tag.INTEGER, "copies", b"\x00\x00\x00\x14"), (Tag.KEYWORD, "sides", b"two-sided-long-edge")]

    def octets(rows: list[tuple[Tag, str, bytes]]) -> bytes:
        return b"".join(
            bytes([tag]) + struct.pack(">H", len(name)) + name.encode() + struct.pack(">H", len(value)) + value
            for tag, name, value in rows
        )

    standard = b"\x01\x01\x00\x02\x00\x00\x00\x01\x01" + octets(said) + b"\x02" + octets(job) + b"\x03" + b"%!PDF..."
    operation = (
        attribute("attributes-charset", Tag.CHARSET, "us-ascii"),
        attribute("attributes-natural-language", Tag.LANGUAGE, "en-us"),
        attribute("printer-uri", Tag.URI, "ipp://printer.example.com/ipp/print/pinetree"),
        attribute("job-name", Tag.NAME, "foobar"),
        attribute("ipp-attribute-fidelity", Tag.BOOLEAN, True),
    )
    wishes = (attribute("copies", Tag.INTEGER, 20), attribute("sides", Tag.KEYWORD, "two-sided-long-edge"))
    groups = (Group(GroupTag.OPERATION, operation), Group(GroupTag.JOB, wishes))
    assert encoded(Message(Operation.PRINT_JOB, 1, groups, b"%!PDF...", version=(1, 1))) == standard


def test_a_collection_is_written_as_the_standard_shows() -> None:
    """RFC 8010 section 3.1.6 and its example of media-col: begin, members by name, end, none of them named."""
    size = (attribute("x-dimension", Tag.INTEGER, 6000), attribute("y-dimension", Tag.INTEGER, 2200))
    paper = attribute("media-col", Tag.BEGIN_COLLECTION, (attribute("media-size", Tag.BEGIN_COLLECTION, size),))
    body = encoded(Message(2, 1, (Group(GroupTag.JOB, (paper,)),), version=(1, 1)))[9:-1]
    assert body == (
        b"\x34\x00\x09media-col\x00\x00"
        b"\x4a\x00\x00\x00\x0amedia-size"
        b"\x34\x00\x00\x00\x00"
        b"\x4a\x00\x00\x00\x0bx-dimension\x21\x00\x00\x00\x04\x00\x00\x17\x70"
        b"\x4a\x00\x00\x00\x0by-dimension\x21\x00\x00\x00\x04\x00\x00\x08\x98"
        b"\x37\x00\x00\x00\x00"
        b"\x37\x00\x00\x00\x00"
    )


def test_a_moment_is_eleven_octets() -> None:
    """RFC 2579 DateAndTime: "Tuesday May 26, 1992 at 1:30:15 PM EDT" is 1992-5-26,13:30:15.0,-4:0."""
    octets = bytes([0x07, 0xC8, 5, 26, 13, 30, 15, 0, ord("-"), 4, 0])
    moment = datetime(1992, 5, 26, 13, 30, 15, tzinfo=timezone(timedelta(hours=-4)))
    told = Message(0, 1, (Group(GroupTag.PRINTER, (attribute("printer-current-time", Tag.DATE_TIME, moment),)),))
    assert octets in encoded(told)
    assert decoded(encoded(told)) == told


def test_a_clock_that_was_never_set_spoils_nothing() -> None:
    unset = Value(Tag.DATE_TIME, bytes(11))
    told = Message(0, 1, (Group(GroupTag.PRINTER, (Attribute("printer-current-time", (unset,)),)),))
    assert decoded(encoded(told)) == told


@settings(max_examples=300, deadline=None)
@given(data=st.binary(max_size=200))
@example(data=b"")
@example(data=b"\x01\x01\x00\x00\x00\x00\x00\x01")
def test_bytes_of_anybody_are_read_or_refused(data: bytes) -> None:
    with suppress(NoPrinter):
        decoded(data)


@settings(max_examples=200, deadline=None)
@given(message=MESSAGES, data=st.data())
def test_an_answer_that_is_damaged_is_read_or_refused(message: Message, data: st.DataObject) -> None:
    octets = bytearray(encoded(message))
    for _ in range(data.draw(st.integers(1, 4))):
        octets[data.draw(st.integers(0, len(octets) - 1))] = data.draw(st.integers(0, 255))
    cut = data.draw(st.integers(0, len(octets)))
    for hostile in (bytes(octets), bytes(octets[:cut])):
        with suppress(NoPrinter):
            decoded(hostile)


def answer(*octets: bytes) -> bytes:
    return b"\x01\x01\x00\x00\x00\x00\x00\x01\x04" + b"".join(octets)


NAMED = b"\x21\x00\x01a\x00\x04\x00\x00\x00\x07"
HOSTILE = {
    "it breaks off": answer(NAMED),
    "a length of 65535 octets": answer(b"\x41\xff\xff"),
    "a further value without an attribute": answer(b"\x21\x00\x00\x00\x04\x00\x00\x00\x07\x03"),
    "tag 0x21 with 3 octets": answer(b"\x21\x00\x01a\x00\x03\x00\x00\x07\x03"),
    "tag 0x22 with 1 octets": answer(b"\x22\x00\x01a\x00\x01\x02\x03"),
    "tag 0x35 with 5 octets": answer(b"\x35\x00\x01a\x00\x05\x00\x02en\x00\x03"),
    "begins with 0x00": answer(b"\x00"),
    "begins with 0x41": b"\x01\x01\x00\x00\x00\x00\x00\x01\x41",
    "the end or a member of a collection that never began": answer(b"\x37\x00\x01a\x00\x00\x03"),
    "malformed or too deep": answer(b"\x34\x00\x01a\x00\x00" + b"\x4a\x00\x00\x00\x01a\x34\x00\x00\x00\x00" * 99),
    "a name inside a collection": answer(b"\x34\x00\x01a\x00\x00" + NAMED),
    "a value of no member": answer(b"\x34\x00\x01a\x00\x00\x21\x00\x00\x00\x04\x00\x00\x00\x07"),
    "a member without a value": answer(b"\x34\x00\x01a\x00\x00\x4a\x00\x00\x00\x01a\x37\x00\x00\x00\x00\x03"),
    "a member without a name": answer(b"\x34\x00\x01a\x00\x00\x4a\x00\x00\x00\x00"),
    f"more than {MOST_VALUES} values": answer(NAMED * (MOST_VALUES + 1), b"\x03"),
}


@pytest.mark.parametrize("words", HOSTILE)
def test_what_is_wrong_with_an_answer_is_said(words: str) -> None:
    with pytest.raises(NoPrinter, match=words):
        decoded(HOSTILE[words])


def test_collections_as_deep_as_honest_ones_are_read() -> None:
    inner: Content = (attribute("x", Tag.INTEGER, 1),)
    for _ in range(DEEPEST_COLLECTION - 1):
        inner = (attribute("x", Tag.BEGIN_COLLECTION, inner),)
    told = Message(0, 1, (Group(GroupTag.PRINTER, (attribute("media-col", Tag.BEGIN_COLLECTION, inner),)),))
    assert decoded(encoded(told)) == told


@pytest.mark.parametrize(
    "wrong",
    [
        attribute("copies", Tag.INTEGER, 2**31),
        attribute("job-name", Tag.NAME, "x" * 40_000),
        attribute("time", Tag.DATE_TIME, datetime(2026, 1, 1)),  # noqa: DTZ001 - a moment without a zone is what is refused
    ],
)
def test_what_no_message_can_hold_is_refused_by_name(wrong: Attribute) -> None:
    with pytest.raises(BadRequest) as caught:
        encoded(Message(2, 1, (Group(GroupTag.JOB, (wrong,)),)))
    assert caught.value.field == wrong.name
