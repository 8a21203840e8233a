"""A printer as the program speaks with it: asked what it can do, given a job, and watched until the job ends."""

from __future__ import annotations

import ssl
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import count

from service.errors import KitwrightError, MediaRefused, NoPrinter, PrinterRefused, PrinterStopped, PrinterUnreachable
from service.printers import capabilities as described
from service.printers import jobs
from service.printers.address import PrinterAddress
from service.printers.capabilities import Capabilities
from service.printers.ipp_http import post
from service.printers.ipp_message import Attribute, Group, Message, Resolution, attribute, decoded, encoded
from service.printers.ipp_tags import HIGHEST_SUCCESS, PASSING, GroupTag, Operation, Tag, status_words
from service.printers.jobs import JobStatus
from service.printers.plan import PrintPlan
from service.printers.sent_again import SentAgain

#: The longest name of a job or document, in octets (RFC 8011 section 5.1.3).
LONGEST_NAME = 255
#: How many jobs of a printer's list are looked through for one of ours.
_MOST_JOBS = 500
_VERSION_NOT_SUPPORTED, _MOST_VERSIONS = 0x0503, 3
_JOB_UNKNOWN = frozenset({0x0406, 0x0407})
_BUSY_S, _BUSY_WAIT_S = 5.0, 0.5


