"""A print job as its printer reports it (RFC 8011 section 5.3)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.errors import JobAborted
from service.printers.ipp_message import Attribute, Content, Spoken
from service.printers.ipp_tags import ENDED, JobState

#: What is asked of a job.
ASKED = (
    "job-id",
    "job-name",
    "job-state",
    "job-state-reasons",
    "job-state-message",
    "job-impressions-completed",
    "job-media-sheets-completed",
)


@dataclass(frozen=True, slots=True)
class JobStatus:
    """How far a job is.

    Attributes:
        id: the printer's number of it.
        name: what we called it.
        state: how far it is.
        reasons: ``job-state-reasons`` without ``none``.
        message: what the printer says of it in words.
        impressions: pages printed so far, None where the printer does not count them.
        sheets: sheets or labels put out so far, likewise.
        printer_reasons: ``printer-state-reasons`` at this moment, for one ``media-empty-error``.
    """

    id: int
    name: str
    state: JobState
    reasons: tuple[str, ...] = ()
    message: str = ""
    impressions: int | None = None
    sheets: int | None = None
    printer_reasons: tuple[str, ...] = ()

    @property
    def ended(self) -> bool:
        """Whether nothing more will happen to it."""
        return self.state in ENDED

    @property
    def is_whole(self) -> bool:
        """Whether all of it was printed, as far as the printer knows."""
        return self.state is JobState.COMPLETED and "job-completed-with-errors" not in self.reasons

    @property
    def pages_done(self) -> int | None:
        """Pages that are printed, one-sided: impressions, else sheets; None where the printer counts neither."""
        return self.sheets if self.impressions is None else self.impressions

    @property
    def words(self) -> str:
        """State and reasons in one line."""
        why = ", ".join(dict.fromkeys((*self.reasons, *self.printer_reasons)))
        return f"{self.state.name.lower()} ({why})" if why else self.state.name.lower()

    def proven(self) -> JobStatus:
        """Itself, when all of it was printed.

        Raises:
            JobAborted: the printer gave it up, somebody cancelled it, or it ended with errors.
        """
        if self.is_whole:
            return self
        done = "" if self.pages_done is None else f"; pages printed: {self.pages_done}"
        raise JobAborted(
            f"the printer ended the job before all of it was printed: {self.words}{done}",
            field="job",
            value=self.name or self.id,
            todo="See to the printer, look which marks lie there, and print the rest",
        )


def job_of(attributes: Sequence[Attribute]) -> JobStatus | None:
    """Read a job's attributes; None when it has no number or no state that is known."""
    by_name = {one.name: [value.content for value in one.values] for one in attributes}

    def number(name: str) -> int | None:
        one = next(iter(by_name.get(name, ())), None)
        return one if isinstance(one, int) and not isinstance(one, bool) else None

    def words(name: str) -> tuple[str, ...]:
        return tuple(word for content in by_name.get(name, ()) if (word := _word(content)) is not None)

    job_id, state = number("job-id"), number("job-state")
    if job_id is None or state not in set(JobState):
        return None
    return JobStatus(
        id=job_id,
        name=next(iter(words("job-name")), ""),
        state=JobState(state),
        reasons=tuple(word for word in words("job-state-reasons") if word != "none"),
        message=next(iter(words("job-state-message")), ""),
        impressions=number("job-impressions-completed"),
        sheets=number("job-media-sheets-completed"),
    )


def texts(attributes: Sequence[Attribute], *names: str) -> list[str]:
    """The texts that stand under these names, in this order."""
    by_name = {one.name: one for one in attributes}
    found = [value.content for name in names if name in by_name for value in by_name[name].values]
    return [word for content in found if (word := _word(content))]


def _word(content: Content) -> str | None:
    if isinstance(content, Spoken):
        return content.text
    return content if isinstance(content, str) else None
