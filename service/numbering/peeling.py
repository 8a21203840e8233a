"""What stands around a mark: a scanner's symbology identifier, a link, a message of an ISO/IEC 15434 envelope.

Nothing here is fetched or looked up; a link is a text that may end in a mark.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Literal

from service.numbering.check import is_valid
from service.numbering.cleaning import Traced
from service.numbering.key import ALPHABET
from service.numbering.outcome import Source

__all__ = ["Field", "Peeled", "peel"]

_SYMBOLOGY = re.compile(r"\][A-Za-z][0-9A-Za-z]")  # ISO/IEC 15424: flag, code character, modifier
_ENVELOPE = re.compile(r"\[\)>\s*")  # ISO/IEC 15434: message header
_FORMAT_06 = re.compile(r"\s*06\s*")

# The separators of ISO/IEC 15434 as scanners and hosts show them: as such, as control pictures, with a caret, spelled.
_SEPARATORS = re.compile(
    r"""
    (?P<eot> \x04 | \u2404 | \^D  | [<{]EOT[>}] | \\x04 | \\u0004 | \\004 ) |
    (?P<rs>  \x1e | \u241e | \^\^ | [<{]RS[>}]  | \\x1e | \\u001e | \\036 ) |
    (?P<gs>  \x1d | \u241d | \^\] | [<{]GS[>}]  | \\x1d | \\u001d | \\035 )
    """,
    re.VERBOSE | re.IGNORECASE,
)
_END_OF_FIELD = "\x1d"
_IDENTIFIER = re.compile(r"\s*([0-9]{0,3}[A-Za-z])")  # ISO/IEC 15418: data identifier
_KINDS: dict[str, Literal["number", "key"]] = {"1P": "number", "S": "key"}

# With the separators swallowed the fields run together: the grammar and the checks say where they end.
_RUN_TOGETHER_NUMBER = re.compile(
    r"""
    (?<= 1P ) (?= (
        [A-Z]{3,4} \d{1,2} [-\ ]? [A-Z]{2}   \d{1,2} [-\ ]? [A-Z]{1,2} \d{1,6} [-\ ]?    # the kit
        [A-Z]{2}   \d{1,2} [-\ ]? [A-Z]      \d{1,5} (?: [-\ ] \d{2} )?                  # the place and the check
    ) )
    """,
    re.VERBOSE | re.IGNORECASE | re.ASCII,
)
_RUN_TOGETHER_KEY = re.compile(rf"(?<=S)(?=([{ALPHABET}]{{4}}[- ]?[{ALPHABET}]{{4}}))", re.IGNORECASE | re.ASCII)

_SCHEME = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:/+")
_ESCAPES = re.compile(r"(?:%[0-9A-Fa-f]{2})+")
_SHORTEST_MARK = 7  # a key that lost a symbol
_DEEPEST = 2  # a link inside a link
_MOST = 24


@dataclass(frozen=True, slots=True)
class Field:
    """A text that may be a mark, and which kind of mark if that is known."""

    kind: Literal["any", "number", "key"]
    traced: Traced


@dataclass(frozen=True, slots=True)
class Peeled:
    """One way to take what was around the mark away; a message may hold a number and a key."""

    source: Source
    fields: tuple[Field, ...]


def peel(traced: Traced) -> list[Peeled]:
    """The ways to take away what stands around the mark, the likeliest first; at least one."""
    traced = traced.stripped()
    identifier = _SYMBOLOGY.match(traced.text)
    if identifier:
        traced = traced.part(identifier.end()).stripped()
    if _ENVELOPE.match(traced.text) or "\x1d" in traced.text or "\x1e" in traced.text:
        return _message(traced)
    if "/" in traced.text or _ESCAPES.search(traced.text):
        return list(islice(_link(traced, 0), _MOST))
    ways = [Peeled("number", (Field("any", traced),))]
    for identifier_, kind in _KINDS.items():
        if traced.text[: len(identifier_)].upper() == identifier_:
            ways.append(Peeled("message", (Field(kind, traced.part(len(identifier_))),)))
    return ways


def _message(traced: Traced) -> list[Peeled]:
    header = _ENVELOPE.match(traced.text)
    body = _separated(traced.part(header.end() if header else 0))
    form = re.match(_END_OF_FIELD + "*" + _FORMAT_06.pattern, body.text)
    if form:
        body = body.part(form.end())
    fields: list[Field] = []
    start = 0
    for piece in body.text.split(_END_OF_FIELD):
        identifier = _IDENTIFIER.match(piece)
        kind = _KINDS.get(identifier[1].upper()) if identifier else None
        if identifier and kind:
            fields.append(Field(kind, body.part(start + identifier.end(), start + len(piece)).stripped()))
        start += len(piece) + 1
    ways = [Peeled("message", tuple(fields))] if fields else []
    if _END_OF_FIELD not in body.text.strip(_END_OF_FIELD):
        ways = [*_run_together(body), *ways]
    return ways or [Peeled("message", (Field("any", body.stripped()),))]


def _separated(traced: Traced) -> Traced:
    """The message with every separator, however it is shown, as one end of field."""
    text, start = "", 0
    at: list[int] = []
    for found in _SEPARATORS.finditer(traced.text):
        text += traced.text[start : found.start()] + _END_OF_FIELD
        at += (*traced.at[start : found.start()], traced.at[found.start()])
        start = found.end()
    return traced.changed(text + traced.text[start:], (*at, *traced.at[start:]))


def _run_together(body: Traced) -> Iterator[Peeled]:
    numbers = []
    for found in _RUN_TOGETHER_NUMBER.finditer(body.text):
        longest = found[1]
        ends = [length for length in range(len(longest), 13, -1) if is_valid(longest[:length].upper().replace(" ", ""))]
        numbers += [(found.start(), found.start() + length) for length in ends or [len(longest)]]
    keys = [(found.start(1), found.end(1)) for found in _RUN_TOGETHER_KEY.finditer(body.text)]
    for start, stop in numbers:
        number = Field("number", body.part(start, stop))
        outside = [(first, last) for first, last in keys if last < start or first >= stop]
        for first, last in outside:
            yield Peeled("message", (number, Field("key", body.part(first, last))))
        if not outside:
            yield Peeled("message", (number,))
    if not numbers:
        yield from (Peeled("message", (Field("key", body.part(first, last)),)) for first, last in keys)


def _link(traced: Traced, depth: int) -> Iterator[Peeled]:
    """What a link ends in: its path, else its fragment, else a value of its query."""
    scheme = _SCHEME.match(traced.text)
    path, marker, query = _parted(traced.part(scheme.end() if scheme else 0), "?")
    if not marker:
        path, _, fragment = _parted(path, "#")
    else:
        query, _, fragment = _parted(query, "#")
        query = query.changed(query.text.replace("+", " "), query.at)
    segments = [segment for segment in _pieces(path, "/") if segment.text.strip()]
    if scheme and len(segments) > 1:
        del segments[0]  # the host
    found = [_unescaped(segment) for segment in reversed(segments)]
    yield from (Peeled("link", (Field("any", segment),)) for n, segment in enumerate(found) if not n or _long(segment))
    if not scheme:
        # Slashes may also stand for hyphens: a scanner and a host that disagree the other way round.
        yield Peeled("number", (Field("any", _unescaped(traced.changed(path.text.replace("/", "-"), path.at))),))
    inner = [*_pieces(fragment, "/")[::-1], *(_parted(pair, "=")[2] for pair in _pieces(query, "&"))]
    for value in map(_unescaped, inner):
        if _long(value) and "/" in value.text and depth < _DEEPEST:
            yield from _link(value, depth + 1)
        elif _long(value):
            yield Peeled("link", (Field("any", value),))


def _long(traced: Traced) -> bool:
    return len(traced.text) >= _SHORTEST_MARK


def _parted(traced: Traced, at: str) -> tuple[Traced, str, Traced]:
    """What stands before and behind the first such sign, as ``str.partition`` does it."""
    where = traced.text.find(at)
    if where < 0:
        return traced, "", traced.part(len(traced.text))
    return traced.part(0, where), at, traced.part(where + 1)


def _pieces(traced: Traced, at: str) -> list[Traced]:
    pieces, start = [], 0
    for piece in traced.text.split(at):
        pieces.append(traced.part(start, start + len(piece)))
        start += len(piece) + 1
    return pieces


def _unescaped(traced: Traced) -> Traced:
    """The text with its percent escapes undone (RFC 3986, 2.1); each character stands where its escape began."""
    text: list[str] = []
    at: list[int] = []
    start = 0
    for found in _ESCAPES.finditer(traced.text):
        text.append(traced.text[start : found.start()])
        at += traced.at[start : found.start()]
        octets = 0
        for character in bytes.fromhex(found[0].replace("%", "")).decode(errors="replace"):
            text.append(character)
            at.append(traced.at[found.start() + 3 * octets])
            octets += len(character.encode()) if character != "\ufffd" else 1
        start = found.end()
    return traced.changed("".join((*text, traced.text[start:])), (*at, *traced.at[start:]))
