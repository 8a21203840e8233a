"""From the answer of a search to what the page of a call shows."""

from __future__ import annotations

from collections.abc import Sequence

from schemas.search import QUESTIONS, QuestionAnswer, SearchAnswer, SearchCandidate, WeighedAnswer
from service.errors import KitwrightError
from service.numbering.fragment import parse_fragment
from service.rules.picture_evidence import NONE_OF_THESE
from service.web.call_state import REPEATED, Call, Told
from service.web.call_views import NO_PICTURE, AnswerButton, CallCandidate, CallView, Chip, Group, NextQuestion, Way
from service.web.call_words import (
    USUAL_TOLERANCE_MM,
    agree_words,
    answer_words,
    kind_of,
    left_words,
    not_shown_words,
    sure_words,
    told_words,
    words_of,
    worth_words,
)
from service.web.front import new_retry_key
from service.web.heard import heard_symbols
from service.web.views import Colour, Form, Picture
from service.work.plan import segment_picture
from service.work.workshop import Workshop

MOST_BUTTONS = 9
"""Answers as buttons: as many as there are digits to press; the field beside them takes any other."""

MOST_SENT = 4
"""As many pictures as a caller compares on a telephone."""

CERTAIN = 0.95
"""From here on the desk is told to compare the picture instead of asking on."""

_COLOUR = "stock_colour"
_PICTURE = "picture"
_NOT = "not "
_MARK = "mark"
_STATUS_WORDS = {
    "voided": "this place was given up, its number is spent",
    "retired": "its kit is out of use",
}


def call_view(
    workshop: Workshop, call: Call, answer: SearchAnswer, *, groups: Sequence[Group] = (), form: Form | None = None
) -> CallView:
    """The page of a call."""
    asked = _askable(call, answer)
    question = _asked(call, asked)
    candidates = tuple(_candidate(workshop, call, one) for one in answer.candidates)
    likeliest = candidates[0].share if candidates else 0.0
    headline, then = _nothing_to_ask(likeliest, found=bool(candidates))
    return CallView(
        call=call,
        status=_status(call, answer),
        chips=tuple(_chip(call, told) for told in call.told),
        passed=tuple(Way(words_of(one), call.asking(one).address) for one in call.passed),
        ignored=tuple(
            f"{_subject(one.question)} “{one.answer}”: {one.reason}." for one in answer.ignored if one.question != _MARK
        ),
        mark_left_out=next((f"{one.reason}." for one in answer.ignored if one.question == _MARK), ""),
        question=_question(workshop, question, answer.left) if question else None,
        others=tuple(
            Way(one.ask, call.asking(one.question).address, worth_words(one.gain_bits, answer.left))
            for one in asked
            if question is None or one.question != question.question
        ),
        nothing_to_ask=headline,
        then=then,
        candidates=candidates,
        not_shown=not_shown_words(answer.left - len(candidates)),
        retry_key=new_retry_key(),
        outcome="one" if likeliest >= CERTAIN else "open" if candidates else "none",
        groups=tuple(groups),
        to_send=tuple(one for one in candidates[:MOST_SENT] if not one.unlikely) or candidates[:1],
        form=form or Form(),
    )


def _status(call: Call, answer: SearchAnswer) -> str:
    sentences = [agree_words(answer.consistent, has_mark=bool(call.mark), by_ear=call.came_by == "ear")]
    if call.told or call.mark:
        sentences.append(left_words(answer.left))
    if answer.unlooked >= 0.005:
        sentences.append(f"Up to {sure_words(answer.unlooked)} lies with segments that were not looked at.")
    return " ".join(sentences)


def _subject(question: str) -> str:
    words = words_of(question)
    return words[:1].upper() + words[1:]


def _askable(call: Call, answer: SearchAnswer) -> list[QuestionAnswer]:
    """What may be asked, the best first; at the end what is not expected to tell anything, for whoever wants to."""
    found = [one for one in answer.questions if one.question not in call.passed]
    told = {told.question for told in call.told} - REPEATED
    if any(one.question == _PICTURE and not one.answer.startswith(_NOT) for one in call.told):
        # Which outline it is was said; showing them again would only tire the caller.
        found = [one for one in found if one.question != _PICTURE]
    known = {one.question for one in answer.questions} | told | set(call.passed)
    return found + [
        QuestionAnswer(question=one, ask=f"What is the {words_of(one)}?", answers=(), gain_bits=0.0)
        for one in QUESTIONS
        if one not in known and one != _PICTURE
    ]


