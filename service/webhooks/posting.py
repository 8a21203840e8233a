"""One notice posted, and what came of it: never redirected, never waited for longer than was said."""

from __future__ import annotations

import http.client
import socket
import ssl
import threading
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass

from service.errors import BadWebhookAddress
from service.webhooks.address import WebhookAddress

TIMEOUT_S = 10.0
"""So long a receiver may take, from the connection to the end of its status line and headers."""


@dataclass(frozen=True, slots=True)
class Posted:
    """Whether a receiver took a notice, and what it or the network said."""

    taken: bool
    said: str


def post(
    address: WebhookAddress,
    body: bytes,
    headers: Mapping[str, str],
    *,
    loopback: bool,
    timeout_s: float = TIMEOUT_S,
    context: ssl.SSLContext | None = None,
) -> Posted:
    """Post a notice; a status from 200 to 299 takes it, everything else does not.

    Args:
        address: the receiver.
        body: what is sent.
        headers: what stands above it.
        loopback: whether it may go to this very machine.
        timeout_s: how long all of it may take once the host is looked up.
        context: for ``https``; the system's trusted certificates when None.
    """
    connection = _Connection(address, loopback=loopback, timeout_s=timeout_s, context=context)
    try:
        connection.request("POST", address.target, body=body, headers={"Host": address.authority, **headers})
        status = connection.getresponse().status
    except BadWebhookAddress as error:
        return Posted(taken=False, said=error.what)
    except TimeoutError:
        return _late(timeout_s)
    except ssl.SSLCertVerificationError as error:
        return Posted(taken=False, said=f"its certificate is not trusted here: {error.verify_message}")
    except (OSError, http.client.HTTPException, UnicodeError, ValueError) as error:
        if connection.cut_off:
            return _late(timeout_s)
        return Posted(taken=False, said=f"it cannot be reached: {_reason(error)}")
    finally:
        connection.end()
    if connection.cut_off:
        # The headers ended because the connection did.
        return _late(timeout_s)
    if 200 <= status < 300:
        return Posted(taken=True, said=f"HTTP {status}")
    elsewhere = ", which sends elsewhere, and nobody is followed elsewhere" if 300 <= status < 400 else ""
    return Posted(taken=False, said=f"HTTP {status}{elsewhere}")


class _Connection(http.client.HTTPConnection):
    """A connection to the address that was judged, cut off when its time is over, whatever trickles in."""

    def __init__(
        self, address: WebhookAddress, *, loopback: bool, timeout_s: float, context: ssl.SSLContext | None
    ) -> None:
        super().__init__(address.host, address.port, timeout=timeout_s)
        self._address = address
        self._loopback = loopback
        self._timeout_s = timeout_s
        self._context = context
        self._watched: socket.socket | None = None
        self._timer: threading.Timer | None = None
        self.cut_off = False

    def connect(self) -> None:
        """Connect to what the host is just now, and to nothing that it may be called in a moment."""
        ip = self._address.resolved(loopback=self._loopback)
        plain = socket.create_connection((ip, self._address.port), timeout=self._timeout_s)
        self._watched = plain.dup()
        self._timer = threading.Timer(self._timeout_s, self._cut)
        self._timer.daemon = True
        self._timer.start()
        if self._address.secure:
            context = self._context or ssl.create_default_context()
            self.sock = context.wrap_socket(plain, server_hostname=self._address.host)
        else:
            self.sock = plain

    def _cut(self) -> None:
        self.cut_off = True
        if self._watched is not None:
            # It may be gone already.
            with suppress(OSError):
                self._watched.shutdown(socket.SHUT_RDWR)

    def end(self) -> None:
        """Let go of everything."""
        if self._timer is not None:
            self._timer.cancel()
        self.close()
        if self._watched is not None:
            self._watched.close()


def _late(timeout_s: float) -> Posted:
    return Posted(taken=False, said=f"no answer within {timeout_s:g} seconds")


def _reason(error: Exception) -> str:
    words = getattr(error, "strerror", None) or str(error) or type(error).__name__
    return str(words)[:1].lower() + str(words)[1:]
