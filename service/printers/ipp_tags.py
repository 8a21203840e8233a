"""The numbers of IPP and what they stand for: tags, operations, status codes, states (RFC 8010 3.5, RFC 8011)."""

from __future__ import annotations

from enum import IntEnum


class GroupTag(IntEnum):
    """What begins a group of attributes, or ends them (RFC 8010 section 3.5.1)."""

    OPERATION = 0x01
    JOB = 0x02
    END = 0x03
    PRINTER = 0x04
    UNSUPPORTED = 0x05


class Tag(IntEnum):
    """How a value is written (RFC 8010 sections 3.5.2 and 3.9)."""

    UNSUPPORTED = 0x10
    UNKNOWN = 0x12
    NO_VALUE = 0x13
    INTEGER = 0x21
    BOOLEAN = 0x22
    ENUM = 0x23
    OCTETS = 0x30
    DATE_TIME = 0x31
    RESOLUTION = 0x32
    RANGE = 0x33
    BEGIN_COLLECTION = 0x34
    TEXT_WITH_LANGUAGE = 0x35
    NAME_WITH_LANGUAGE = 0x36
    END_COLLECTION = 0x37
    TEXT = 0x41
    NAME = 0x42
    KEYWORD = 0x44
    URI = 0x45
    URI_SCHEME = 0x46
    CHARSET = 0x47
    LANGUAGE = 0x48
    MIME_TYPE = 0x49
    MEMBER_NAME = 0x4A


#: Values that say only why there is none.
OUT_OF_BAND = range(0x10, 0x20)
#: Values that are whole numbers of 32 bits.
INTEGERS = frozenset({Tag.INTEGER, Tag.ENUM})
#: Values that are words.
STRINGS = frozenset(
    {Tag.TEXT, Tag.NAME, Tag.KEYWORD, Tag.URI, Tag.URI_SCHEME, Tag.CHARSET, Tag.LANGUAGE, Tag.MIME_TYPE}
)
WITH_LANGUAGE = frozenset({Tag.TEXT_WITH_LANGUAGE, Tag.NAME_WITH_LANGUAGE})


class Operation(IntEnum):
    """What a printer can be asked to do (RFC 8011 section 5.4.15)."""

    PRINT_JOB = 0x0002
    VALIDATE_JOB = 0x0004
    CREATE_JOB = 0x0005
    SEND_DOCUMENT = 0x0006
    CANCEL_JOB = 0x0008
    GET_JOB_ATTRIBUTES = 0x0009
    GET_JOBS = 0x000A
    GET_PRINTER_ATTRIBUTES = 0x000B


class JobState(IntEnum):
    """How far a job is (RFC 8011 section 5.3.7)."""

    PENDING = 3
    HELD = 4
    PROCESSING = 5
    STOPPED = 6
    CANCELED = 7
    ABORTED = 8
    COMPLETED = 9


#: States that a job never leaves.
ENDED = frozenset({JobState.CANCELED, JobState.ABORTED, JobState.COMPLETED})


class PrinterState(IntEnum):
    """How a printer is (RFC 8011 section 5.4.11)."""

    IDLE = 3
    PROCESSING = 4
    STOPPED = 5


#: What a status code says (RFC 8011 appendix B); up to 0x00FF the printer did what it was asked.
STATUS_WORDS = {
    0x0000: "successful-ok",
    0x0001: "successful-ok-ignored-or-substituted-attributes",
    0x0002: "successful-ok-conflicting-attributes",
    0x0400: "client-error-bad-request",
    0x0401: "client-error-forbidden",
    0x0402: "client-error-not-authenticated",
    0x0403: "client-error-not-authorized",
    0x0404: "client-error-not-possible",
    0x0405: "client-error-timeout",
    0x0406: "client-error-not-found",
    0x0407: "client-error-gone",
    0x0408: "client-error-request-entity-too-large",
    0x0409: "client-error-request-value-too-long",
    0x040A: "client-error-document-format-not-supported",
    0x040B: "client-error-attributes-or-values-not-supported",
    0x040C: "client-error-uri-scheme-not-supported",
    0x040D: "client-error-charset-not-supported",
    0x040E: "client-error-conflicting-attributes",
    0x040F: "client-error-compression-not-supported",
    0x0410: "client-error-compression-error",
    0x0411: "client-error-document-format-error",
    0x0412: "client-error-document-access-error",
    0x0418: "client-error-too-many-jobs",
    0x0500: "server-error-internal-error",
    0x0501: "server-error-operation-not-supported",
    0x0502: "server-error-service-unavailable",
    0x0503: "server-error-version-not-supported",
    0x0504: "server-error-device-error",
    0x0505: "server-error-temporary-error",
    0x0506: "server-error-not-accepting-jobs",
    0x0507: "server-error-busy",
    0x0508: "server-error-job-canceled",
    0x0509: "server-error-multiple-document-jobs-not-supported",
    0x050A: "server-error-printer-is-deactivated",
    0x050B: "server-error-too-many-jobs",
    0x050C: "server-error-too-many-documents",
}
HIGHEST_SUCCESS = 0x00FF
#: Codes after which the same request may succeed a little later (RFC 8011 appendix B.1.5.6, B.1.5.8).
PASSING = frozenset({0x0505, 0x0507})


def status_words(code: int) -> str:
    """A status code as the standard spells it, or its number."""
    return STATUS_WORDS.get(code, f"status 0x{code:04X}")
