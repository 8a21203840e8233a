"""Exact resolve over HTTP beside a bare FastAPI route, and beside a client that has plates drawn all the time."""

from __future__ import annotations

import random
import tempfile
import threading
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path
from statistics import quantiles

from service.store.database import Database
from tests.bench.full_shop import fill
from tests.bench.plain_http import PlainClient, read_path
from tests.bench.rounds import ROUNDS, Comparison, Contestant
from tests.factories import make_kit
from tests.faults.processes import free_port, serving, snippet, wait_for_http

SEGMENTS = 10_000
PLATES = 57
_CONNECTIONS = 4
_BATCH = 200


@contextmanager
def comparisons(*, segments: int = SEGMENTS, plates: int = PLATES, calls: int = 1_000) -> Iterator[list[Comparison]]:
    """A service over SQLite and the bare one, each a process of its own."""
    with ExitStack() as opened:
        folder = Path(opened.enter_context(tempfile.TemporaryDirectory()))
        url = f"sqlite:///{folder / 'kitwright.db'}"
        with closing(Database(url)) as database:
            database.migrate()
            numbers = fill(database, segments=segments)
            with database.write() as connection:
                kit = make_kit(connection, line=5, segments=plates).number
        environment = {"KITWRIGHT_DATABASE_URL": url, "KITWRIGHT_VAULT_URL": str(folder / "vault")}
        service = opened.enter_context(serving(environment=environment))
        ours, drawing = PlainClient(service.port), PlainClient(service.port)
        bare = PlainClient(opened.enter_context(_bare_service()))
        asked = [read_path(number) for number in random.Random(7).choices(numbers, k=calls)]
        yield [
            Comparison(
                title=f"Exact resolve over HTTP, {_CONNECTIONS} connections (0.8 of the yardstick's calls a second)",
                unit="call",
                yardstick=_crowd("bare route with a Pydantic answer", bare, asked),
                others=[_crowd("GET /api/read", ours, asked)],
                goals={"GET /api/read": 1 / 0.8},
                rounds=3 * ROUNDS,
            ),
            Comparison(
                title="Exact resolve over HTTP, one connection, the 99th percentile of the waits",
                unit="call",
                yardstick=_slowest("bare route with a Pydantic answer", bare, asked),
                others=[_slowest("GET /api/read", ours, asked)],
                goals={"GET /api/read": 1.3},
            ),
            Comparison(
                title=f"Many marks in one call, {_BATCH} at a time (25 times as many marks a second)",
                unit="mark",
                yardstick=_crowd("GET /api/read, a mark a call", ours, asked),
                others=[_batches("POST /api/read", ours, random.Random(8).choices(numbers, k=_BATCH))],
                goals={"POST /api/read": 1 / 25},
            ),
            Comparison(
                title=f"GET /api/read while another client has {plates} plates drawn over and over",
                unit="call",
                yardstick=_slowest("GET /api/read, nothing else to do", ours, asked),
                others=[
                    Contestant(
                        name="GET /api/read beside the drawing",
                        run=lambda: _beside(drawing, f"/api/kits/{kit}/nameplates.pdf", ours, asked),
                        measures=True,
                    )
                ],
                goals={"GET /api/read beside the drawing": 1.5},
            ),
        ]


def _crowd(name: str, client: PlainClient, asked: Sequence[str]) -> Contestant:
    requests = [client.request(path) for path in asked]
    return Contestant(
        name=name, run=lambda: client.crowd_s(requests, connections=_CONNECTIONS), count=len(requests), measures=True
    )


def _batches(name: str, client: PlainClient, marks: Sequence[str]) -> Contestant:
    requests = [client.posting("/api/read", {"marks": marks})] * (2 * _CONNECTIONS)
    return Contestant(
        name=name,
        run=lambda: client.crowd_s(requests, connections=_CONNECTIONS),
        count=len(requests) * len(marks),
        measures=True,
    )


def _slowest(name: str, client: PlainClient, asked: Sequence[str]) -> Contestant:
    requests = [client.request(path) for path in asked]
    return Contestant(name=name, run=lambda: _percentile_99(client.waits_s(requests)), measures=True)


def _percentile_99(waits: Sequence[float]) -> float:
    return quantiles(waits, n=100)[98]


def _beside(drawing: PlainClient, plates: str, client: PlainClient, asked: Sequence[str]) -> float:
    """The 99th percentile of the waits while the other client asks for plates, again as soon as it has them."""
    requests = [client.request(path) for path in asked]
    enough, faults = threading.Event(), []

    def draw() -> None:
        try:
            while not enough.is_set():
                drawing.get(plates)
        except (OSError, RuntimeError) as error:
            faults.append(error)

    other = threading.Thread(target=draw)
    other.start()
    try:
        return _percentile_99(client.waits_s(requests))
    finally:
        enough.set()
        other.join()
        if faults:
            raise faults[0]


@contextmanager
def _bare_service() -> Iterator[int]:
    """The port of the bare service, started as our own is."""
    port = free_port()
    code = (
        "import sys, uvicorn\n"
        "uvicorn.run('tests.bench.bare_app:app', port=int(sys.argv[1]), log_level='warning', server_header=False)"
    )
    with snippet(code, arguments=[str(port)]) as process:
        wait_for_http(process, f"http://127.0.0.1:{port}/api/read?mark=1", timeout_s=60)
        yield port
