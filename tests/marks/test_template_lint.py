"""The lint of templates: each of a set of broken files gives the finding that points at its fault."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable
from typing import Any

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from schemas.label_template import LabelTemplate, label_template_schema
from schemas.template_reading import MOST_BYTES, read_bytes, read_data, read_text
from service.marks.template_findings import TemplateFinding
from service.marks.template_lint import lint_template
from service.marks.worst_case import Recorded
from service.render.fonts import typeface
from service.rules.lint import LINT_RULES
from service.rules.template_rules import SHARED_RULES, TEMPLATE_RULES
from tests.hostile_templates import CLEAN_PATH, HOSTILE, Hostile
from tests.mark_factory import TEMPLATE_NAMES, template_text

CLEAN = CLEAN_PATH.read_text(encoding="utf-8")
#: Rules that the published schema cannot hold a single value to.
BEYOND_THE_SCHEMA = {
    "boxes_overlap", "beyond_edge", "not_shown", "name_reserved", "language_twice", "language_unknown", "words_missing",
    "floor_above_ceiling", "nothing_to_print", "before_and_words", "content_unfit", "frame_unfit",
}  # fmt: skip


def lint(data: bytes | str, recorded: Recorded | None = None) -> tuple[TemplateFinding, ...]:
    reading = read_bytes(data) if isinstance(data, bytes) else read_text(data)
    return lint_template(reading, recorded or Recorded(), typeface(), source="t.toml")


def errors(data: bytes | str, recorded: Recorded | None = None) -> list[TemplateFinding]:
    return [finding for finding in lint(data, recorded) if finding.level == "error"]


def changed(old: str, new: str, text: str = CLEAN) -> str:
    assert old in text
    return text.replace(old, new, 1)


def test_the_set_is_large_and_touches_most_rules() -> None:
    assert len(HOSTILE) >= 50
    assert {case.rule for case in HOSTILE} >= TEMPLATE_RULES.keys() - {
        "too_large", "not_readable", "folder_loop", "name_taken",  # of files and folders
        "language_without_words", "name_not_file", "module_of_one_dot", "smaller_than_preferred",  # notes
        "link_costs_modules",
    }  # fmt: skip


@pytest.mark.parametrize("case", HOSTILE, ids=[case.name for case in HOSTILE])
def test_a_broken_template_gives_a_finding_that_points_at_its_fault(case: Hostile) -> None:
    found = errors(case.path.read_bytes())
    assert (case.rule, case.field, case.line) in [(one.rule, one.field, one.line) for one in found], found
    for one in found:
        assert one.message
        assert one.todo
        assert one.source or one.rule not in TEMPLATE_RULES
        assert one.place == ("t.toml" if one.line is None else f"t.toml, line {one.line}")


def test_what_the_broken_ones_were_made_from_is_clean() -> None:
    assert errors(CLEAN) == []


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_template_of_the_shop_lints_clean_while_nothing_is_on_record(name: str) -> None:
    assert errors(template_text(name)) == []


def test_everything_that_is_wrong_is_told_and_not_only_the_first() -> None:
    text = changed("width_mm = 100", "width_mm = 100\ncolour = 1")
    text = changed('kind = "qr"', 'kind = "hieroglyph"', text)
    text = changed("min_cap_mm = 3\n", "min_cap_mm = 2\n", text)
    text = changed('show = ["key"]', 'show = ["price"]', text)
    text = changed("y_mm = 33", "y_mm = 57", text)
    found = {(one.rule, one.field) for one in errors(text)}
    assert found == {
        ("unknown_field", "colour"),
        ("unknown_choice", "symbols[0].kind"),
        ("too_small_to_read", "colour_band.word.min_cap_mm"),
        ("unknown_choice", "fields[2].show[0]"),
        ("beyond_edge", "fields[3]"),
    } | {one for one in found if one[0] == "boxes_overlap"}


@pytest.mark.parametrize(
    ("distance_mm", "least", "preferred"), [(500, "2.18", "2.91"), (1000, "4.36", "5.82"), (2000, "8.73", "11.64")]
)
def test_the_least_letters_are_those_of_the_published_rule(distance_mm: int, least: str, preferred: str) -> None:
    """NUREG-0700 rev. 3, 11.4.1.5-1: 15 and 20 minutes of arc, in millimetres at three distances."""
    text = changed("reading_distance_mm = 500", f"reading_distance_mm = {distance_mm}")
    text = changed("min_cap_mm = 2.2\nweight", "min_cap_mm = 0.5\nweight", text)
    (finding,) = [one for one in errors(text) if one.field == "fields[0].min_cap_mm"]
    assert f"asks for {least} mm at theta = 15' and prefers {preferred} mm at 20'" in finding.message
    assert "h = 2 D tan(theta/2)" in finding.message
    assert finding.source.startswith("NUREG-0700 rev. 3, 11.4.1.5-1")
    just = changed("min_cap_mm = 0.5\nweight", f"min_cap_mm = {least}\nweight", text)
    assert "fields[0].min_cap_mm" not in [one.field for one in errors(just) if one.rule == "too_small_to_read"]


def test_what_is_preferred_is_a_note() -> None:
    notes = [one for one in lint(CLEAN) if one.rule == "smaller_than_preferred"]
    assert notes
    assert all(one.level == "warning" for one in notes)


def test_contrast_is_told_for_each_stock_colour_that_black_does_not_stand_out_from() -> None:
    text = next(case for case in HOSTILE if case.name == "black-on-the-band").path.read_bytes()
    (finding,) = [one for one in errors(text) if one.rule == "contrast"]
    told = set(re.findall(r"on (\w+)", finding.message.partition(": ")[2]))
    assert {"black", "blue", "brown", "purple", "red", "green"} <= told
    assert not told & {"white", "yellow", "natural", "pink"}


@pytest.mark.parametrize(
    ("fact", "text", "clean"),
    [
        ("assembly_name", "Żółta gwiazda łącząca", True),  # Polish
        ("assembly_name", "αστέρι εξόδου", True),  # Greek
        ("assembly_name", "звезда выгрузки", True),
        ("assembly_name", "出料星轮", False),
        ("shop_name", "工具店", False),
    ],
)
def test_names_in_any_letters_are_set_or_refused_with_character_and_field(fact: str, text: str, *, clean: bool) -> None:
    found = errors(CLEAN, Recorded(texts={fact: ("infeed star", text)}))
    if clean:
        assert found == []
        return
    (finding,) = found
    shown = {"assembly_name": "fields[3].show[0]", "shop_name": "fields[7].show[0]"}[fact]
    assert (finding.rule, finding.field, finding.value) == ("missing_glyph", shown, text)
    assert f"'{text[0]}' (U+{ord(text[0]):04X})" in finding.message


def test_the_longest_text_on_record_is_the_widest_and_not_that_with_most_signs() -> None:
    narrow, wide = "illicit lilliputian filling lid", "WWWWWWWWWWWWWWWWWWWWWWWWWWW"
    assert len(narrow) > len(wide)
    assert errors(CLEAN, Recorded(texts={"assembly_name": (narrow,)})) == []
    (finding,) = errors(CLEAN, Recorded(texts={"assembly_name": (narrow, wide)}))
    assert (finding.rule, finding.field) == ("field_does_not_fit", "fields[3]")
    assert wide in finding.value


def test_a_long_public_address_makes_the_code_too_large() -> None:
    long = Recorded(public_url="https://parts.example.org/" + "x" * 200)
    (finding,) = errors(CLEAN, long)
    assert (finding.rule, finding.field) == ("symbol_does_not_fit", "symbols[0].min_module_mm")


def test_a_code_that_fits_finer_printers_only_names_the_coarse_ones() -> None:
    text = changed("width_mm = 10\nheight_mm = 10", "width_mm = 5.5\nheight_mm = 5.5")
    (finding,) = errors(text)
    assert finding.message.endswith("(at 203 dpi)")
    assert errors(changed("width_mm = 100", "resolutions = [300, 600]\nwidth_mm = 100", text)) == []


def test_a_template_from_json_has_the_same_findings_without_lines() -> None:
    for case in HOSTILE:
        try:
            data = tomllib.loads(case.path.read_text(encoding="utf-8"))
        except (ValueError, RecursionError):
            continue
        from_json = lint_template(read_data(data), Recorded(), typeface(), source="t")
        from_toml = lint(case.path.read_bytes())
        assert {(one.rule, one.field, one.message) for one in from_json} == {
            (one.rule, one.field, one.message) for one in from_toml
        } or case.rule == "nested_too_deep", case.name
        assert all(one.line is None for one in from_json)


def test_another_validator_agrees_about_the_published_schema() -> None:
    """The library jsonschema knows nothing of this project's models; it gets the JSON Schema and the TOML."""
    validator = jsonschema.Draft202012Validator(json.loads(json.dumps(label_template_schema())))
    for name in TEMPLATE_NAMES:
        assert list(validator.iter_errors(tomllib.loads(template_text(name)))) == [], name
    assert list(validator.iter_errors(tomllib.loads(CLEAN))) == []
    for case in HOSTILE:
        try:
            data = tomllib.loads(case.path.read_text(encoding="utf-8"))
        except (ValueError, RecursionError):
            continue
        rule = TEMPLATE_RULES.get(case.rule)
        by_schema = rule is not None and rule.source.startswith("schemas/") and case.rule not in BEYOND_THE_SCHEMA
        finite = not any(
            word in case.name for word in ("infinite", "overflowing", "not-a-number", "blanks", "no-language")
        )
        if by_schema and finite:
            assert list(validator.iter_errors(data)), case.name