def _asked(call: Call, asked: Sequence[QuestionAnswer]) -> QuestionAnswer | None:
    """The question that somebody chose, else the one that is expected to leave the fewest."""
    chosen = next((one for one in asked if one.question == call.ask), None)
    if chosen is not None:
        return chosen
    worth = [one for one in asked if one.gain_bits > 0]
    return worth[0] if worth else None


def _nothing_to_ask(likeliest: float, *, found: bool) -> tuple[str, str]:
    if likeliest >= CERTAIN:
        return "Compare the picture", "Nothing more needs to be asked. Let the caller confirm the picture, then choose."
    if found:
        return (
            "No question parts them further",
            "Send the pictures to the caller, or ask for a photograph of the piece beside a measure.",
        )
    return "Nothing comes near", "Ask for another part of the mark, or for the mark of the piece beside it."


def _chip(call: Call, told: Told) -> Chip:
    return Chip(told, told_words(told), call.without(told).address, _swatch(told.question, told.answer))


def _swatch(question: str, answer: str) -> Picture:
    return Colour.of(answer).swatch if question == _COLOUR else NO_PICTURE


def _question(workshop: Workshop, question: QuestionAnswer, left: int) -> NextQuestion:
    return NextQuestion(
        name=question.question,
        ask=question.ask,
        kind=kind_of(question.question),
        worth=worth_words(question.gain_bits, left),
        answers=_outlines(workshop, question) if question.question == _PICTURE else _buttons(question, left),
        usual_tolerance=USUAL_TOLERANCE_MM.get(question.question, ""),
    )


def _buttons(question: QuestionAnswer, left: int) -> tuple[AnswerButton, ...]:
    return tuple(
        AnswerButton(
            said=Told(question.question, one.answer).text,
            words=answer_words(question.question, one.answer),
            leaves=_leaves(one.share, left),
            swatch=_swatch(question.question, one.answer),
        )
        for one in question.answers[:MOST_BUTTONS]
    )


def _outlines(workshop: Workshop, question: QuestionAnswer) -> tuple[AnswerButton, ...]:
    """Each outline that may be the caller's, and the word that it is none of them."""
    numbers = [one.answer for one in question.answers if one.answer != NONE_OF_THESE]
    buttons = [
        AnswerButton(
            said=Told(_PICTURE, number).text,
            words=number,
            leaves="",
            swatch=NO_PICTURE,
            outline=Picture.inline(segment_picture(workshop, number)),
        )
        for number in numbers
    ]
    none = AnswerButton(Told(_PICTURE, not_these(numbers)).text, "None of these", "", NO_PICTURE)
    return (*buttons, none) if numbers else ()


def not_these(numbers: Sequence[str]) -> str:
    """The answer that it is none of these outlines."""
    return _NOT + " ".join(numbers)


def _leaves(share: float, left: int) -> str:
    return f"leaves about {max(1, round(share * left)):,}"


def _candidate(workshop: Workshop, call: Call, one: SearchCandidate) -> CallCandidate:
    read = _read(call.mark)
    line = f", {one.line}" if one.line else ""
    status = (_STATUS_WORDS[one.status],) if one.status in _STATUS_WORDS else ()
    return CallCandidate(
        text=one.number,
        symbols=heard_symbols(read, call.came_by, one.number),
        share=one.probability,
        sure=sure_words(one.probability),
        page=f"/desk/segments/{one.number}",
        picture=Picture.inline(segment_picture(workshop, one.number)),
        place=f"{one.assembly}, place {one.place}",
        container=f"{one.container}, {one.machine}{line}, {one.plant}",
        colour=Colour.of(one.stock_colour),
        assumed=one.assumed,
        for_it=tuple(_weighed(item) for item in one.evidence if item.speaks == "for"),
        against=(*status, *(_weighed(item) for item in one.evidence if item.speaks == "against")),
    )


def _read(mark: str) -> str:
    """What was heard of a number; nothing where the text is none, such as a legacy mark of a few words."""
    try:
        return parse_fragment(mark).read if mark else ""
    except KitwrightError:
        return ""


def _weighed(item: WeighedAnswer) -> str:
    if item.question == _PICTURE:
        return "the outline"
    said = f"{words_of(item.question)} {answer_words(item.question, item.answer)}"
    if item.recorded is None or item.recorded == item.answer:
        return said
    return f"{said}, on record {answer_words(item.question, item.recorded)}"
