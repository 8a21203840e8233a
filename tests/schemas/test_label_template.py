"""A template is data that other people write: every fault is named with its field and line."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from schemas.label_template import label_template_schema, schema_text
from schemas.template_examples import TEMPLATE_TOML
from service.errors import BadTemplate
from service.marks.lettering import least_cap_height_mm
from tests.mark_factory import TEMPLATE_NAMES, make_template
from tests.template_text import parse_template

NAMEPLATE = (
    TEMPLATE_TOML
    + """
[[symbols]]
kind = "qr"
content = "link"
x_mm = 34
y_mm = 10
width_mm = 0.9
height_mm = 14
min_module_mm = 0.01

[[holes]]
x_mm = 49
y_mm = 1
diameter_mm = 0.6
clearance_mm = 0.1
"""
)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_template_of_the_shop_is_right_and_named_like_its_file(name: str) -> None:
    assert make_template(name).name == name


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_no_floor_lies_below_what_can_be_read(name: str) -> None:
    template = make_template(name)
    for box in (template.colour_band.word, *template.fields):
        distance_mm = box.reading_distance_mm or template.reading_distance_mm
        assert box.min_cap_mm >= least_cap_height_mm(distance_mm) - 0.01, box


def test_the_four_formats_are_there() -> None:
    assert {"nameplate-60x22", "tied-tag-80x50", "cart-placard-a5", "crate-label-a5"} <= set(TEMPLATE_NAMES)


def test_the_checked_in_schema_is_current() -> None:
    path = Path(__file__).parents[2] / "schemas" / "label_template.schema.json"
    assert path.read_text(encoding="utf-8") == schema_text(), "run: python -m schemas.label_template > " + path.name


def test_the_schema_refuses_what_it_does_not_know() -> None:
    schema = label_template_schema()
    assert schema["additionalProperties"] is False
    assert all(part["additionalProperties"] is False for part in schema["$defs"].values())


def changed(pattern: str, replacement: str) -> str:
    text, count = re.subn(pattern, replacement, NAMEPLATE, count=1, flags=re.MULTILINE)
    assert count == 1
    return text


BROKEN = [
    ("width_mm missing", changed(r"^width_mm = 50\n", ""), "width_mm", "is missing"),
    ("unknown field", changed(r"^margin_mm", "margins_mm"), "margin_mm", "is missing"),
    ("unknown extra", changed(r"^margin_mm", "colour = 1\nmargin_mm"), "colour", "no such field"),
    ("negative size", changed(r"^width_mm = 50", "width_mm = -60"), "width_mm", "greater than 0"),
    ("no number", changed(r"^width_mm = 50", 'width_mm = "wide"'), "width_mm", "valid number"),
    ("a number in quotes", changed(r"^width_mm = 50", 'width_mm = "50"'), "width_mm", "valid number"),
    ("yes for a number", changed(r"^width_mm = 50", "width_mm = true"), "width_mm", "valid number"),
    ("not finite", changed(r"^width_mm = 50", "width_mm = inf"), "width_mm", ""),
    ("unknown name to show", changed(r'show = \["key"\]', 'show = ["price"]'), "fields[2].show[0]", "'number'"),
    ("nothing to show", changed(r'show = \["key"\]', "show = []"), "fields[2].show", "shows nothing"),
    ("unknown symbol", changed(r'kind = "qr"', 'kind = "hieroglyph"'), "symbols[1].kind", "'qr'"),
    ("message in a QR Code", changed(r'content = "link"', 'content = "message"'), "symbols[1].content", "Data Matrix"),
    ("floor above ceiling", changed(r"min_cap_mm = 2$", "min_cap_mm = 9"), "fields[0].min_cap_mm", "above max_cap_mm"),
    ("no shop", changed(r'show = \["shop", "telephone"\]', 'show = ["shop"]'), "fields", "telephone"),
    ("box off the mark", changed(r"^x_mm = 35", "x_mm = 45"), "symbols[0]", "symbols[0] reaches beyond"),
    ("boxes on each other", changed(r"^x_mm = 34", "x_mm = 33"), "symbols[1]", "overlap"),
    ("hole off the mark", changed(r"^x_mm = 49", "x_mm = 156"), "holes[0]", "holes[0]"),
    ("bad name", changed(r'name = "shelf-tag-50x25"', 'name = "Name Plate"'), "name", "lower-case letters"),
    ("name of a call", changed(r'name = "shelf-tag-50x25"', 'name = "lint"'), "name", "calls of the API"),
    (
        "colour without word",
        re.sub(r"(?s)\[colour_band.word\].*?\n\n", "", NAMEPLATE),
        "colour_band.word",
        "is missing",
    ),
    ("colour without shape", changed(r"^shapes = .*\n", "shapes = []\n"), "colour_band.shapes", "at least 1"),
    ("empty", "", "name", "is missing"),
]


@pytest.mark.parametrize(("text", "field", "part"), [case[1:] for case in BROKEN], ids=[case[0] for case in BROKEN])
def test_a_broken_template_is_refused_with_its_field(text: str, field: str, part: str) -> None:
    with pytest.raises(BadTemplate) as caught:
        parse_template(text, source="broken.toml")
    assert caught.value.field == field
    assert part in caught.value.what
    assert caught.value.place is not None
    assert caught.value.place.startswith("broken.toml")


def test_the_line_of_a_fault_is_named() -> None:
    text = changed(r'kind = "qr"', 'kind = "hieroglyph"')
    line = text.splitlines().index('kind = "hieroglyph"') + 1
    with pytest.raises(BadTemplate) as caught:
        parse_template(text, source="broken.toml")
    assert caught.value.place == f"broken.toml, line {line}"


def test_a_fault_in_a_second_table_is_found_in_the_second() -> None:
    text = changed(r"min_module_mm = 0.01", "min_module_mm = 0")
    with pytest.raises(BadTemplate) as caught:
        parse_template(text, source="broken.toml")
    assert caught.value.field == "symbols[1].min_module_mm"
    assert caught.value.place == f"broken.toml, line {text.splitlines().index('min_module_mm = 0') + 1}"


@pytest.mark.parametrize("text", ["[[", "name = ", "\x00", 'name = "a"\nname = "b"'])
def test_what_is_no_toml_is_refused(text: str) -> None:
    with pytest.raises(BadTemplate, match=r"no TOML|stands twice"):
        parse_template(text, source="broken.toml")


def test_the_line_of_a_toml_fault_is_named() -> None:
    with pytest.raises(BadTemplate) as caught:
        parse_template('name = "a"\ntitle = \n', source="broken.toml")
    assert caught.value.place == "broken.toml, line 2"


TEXT = """
[[fields]]
x_mm = 20
y_mm = 30
width_mm = 30
height_mm = 4
max_cap_mm = 3
min_cap_mm = 2.9
"""

ONE_MORE, SYMBOLS = 5, 2
FRAMED_BARS = """[[symbols]]
kind = "code128"
content = "key"
x_mm = 0
y_mm = 40
width_mm = 9
height_mm = 9
min_module_mm = 0.3
frame = "identification_link"
"""
PLAN = """[[pictures]]
kind = "plan"
x_mm = 0
y_mm = 0
width_mm = 9
height_mm = 9
"""
NEW_PARTS = [
    ("no such language", 'languages = ["english"]', "", "languages[0]", "no language tag"),
    ("language twice", 'languages = ["en", "de", "en"]', "", "languages", "twice"),
    ("no resolution", "resolutions = [96]", "", "resolutions[0]", "203, 300 or 600"),
    ("finish", 'finish = "shiny"', "", "finish", "'gloss'"),
    ("floor above all", "least_survival = 1.5", "", "least_survival", "less than or equal to 1"),
    ("no condition", "", TEXT + 'show = ["mass"]\nwhen = ["blue"]', "when[0]", "'heavy'"),
    ("nothing at all", "", TEXT, "show", "shows nothing"),
    ("a language has no words", 'languages = ["en", "de"]', TEXT + 'words = { en = "lift" }', "words", "de"),
    ("another language", "", TEXT + 'language = "pl"\nshow = ["deck"]', "language", "no language 'pl'"),
    ("words twice", "", TEXT + 'before = "a"\nwords = { en = "b" }\nshow = ["deck"]', "before", "not in both"),
    ("frame", "", FRAMED_BARS, f"symbols[{SYMBOLS}].frame", "frame"),
    ("picture on text", "", PLAN, "pictures[0]", "overlap"),
]  # fmt: skip


def with_parts(top: str, parts: str) -> str:
    higher = NAMEPLATE.replace("height_mm = 25", "height_mm = 60", 1)
    higher = higher.replace('{ en = "two people lift" }', '{ en = "two people lift", de = "zu zweit heben" }')
    return f"{top}\n{higher}\n{parts}\n"


@pytest.mark.parametrize(
    ("top", "parts", "field", "part"), [case[1:] for case in NEW_PARTS], ids=[case[0] for case in NEW_PARTS]
)
def test_a_fault_in_a_language_condition_frame_or_picture_has_its_field(
    top: str, parts: str, field: str, part: str
) -> None:
    with pytest.raises(BadTemplate) as caught:
        parse_template(with_parts(top, parts), source="broken.toml")
    assert caught.value.field == (f"fields[{ONE_MORE}].{field}" if parts.startswith(TEXT) else field)
    assert caught.value.place != "broken.toml"
    assert part in caught.value.what


def test_texts_that_never_meet_may_share_a_box() -> None:
    shared = (
        TEXT + 'words = { en = "two people lift", de = "zu zweit heben" }\nwhen = ["two_people"]\n'
        + TEXT + 'words = { en = "use a lifting aid", de = "Hebehilfe benutzen" }\nwhen = ["lifting_aid"]\n'
    )  # fmt: skip
    template = parse_template(with_parts('languages = ["en", "de"]', shared), source="a.toml")
    assert [field.when for field in template.fields[-2:]] == [("two_people",), ("lifting_aid",)]
    assert template.fields[-1].name == "use a lifting aid"
    assert hash(template) == hash(parse_template(with_parts('languages = ["en", "de"]', shared), source="a.toml"))
    with pytest.raises(BadTemplate, match="overlap"):
        parse_template(with_parts('languages = ["en", "de"]', shared.replace("lifting_aid", "heavy")), source="a.toml")


def test_what_every_mark_shows_may_stand_in_one_of_two_places() -> None:
    once = with_parts("", "").replace('show = ["number"]\n', 'show = ["number"]\nwhen = ["handed"]\n', 1)
    with pytest.raises(BadTemplate, match="number on every mark"):
        parse_template(once, source="a.toml")
    second = TEXT.replace("2.9", "1") + 'show = ["number"]\nwhen = ["not_handed"]\n'
    assert sum("number" in field.show for field in parse_template(once + second, source="a.toml").fields) == 2
