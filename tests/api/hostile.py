"""Requests that nobody should send, made from the OpenAPI document: every call, with hostile values in every place."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from hypothesis import strategies as st

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
TEXTS = st.sampled_from(NASTY) | st.text(max_size=40)
SCALARS = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | TEXTS
    | st.sampled_from([10**30, -(10**400), 2**63, 1e308])
)
VALUES = st.recursive(SCALARS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3))


@dataclass(frozen=True)
class Hostile:
    """A request as it goes over the wire."""

    method: str
    path: str
    headers: Mapping[bytes, bytes]
    content: bytes | None = None
    files: dict[str, tuple[str, bytes]] | None = None
    data: dict[str, str] | None = None


def operations(document: dict[str, Any]) -> list[tuple[str, str, dict[str, Any]]]:
    """Method, path and description of every call."""
    return [
        (method, path, operation)
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
    ]


def _wire(text: str) -> str:
    return quote(text.encode("utf-8", "surrogatepass"), safe="")


@st.composite
def requests(draw: st.DrawFn, document: dict[str, Any]) -> Hostile:
    """Any call, with good words in some places and anything at all in the others."""
    method, path, operation = draw(st.sampled_from(operations(document)))
    headers: dict[bytes, bytes] = {}
    query = []
    for parameter in operation.get("parameters", ()):
        name = parameter["name"]
        words = TEXTS | st.sampled_from(GOOD.get(name, ("1",)))
        if parameter["in"] == "path":
            path = path.replace("{" + name + "}", _wire(draw(words)) or "%20")
        elif parameter["in"] == "query" and draw(st.booleans()):
            query.append(f"{_wire(name)}={_wire(draw(words))}")
        elif parameter["in"] == "header" and draw(st.booleans()):
            headers[name.encode()] = draw(st.binary(max_size=40)).translate(None, b"\r\n\x00")
    address = path + ("?" + "&".join(query) if query else "")
    kinds = operation.get("requestBody", {}).get("content", {})
    if "multipart/form-data" in kinds:
        upload = draw(st.binary(max_size=200) | st.just(make_dxf()) | st.just(make_dxf()[:700]))
        fields = {name: draw(TEXTS) for name in ("note", "units", "joints_changed", "interfaces_changed")}
        fields["revision"] = draw(TEXTS | st.sampled_from(("A", "-")))
        plain = {name: value.encode("utf-8", "replace").decode() for name, value in fields.items()}
        return Hostile(method, address, headers, files={"file": ("x.dxf", upload)}, data=plain)
    if not kinds:
        return Hostile(method, address, headers)
    headers[b"content-type"] = draw(st.sampled_from([b"application/json", b"text/csv", b"\xff", b""]))
    return Hostile(method, address, headers, content=draw(bodies(document, kinds)))


def bodies(document: dict[str, Any], kinds: dict[str, Any]) -> st.SearchStrategy[bytes]:
    """Bytes; any JSON; or the example of the call with one of its values replaced by anything."""
    content = kinds["application/json"]
    name = content["schema"]["$ref"].rpartition("/")[2]
    example = document["components"]["schemas"][name]["examples"][0]
    anything = VALUES.map(lambda value: json.dumps(value).encode())
    spoilt = st.tuples(st.sampled_from(sorted(places(example), key=str)), VALUES).map(
        lambda choice: json.dumps(replaced(example, *choice)).encode()
    )
    return spoilt | anything | st.binary(max_size=200)


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