def test_what_the_lint_finds_wrong_in_the_file_alone_is_what_the_model_refuses() -> None:
    for case in HOSTILE:
        reading = read_bytes(case.path.read_bytes())
        try:
            data = tomllib.loads(case.path.read_text(encoding="utf-8"))
        except (ValueError, RecursionError):
            assert reading.faults
            continue
        if case.rule == "nested_too_deep":
            continue
        if reading.faults:
            with pytest.raises(ValidationError):
                LabelTemplate.model_validate(data)
        else:
            assert LabelTemplate.model_validate(data) == reading.template


def test_shared_rules_are_told_once() -> None:
    assert not TEMPLATE_RULES.keys() & LINT_RULES.keys()
    assert SHARED_RULES.keys() - {"missing_glyph"} <= LINT_RULES.keys()


@pytest.mark.parametrize(
    "data", [b"", b"\0", b"\xff\xfe", b"#" * (MOST_BYTES + 1), b"[" * 100_000, b'a = """' * 30_000]
)
def test_a_file_of_any_bytes_is_a_finding(data: bytes) -> None:
    assert errors(data)


def test_a_template_that_asks_for_very_much_is_linted_all_the_same() -> None:
    """Forty texts of six languages in four lines: all ways to break a thousand words would take for ever."""
    words = ", ".join(f'{language} = "{"a b " * 49}"' for language in ("en", "de", "pl", "cs", "sk", "el"))
    text = changed('["en", "de"]', '["en", "de", "pl", "cs", "sk", "el"]')
    text = re.sub(r'de = "', 'pl = "x", cs = "x", sk = "x", el = "x", de = "', text)
    for number in range(32):
        text += f"\n[[fields]]\nwords = {{ {words} }}\nlines = 4\nx_mm = {2 + number}\ny_mm = 14\nwidth_mm = 50\n"
        text += "height_mm = 30\nmax_cap_mm = 5\nmin_cap_mm = 0.1\n"
    found = {finding.field for finding in errors(text)}
    assert {f"fields[{number}]" for number in range(8, 40)} <= {field.partition(".")[0] for field in found}