class IppPrinter:
    """One printer. Every question is a connection of its own, so that it may be switched off between two.

    Args:
        uri: ``ipp://…`` or ``ipps://…``.
        user: who asks, shown on the printer's panel; no secret and no right comes with it.
        timeout_s: how long the printer may be silent.
        context: whom to trust with ``ipps``; the system's certificates when None.

    Raises:
        BadPrinterAddress: the address is none.
    """

    def __init__(
        self, uri: str, *, user: str = "kitwright", timeout_s: float = 20.0, context: ssl.SSLContext | None = None
    ) -> None:
        self.address = PrinterAddress.parse(uri)
        self._user, self._timeout_s, self._context = user, timeout_s, context
        self._ids = count(1)
        self._version = (1, 1)

    def capabilities(self) -> Capabilities:
        """What it can do, and how it is; errors as for ``print``."""
        answer = self._ask(Operation.GET_PRINTER_ATTRIBUTES, [_keywords("requested-attributes", described.ASKED)])
        return described.capabilities_of(answer.group(GroupTag.PRINTER))

    def validate(self, plan: PrintPlan, *, job_name: str, document_name: str, copies: int = 1) -> None:
        """Have the printer say whether it would take such a job; errors as for ``print``."""
        self._ask(Operation.VALIDATE_JOB, _about(plan, job_name, document_name), job=_wishes(plan, copies))

    def print(
        self,
        document: bytes | Iterable[bytes],
        plan: PrintPlan,
        *,
        job_name: str,
        document_name: str,
        copies: int = 1,
        busy_s: float = 60.0,
    ) -> JobStatus:
        """Give it a job, sent in pieces as they come; the job as the printer took it.

        A printer that prints somebody else's job and keeps no queue is asked again for ``busy_s``.

        When the connection breaks the job may be there nonetheless: ``find_job`` tells.

        Raises:
            PrinterUnreachable: it does not answer, or went away in the middle.
            NoPrinter: what answers is no printer, or its answer is malformed.
            MediaRefused: it does not take this paper.
            PrinterRefused: it refuses otherwise; its own words are told.
        """
        with SentAgain(document) as sent:
            about, wishes = _about(plan, job_name, document_name), _wishes(plan, copies)
            answer = self._ask(Operation.PRINT_JOB, about, job=wishes, document=sent, busy_s=busy_s)
        job = jobs.job_of(answer.group(GroupTag.JOB))
        if job is None:
            raise self._malformed("it took the job and does not say under which number")
        return replace(job, name=job.name or _name(job_name))

    def job(self, job_id: int) -> JobStatus:
        """A job as it is now; PrinterRefused with ``status`` 0x0406 when the printer no longer knows it."""
        asked = [attribute("job-id", Tag.INTEGER, job_id), _keywords("requested-attributes", jobs.ASKED)]
        found = jobs.job_of(self._ask(Operation.GET_JOB_ATTRIBUTES, asked).group(GroupTag.JOB))
        if found is None:
            raise self._malformed("it does not say how the job is")
        return found

    def find_job(self, job_name: str) -> JobStatus | None:
        """The newest job of this name that the printer knows, waiting, under way or ended; None when there is none."""
        name, found = _name(job_name), list[JobStatus]()
        for which in ("not-completed", "completed"):
            asked = [
                attribute("limit", Tag.INTEGER, _MOST_JOBS),
                _keywords("requested-attributes", jobs.ASKED),
                attribute("which-jobs", Tag.KEYWORD, which),
            ]
            answer = self._ask(Operation.GET_JOBS, asked)
            listed = (jobs.job_of(group.attributes) for group in answer.groups if group.tag == GroupTag.JOB)
            found += [job for job in listed if job is not None and job.name == name]
        return max(found, key=lambda job: job.id, default=None)

    def cancel(self, job_id: int) -> None:
        """Give a job up; nothing is wrong when it has ended already."""
        try:
            self._ask(Operation.CANCEL_JOB, [attribute("job-id", Tag.INTEGER, job_id)])
        except PrinterRefused as error:
            if error.status not in {0x0404, *_JOB_UNKNOWN}:
                raise

    def follow(
        self,
        job_id: int,
        *,
        every_s: float = 1.0,
        at_most_s: float = 600.0,
        patience_s: float = 15.0,
        on_change: Callable[[JobStatus], None] | None = None,
    ) -> JobStatus:
        """Watch a job until it ends; ask ``proven()`` of the result.

        Args:
            job_id: the printer's number of it.
            every_s: how often to ask.
            at_most_s: how long to wait while nothing moves, neither state nor reasons nor pages.
            patience_s: how long the printer may be unreachable in between.
            on_change: told of every state that differs from the last.

        Raises:
            PrinterStopped: nothing moved for ``at_most_s``; the printer has the job still, and waits for somebody.
            PrinterUnreachable, NoPrinter, PrinterRefused: as for ``print``.
        """
        last: JobStatus | None = None
        seen = moved = time.monotonic()
        while True:
            try:
                now = self._with_reasons(self.job(job_id))
                seen = time.monotonic()
            except PrinterUnreachable:
                if time.monotonic() - seen > patience_s:
                    raise
            else:
                if now != last:
                    last, moved = now, seen
                    if on_change is not None:
                        on_change(now)
                if now.ended:
                    return now
                if seen - moved > at_most_s:
                    raise self._waits(now)
            time.sleep(every_s)

    def _with_reasons(self, job: JobStatus) -> JobStatus:
        """With what the printer says of itself, unless all is well: out of paper is told there and not in the job."""
        if job.is_whole:
            return job
        asked = [_keywords("requested-attributes", ("printer-state-reasons",))]
        said = described.capabilities_of(self._ask(Operation.GET_PRINTER_ATTRIBUTES, asked).group(GroupTag.PRINTER))
        return replace(job, printer_reasons=said.reasons)

    def _waits(self, job: JobStatus) -> PrinterStopped:
        return PrinterStopped(
            f"the printer has the job and does not go on with it: {job.words}",
            field="printer",
            value=self.address.uri,
            todo="See to the printer; the job goes on by itself, or cancel it",
        )

    def _malformed(self, what: str) -> NoPrinter:
        return NoPrinter(
            f"its answer is malformed: {what}",
            field="printer",
            value=self.address.uri,
            todo="Check the address of the printer; if it is right, its firmware is at fault",
        )

    def _ask(
        self,
        operation: Operation,
        about: list[Attribute],
        *,
        job: list[Attribute] | None = None,
        document: Iterable[bytes] = (),
        busy_s: float = _BUSY_S,
    ) -> Message:
        """One request and its answer, refused unless the printer did what it was asked.

        It is made again when the printer is busy or speaks another version: it has then done nothing yet.
        """
        until, versions = time.monotonic() + busy_s, {self._version}
        answer = self._exchange(operation, about, job, document)
        while answer.code > HIGHEST_SUCCESS:
            if (
                answer.code == _VERSION_NOT_SUPPORTED
                and answer.version not in versions
                and len(versions) < _MOST_VERSIONS
            ):
                self._version = answer.version
                versions.add(answer.version)
            elif answer.code in PASSING and time.monotonic() < until:
                time.sleep(_BUSY_WAIT_S)
            else:
                break
            answer = self._exchange(operation, about, job, document)
        if answer.code > HIGHEST_SUCCESS:
            raise self._refusal(answer)
        return answer

    def _exchange(
        self, operation: Operation, about: list[Attribute], job: list[Attribute] | None, document: Iterable[bytes]
    ) -> Message:
        request_id = next(self._ids)
        first = [
            attribute("attributes-charset", Tag.CHARSET, "utf-8"),
            attribute("attributes-natural-language", Tag.LANGUAGE, "en"),
            attribute("printer-uri", Tag.URI, self.address.uri),
        ]
        # The job's number belongs right behind the printer (RFC 8011 section 4.3), then who asks.
        target = [one for one in about if one.name == "job-id"]
        rest = [one for one in about if one.name != "job-id"]
        user = attribute("requesting-user-name", Tag.NAME, _name(self._user))
        groups = [Group(GroupTag.OPERATION, (*first, *target, user, *rest))]
        if job:
            groups.append(Group(GroupTag.JOB, tuple(job)))
        head = encoded(Message(operation, request_id, tuple(groups), version=self._version))
        data = post(self.address, head, document, timeout_s=self._timeout_s, context=self._context)
        answer = decoded(data)
        if answer.request_id != request_id:
            raise self._malformed("it answers another request than this")
        return answer

    def _refusal(self, answer: Message) -> KitwrightError:
        """What the printer refused, in the standard's words and in its own."""
        said = jobs.texts(answer.group(GroupTag.OPERATION), "status-message", "detailed-status-message")
        refused = [one.name for one in answer.group(GroupTag.UNSUPPORTED)]
        words = "; ".join([status_words(answer.code), *said, *(f"not {name}" for name in refused)])
        if any(name in ("media", "media-col", "media-size") for name in refused):
            return MediaRefused(
                f"the printer does not take this paper: {words}",
                field="media",
                value=self.address.uri,
                todo="Choose a template of a size that it has, or another printer",
            )
        return PrinterRefused(
            f"the printer refuses: {words}",
            field="printer",
            value=self.address.uri,
            todo="See to what it says, and try again",
            status=answer.code,
        )


