"""How a notice is signed, so that its receiver knows who sent it, and when: HMAC (RFC 2104) with SHA-256.

The signature covers the time of sending, a full stop and the body, byte for byte. A receiver computes it with the
secret, compares in constant time, and drops what is older than a few minutes: then nobody can send an old notice again.
"""

from __future__ import annotations

import hashlib
import hmac

DELIVERY = "Kitwright-Delivery"
TIMESTAMP = "Kitwright-Timestamp"
SIGNATURE = "Kitwright-Signature"


def signature(secret: str, timestamp: int, body: bytes) -> str:
    """The signature: ``sha256=`` and 64 hexadecimal digits.

    Args:
        secret: of the webhook, as text.
        timestamp: seconds since 1970-01-01 UTC, when it is sent.
        body: the body as it is sent.
    """
    signed = str(timestamp).encode() + b"." + body
    return f"sha256={hmac.new(secret.encode(), signed, hashlib.sha256).hexdigest()}"


def headers(secret: str, *, delivery: int, timestamp: int, body: bytes) -> dict[str, str]:
    """The headers of a notice."""
    return {
        "Content-Type": "application/json",
        DELIVERY: str(delivery),
        TIMESTAMP: str(timestamp),
        SIGNATURE: signature(secret, timestamp, body),
    }
