"""The chapter of the paper book on which revision to cut: the way through the questions, and how joints count.

The sentences say in plain words what ``service.rules.joints`` and ``service.rules.revisions`` do; whoever changes a
rule there changes its words here.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Question:
    """A question on the way to the revision, and where its answers lead.

    Attributes:
        ask: the question.
        aside: the answer that ends the way, ``yes`` or ``no``; the other one leads to the next question.
        outcome: what is done then, in a word or two.
        do: the same in sentences.
    """

    ask: str
    aside: str
    outcome: str
    do: str

    @property
    def onward(self) -> str:
        """The answer that leads to the next question."""
        return "no" if self.aside == "yes" else "yes"


WAY = (
    Question(
        ask="Is it known from which revision the broken piece was cut? Its key is among the pieces of its segment "
        "page; without a key it is known when all fitted pieces of the segment, or of its set, have one revision.",
        aside="no",
        outcome="No record",
        do="Do not cut. Ask for the key on the piece, for the number of the neighbour that survived, or for a trace of "
        "the edge on paper.",
    ),
    Question(
        ask="Is that revision withdrawn, or is the newest asked for?",
        aside="no",
        outcome="As built",
        do="Cut the revision that the broken piece was cut from. It locked into its neighbours, so an exact copy will. "
        "If the piece was reworked on site, do the same rework to the new one.",
    ),
    Question(
        ask="Is it known what every neighbour that survived was cut from? Of a kit with several sets, the pieces of "
        "the same set count.",
        aside="no",
        outcome="As built",
        do="With a neighbour of unknown build only an exact copy is safe. When the as-built revision is withdrawn: no "
        "record, do not cut.",
    ),
    Question(
        ask="Take the released revisions that are not withdrawn, the newest first: those newer than the as-built one "
        "or, when that is withdrawn, all. Is there one that carries, for every neighbour that survived, the joint "
        "revision at which that neighbour was built, while no release between it and the as-built one changes another "
        "interface: hub bore, bolt pattern, pocket, outside contour, thickness?",
        aside="yes",
        outcome="Newest that fits",
        do="Cut the newest such revision, alone. Check whether rework that was done on site still applies.",
    ),
    Question(
        ask="Is there one that locks once some neighbours are cut too, so that each joint has one joint revision on "
        "both sides? While the as-built revision may be cut, one that locks already and only changes another interface "
        "is passed over: cutting neighbours does not help it.",
        aside="yes",
        outcome="Newest with neighbours",
        do="Cut the newest such revision, and with it the smallest set of neighbours. Check on the machine what else "
        "it changes before cutting.",
    ),
)
"""The questions in their order; after the last one ``AT_THE_END``."""

AT_THE_END = ("As built", "Cut the as-built revision. When it is withdrawn: no record, do not cut.")
"""Where the last question leads when nothing newer can be cut."""

NEVER = (
    "A withdrawn revision is never cut. A piece that is ordered but not fitted, damaged or scrapped is nobody's "
    "as-built."
)

JOINT_RULES = (
    (
        "Each joint has a revision of its own, counted from 0, that both sides must carry to lock. The side that "
        "releases a change to the joint first starts its next revision; the other side catches up by its own release "
        "that changes the joint. A withdrawn release still counts."
    ),
    (
        "Segment pages and the joint table print which joint revision is in which revision letter of either side. "
        "'0 in -, A; 1 in B' says that a piece cut from the initial release (-) or from A carries joint revision 0, "
        "and one cut from B carries 1. Two pieces lock when the figures of their letters are equal."
    ),
)
"""How joint revisions count; ``service.rules.joints`` counts alike."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedChoice:
    """The way through the questions for one segment of the kit.

    Attributes:
        asked: what was asked for, as the beginning of a sentence.
        outcome: where the way ends, as the questions name it.
        cut: what is cut, in words.
        reasons: why, in sentences.
    """

    asked: str
    outcome: str
    cut: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedExample:
    """One segment of the kit, and what is cut when ``piece``, named in words, breaks and all its neighbours survive."""

    number: str
    place: str
    piece: str
    built: str
    choices: tuple[WorkedChoice, ...]
