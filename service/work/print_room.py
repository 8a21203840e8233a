"""Where a serving process prints: each job in a thread of its own, all of which end cleanly when the service does."""

from __future__ import annotations

import logging
import threading

from service.errors import KitwrightError
from service.work.print_job_claim import Claim
from service.work.print_job_run import run_print_job
from service.work.workshop import Actor, Workshop

_LOG = logging.getLogger("kitwright")
_LONGEST_S = 30.0


class PrintRoom:
    """Runs claimed jobs of one workshop beside the serving of requests."""

    def __init__(self, workshop: Workshop) -> None:
        self._workshop = workshop
        self._stop = threading.Event()
        self._threads: list[threading.Thread] = []

    def start(self, claim: Claim, actor: Actor) -> None:
        """Print a job from now on; how it goes is on record."""
        self._threads = [thread for thread in self._threads if thread.is_alive()]
        name = f"print job {claim.job_id}"
        thread = threading.Thread(target=self._run, args=(claim, actor), name=name, daemon=True)
        self._threads.append(thread)
        thread.start()

    def close(self) -> None:
        """End every job after the question it is at; each can be resumed."""
        self._stop.set()
        for thread in self._threads:
            thread.join(_LONGEST_S)

    def _run(self, claim: Claim, actor: Actor) -> None:
        try:
            run_print_job(self._workshop, claim, actor=actor, stop=self._stop)
        except KitwrightError:
            _LOG.exception("print job %d", claim.job_id)
