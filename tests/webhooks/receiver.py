"""A receiver of notices on loopback: a real HTTP server that takes, refuses, hangs, trickles or sends elsewhere."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Literal

Manner = Literal["takes", "fails", "hangs", "trickles", "elsewhere", "says_nothing"]


@dataclass(frozen=True)
class Notice:
    """A request as it came."""

    path: str
    headers: dict[str, str]
    body: bytes


@dataclass
class Receiver:
    """What came, and how the next one is met."""

    port: int
    manner: Manner = "takes"
    notices: list[Notice] = field(default_factory=list)
    over: threading.Event = field(default_factory=threading.Event)

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}/kitwright?from=shop"


@contextmanager
def receiving(manner: Manner = "takes", port: int = 0) -> Iterator[Receiver]:
    """A receiver that is there until the end of the block."""

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            receiver.notices.append(Notice(self.path, dict(self.headers.items()), body))
            meet(self, receiver)

        def log_request(self, code: object = "-", size: object = "-") -> None:
            """Nothing: the test says what it saw."""

    server = ThreadingHTTPServer(("127.0.0.1", port), Handler)
    server.daemon_threads = True
    receiver = Receiver(server.server_address[1], manner)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    try:
        yield receiver
    finally:
        receiver.over.set()
        server.shutdown()
        server.server_close()


def meet(handler: BaseHTTPRequestHandler, receiver: Receiver) -> None:
    """Answer as the receiver does just now."""
    if receiver.manner == "hangs":
        receiver.over.wait(30)
    elif receiver.manner == "trickles":
        handler.wfile.write(b"HTTP/1.1 200 OK\r\n")
        # Each byte comes in time, and the end never does.
        while not receiver.over.wait(0.05):
            try:
                handler.wfile.write(b"x")
            except OSError:
                return
    elif receiver.manner == "says_nothing":
        handler.connection.shutdown(socket.SHUT_RDWR)
    elif receiver.manner == "elsewhere":
        handler.send_response(307)
        handler.send_header("Location", f"http://127.0.0.1:{receiver.port}/elsewhere")
        handler.end_headers()
    else:
        handler.send_response(204 if receiver.manner == "takes" else 500)
        handler.end_headers()


def free_port() -> int:
    """A port of loopback at which nobody listens."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return int(listener.getsockname()[1])


def wait_until(true: object, *, timeout_s: float = 20.0) -> bool:
    """Whether something came true in time; asked again and again."""
    assert callable(true)
    deadline = time.monotonic() + timeout_s
    while time.monotonic() < deadline:
        if true():
            return True
        time.sleep(0.02)
    return bool(true())
