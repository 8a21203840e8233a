"""What the page of a call shows of its damage report: photographs, the link for a telephone, the caller's answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from urllib.parse import urlencode, urlsplit

from schemas.damage_report import DamageReportAnswer, PhotoAnswer
from schemas.damage_report import LinkAnswer as LinkMade
from service.web.call_shown import not_these
from service.web.call_state import CALL, Call, Told
from service.web.views import Form, Picture, Sentence

SYMBOL_NAMES = {"qr": "QR Code", "data_matrix": "Data Matrix", "code128": "Code 128"}
NONE = "none"


@dataclass(frozen=True, slots=True)
class ReadInPhoto:
    """Something that a photograph says, and the call with it as its mark; no address where it names nothing."""

    words: str
    address: str


@dataclass(frozen=True, slots=True)
class PhotoCard:
    """A photograph of the report, with what was read in it."""

    facts: PhotoAnswer
    report: int
    read: tuple[ReadInPhoto, ...]

    @property
    def names_something(self) -> bool:
        """Whether anything in it can be searched by."""
        return any(item.address for item in self.read)

    @property
    def picture(self) -> str:
        """Where the photograph itself is to be had."""
        return f"/api/damage-reports/{self.report}/photos/{self.facts.id}"


@dataclass(frozen=True, slots=True)
class CallerAnswer:
    """What the caller answered on the telephone's page.

    Attributes:
        number: the segment whose picture it is; empty for none of them.
        at: when.
        with_it: the call with this as an answer; empty when it is one already, or nobody knows what was shown.
        taken: whether it is an answer of this call already.
    """

    number: str
    at: str
    with_it: str
    taken: bool = False


@dataclass(frozen=True, slots=True)
class LinkShown:
    """A link that was just made: its address is shown now and kept nowhere."""

    made: LinkMade
    code: Picture

    @property
    def only_here(self) -> bool:
        """Whether the address opens on this machine alone, so that no telephone gets there."""
        return urlsplit(self.made.url).hostname in ("127.0.0.1", "localhost", "::1")


@dataclass(frozen=True, slots=True)
class KeptView:
    """What is kept of a call.

    Attributes:
        report: None as long as nothing is.
        photos: the newest first.
        caller_says: the last answer from the telephone; None before there is one.
        ask_again: where to ask whether there is an answer by now; empty when no link was made.
        findings: what the desk should know, such as an order that is open.
        link: a link that was just made.
        form: the notes, when they came back with a problem.
    """

    report: DamageReportAnswer | None = None
    photos: tuple[PhotoCard, ...] = ()
    caller_says: CallerAnswer | None = None
    ask_again: str = ""
    findings: tuple[Sentence, ...] = ()
    link: LinkShown | None = None
    form: Form = field(default_factory=Form)

    def note(self, name: str) -> str:
        """A note as it stands: as it was typed, else as it is on record."""
        on_record = {
            "words": self.report.words if self.report else "",
            "caller": self.report.caller if self.report else "",
            "telephone": self.report.telephone if self.report else "",
        }
        return self.form.get(name, on_record[name])

    @classmethod
    def of(
        cls,
        call: Call,
        report: DamageReportAnswer,
        *,
        sent: Sequence[str] = (),
        link: LinkShown | None = None,
        form: Form | None = None,
    ) -> KeptView:
        """From the report of a call; ``sent`` are the segments whose pictures went to the caller just now."""
        return cls(
            report=report,
            photos=tuple(PhotoCard(photo, report.id, tuple(_read(call, photo))) for photo in reversed(report.photos)),
            caller_says=_caller_says(call, report, sent),
            ask_again=_ask_again(call, sent) if sent else "",
            findings=tuple(Sentence.of_answer(finding) for finding in report.findings),
            link=link,
            form=form or Form(),
        )


def _read(call: Call, photo: PhotoAnswer) -> Iterator[ReadInPhoto]:
    """What the photograph names as a whole, then each symbol that says something of its own."""
    if photo.mark:
        yield ReadInPhoto(photo.mark, _with_mark(call, photo.mark))
    for symbol in photo.reading.symbols:
        name = SYMBOL_NAMES.get(symbol.kind, symbol.kind)
        if symbol.text is None:
            share = "not legible alone" if symbol.legible is None else f"{symbol.legible:.0%} of its modules legible"
            yield ReadInPhoto(f"{name}: {share}", "")
        elif symbol.text != photo.mark:
            yield ReadInPhoto(f"{name}: {symbol.text}", _with_mark(call, symbol.text))


def _with_mark(call: Call, mark: str) -> str:
    return Call(mark=mark, came_by="eye", told=call.told, passed=call.passed, report=call.report).address


def _ask_again(call: Call, sent: Sequence[str]) -> str:
    query = [("mark", call.mark), ("came_by", call.came_by), *call.carried(), *(("sent", number) for number in sent)]
    return f"{CALL}/caller?{urlencode([pair for pair in query if pair[1]])}"


def _caller_says(call: Call, report: DamageReportAnswer, sent: Sequence[str]) -> CallerAnswer | None:
    answers = [said for said in report.evidence if said.question == "picture" and said.given_by == "caller"]
    if not answers:
        return None
    last = answers[-1]
    number = "" if last.answer == NONE else last.answer
    told = Told("picture", number or not_these(sent))
    if told in call.told:
        return CallerAnswer(number, last.at, "", taken=True)
    return CallerAnswer(number, last.at, call.with_told(told).address if number or sent else "")
