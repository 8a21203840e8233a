"""Where documents are made: in worker processes, so that a kit that is being drawn slows nobody's scan down."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import IO, ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")

Tell = Callable[[str, int, int], None]
"""Told what was done, to how many marks of how many: ``tell("drawn", 12, 300)``."""


def say_nothing(_what: str, _done: int, _of: int) -> None:
    """The ``Tell`` of whoever does not watch."""


# How far a worker steps back behind the process that answers scans, where the system knows such ranks.
_STEPS_BACK = 10

_LOOK_S = 0.1
"""How often whoever watches a drawing looks at how far it is."""


def _begin_work() -> None:
    """Leave Ctrl-C, which reaches every process of a terminal, to the service, and let whoever scans go first."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(_STEPS_BACK)


class RenderRoom:
    """Runs drawing in worker processes; with no workers, in the caller's own thread.

    The first drawing starts the workers. A worker that dies is replaced and the drawing is tried once more.
    """

    def __init__(self, workers: int) -> None:
        self._workers = workers
        self._pool: ProcessPoolExecutor | None = None
        self._lock = threading.Lock()

    def run(self, draw: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> T:
        """Draw and wait for the result; errors of the drawing are raised here."""
        if self._workers == 0:
            return draw(*args, **kwargs)
        pool = self._open()
        try:
            return pool.submit(draw, *args, **kwargs).result()
        except BrokenProcessPool:
            self._discard(pool)
            return self._open().submit(draw, *args, **kwargs).result()

    def run_watched(self, draw: Callable[..., T], tell: Tell, /, *args: object, **kwargs: object) -> T:
        """Draw, wait for the result, and pass on what the drawing tells under its keyword ``tell``."""
        if tell is say_nothing or self._workers == 0:
            return self.run(draw, *args, **kwargs, tell=tell)
        # A file serves one worker as well as another, and one that dies leaves no lock behind.
        with NamedTemporaryFile("r", prefix="kitwright-", suffix=".progress", encoding="ascii") as notes:
            pool = self._open()
            try:
                return _watched(pool.submit(_noting, Path(notes.name), draw, args, kwargs), notes, tell)
            except BrokenProcessPool:
                self._discard(pool)
                return _watched(self._open().submit(_noting, Path(notes.name), draw, args, kwargs), notes, tell)

    def close(self) -> None:
        """End the workers; the room can be used again afterwards."""
        with self._lock:
            pool, self._pool = self._pool, None
        if pool is not None:
            pool.shutdown(wait=True, cancel_futures=True)

    def _open(self) -> ProcessPoolExecutor:
        with self._lock:
            if self._pool is None:
                # Forked workers would inherit database connections and locks.
                context = multiprocessing.get_context("spawn")
                self._pool = ProcessPoolExecutor(max_workers=self._workers, mp_context=context, initializer=_begin_work)
            return self._pool

    def _discard(self, broken: ProcessPoolExecutor) -> None:
        with self._lock:
            if self._pool is broken:
                self._pool = None
        broken.shutdown(wait=False, cancel_futures=True)


def _noting(notes: Path, draw: Callable[..., T], args: tuple[object, ...], kwargs: dict[str, object]) -> T:
    """Draw in a worker, and write down how far it is."""
    with notes.open("a", encoding="ascii", buffering=1) as lines:

        def tell(what: str, done: int, of: int) -> None:
            lines.write(f"{what}\t{done}\t{of}\n")

        return draw(*args, **kwargs, tell=tell)


def _watched(result: Future[T], notes: IO[str], tell: Tell) -> T:
    begun = ""
    while True:
        done = bool(wait([result], timeout=_LOOK_S).done)
        for line in notes:
            begun += line
            if begun.endswith("\n"):
                what, made, of = begun.rstrip("\n").split("\t")
                tell(what, int(made), int(of))
                begun = ""
        if done:
            return result.result()
