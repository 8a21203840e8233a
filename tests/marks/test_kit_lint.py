"""The lint of many marks finds what the lint of each finds."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.label_template import LabelTemplate
from service.findings import Finding
from service.marks.content import MarkFacts
from service.marks.kit_lint import lint_marks
from service.marks.layout import lint_mark, parts, shown
from service.numbering.number import KitNumber, Number, Place
from service.render.fonts import typeface
from tests.mark_factory import TEMPLATE_NAMES, make_facts, make_template


def one_by_one(template: LabelTemplate, marks: list[MarkFacts]) -> list[Finding]:
    return [finding for facts in marks for finding in lint_mark(template, facts, typeface(), 8.0)]


def together(template: LabelTemplate, marks: list[MarkFacts]) -> list[Finding]:
    return [finding for _, finding in lint_marks(template, marks, typeface(), 8.0)]


def numbered(ordinal: int, **facts: Any) -> MarkFacts:
    place = Place("SW", 2, "U", ordinal)
    number = Number(KitNumber("OSV", 4, "FC", 1, "A", 500), place)
    return make_facts(number=str(number), segment_of=f"segment {ordinal} of 999", **facts)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_a_sound_kit_has_no_findings(name: str) -> None:
    assert together(make_template(name), [numbered(ordinal) for ordinal in range(1, 30)]) == []


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.fixed_dictionaries(
            {
                "ordinal": st.integers(1, 999),
                "container_words": st.sampled_from(["tall round 500 mL", "W" * 30, "一"]),
                "assembly_name": st.sampled_from(["star wheel", "discharge star wheel", "M" * 60]),
                "stock_colour": st.sampled_from(["green", "natural", "plaid"]),
                "hand": st.sampled_from(["", "LEFT", "RIGHT"]),
            }
        ),
        min_size=1,
        max_size=5,
        unique_by=lambda facts: facts["ordinal"],
    )
)
def test_it_finds_what_the_lint_of_each_mark_finds(rows: list[dict[str, Any]]) -> None:
    marks, template = [numbered(**row) for row in rows], make_template()
    assert together(template, marks) == one_by_one(template, marks)


def test_the_one_number_that_is_too_wide_is_found() -> None:
    """Digits are not of one width: of two numbers that look alike one may fit and the other not."""
    narrow, wide = "OSV4-FC1-A500-SW11-U11-11", "OSV4-FC1-A500-SW66-U66-66"
    field = next(field for field in make_template().fields if field.show == ("number",))
    for width_mm in (24.0 + step / 4 for step in range(100)):
        squeezed = field.model_copy(update={"width_mm": width_mm, "max_cap_mm": 2.0, "min_cap_mm": 2.0})
        template = make_template().model_copy(
            update={
                "fields": tuple(squeezed if one is field or one == field else one for one in make_template().fields)
            }
        )
        bad = [len(one_by_one(template, [make_facts(number=number)])) for number in (narrow, wide)]
        if bad == [0, 1]:
            break
    else:
        pytest.fail("no width tells the two apart")
    marks = [make_facts(number=number) for number in (narrow, wide)]
    assert [finding.value for finding in together(template, marks)] == [wide]


def test_parts_of_a_template_that_come_near_each_other_are_found() -> None:
    plain = make_template()
    field = plain.fields[0].model_copy(update={"y_mm": 4.0})
    template = plain.model_copy(update={"fields": (field, *plain.fields[1:])})
    marks = [numbered(ordinal) for ordinal in (1, 2)]
    found = together(template, marks)
    assert "overlap" in {finding.rule for finding in found}
    assert found == one_by_one(template, marks)


def test_what_is_shown_is_named_part_by_part() -> None:
    for name in TEMPLATE_NAMES:
        template, facts = make_template(name), make_facts()
        assert len(shown(template, facts)) == len(list(parts(template, facts, typeface(), 8.0, black_only=False)))


def test_marks_that_show_the_same_are_named_once() -> None:
    marks = [make_facts(container_words="W" * 40, mass_kg=mass) for mass in (1.0, 2.0)]
    assert [facts.mass_kg for facts, _ in lint_marks(make_template(), marks, typeface(), 8.0)] == [1.0]


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 12), st.integers(1, 999)), min_size=2, max_size=6, unique=True),
    st.integers(0, 12),
    st.integers(0, 60),
    st.integers(8, 44),
    st.integers(4, 12),
    st.sampled_from(["left", "centre", "right"]),
)
def test_numbers_in_any_box_are_found_at_fault_as_each_alone_is(
    places: list[tuple[int, int]], x: int, y: int, width: int, height: int, align: str
) -> None:
    """Boxes over the edge, over the holes, too narrow, too low for the letters: one verdict for all, or each alone."""
    plain = make_template()
    number = next(field for field in plain.fields if field.show == ("number",))
    box = {"x_mm": x, "y_mm": y / 3, "width_mm": width, "height_mm": height / 4, "align": align, "min_cap_mm": 0.5}
    template = plain.model_copy(
        update={
            "fields": (number.model_copy(update=box),),
            "symbols": (),
            "colour_band": plain.colour_band.model_copy(update={"x_mm": 58.0}),
        }
    )
    marks = [
        make_facts(number=str(Number(KitNumber("OSV", 4, "FC", 1, "A", 500), Place("SW", star, "U", ordinal))))
        for star, ordinal in places
    ]
    assert together(template, marks) == one_by_one(template, marks)


def test_a_letter_that_the_face_lacks_is_found_in_one_number_of_many() -> None:
    marks = [numbered(ordinal) for ordinal in range(1, 5)] + [replace(make_facts(), number="OSV4-FC1-A500-SW2-一5-11")]
    assert together(make_template(), marks) == one_by_one(make_template(), marks) != []
