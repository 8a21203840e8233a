"""Requests that nobody should send, made from the OpenAPI document: every call, with hostile values in every place."""

from __future__ import annotations

import json
import random
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from tests.small_kit import NUMBER_U3, file_of, make_dxf

NASTY = (
    "",
    " ",
    "\x00",
    "a\x00b",
    "../../etc/passwd",
    "..%2f..%2f",
    "%00",
    "CON.dxf",
    "a\nb.dxf",
    "' OR 1=1 --",
    "<script>alert(1)</script>",
    "\u202eABC",
    "\ud800",
    "𝕆𝕊𝕍",
    "²",
    "9" * 400,
    "-1",
    "1e400",
    "NaN",
    "null",
    "true",
    "[)>\x1e06\x1d1P",
    "http://[::1",
    "K7M4-XRAW" * 40,
    "A" * 4000,
)
# Words that lead past the first check, into the verbs.
GOOD: dict[str, tuple[str, ...]] = {
    "kit": ("OSV4-FC1-A500", "osv4-fc1-a500"),
    "number": (NUMBER_U3,),
    "name": (file_of("SW2-U3"), "new.dxf"),
    "revision": ("-", "A", "B"),
    "reorder_id": ("1", "2147483647"),
    "form": ("svg", "pdf", "png", "dxf"),
    "mark": (NUMBER_U3,),
}
NUMBERS = (0, -1, 1, 2**31, 2**63, 10**30, -(10**400), 0.5, 1e308, float("nan"), float("inf"))


@dataclass(frozen=True)
class Hostile:
    """A request as it goes over the wire."""

    method: str
    path: str
    headers: Mapping[bytes, bytes]
    content: bytes | None = None
    files: dict[str, tuple[str, bytes]] | None = None
    data: dict[str, str] | None = None


class Sender:
    """Makes requests of an OpenAPI document's calls; the same seed makes the same one."""

    def __init__(self, document: dict[str, Any], seed: int) -> None:
        self._schemas = document["components"]["schemas"]
        self._paths = document["paths"]
        self._random = random.Random(seed)

    def request(self) -> Hostile:
        """Any call, with good words in some places and anything at all in the others."""
        path = self._random.choice(sorted(self._paths))
        method = self._random.choice(sorted(self._paths[path]))
        operation = self._paths[path][method]
        headers: dict[bytes, bytes] = {}
        query = []
        for parameter in operation.get("parameters", ()):
            name = parameter["name"]
            if parameter["in"] == "path":
                path = path.replace("{" + name + "}", _wire(self._word(name)) or "%20")
            elif self._sometimes() and parameter["in"] == "query":
                query.append(f"{_wire(name)}={_wire(self._word(name))}")
            elif self._sometimes() and parameter["in"] == "header":
                headers[name.encode()] = self._bytes(40).translate(None, b"\r\n\x00")
        address = path + ("?" + "&".join(query) if query else "")
        kinds = operation.get("requestBody", {}).get("content", {})
        if "multipart/form-data" in kinds:
            return self._form(method, address, headers)
        if not kinds:
            return Hostile(method, address, headers)
        headers[b"content-type"] = self._random.choice((b"application/json",) * 3 + (b"text/csv", b"\xff", b""))
        return Hostile(method, address, headers, content=self._body(kinds))

    def _form(self, method: str, address: str, headers: Mapping[bytes, bytes]) -> Hostile:
        upload = self._random.choice((self._bytes(200), make_dxf(), make_dxf()[:700]))
        fields = {name: self._text() for name in ("note", "units", "joints_changed", "interfaces_changed")}
        fields["revision"] = self._word("revision")
        plain = {name: value.encode("utf-8", "replace").decode() for name, value in fields.items()}
        return Hostile(method, address, headers, files={"file": ("x.dxf", upload)}, data=plain)

    def _body(self, kinds: dict[str, Any]) -> bytes:
        """The example of the call with one of its values replaced by anything; any JSON; or bytes."""
        if "application/json" not in kinds:
            # A table: lines of any texts under the head of its example, or bytes.
            head = next(iter(kinds.values())).get("example", "").partition("\n")[0]
            rows = [",".join(self._text() for _ in range(self._random.randrange(5))) for _ in range(3)]
            table = "\n".join([head, *rows]).encode("utf-8", "replace")
            return table if self._sometimes() else self._bytes(200)
        name = kinds["application/json"]["schema"]["$ref"].rpartition("/")[2]
        example = self._schemas[name]["examples"][0]
        if self._sometimes():
            place = self._random.choice(places(example))
            return json.dumps(replaced(example, place, self._value())).encode()
        return json.dumps(self._value()).encode() if self._sometimes() else self._bytes(200)

    def _sometimes(self) -> bool:
        return self._random.random() < 0.5

    def _word(self, name: str) -> str:
        return self._random.choice(GOOD.get(name, ("1",))) if self._sometimes() else self._text()

    def _text(self) -> str:
        if self._sometimes():
            return self._random.choice(NASTY)
        top = self._random.choice((0x80, 0x3000, 0x110000))
        return "".join(chr(self._random.randrange(top)) for _ in range(self._random.randrange(40)))

    def _bytes(self, most: int) -> bytes:
        return self._random.randbytes(self._random.randrange(most))

    def _value(self, depth: int = 0) -> object:
        """Anything that JSON, as Python writes it, can say."""
        count = self._random.randrange(3) if depth < 3 else 0
        return self._random.choice(
            (
                None,
                True,
                self._text(),
                self._random.choice(NUMBERS),
                [self._value(depth + 1) for _ in range(count)],
                {self._text(): self._value(depth + 1) for _ in range(count)},
            )
        )


def _wire(text: str) -> str:
    return quote(text.encode("utf-8", "surrogatepass"), safe="")


def places(value: object, here: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Where a document has values: the steps that lead to each."""
    found = [here]
    if isinstance(value, dict):
        for name, inner in value.items():
            found += places(inner, (*here, name))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            found += places(inner, (*here, index))
    return found


def replaced(value: Any, steps: tuple[str | int, ...], new: object) -> object:
    """The document with another value at one place."""
    if not steps:
        return new
    copy = value.copy()
    copy[steps[0]] = replaced(value[steps[0]], steps[1:], new)
    return copy
