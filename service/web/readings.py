"""A reading that did not settle on one segment, as the desk and the floor show it."""

from __future__ import annotations

import re

from schemas.answers import CandidateAnswer, ReadAnswer
from service.web.desk_views import CalledSo, Candidate, Group, Reading, repair_words
from service.web.views import Number, Picture
from service.work.legacy_reading import CALLED_SO
from service.work.plan import segment_picture
from service.work.resolve import resolve_mark
from service.work.workshop import Workshop

MOST_CANDIDATES = 24
"""More than a screen of candidates helps nobody; the note then says what to ask for."""

_KIT = re.compile("[A-Z]{3,4}[0-9]+-[A-Z]+[0-9]+-[A-Z]+[0-9]+")
_MACHINE = re.compile("[A-Z]{3,4}[0-9]+-[A-Z]+[0-9]+")
_PLACE = re.compile("([A-Z]{3,4})([0-9]+)?")


def not_settled(workshop: Workshop, mark: str, said: ReadAnswer) -> Reading:
    """Candidates with their outlines, or the groups of a number that was never issued."""
    return Reading(
        mark=mark,
        note=said.note and said.note.rstrip(".") + ".",
        candidates=tuple(
            found
            for candidate in said.candidates[:MOST_CANDIDATES]
            if (found := _candidate(workshop, candidate)) is not None
        ),
        groups=tuple(Group(group.group, group.says) for group in said.groups),
        called_so=tuple(
            CalledSo(candidate.part, page_of(candidate.part), candidate.assumed)
            for candidate in said.candidates[:MOST_CANDIDATES]
            if candidate.part and any(words.startswith(CALLED_SO) for words in candidate.assumed)
        ),
    )


def page_of(part: str) -> str:
    """The page of a kit, machine, line or plant; a container has none."""
    if _KIT.fullmatch(part):
        return f"/shop/kits/{part}"
    if _MACHINE.fullmatch(part):
        return f"/shop/machines/{part}"
    place = _PLACE.fullmatch(part)
    if place is None:
        return ""
    return f"/shop/machines?plant={place[1]}" + (f"&line={place[2]}" if place[2] else "")


def _candidate(workshop: Workshop, candidate: CandidateAnswer) -> Candidate | None:
    """A candidate that stands for a segment or piece; a mere part of a number stands for none."""
    # A key says more than the number of its segment: it names the piece.
    mark = candidate.key or candidate.number
    if mark is None:
        return None
    facts = resolve_mark(workshop, mark)
    return Candidate(
        mark=mark,
        number=Number(facts.number),
        place=facts.place,
        assembly=facts.assembly,
        container=f"{facts.container.name} ({facts.container.code}), {facts.machine.name}, {facts.plant}",
        assumed=(*repair_words(candidate.repairs), *candidate.assumed),
        picture=Picture.inline(segment_picture(workshop, facts.number)),
    )
