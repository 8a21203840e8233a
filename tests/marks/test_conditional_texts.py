"""What a text field says on one mark: conditions, fixed words, languages, separators at the ends of lines."""

from __future__ import annotations

from typing import Any

import pytest

from schemas.label_template import TextField
from service.marks.lettering import fit
from service.marks.placing import wording_of
from service.render.fonts import typeface
from tests.mark_factory import make_facts

BOTH = ("en", "de")


def make_field(**others: Any) -> TextField:
    box = {"x_mm": 1, "y_mm": 1, "width_mm": 50, "height_mm": 6, "max_cap_mm": 3, "min_cap_mm": 1}
    return TextField.model_validate({**box, **others})


@pytest.mark.parametrize(
    ("field", "languages", "said"),
    [
        ({"show": ["deck", "segment"]}, ("en",), "upper deck · segment 3 of 4"),
        ({"show": ["deck", "segment"]}, ("de", "en"), "obere Ebene · Segment 3 von 4"),
        ({"show": ["deck"], "language": "de"}, BOTH, "obere Ebene"),
        ({"words": {"en": "two people lift", "de": "zu zweit heben"}}, BOTH, "two people lift · zu zweit heben"),
        ({"words": {"en": "lift", "de": "heben"}, "language": "de"}, BOTH, "heben"),
        ({"words": {"en": "Tel.", "de": "Tel."}, "show": ["telephone"]}, BOTH, "Tel. +44 1632 960118"),
        ({"words": {"en": "call", "de": "Tel."}, "show": ["telephone"]}, BOTH, "call · Tel. +44 1632 960118"),
        ({"words": {"en": "call"}, "show": ["quantity"]}, ("en",), ""),
        ({"before": "line", "show": ["quantity"]}, ("en",), ""),
        ({"show": ["quantity", "hand", "mass"], "separator": " / "}, ("en",), "LEFT / 3.21 kg"),
        ({"show": ["mass"], "when": ["heavy"]}, ("en",), ""),
        ({"show": ["mass"], "when": ["light", "handed"]}, ("en",), "3.21 kg"),
        ({"show": ["number"], "language": "de"}, BOTH, "OSV4-FC1-A500-SW2-U3-42"),
    ],
)
def test_a_field_says_what_holds_in_its_languages(field: dict[str, Any], languages: tuple[str, ...], said: str) -> None:
    assert wording_of(make_field(**field), make_facts(), languages) == said


def test_a_line_neither_begins_nor_ends_with_a_separator() -> None:
    face = typeface()["regular"]
    text = "stays on for C500 · Kitwright demo shop · +44 1632 960118"
    for height in (3.0, 5.0, 7.0, 9.0):
        setting = fit(
            text, face, width_mm=26, height_mm=height, max_cap_mm=2, min_cap_mm=0.3, max_lines=3, separator=" · "
        )
        assert setting is not None
        assert all(not line.startswith("·") and not line.endswith("·") for line in setting.lines)
        said = " ".join(setting.lines).replace("·", " ").split()
        assert said == text.replace("·", " ").split()


def test_lines_rather_break_between_two_texts_than_within_one() -> None:
    face = typeface()["regular"]
    text = "stays on for C500 · Kitwright demo shop · +44 1632 960118"
    setting = fit(text, face, width_mm=20, height_mm=6, max_cap_mm=1.2, min_cap_mm=0.3, max_lines=3, separator=" · ")
    assert setting is not None
    assert setting.lines == ("stays on for C500", "Kitwright demo shop", "+44 1632 960118")


def test_a_text_of_separators_alone_has_no_setting() -> None:
    face = typeface()["regular"]
    assert fit("· ·", face, width_mm=9, height_mm=9, max_cap_mm=2, min_cap_mm=1, separator=" · ") is None
