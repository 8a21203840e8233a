"""Where documents are made: in worker processes, so that a kit that is being drawn slows nobody's scan down."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")


# How far a worker steps back behind the process that answers scans, where the system knows such ranks.
_STEPS_BACK = 10


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
