"""The rules for templates: each is listed for developers, with its level and a source."""

from __future__ import annotations

from service.rules.template_rules import TEMPLATE_RULES, level_and_source
from tests.markdown_page import DEVELOPERS


def test_each_rule_is_listed_with_its_level_sentence_and_source() -> None:
    rows = DEVELOPERS.table("Template rule", "Level")
    listed = {name.strip("`"): (level, sentence, source) for name, level, sentence, source in rows}
    assert listed == {name: (rule.level, rule.sentence, rule.source) for name, rule in TEMPLATE_RULES.items()}


def test_every_rule_has_a_level_and_a_source() -> None:
    for name in (*TEMPLATE_RULES, "too_small_to_read", "contrast"):
        level, source = level_and_source(name)
        assert level in ("error", "warning")
        assert source
