"""What the page of a call shows: what was said, the next question with its answers, and who is left."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from service.web.call_state import Call, Told
from service.web.call_words import Kind
from service.web.heard import HeardSymbol
from service.web.views import Colour, Form, Picture

NO_PICTURE = Picture("")
UNLIKELY = 0.02


@dataclass(frozen=True, slots=True)
class Chip:
    """An answer of the caller, and the address of the call without it."""

    told: Told
    words: str
    without: str
    swatch: Picture


@dataclass(frozen=True, slots=True)
class Way:
    """A way to another state of the call: a question to ask instead, or to open again."""

    words: str
    address: str
    worth: str = ""


@dataclass(frozen=True, slots=True)
class AnswerButton:
    """An answer that the caller may give.

    Attributes:
        said: what the address then holds.
        words: the answer, with its unit.
        leaves: how many candidates it leaves, in words.
        swatch: of a colour, else empty.
        outline: where the caller is asked for the outline, else empty.
    """

    said: str
    words: str
    leaves: str
    swatch: Picture
    outline: Picture = NO_PICTURE


@dataclass(frozen=True, slots=True)
class NextQuestion:
    """The question that is put to the caller now."""

    name: str
    ask: str
    kind: Kind
    worth: str
    answers: tuple[AnswerButton, ...]
    usual_tolerance: str


@dataclass(frozen=True, slots=True)
class CallCandidate:
    """A segment that may be meant.

    Attributes:
        symbols: its number, sign by sign, each with what was heard of it.
        share: how sure, from 0 to 1; ``sure`` in words.
        assumed: what has to be true of the mark for it to be this one.
        for_it: answers of the caller that agree with the records.
        against: answers that do not, and why else it may not be this one.
    """

    text: str
    symbols: tuple[HeardSymbol, ...]
    share: float
    sure: str
    page: str
    picture: Picture
    place: str
    container: str
    colour: Colour
    assumed: tuple[str, ...]
    for_it: tuple[str, ...]
    against: tuple[str, ...]

    @property
    def unlikely(self) -> bool:
        """Whether it is shown small: it is there so that nobody has to trust the search blindly."""
        return self.share < UNLIKELY


@dataclass(frozen=True, slots=True)
class Group:
    """One group of a well-formed number that was never issued, read out."""

    name: str
    says: str


@dataclass(frozen=True, slots=True)
class CallView:
    """The whole page of a call.

    Attributes:
        status: how many are left and how many agree, in a sentence or two.
        nothing_to_ask: the headline in the place of a question, when there is none; ``then`` says what to do instead.
        ignored: answers that nobody can search by, and why.
        mark_left_out: why the mark could not be searched by; empty where it was.
        not_shown: how many more are left than the page shows, in a sentence; empty for none.
        to_send: the candidates whose pictures would go to the caller.
        retry_key: of the form that chooses a candidate.
    """

    call: Call
    status: str
    chips: tuple[Chip, ...]
    passed: tuple[Way, ...]
    ignored: tuple[str, ...]
    mark_left_out: str
    question: NextQuestion | None
    others: tuple[Way, ...]
    nothing_to_ask: str
    then: str
    candidates: tuple[CallCandidate, ...]
    not_shown: str
    retry_key: str
    outcome: Literal["open", "one", "none"]
    groups: tuple[Group, ...] = ()
    to_send: tuple[CallCandidate, ...] = ()
    form: Form = field(default_factory=Form)
