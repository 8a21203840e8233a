"""The rules for templates: each is listed for developers, with its level and a source."""

from __future__ import annotations

from schemas.label_conditions import CONDITIONS
from schemas.template_reading import read_text
from service.marks.template_lint import lint_template
from service.marks.worst_case import Recorded
from service.render.fonts import typeface
from service.rules.template_rules import TEMPLATE_RULES, level_and_source
from tests.markdown_page import DEVELOPERS, README


def test_each_rule_is_listed_with_its_level_sentence_and_source() -> None:
    rows = DEVELOPERS.table("Template rule", "Level")
    listed = {name.strip("`"): (level, sentence, source) for name, level, sentence, source in rows}
    assert listed == {name: (rule.level, rule.sentence, rule.source) for name, rule in TEMPLATE_RULES.items()}


def test_every_rule_has_a_level_and_a_source() -> None:
    for name in (*TEMPLATE_RULES, "too_small_to_read", "contrast"):
        level, source = level_and_source(name)
        assert level in ("error", "warning")
        assert source


def test_every_condition_is_listed_with_what_it_asks() -> None:
    rows = {name.strip("`"): words for name, words in README.table("Condition", "Holds where")}
    assert rows == {name: meaning.words for name, meaning in CONDITIONS.items()}


def test_the_example_of_the_page_is_what_the_lint_says() -> None:
    """The sentence that the readme shows, for letters of 1.2 mm in the template that it shows whole."""
    (text,) = README.blocks("toml")
    broken = text.replace("max_cap_mm = 2.6\nmin_cap_mm = 2\n", "max_cap_mm = 2.6\nmin_cap_mm = 1.2\n")
    found = lint_template(read_text(broken), Recorded(), typeface(), source="shelf-tag-50x25.toml")
    (finding,) = [one for one in found if one.rule == "too_small_to_read"]
    assert " ".join(finding.message.split()) in " ".join(README.text.split())
