"""Read a picture of a damaged plate: what its symbols say alone, else what is left of all of them says together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from schemas.answers import CandidateAnswer, ReadAnswer
from schemas.answers.pictures import PictureAnswer, PictureSymbolAnswer
from service.errors import BadInput
from service.render.merge_modules import LEAST_MARGIN, KeyCandidate
from service.render.merge_photograph import MOST_BYTES as MOST_BYTES
from service.render.merge_picture import PictureReading
from service.render.merge_shop import read_photograph
from service.work.read import read_mark
from service.work.workshop import Workshop

_SETTLED = ("exact", "repaired")


@dataclass(frozen=True, slots=True)
class ShownReading:
    """A reading, and the picture made small.

    Attributes:
        answer: what it says.
        mark: what names the part, to look it up again; empty when nothing is certain.
        jpeg: the picture as base64; empty when none was asked for.
    """

    answer: PictureAnswer
    mark: str
    jpeg: str


def read_picture(workshop: Workshop, data: bytes, *, shown: bool = False) -> ShownReading:
    """Read a picture; it is kept nowhere.

    Args:
        workshop: the records, and the templates of its plates.
        data: the bytes of a file with the picture.
        shown: whether the picture is wanted as well.

    Raises:
        BadPicture, TooLarge: nothing can be read from these bytes.
    """
    read = workshop.rendering.run(
        read_photograph, data, list(workshop.templates.values()), workshop.public_url, shown=shown
    )
    reading = read.reading
    if reading.texts:
        mark, said = _of_texts(workshop, reading.texts)
    elif reading.key is not None:
        mark, said = reading.key, read_mark(workshop, reading.key)
    else:
        mark, said = "", _unsettled(workshop, reading)
    return ShownReading(_answer(said, reading), mark if said.outcome in _SETTLED else "", read.jpeg)


def _of_texts(workshop: Workshop, texts: Sequence[str]) -> tuple[str, ReadAnswer]:
    """What the texts of several symbols say together; texts that are no marks of this shop do not count."""
    said = [(text, one) for text in texts if (one := _said(workshop, text)) is not None]
    known = [(text, one) for text, one in said if one.outcome != "unknown"]
    if not known:
        note = said[0][1].note if said else "The symbols in the picture hold no mark of this shop"
        return "", _nothing("unknown", note)
    named = {(one.number, one.key) for _, one in known if one.outcome in _SETTLED}
    numbers = {number for number, _ in named}
    if len(named) == len(known) == 1 or (len(numbers) == 1 and len({key for _, key in named if key}) <= 1):
        # A key says more than the number of its segment: it names the piece.
        return max(known, key=lambda one: (one[1].key is not None, one[1].outcome == "exact"))
    candidates = [
        CandidateAnswer(number=one.number, key=one.key, repairs=one.repairs, assumed=(f"a symbol says '{text}'",))
        for text, one in known
        if one.outcome in _SETTLED
    ]
    candidates += [candidate for _, one in known for candidate in one.candidates]
    return "", _nothing("candidates", "The symbols in the picture do not say the same", candidates)


def _said(workshop: Workshop, text: str) -> ReadAnswer | None:
    try:
        return read_mark(workshop, text)
    except BadInput:
        return None


def _unsettled(workshop: Workshop, reading: PictureReading) -> ReadAnswer:
    """The keys that fit best and are on record, none of them picked."""
    candidates = []
    for likely in reading.candidates:
        on_record = read_mark(workshop, likely.key)
        if on_record.key == likely.key:
            candidates.append(
                CandidateAnswer(number=on_record.number, key=likely.key, repairs=(), assumed=(_odds(likely),))
            )
    if candidates:
        return _nothing("candidates", "Too little is left of the symbols to be certain", candidates)
    return _nothing(
        "unknown",
        "No symbol could be found in the picture"
        if not reading.symbols
        else "Too little is left of the symbols to name a key",
    )


def _odds(likely: KeyCandidate) -> str:
    if likely.behind < 0.05:
        return "what is left of the symbols fits no other key better"
    return f"what is left of the symbols fits another key 10^{likely.behind:.1f} times better"


def _nothing(outcome: str, note: str, candidates: Sequence[CandidateAnswer] = ()) -> ReadAnswer:
    return ReadAnswer.model_validate(
        {"outcome": outcome, "number": None, "key": None, "repairs": (), "candidates": tuple(candidates), "note": note}
    )


def _answer(said: ReadAnswer, reading: PictureReading) -> PictureAnswer:
    merged = not reading.texts and bool(reading.symbols)
    return PictureAnswer(
        outcome=said.outcome,
        number=said.number,
        key=said.key,
        repairs=said.repairs,
        candidates=said.candidates,
        groups=said.groups,
        note=said.note,
        how="alone" if reading.texts else "merged" if reading.key is not None else "not_read",
        texts=reading.texts,
        margin=round(reading.margin, 1) if merged else None,
        margin_needed=LEAST_MARGIN,
        template=reading.template,
        symbols=tuple(
            PictureSymbolAnswer(
                kind=symbol.kind,
                corners=symbol.corners,
                text=symbol.text,
                legible=None if symbol.legible is None else round(symbol.legible, 2),
                agrees=None if symbol.agrees is None else round(symbol.agrees, 2),
            )
            for symbol in reading.symbols
        ),
        width_px=reading.width,
        height_px=reading.height,
    )