def _about(plan: PrintPlan, job_name: str, document_name: str) -> list[Attribute]:
    """What the operation says of the job; faithfully or not at all (``ipp-attribute-fidelity``)."""
    return [
        attribute("job-name", Tag.NAME, _name(job_name)),
        attribute("ipp-attribute-fidelity", Tag.BOOLEAN, True),
        attribute("document-name", Tag.NAME, _name(document_name)),
        attribute("document-format", Tag.MIME_TYPE, plan.format),
    ]


def _wishes(plan: PrintPlan, copies: int) -> list[Attribute]:
    """What the job asks for; with fidelity, a printer refuses what it cannot do, so only what it names is asked."""
    wishes = [_paper(plan)]
    if plan.asks_resolution:
        dots = Resolution(plan.printer_dpi, plan.printer_dpi)
        wishes.append(attribute("printer-resolution", Tag.RESOLUTION, dots))
    wishes += [attribute(name, Tag.KEYWORD, word) for name, word in sorted(plan.job_asks.items())]
    if copies > 1:
        wishes.append(attribute("copies", Tag.INTEGER, copies))
    return wishes


def _paper(plan: PrintPlan) -> Attribute:
    """The paper by its exact size where the printer understands that, else by its name."""
    if plan.by_name and plan.media.name is not None:
        return attribute("media", Tag.KEYWORD, plan.media.name)
    size = (
        attribute("x-dimension", Tag.INTEGER, plan.media.x_hmm),
        attribute("y-dimension", Tag.INTEGER, plan.media.y_hmm),
    )
    return attribute(
        "media-col", Tag.BEGIN_COLLECTION, (attribute("media-size", Tag.BEGIN_COLLECTION, size), *_margins(plan))
    )


def _margins(plan: PrintPlan) -> Iterator[Attribute]:
    if plan.borderless:
        for side in ("bottom", "left", "right", "top"):
            yield attribute(f"media-{side}-margin", Tag.INTEGER, 0)


def _keywords(name: str, words: Iterable[str]) -> Attribute:
    return attribute(name, Tag.KEYWORD, *words)


def _name(text: str) -> str:
    """A name that fits its 255 octets, cut between two characters."""
    return text.encode()[:LONGEST_NAME].decode("utf-8", "ignore")
