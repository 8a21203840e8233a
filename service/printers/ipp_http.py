"""One request to a printer and its answer: HTTP POST of ``application/ipp`` (RFC 8010 section 4), never redirected."""

from __future__ import annotations

import http.client
import ssl
import time
from collections.abc import Iterable, Iterator

from service.errors import NoPrinter, PrinterRefused, PrinterUnreachable
from service.printers.address import PrinterAddress

#: No honest answer comes near: a full description with every size of paper has some 50 kB.
MOST_ANSWER_BYTES = 4_000_000
_PIECE = 65_536
IPP = "application/ipp"


def post(
    address: PrinterAddress, head: bytes, document: Iterable[bytes], *, timeout_s: float, context: ssl.SSLContext | None
) -> bytes:
    """Send the request, its document piece by piece, and answer the printer's bytes.

    Args:
        address: the printer.
        head: the encoded request.
        document: what follows it; nothing for a question.
        timeout_s: how long the printer may be silent, and how long its answer may take altogether.
        context: for ``ipps``; the system's trusted certificates when None.

    Raises:
        PrinterUnreachable: nobody answers, TLS fails, or the connection breaks.
        NoPrinter: something else than a printer answers.
        PrinterRefused: the printer wants a name and password, or TLS.
    """
    connection = _connection(address, timeout_s, context)
    try:
        _send(connection, address, _pieces(head, document))
        response = connection.getresponse()
        _refuse_status(response, address)
        return _read(response, address, time.monotonic() + timeout_s)
    except TimeoutError as error:
        raise _gone(address, f"it was silent for {timeout_s:g} seconds") from error
    except ssl.SSLCertVerificationError as error:
        raise PrinterUnreachable(
            f"its certificate is not trusted here: {error.verify_message}",
            field="printer",
            value=address.uri,
            todo="Add the printer's certificate to the system's (SSL_CERT_FILE), or name the printer with ipp://",
        ) from error
    except (OSError, UnicodeError) as error:
        raise _gone(address, _reason(error)) from error
    except http.client.HTTPException as error:
        raise _other(address, f"it answers no HTTP ({type(error).__name__})") from error
    finally:
        connection.close()


def _connection(
    address: PrinterAddress, timeout_s: float, context: ssl.SSLContext | None
) -> http.client.HTTPConnection:
    if address.secure:
        trust = context or ssl.create_default_context()
        return http.client.HTTPSConnection(address.host, address.port, timeout=timeout_s, context=trust)
    return http.client.HTTPConnection(address.host, address.port, timeout=timeout_s)


def _pieces(head: bytes, document: Iterable[bytes]) -> Iterator[bytes]:
    """The request in pieces; an empty one would end a chunked body."""
    yield head
    for part in document:
        for start in range(0, len(part), _PIECE):
            yield part[start : start + _PIECE]


def _send(connection: http.client.HTTPConnection, address: PrinterAddress, pieces: Iterator[bytes]) -> None:
    """Send all pieces; a printer that refuses early closes while we still send, and its answer is worth reading."""
    connection.putrequest("POST", address.path)
    connection.putheader("Content-Type", IPP)
    connection.putheader("Accept", IPP)
    connection.putheader("User-Agent", "Kitwright")
    connection.putheader("Transfer-Encoding", "chunked")
    connection.endheaders()
    try:
        for piece in pieces:
            connection.send(b"%x\r\n%b\r\n" % (len(piece), piece))
        connection.send(b"0\r\n\r\n")
    except (BrokenPipeError, ConnectionResetError):
        return


def _refuse_status(response: http.client.HTTPResponse, address: PrinterAddress) -> None:
    status = response.status
    if status in (401, 403):
        raise PrinterRefused(
            f"it wants a name and password (HTTP {status})",
            field="printer",
            value=address.uri,
            todo="Let the printer take jobs from this machine without them",
        )
    if status == 426:
        raise PrinterRefused(
            "it takes requests over TLS only", field="printer", value=address.uri, todo="Name the printer with ipps://"
        )
    if 300 <= status < 400:
        raise _other(address, f"it sends us elsewhere (HTTP {status}), and no printer is followed elsewhere")
    if status != 200:
        raise _other(address, f"it answers HTTP {status}")
    kind = (response.getheader("Content-Type") or "").partition(";")[0].strip().lower()
    if kind != IPP:
        raise _other(address, f"it answers {kind or 'something without a type'} instead of {IPP}")


def _read(response: http.client.HTTPResponse, address: PrinterAddress, deadline: float) -> bytes:
    data = bytearray()
    while piece := response.read1(_PIECE):
        data += piece
        if len(data) > MOST_ANSWER_BYTES:
            raise _other(address, f"its answer has more than {MOST_ANSWER_BYTES:,} bytes")
        if time.monotonic() > deadline:
            raise TimeoutError
    return bytes(data)


def _reason(error: Exception) -> str:
    words = getattr(error, "strerror", None) or str(error) or type(error).__name__
    return str(words)[:1].lower() + str(words)[1:]


def _gone(address: PrinterAddress, what: str) -> PrinterUnreachable:
    return PrinterUnreachable(
        f"the printer cannot be reached, or went away: {what}",
        field="printer",
        value=address.uri,
        todo="See that it is on and on the network, and try again",
    )


def _other(address: PrinterAddress, what: str) -> NoPrinter:
    return NoPrinter(
        f"what is there is no IPP printer: {what}",
        field="printer",
        value=address.uri,
        todo="Check host, port and path; many printers are at /ipp/print",
    )
