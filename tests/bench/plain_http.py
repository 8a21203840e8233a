"""A client that costs next to nothing, so that it is the service that is measured: kept connections, ready requests."""

from __future__ import annotations

import collections
import contextlib
import itertools
import json
import socket
import time
from collections.abc import Iterator, Sequence
from urllib.parse import quote

_END_OF_HEADERS = b"\r\n\r\n"
_LENGTH = b"content-length:"


class PlainClient:
    """Asks one server on this machine; its connections last for one measurement, since servers close idle ones."""

    def __init__(self, port: int) -> None:
        self._port = port

    @contextlib.contextmanager
    def _connected(self, count: int) -> Iterator[list[socket.socket]]:
        with contextlib.ExitStack() as opened:
            made = [
                opened.enter_context(socket.create_connection(("127.0.0.1", self._port), timeout=60))
                for _ in range(count)
            ]
            for one in made:
                one.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            yield made

    def request(self, path: str) -> bytes:
        """The bytes of a GET request."""
        return f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{self._port}\r\nAccept: */*\r\n\r\n".encode("ascii")

    def posting(self, path: str, document: object) -> bytes:
        """The bytes of a POST request with a JSON body."""
        body = json.dumps(document).encode()
        head = (
            f"POST {path} HTTP/1.1\r\nHost: 127.0.0.1:{self._port}\r\nAccept: */*\r\n"
            f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
        )
        return head.encode("ascii") + body

    def waits_s(self, requests: Sequence[bytes]) -> list[float]:
        """Seconds from each request to the end of its answer, one request after the other on one connection.

        Raises:
            RuntimeError: an answer is not 200.
        """
        waits = []
        with self._connected(1) as (one,):
            for request in requests:
                start = time.perf_counter()
                one.sendall(request)
                answer = _answer(one)
                waits.append(time.perf_counter() - start)
                _demand_good(answer)
        return waits

    def crowd_s(self, requests: Sequence[bytes], *, connections: int) -> float:
        """Seconds for all requests with one always waiting on every connection.

        Raises:
            RuntimeError: an answer is not 200.
        """
        answers: list[bytes] = []
        waiting: collections.deque[socket.socket] = collections.deque()
        with self._connected(connections) as opened:
            start = time.perf_counter()
            for request, one in zip(requests, itertools.cycle(opened), strict=False):
                if len(waiting) == connections:
                    answers.append(_answer(waiting.popleft()))
                one.sendall(request)
                waiting.append(one)
            answers += [_answer(one) for one in waiting]
            taken = time.perf_counter() - start
        for answer in answers:
            _demand_good(answer)
        return taken

    def get(self, path: str) -> bytes:
        """The body of one answer; raises RuntimeError when it is not 200."""
        with self._connected(1) as (one,):
            one.sendall(self.request(path))
            answer = _answer(one)
        _demand_good(answer)
        return answer.partition(_END_OF_HEADERS)[2]


def read_path(mark: str) -> str:
    """The address that reads a mark."""
    return f"/api/read?mark={quote(mark)}"


def _answer(one: socket.socket) -> bytes:
    """One whole answer with its length said in its head."""
    data = one.recv(65536)
    while _END_OF_HEADERS not in data:
        data += _more(one)
    head, _, body = data.partition(_END_OF_HEADERS)
    at = head.lower().index(_LENGTH) + len(_LENGTH)
    missing = int(head[at:].split(b"\r\n", 1)[0]) - len(body)
    while missing > 0:
        more = _more(one)
        data += more
        missing -= len(more)
    return data


def _more(one: socket.socket) -> bytes:
    data = one.recv(65536)
    if not data:
        raise RuntimeError("the server closed the connection")
    return data


def _demand_good(answer: bytes) -> None:
    if not answer.startswith(b"HTTP/1.1 200 "):
        raise RuntimeError(answer[:300].decode(errors="replace"))
