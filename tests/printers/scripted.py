"""A server on loopback that answers what a test says: hostile bytes that no honest printer program can be made to send.

What a real printer can be brought to is tested with ``ippeveprinter``; this is for the rest.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

from service.printers.ipp_message import (
    Attribute,
    Group,
    Message,
    Range,
    Resolution,
    attribute,
    decoded,
    encoded,
)
from service.printers.ipp_tags import GroupTag, Tag

Answer = Callable[[Message, bytes], bytes]


@dataclass
class Scripted:
    """What is answered, how, and what was asked."""

    answer: Answer
    status: int = 200
    headers: dict[str, str] = field(default_factory=lambda: {"Content-Type": "application/ipp"})
    requests: list[bytes] = field(default_factory=list)
    port: int = 0

    @property
    def uri(self) -> str:
        return f"ipp://127.0.0.1:{self.port}/ipp/print"


@contextmanager
def scripted(answer: Answer, **more: object) -> Iterator[Scripted]:
    """A server that answers so until the block ends."""
    script = Scripted(answer, **more)  # type: ignore[arg-type]  # a test passes on what it sets otherwise

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_POST(self) -> None:
            body = self._body()
            script.requests.append(body)
            data = script.answer(decoded(body), body)
            self.send_response(script.status)
            for name, value in script.headers.items():
                self.send_header(name, value)
            self.send_header("Content-Length", str(len(data)))
            self.end_headers()
            self.wfile.write(data)

        def _body(self) -> bytes:
            """A body of a given length, or chunk by chunk (RFC 9112 sections 6.2 and 7.1)."""
            if "Content-Length" in self.headers:
                return self.rfile.read(int(self.headers["Content-Length"]))
            parts = []
            while size := int(self.rfile.readline(), 16):
                parts.append(self.rfile.read(size))
                self.rfile.readline()
            self.rfile.readline()
            return b"".join(parts)

        def log_message(self, *_: object) -> None:
            """Says nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    script.port = server.server_port
    thread = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        yield script
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


def answering(code: int, *groups: Group, version: tuple[int, int] = (1, 1)) -> Answer:
    """The same status and groups to every request."""
    first = Group(
        GroupTag.OPERATION,
        (
            attribute("attributes-charset", Tag.CHARSET, "utf-8"),
            attribute("attributes-natural-language", Tag.LANGUAGE, "en"),
        ),
    )
    return lambda request, _body: encoded(Message(code, request.request_id, (first, *groups), version=version))


def describing(
    *,
    formats: Sequence[str] = ("application/pdf",),
    media: Sequence[str] = ("om_plate_60x22mm",),
    dpi: Sequence[int] = (203,),
    state: int = 3,
    reasons: Sequence[str] = ("none",),
    accepting: bool = True,
    more: Sequence[Attribute] = (),
) -> Group:
    """A printer's description."""
    return Group(
        GroupTag.PRINTER,
        (
            attribute("printer-name", Tag.NAME, "Bench printer"),
            attribute("printer-state", Tag.ENUM, state),
            attribute("printer-state-reasons", Tag.KEYWORD, *reasons),
            attribute("printer-is-accepting-jobs", Tag.BOOLEAN, accepting),
            attribute("document-format-supported", Tag.MIME_TYPE, *formats),
            attribute("media-supported", Tag.KEYWORD, *media),
            attribute("printer-resolution-supported", Tag.RESOLUTION, *(Resolution(one, one) for one in dpi)),
            attribute("copies-supported", Tag.RANGE, Range(1, 99)),
            *more,
        ),
    )