def _cut(text: str, at: int, length: int) -> str:
    return text[:at] + text[at + length :]


def _swapped(text: str, at: int, length: int) -> str:
    return text[:at] + text[at : at + length][::-1] + text[at + length :]


def _doubled(text: str, at: int, length: int) -> str:
    return text[: at + length] + text[at : at + length] + text[at + length :]


WAYS: list[Callable[[str, int, int], str]] = [_cut, _swapped, _doubled]
numbers = st.sampled_from(
    ["0", "-1", "1e999", "nan", "inf", "1e-300", "999", '"x"', "[]", "{}", "true", "0.1", "2026-01-01"]
)


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.sampled_from([CLEAN, *map(template_text, TEMPLATE_NAMES)]),
    st.lists(st.tuples(st.sampled_from(WAYS), st.integers(0, 6000), st.integers(1, 60)), max_size=3),
    st.lists(st.tuples(st.integers(0, 120), numbers), max_size=4),
)
def test_no_change_of_a_template_stops_the_lint(text: str, cuts: list[Any], values: list[tuple[int, str]]) -> None:
    lines = text.splitlines()
    for index, value in values:
        line = index % len(lines)
        if "=" in lines[line]:
            lines[line] = f"{lines[line].partition('=')[0]}= {value}"
    text = "\n".join(lines)
    for way, at, length in cuts:
        text = way(text, at % max(1, len(text)), length)
    for finding in lint(text):
        assert finding.message
        assert finding.line is None or 1 <= finding.line <= text.count("\n") + 1


@settings(max_examples=60, deadline=None)
@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.text(max_size=8) | st.integers(),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
        max_leaves=12,
    ),
    st.sampled_from(
        ["fields", "symbols", "holes", "pictures", "rules", "colour_band", "languages", "words", "width_mm"]
    ),
)
def test_no_json_stops_the_lint(value: Any, name: str) -> None:
    data = tomllib.loads(CLEAN)
    data[name] = value
    assert all(finding.message for finding in lint_template(read_data(data), Recorded(), typeface(), source="t"))
