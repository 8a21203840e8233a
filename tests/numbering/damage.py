"""Numbers for the laws of the search, and damage to them."""

from __future__ import annotations

from hypothesis import strategies as st

from service.numbering.number import KitNumber, Number, Place
from service.numbering.weights import SIGNS
from tests.numbering.strategies import numbers

# Few different halves, so that numbers come near each other as those of one shop do.
near_numbers = st.builds(
    Number,
    st.builds(
        KitNumber,
        st.sampled_from(["OSV", "OSVO", "MRG", "HXD"]),
        st.sampled_from([1, 4, 12]),
        st.sampled_from(["FC", "FL", "LB"]),
        st.sampled_from([1, 2]),
        st.sampled_from(["A", "AA", "C"]),
        st.sampled_from([12, 330, 500, 5000]),
    ),
    st.builds(
        Place,
        st.sampled_from(["SW", "CG", "OR"]),
        st.sampled_from([1, 2, 12]),
        st.sampled_from(["U", "L"]),
        st.sampled_from([1, 2, 3, 21]),
    ),
)
registers = st.lists(st.one_of(near_numbers, numbers).map(str), min_size=1, max_size=25, unique=True)


@st.composite
def damaged(draw: st.DrawFn, number: str) -> str:
    """A number with up to four things gone wrong, of every kind that the search reckons with."""
    signs = list(number)
    for _ in range(draw(st.integers(0, 4))):
        if len(signs) < 2:
            break
        at = draw(st.integers(0, len(signs) - 2))
        match draw(st.sampled_from(["unread", "run", "lost", "extra", "swapped", "twice", "misread", "head", "tail"])):
            case "unread":
                signs[at] = "?"
            case "run":
                signs[at] = "*"
            case "lost":
                del signs[at]
            case "extra":
                signs.insert(at, draw(st.sampled_from(SIGNS)))
            case "swapped":
                signs[at], signs[at + 1] = signs[at + 1], signs[at]
            case "twice":
                signs.insert(at, signs[at])
            case "misread":
                signs[at] = draw(st.sampled_from(SIGNS))
            case "head":
                del signs[:at]
            case "tail":
                del signs[at + 1 :]
    text = "".join(signs)
    return text.replace("-", "") if draw(st.booleans()) else text
