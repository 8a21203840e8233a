"""Where a serving process sends its notices: beside the serving of requests, never in the way of one."""

from __future__ import annotations

import logging
import threading
import time

from service.errors import KitwrightError
from service.webhooks.posting import TIMEOUT_S
from service.work.webhook_sending import is_due, send_one
from service.work.workshop import Workshop

_LOG = logging.getLogger("kitwright")
_LOOK_EVERY_S = 1.0
_AFTER_A_FAULT_S = 10.0
_SENDERS = 4
"""So many receivers are served at once; one that hangs holds up only its own."""


class WebhookRoom:
    """Looks for notices that are due and sends them, until it is closed."""

    def __init__(self, workshop: Workshop, *, loopback: bool) -> None:
        self._workshop = workshop
        self._loopback = loopback
        self._stop = threading.Event()
        self._threads: list[threading.Thread] = []

    def open(self) -> None:
        """Begin to look."""
        self._thread(self._look, "notices")

    def close(self) -> None:
        """Send nothing more; what is under way is ended or sent again later."""
        self._stop.set()
        deadline = time.monotonic() + TIMEOUT_S + 2
        for thread in self._threads:
            thread.join(max(0.0, deadline - time.monotonic()))

    def _thread(self, work: object, name: str) -> None:
        self._threads = [thread for thread in self._threads if thread.is_alive()]
        thread = threading.Thread(target=work, name=name, daemon=True)  # type: ignore[arg-type]  # one of the two below
        self._threads.append(thread)
        thread.start()

    def _look(self) -> None:
        pause = _LOOK_EVERY_S
        while not self._stop.wait(pause):
            pause = _LOOK_EVERY_S
            try:
                senders = sum(thread.is_alive() for thread in self._threads) - 1
                if senders < _SENDERS and is_due(self._workshop):
                    self._thread(self._send, f"notices {senders + 1}")
            except KitwrightError:
                _LOG.exception("looking for notices")
                pause = _AFTER_A_FAULT_S

    def _send(self) -> None:
        try:
            while not self._stop.is_set() and send_one(self._workshop, loopback=self._loopback):
                pass
        except KitwrightError:
            # Its claim ends by itself, and the notice is sent then.
            _LOG.exception("sending a notice")
