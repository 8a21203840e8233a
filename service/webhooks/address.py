"""Where a notice may go: ``http`` or ``https``, and no address that nobody means.

A shop's planning usually runs inside the shop, so private addresses are allowed. Link-local ones are not, since the
machine's own landlord answers there (169.254.169.254); nor are multicast and reserved ones, which are nobody's. The
loopback is allowed only where the service itself listens there: it is the same machine's business then.
"""

from __future__ import annotations

import socket
from dataclasses import dataclass
from ipaddress import IPv4Address, IPv6Address, ip_address
from urllib.parse import urlsplit

from service.errors import BadWebhookAddress

LONGEST = 1000
_PORTS = {"http": 80, "https": 443}
Ip = IPv4Address | IPv6Address


@dataclass(frozen=True, slots=True)
class WebhookAddress:
    """The parts of a URL; ``target`` is path and query as they stand in a request."""

    url: str
    host: str
    port: int
    target: str
    secure: bool

    @property
    def authority(self) -> str:
        """Host and port as the header ``Host`` has them."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        usual = self.port == _PORTS["https" if self.secure else "http"]
        return host if usual else f"{host}:{self.port}"

    @classmethod
    def parse(cls, text: str, *, loopback: bool) -> WebhookAddress:
        """Read an address.

        Args:
            text: the URL.
            loopback: whether notices may go to this very machine.

        Raises:
            BadWebhookAddress: another scheme, no host, a name and password in it, or an address that is refused.
        """
        url = text.strip()
        try:
            parts = urlsplit(url)
            port = parts.port
        except ValueError as error:
            raise _bad(f"this is no address: {error}", text) from error
        if parts.scheme not in _PORTS:
            raise _bad("notices go to http:// or https://", text)
        if not parts.hostname or port == 0:
            raise _bad("the address names no host", text)
        if parts.username is not None or parts.fragment:
            raise _bad("an address for notices has no user, no password and no fragment", text)
        if len(url) > LONGEST or not url.isascii() or any(char <= " " or char == "\x7f" for char in url):
            raise _bad("the address is too long or has characters that no address has", text)
        query = f"?{parts.query}" if parts.query else ""
        address = cls(
            url=url,
            host=parts.hostname,
            port=port or _PORTS[parts.scheme],
            target=f"{parts.path or '/'}{query}",
            secure=parts.scheme == "https",
        )
        try:
            ip = ip_address(address.host)
        except ValueError:
            return address
        why = refused(ip, loopback=loopback)
        if why:
            raise _bad(why, text)
        return address

    def resolved(self, *, loopback: bool) -> str:
        """The address that the host has just now, as it is to be connected to; the name is not looked up again then.

        Raises:
            BadWebhookAddress: each address that it has is refused.
            OSError: nobody knows the host.
        """
        why = ""
        for *_, place in socket.getaddrinfo(self.host, self.port, type=socket.SOCK_STREAM):
            text = str(place[0])
            why = refused(ip_address(text.partition("%")[0]), loopback=loopback)
            if not why:
                return text
        raise _bad(why or "the host has no address", self.url)


def refused(ip: Ip, *, loopback: bool) -> str:
    """Why nothing is sent to an address; empty when something may be."""
    if isinstance(ip, IPv6Address) and (inner := ip.ipv4_mapped or ip.sixtofour) is not None:
        return refused(inner, loopback=loopback)
    if ip.is_loopback:
        return "" if loopback else "notices go to no program on this very machine while others can reach the service"
    if ip.is_link_local:
        return "link-local addresses are refused"
    if ip.is_multicast or ip.is_unspecified or ip.is_reserved:
        return "multicast and reserved addresses are refused"
    return ""


def _bad(what: str, text: str) -> BadWebhookAddress:
    return BadWebhookAddress(what, field="url", value=text, todo="Write, for one, https://planning.example/kitwright")
