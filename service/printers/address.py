"""Where a printer is: ``ipp://host[:631]/path`` or, over TLS, ``ipps://…`` (RFC 3510, RFC 7472)."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlsplit

from service.errors import BadPrinterAddress

DEFAULT_PORT = 631
#: RFC 8011 section 5.1.6 lets a URI have 1023 octets; what is longer is no printer's.
LONGEST = 1023


@dataclass(frozen=True, slots=True)
class PrinterAddress:
    """The parts of a printer's URI; ``uri`` is what the printer is called in every request."""

    uri: str
    host: str
    port: int
    path: str
    secure: bool

    @classmethod
    def parse(cls, text: str, *, field: str = "printer") -> PrinterAddress:
        """Read an address.

        Raises:
            BadPrinterAddress: another scheme, no host, a port or path that cannot be, or a name and password in it.
        """
        try:
            parts = urlsplit(text.strip())
            port = parts.port
        except ValueError as error:
            raise _bad(f"this is no address: {error}", text, field) from error
        if parts.scheme not in ("ipp", "ipps"):
            raise _bad("a printer's address begins with ipp:// or ipps://", text, field)
        if not parts.hostname or port == 0:
            raise _bad("the address names no host", text, field)
        if parts.username is not None or parts.query or parts.fragment:
            raise _bad("an address has no user, no query and no fragment", text, field)
        if len(text) > LONGEST or not text.strip().isascii() or any(char <= " " for char in text.strip()):
            raise _bad("the address is too long or has characters that no address has", text, field)
        host = f"[{parts.hostname}]" if ":" in parts.hostname else parts.hostname
        path = parts.path or "/"
        shown_port = "" if port is None else f":{port}"
        return cls(
            uri=f"{parts.scheme}://{host}{shown_port}{path}",
            host=parts.hostname,
            port=port or DEFAULT_PORT,
            path=path,
            secure=parts.scheme == "ipps",
        )


def _bad(what: str, text: str, field: str) -> BadPrinterAddress:
    return BadPrinterAddress(
        what,
        field=field,
        value=text,
        todo="Write it as the printer's own page or panel shows it, for one ipp://labels.example/ipp/print",
    )
