"""A process that takes a step and dies: before it sends the notice of it, or after it was posted and before it says so.

Arguments: database, vault, number of the segment that is ordered, and ``unsent`` or ``unsettled``.
"""

from __future__ import annotations

import os
import signal
import sys

from schemas.requests import ReorderRequest
from service.webhooks.address import WebhookAddress
from service.webhooks.posting import Posted, post
from service.work.reorder import reorder
from service.work.webhook_sending import send_one
from tests.large_kit import open_large


def die() -> None:
    """As when the power fails."""
    os.kill(os.getpid(), signal.SIGKILL)


def posts_and_dies(address: WebhookAddress, body: bytes, headers: dict[str, str], *, loopback: bool) -> Posted:
    """The receiver has it, and nobody here will ever know."""
    post(address, body, headers, loopback=loopback)
    die()
    raise AssertionError("still alive")


def main(database: str, vault: str, number: str, when: str) -> None:
    """Order a segment, and die at the moment that is asked for."""
    workshop = open_large(database, vault)
    reorder(workshop, ReorderRequest(mark=number, reason="crushed"))
    if when == "unsent":
        die()
    send_one(workshop, loopback=True, how=posts_and_dies)


if __name__ == "__main__":
    main(*sys.argv[1:])
