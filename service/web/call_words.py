"""The questions of a call as the desk says them, and the answers with their units."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from service.web.call_state import Told

Kind = Literal["choice", "length", "count", "date", "picture"]

QUESTION_WORDS: Mapping[str, str] = {
    "plant": "plant",
    "line": "line",
    "running": "what was running",
    "machine": "machine",
    "stock_colour": "colour of the plastic",
    "shape_family": "kind of part",
    "pockets": "pockets",
    "overall_length_mm": "overall length",
    "thickness_mm": "thickness",
    "hand": "hand",
    "deck": "deck",
    "neighbour": "mark of a neighbour",
    "date": "when it was delivered",
    "picture": "which outline",
}
"""What a question is about, in a few words."""

USUAL_TOLERANCE_MM: Mapping[str, str] = {"overall_length_mm": "5", "thickness_mm": "0.5"}
"""What a field for the tolerance shows before anything is typed: a folding rule, a calliper."""

CAME_BY: Mapping[str, str] = {"ear": "Heard on the telephone", "eye": "Read by eye", "keyboard": "Typed"}
"""How a mark came in, as the desk says it."""


def kind_of(question: str) -> Kind:
    """What kind of answer a question wants."""
    if question.endswith("_mm"):
        return "length"
    kinds: Mapping[str, Kind] = {"pockets": "count", "date": "date", "picture": "picture"}
    return kinds.get(question, "choice")


def words_of(question: str) -> str:
    """What a question is about; its own name where the words are not known."""
    return QUESTION_WORDS.get(question, question.replace("_", " "))


def told_words(told: Told) -> str:
    """An answer as a person says it: ``overall length 412 mm, give or take 5 mm``."""
    if told.question == "picture":
        none, _, numbers = told.answer.partition(" ")
        return f"None of these outlines: {numbers}" if none == "not" else f"The outline of {told.answer}"
    subject = words_of(told.question)
    subject = subject[:1].upper() + subject[1:]
    off = f", give or take {told.tolerance_mm:g} mm" if told.tolerance_mm is not None else ""
    return f"{subject}: {answer_words(told.question, told.answer)}{off}"


def answer_words(question: str, answer: str) -> str:
    """An answer with its unit where it is a bare figure."""
    bare = answer.replace(".", "", 1).replace(",", "", 1).isdecimal()
    return f"{answer} mm" if question.endswith("_mm") and bare else answer


def sure_words(share: float) -> str:
    """How sure something is, in per cent, and never more certain than it is."""
    if share >= 0.995:
        return "over 99 %" if share < 1 else "100 %"
    if share < 0.005:
        return "under 1 %"
    return f"{share * 100:.0f} %"


def agree_words(consistent: int, *, has_mark: bool, by_ear: bool) -> str:
    """How many numbers agree with what was heard or read."""
    taken = "heard" if by_ear else "read"
    if not has_mark:
        return f"Nothing of the mark is known: all {consistent:,} segments are possible."
    if consistent == 0:
        return f"No issued number agrees with every symbol that was {taken}; these come nearest."
    if consistent == 1:
        return f"One issued number agrees with every symbol that was {taken}."
    return f"{consistent:,} issued numbers agree with every symbol that was {taken}."


def left_words(left: int) -> str:
    """How many are left."""
    if left == 1:
        return "One segment is left."
    return f"{left:,} segments are left that it may well be." if left else "No segment is left."


def not_shown_words(count: int) -> str:
    """How many more are left than are shown; empty for none."""
    if count < 1:
        return ""
    return f"{count:,} more may well be it, none of them likelier: ask on." if count > 1 else "One more may well be it."


def worth_words(gain_bits: float, left: int) -> str:
    """What a question is expected to do to what is left."""
    if left < 2:
        return ""
    if gain_bits < 0.01:
        return "It is not expected to tell them apart."
    after = max(1, round(left / 2**gain_bits))
    if after >= left:
        return f"It may set apart some of the {left:,} that are left."
    if 0.8 <= gain_bits <= 1.25:
        return f"The answer halves the {left:,} that are left."
    return f"The answer is expected to leave about {after:,} of {left:,}."
