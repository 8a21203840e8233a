"""The names of the rules that a label template has to pass: what each of them holds to, and where it comes from.

A finding that carries the code of an error, for one ``field_does_not_fit``, or of a rule for layouts, for one
``on_hole``, is not listed here: the tree of errors and ``rules.lint`` tell those.
"""

from __future__ import annotations

from dataclasses import dataclass

from service.findings import Level

PRACTICE = "common practice, no source"
LEGIBILITY = "NUREG-0700 rev. 3, 11.4.1.5-1: labels subtend at least 15 minutes of arc, preferred 20"
CONTRAST = "WCAG 2.x, success criterion 1.4.3"
COLOUR_ALONE = "WCAG 2.x, success criterion 1.4.1 (from memory)"
QR_CAPACITY = "ISO/IEC 18004: capacity of version 2 at level Q"
TOML = "TOML 1.0.0"
SCHEMA = "schemas/label_template.schema.json"


@dataclass(frozen=True, slots=True)
class TemplateRule:
    """A rule that a template has to pass.

    Attributes:
        level: ``error`` makes the command fail, ``warning`` is a note.
        sentence: what the rule holds to.
        source: the standard and clause, or that there is none.
    """

    level: Level
    sentence: str
    source: str = PRACTICE


TEMPLATE_RULES: dict[str, TemplateRule] = {
    "too_large": TemplateRule("error", "A template has at most 256 kB."),
    "not_text": TemplateRule("error", "A template is UTF-8 text.", TOML),
    "not_readable": TemplateRule("error", "A template is a file that the service may read."),
    "folder_loop": TemplateRule("error", "No link in the folder of templates leads back into a folder above it."),
    "not_toml": TemplateRule("error", "A template is a TOML document.", TOML),
    "named_twice": TemplateRule("error", "A key or table stands once.", TOML),
    "nested_too_deep": TemplateRule("error", "Tables, lists and keys are nested at most 12 deep."),
    "unknown_field": TemplateRule("error", "A template has the fields of its schema and no others.", SCHEMA),
    "not_given": TemplateRule("error", "A template has every field that its schema asks for.", SCHEMA),
    "wrong_type": TemplateRule("error", "Numbers are numbers, texts texts and lists lists.", SCHEMA),
    "out_of_range": TemplateRule("error", "Sizes are above zero and finite, shares lie from 0 to 1.", SCHEMA),
    "unknown_choice": TemplateRule("error", "What is chosen from a list is in that list.", SCHEMA),
    "wrong_count": TemplateRule("error", "Lists and texts are neither too short nor too long.", SCHEMA),
    "wrong_form": TemplateRule("error", "Names and language tags have their form.", SCHEMA),
    "floor_above_ceiling": TemplateRule("error", "The least size of a text or module is at most its largest."),
    "nothing_to_print": TemplateRule("error", "A text shows something or has words."),
    "before_and_words": TemplateRule("error", "Words in front of a text are given in one way."),
    "content_unfit": TemplateRule("error", "A symbol holds what its readers can make something of."),
    "frame_unfit": TemplateRule(
        "error", "The frame of an identification link stands round a link.", "IEC 61406-1 (from memory)"
    ),
    "words_missing": TemplateRule("error", "Fixed words are there in every language in which they are printed."),
    "language_unknown": TemplateRule("error", "A text is in a language of its template."),
    "language_twice": TemplateRule("error", "A language is named once."),
    "language_without_words": TemplateRule("warning", "The trade's words are known in the languages of a template."),
    "name_reserved": TemplateRule("error", "No template bears a name that a call of the API has."),
    "name_not_file": TemplateRule("warning", "A template bears the name of its file."),
    "name_taken": TemplateRule("error", "Two templates of one folder have different names."),
    "beyond_edge": TemplateRule("error", "Every part lies on the mark."),
    "boxes_overlap": TemplateRule("error", "No two parts that may stand on one mark share room."),
    "not_shown": TemplateRule("error", "Every mark shows number, key, container, and the shop's name and telephone."),
    "condition_never_holds": TemplateRule("error", "The conditions of a text can hold, and let it show something."),
    "colour_alone": TemplateRule(
        "error", "Where colour says something a word and a shape say it as well.", COLOUR_ALONE
    ),
    "module_under_a_dot": TemplateRule("error", "The smallest module of a symbol is at least one dot of the printer."),
    "no_whole_dots": TemplateRule("error", "Between the smallest and largest module lies a whole number of dots."),
    "module_of_one_dot": TemplateRule("warning", "A module is two dots or more, so that ink that spreads closes none."),
    "link_costs_modules": TemplateRule(
        "warning", "A link has at most 29 characters, or its symbol room enough for a larger one.", QR_CAPACITY
    ),
    "smaller_than_preferred": TemplateRule(
        "warning", "Capitals subtend the 20 minutes of arc that are preferred.", LEGIBILITY
    ),
}
"""By the rule's stable name, in the order in which a file is looked at."""

SHARED_RULES: dict[str, str] = {
    "too_small_to_read": LEGIBILITY,
    "contrast": CONTRAST,
    "outside_margin": PRACTICE,
    "on_hole": PRACTICE,
    "missing_glyph": PRACTICE,
}
"""Errors that a template shares with marks, with their sources; ``rules.lint`` and the tree of errors tell them."""


def level_and_source(rule: str) -> tuple[Level, str]:
    """How much a rule weighs, and where it comes from."""
    if rule in SHARED_RULES:
        return "error", SHARED_RULES[rule]
    return TEMPLATE_RULES[rule].level, TEMPLATE_RULES[rule].source
