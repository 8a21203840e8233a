"""Requests and answers of IPP as bytes (RFC 8010 section 3): written for any printer, read from a hostile one.

A message is a version, an operation or status code, a request id, groups of attributes, and the document behind them.
An attribute has one value or several (``1setOf``), and values of one attribute may differ in their tag, as
``media-size-supported`` of a roll printer does: an integer beside a range.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone

from service.errors import BadRequest, NoPrinter
from service.printers.ipp_tags import INTEGERS, OUT_OF_BAND, STRINGS, WITH_LANGUAGE, GroupTag, Tag

#: A length is two octets and, being a signed number in the standard, at most this.
LONGEST_VALUE = 32_767
#: What no honest answer comes near: the largest seen, with a database of media, holds some thousand values.
MOST_VALUES = 50_000
DEEPEST_COLLECTION = 12

_DELIMITERS = range(0x10)
_EXTENDED = 0x7F


@dataclass(frozen=True, slots=True)
class Resolution:
    """Dots along and across (RFC 8010 section 3.9); ``units`` is 3 for dots per inch, 4 for dots per centimetre."""

    across: int
    along: int
    units: int = 3

    @property
    def dpi(self) -> float:
        """Dots per inch across the feed."""
        return self.across if self.units == 3 else self.across * 2.54


@dataclass(frozen=True, slots=True)
class Range:
    """Both ends are within it."""

    low: int
    high: int


@dataclass(frozen=True, slots=True)
class Spoken:
    """A text with the language that it is in."""

    language: str
    text: str


@dataclass(frozen=True, slots=True)
class Attribute:
    """A name with its values in order."""

    name: str
    values: tuple[Value, ...]


#: A collection is its members; bytes are octets, and what has no form that is known here; None is out of band.
Content = int | bool | str | bytes | datetime | Resolution | Range | Spoken | tuple[Attribute, ...] | None


@dataclass(frozen=True, slots=True)
class Value:
    """What stands there, and the tag that says how it is written."""

    tag: int
    content: Content


@dataclass(frozen=True, slots=True)
class Group:
    """Attributes of the operation, of a job, of the printer, or those that were not supported."""

    tag: int
    attributes: tuple[Attribute, ...]


@dataclass(frozen=True, slots=True)
class Message:
    """One request or answer; ``code`` is the operation of a request and the status of an answer."""

    code: int
    request_id: int
    groups: tuple[Group, ...]
    data: bytes = b""
    version: tuple[int, int] = (2, 0)

    def group(self, tag: GroupTag) -> tuple[Attribute, ...]:
        """The attributes of the first group of this kind, none when there is no such group."""
        return next((group.attributes for group in self.groups if group.tag == tag), ())


def attribute(name: str, tag: Tag, *contents: Content) -> Attribute:
    """An attribute whose values all have one tag."""
    return Attribute(name, tuple(Value(tag, content) for content in contents))


def encoded(message: Message) -> bytes:
    """The message as bytes, its document included.

    Raises:
        BadRequest: a value that its tag cannot hold, or a text that is too long.
    """
    parts = [struct.pack(">BBHi", *message.version, message.code, message.request_id)]
    for group in message.groups:
        parts.append(bytes([group.tag]))
        for one in group.attributes:
            parts += _attribute_bytes(one)
    parts += [bytes([GroupTag.END]), message.data]
    return b"".join(parts)


def _attribute_bytes(one: Attribute) -> Iterator[bytes]:
    name = one.name
    for value in one.values:
        yield from _value_bytes(value, name, one.name)
        name = ""


def _value_bytes(value: Value, name: str, field: str) -> Iterator[bytes]:
    """Name, or none for a further value, and the value; a collection brings its members with it."""
    if isinstance(value.content, tuple):
        yield bytes([Tag.BEGIN_COLLECTION]) + _counted(name.encode(), field) + b"\0\0"
        for member in value.content:
            yield bytes([Tag.MEMBER_NAME]) + b"\0\0" + _counted(member.name.encode(), field)
            for inner in member.values:
                yield from _value_bytes(inner, "", member.name)
        yield bytes([Tag.END_COLLECTION]) + b"\0\0\0\0"
        return
    try:
        octets = _octets(value)
    except (struct.error, ValueError, TypeError, OverflowError) as error:
        raise _unwritable(field, value.content) from error
    yield bytes([value.tag]) + _counted(name.encode(), field) + _counted(octets, field)


def _octets(value: Value) -> bytes:  # noqa: PLR0911 - one line a syntax of the standard's table
    match value.content:
        case None:
            return b""
        case bytes():
            return value.content
        case bool():
            return bytes([value.content])
        case int():
            return struct.pack(">i", value.content)
        case str():
            return value.content.encode()
        case datetime():
            return _date_octets(value.content)
        case Resolution(across=across, along=along, units=units):
            return struct.pack(">iib", across, along, units)
        case Range(low=low, high=high):
            return struct.pack(">ii", low, high)
        case Spoken(language=language, text=text):
            return b"".join(struct.pack(">H", len(part)) + part for part in (language.encode(), text.encode()))
        case _:
            raise TypeError(type(value.content).__name__)


def _date_octets(moment: datetime) -> bytes:
    """DateAndTime of RFC 2579: local time to the tenth of a second, and how far it is from UTC."""
    offset = moment.utcoffset()
    if offset is None:
        raise ValueError("a moment without a zone")
    minutes = int(abs(offset.total_seconds())) // 60
    sign = b"-" if offset < timedelta(0) else b"+"
    return struct.pack(
        ">HBBBBBBcBB",
        moment.year,
        moment.month,
        moment.day,
        moment.hour,
        moment.minute,
        moment.second,
        moment.microsecond // 100_000,
        sign,
        minutes // 60,
        minutes % 60,
    )


def _counted(octets: bytes, field: str) -> bytes:
    if len(octets) > LONGEST_VALUE:
        raise _unwritable(field, octets[:60])
    return struct.pack(">H", len(octets)) + octets


def _unwritable(field: str, value: object) -> BadRequest:
    return BadRequest(
        "no message to a printer can hold this value", field=field, value=value, todo="Shorten or correct it"
    )


def decoded(data: bytes) -> Message:
    """A message from its bytes.

    Raises:
        NoPrinter: it breaks off, does not end, counts wrongly, or is larger than any printer's answer.
    """
    reader = _Reader(data)
    major, minor, code, request_id = struct.unpack(">BBHi", reader.take(8))
    groups: list[Group] = []
    while (tag := reader.take(1)[0]) != GroupTag.END:
        if tag not in _DELIMITERS or tag == 0:
            raise reader.broken(f"a group of attributes begins with 0x{tag:02X}")
        groups.append(Group(tag, tuple(reader.attributes())))
    return Message(code, request_id, tuple(groups), data[reader.at :], (major, minor))


class _Reader:
    """Where in the bytes reading has come to; never beyond their end, never deeper or longer than the bounds."""

    def __init__(self, data: bytes) -> None:
        self.data, self.at, self.values = data, 0, 0

    def broken(self, what: str) -> NoPrinter:
        return NoPrinter(
            f"this is no answer of a printer: {what}",
            field="printer",
            value=f"{len(self.data)} bytes",
            todo="Check the address of the printer; if it is right, the printer's firmware is at fault",
            place=f"byte {self.at}",
        )

    def take(self, count: int) -> bytes:
        if self.at + count > len(self.data):
            raise self.broken("it breaks off")
        self.at += count
        return self.data[self.at - count : self.at]

    def counted(self) -> bytes:
        (length,) = struct.unpack(">H", self.take(2))
        if length > LONGEST_VALUE:
            raise self.broken(f"a length of {length} octets")
        return self.take(length)

    def head(self) -> tuple[int, bytes, bytes]:
        """Tag, name and octets of the next value."""
        self.values += 1
        if self.values > MOST_VALUES:
            raise self.broken(f"more than {MOST_VALUES} values")
        return self.take(1)[0], self.counted(), self.counted()

    def attributes(self) -> Iterator[Attribute]:
        """All attributes up to the next delimiter, which is left where it stands."""
        name, values = "", list[Value]()
        while self.at >= len(self.data) or self.data[self.at] not in _DELIMITERS:
            tag, named, octets = self.head()
            if named:
                if values:
                    yield Attribute(name, tuple(values))
                name, values = named.decode("utf-8", "replace"), []
            elif not values:
                raise self.broken("a further value without an attribute")
            values.append(self.value(tag, octets, depth=0))
        if values:
            yield Attribute(name, tuple(values))

    def value(self, tag: int, octets: bytes, *, depth: int) -> Value:
        if tag == Tag.BEGIN_COLLECTION:
            if octets or depth >= DEEPEST_COLLECTION:
                raise self.broken("a collection that is malformed or too deep")
            return Value(tag, tuple(self.members(depth + 1)))
        if tag in (Tag.END_COLLECTION, Tag.MEMBER_NAME):
            raise self.broken("the end or a member of a collection that never began")
        try:
            return Value(tag, _content(tag, octets))
        except (struct.error, ValueError) as error:
            raise self.broken(f"a value of tag 0x{tag:02X} with {len(octets)} octets") from error

    def members(self, depth: int) -> Iterator[Attribute]:
        name, values = "", list[Value]()
        while True:
            tag, named, octets = self.head()
            if named:
                raise self.broken("a name inside a collection")
            if tag in (Tag.MEMBER_NAME, Tag.END_COLLECTION):
                if name and not values:
                    raise self.broken("a member without a value")
                if name:
                    yield Attribute(name, tuple(values))
                if tag == Tag.END_COLLECTION:
                    return
                name, values = octets.decode("utf-8", "replace"), []
                if not name:
                    raise self.broken("a member without a name")
            elif not name:
                raise self.broken("a value of no member")
            else:
                values.append(self.value(tag, octets, depth=depth))


def _content(tag: int, octets: bytes) -> Content:  # noqa: PLR0911 - one line a syntax of the standard's table
    """What octets mean under a tag; struct.error or ValueError when they cannot mean anything."""
    if tag in OUT_OF_BAND:
        return None
    if tag in INTEGERS:
        return int(struct.unpack(">i", octets)[0])
    if tag in STRINGS:
        return octets.decode("utf-8", "replace")
    if tag in WITH_LANGUAGE:
        return _spoken(octets)
    match tag:
        case Tag.BOOLEAN:
            if octets not in (b"\0", b"\1"):
                raise ValueError("neither true nor false")
            return octets == b"\1"
        case Tag.DATE_TIME:
            return _date(octets)
        case Tag.RESOLUTION:
            return Resolution(*struct.unpack(">iib", octets))
        case Tag.RANGE:
            return Range(*struct.unpack(">ii", octets))
        case _:
            return octets


def _spoken(octets: bytes) -> Spoken:
    (language_length,) = struct.unpack_from(">H", octets)
    language, rest = octets[2 : 2 + language_length], octets[2 + language_length :]
    (text_length,) = struct.unpack_from(">H", rest)
    if len(language) != language_length or len(rest) != 2 + text_length:
        raise ValueError("lengths that do not add up")
    return Spoken(language.decode("utf-8", "replace"), rest[2:].decode("utf-8", "replace"))


def _date(octets: bytes) -> Content:
    """The moment; the octets themselves where a printer's clock was never set and says month 0."""
    year, month, day, hour, minute, second, tenth, sign, hours, minutes = struct.unpack(">HBBBBBBcBB", octets)
    try:
        offset = timedelta(hours=hours, minutes=minutes) * (-1 if sign == b"-" else 1)
        zone = timezone(offset) if offset else UTC
        # RFC 2579 counts a leap second as 60; Python's clock does not.
        return datetime(year, month, day, hour, minute, min(second, 59), tenth * 100_000, zone)
    except ValueError:
        return octets
