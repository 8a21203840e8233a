"""How far callers can be relied on: the one table of likelihoods behind the search for a segment.

Each row is a share between 0 and 1, or a spread in the unit of its name. No share is 0 or 1: whatever a caller says,
nothing is ruled out by it. All of them are this project's own estimates of a service desk (practice, no source); they
are tuned here and nowhere else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from schemas.search import Question


@dataclass(frozen=True, slots=True)
class Likelihood:
    """One row: its name, its value, and what it says."""

    name: str
    value: float
    says: str


def _row(name: str, value: float, says: str) -> Likelihood:
    return Likelihood(name, value, says)


TABLE: tuple[Likelihood, ...] = (
    _row("plant.wrong", 0.01, "names a plant that the part was never in"),
    _row("plant.unsure", 0.01, "does not know the plant"),
    _row("line.wrong", 0.05, "names a line that the machine never stood on"),
    _row("line.unsure", 0.03, "does not know the line"),
    _row("place.then", 0.2, "speaks of a plant or line as it was called once, or of where the machine stood before"),
    _row("running.wrong", 0.05, "names a container that the kit does not serve: the one that ran before, for one"),
    _row("running.unsure", 0.05, "does not know what was running"),
    _row("machine.wrong", 0.04, "names another machine"),
    _row("machine.unsure", 0.1, "does not know the machine"),
    _row("name.near", 0.3, "says part of a name, the size or the kind alone for one, or misspells it"),
    _row("name.chance", 0.025, "a wrong name of a plant, line, machine or container is just this one"),
    _row("stock_colour.wrong", 0.04, "says a colour that has nothing to do with the part"),
    _row("stock_colour.unsure", 0.02, "cannot say the colour"),
    _row("stock_colour.spread", 9.0, "difference of colours, by CIEDE2000, that people begin to tell apart by a word"),
    _row("stock_colour.dirty", 0.15, "speaks of a part that is dark with dirt or product"),
    _row("stock_colour.faded", 0.1, "speaks of a part that is pale with wear, cleaning or light"),
    _row("shape_family.wrong", 0.02, "gives a family of shapes that is nothing like it"),
    _row("shape_family.near", 0.15, "takes a family of shapes for one that looks like it, a rail for a guide"),
    _row("shape_family.unsure", 0.03, "cannot say what kind of part it is"),
    _row("pockets.wrong", 0.03, "gives a count that has nothing to do with the part"),
    _row("pockets.near", 0.16, "counts one too many or one too few, half pockets at the ends for one"),
    _row("pockets.unsure", 0.1, "cannot count the pockets, since too much of the part is missing"),
    _row("overall_length_mm.wrong", 0.04, "measures something else, or in another unit"),
    _row("overall_length_mm.rough", 0.12, "measures a bent, worn or badly held part: four times the usual spread"),
    _row("overall_length_mm.broken", 0.1, "measures the largest part of what is left, which is shorter"),
    _row("overall_length_mm.unsure", 0.2, "cannot measure the length"),
    _row("overall_length_mm.spread_mm", 2.0, "spread of a length by tape, in mm; a half per cent where that is more"),
    _row("thickness_mm.wrong", 0.04, "measures something else: the flange, two plates together"),
    _row("thickness_mm.rough", 0.15, "measures with a rule instead of a calliper: four times the usual spread"),
    _row("thickness_mm.unsure", 0.15, "cannot measure the thickness"),
    _row("thickness_mm.spread_mm", 0.3, "spread of a thickness by calliper, in mm"),
    _row("hand.wrong", 0.12, "mixes up left and right, looking upstream for one"),
    _row("hand.none", 0.15, "gives a hand to a part that has none, or none to one that has"),
    _row("hand.unsure", 0.15, "cannot say the hand"),
    _row("deck.wrong", 0.03, "gives a deck at random"),
    _row("deck.near", 0.08, "gives the deck above or below"),
    _row("deck.unsure", 0.1, "cannot say the deck"),
    _row("neighbour.wrong", 0.05, "reads the mark of a part that has nothing to do with it"),
    _row(
        "neighbour.joined", 0.7, "reads the mark of a part that locks into it, rather than of another part of the kit"
    ),
    _row("neighbour.unsure", 0.35, "finds no mark on any neighbour"),
    _row("date.wrong", 0.15, "gives a date on which the kit was not in use"),
    _row("date.made", 0.2, "gives the date on which the part was made, ordered or fitted, to the year at least"),
    _row("date.unsure", 0.5, "knows no date"),
    _row("picture.wrong", 0.02, "picks a picture at random"),
    _row("picture.alike", 0.15, "takes an outline for another of the same family and nearly the same size"),
    _row("picture.unsure", 0.1, "cannot look at a picture"),
    _row("mark.other", 0.01, "reads a mark that stands on another part, or none that was ever issued"),
    _row("mark.elsewhere", 0.2, "reads a key or an old mark, where one of them is like what he read"),
    _row("breakages.shape", 1.0, "how many breakages what is usual counts for, against those of the place itself"),
    _row("status.voided", 0.05, "a place that was given up, against one that is in use"),
    _row("status.retired", 0.2, "a part of a kit that is out of use, against one of a kit in use"),
)
"""Every likelihood, by question. ``wrong``: the share of answers that say nothing of the part. ``unsure``: the share
of callers who have no answer."""

VALUES: Mapping[str, float] = MappingProxyType({row.name: row.value for row in TABLE})

ASK: Mapping[Question, str] = MappingProxyType(
    {
        "plant": "Which plant is it in?",
        "line": "Which line is it on, or did it come from?",
        "running": "What is running: which container?",
        "machine": "Which machine is it from?",
        "stock_colour": "What colour is the plastic, where it is clean?",
        "shape_family": "What kind of part is it: star wheel, guide, rail, screw, plate?",
        "pockets": "How many pockets does this piece have, half ones at its ends left out?",
        "overall_length_mm": "How long is it from end to end, over the farthest two points, in mm?",
        "thickness_mm": "How thick is the plate, in mm?",
        "hand": "Is it a left-hand or a right-hand part, looking downstream?",
        "deck": "On which deck does it sit: lower, middle, upper or neck?",
        "neighbour": "Can you read any mark on a piece beside it?",
        "date": "When was it ordered or fitted, or when did it last run?",
        "picture": "Which of these outlines is it?",
    }
)
"""Each question in words, as it is put to the caller."""


def wrong(question: Question) -> float:
    """The share of answers that say nothing of the part."""
    return VALUES[f"{question}.wrong"]


def unsure(question: Question) -> float:
    """The share of callers who have no answer to a question."""
    return VALUES[f"{question}.unsure"]
