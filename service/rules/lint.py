"""The names of the lint's rules: what each of them holds to.

A finding that carries the code of an error, for one ``unknown_code``, is not listed here: the tree of errors tells it.
"""

from __future__ import annotations

from dataclasses import dataclass

from service.findings import Level


@dataclass(frozen=True, slots=True)
class LintRule:
    """A rule that a kit, a mark or a survey has to pass.

    Attributes:
        level: ``error`` stops the issue or print, ``warning`` is shown.
        sentence: what the rule holds to.
        conflict: whether the records stand against the input, which by itself may be right.
    """

    level: Level
    sentence: str
    conflict: bool = False


LINT_RULES: dict[str, LintRule] = {
    "missing_field": LintRule(
        "error", "A segment that is cut for this kit has a cut file, a material and a thickness."
    ),
    "missing_the_first_time": LintRule(
        "error", "A plant or container that is not on record yet is described whole the first time."
    ),
    "duplicate_place": LintRule("error", "Each place and each assembly stands once in a manifest."),
    "joint_unknown": LintRule("error", "A joint is between places of this kit."),
    "joint_wrong": LintRule("error", "A joint is between two different segments and is declared once."),
    "joint_not_in_kit": LintRule("warning", "A release that changed a joint is cut for a segment that has this joint."),
    "container_code_digits": LintRule(
        "error", "The digits of a container's code are its nominal content, cut to a whole number."
    ),
    "container_name_twice": LintRule("warning", "Two containers of one content have names that tell them apart."),
    "container_code_near": LintRule(
        "warning", "A new container's code is not easily taken for one in use in the same plant."
    ),
    "assembly_code_near": LintRule(
        "warning", "An assembly code of the shop's own is not easily taken for another in use in the same plant."
    ),
    "plant_code_near": LintRule("warning", "A new plant's code is not easily taken for another plant's of the shop."),
    "reads_both_ways": LintRule(
        "warning", "A number without its hyphens is not another number without its check digits."
    ),
    "kit_exists": LintRule("error", "A kit is issued once.", conflict=True),
    "machine_ordinal_skips": LintRule(
        "warning", "A machine that is new takes the ordinal that follows the last one ever used on its line."
    ),
    "machine_moved": LintRule("warning", "A kit for a machine that stands elsewhere by now is meant for that machine."),
    "old_name": LintRule("warning", "A plant or line is called by the name that it bears today."),
    "survey_disagrees": LintRule("warning", "The pitch diameter of a survey is its pockets × its pitch ÷ π."),
    "rotation_differs": LintRule("warning", "A survey finds the rotation that marks of the machine show."),
    "shared_across_machines": LintRule(
        "error", "A shared segment belongs to the same machine, or to one on record as the same there."
    ),
    "shared_and_cut": LintRule("error", "A shared segment is described where it was numbered, and only there."),
    "place_not_in_kit": LintRule("error", "A revision is named for a segment that is cut for this kit."),
    "revision_twice": LintRule("error", "One revision is named for a segment of a set."),
    "joint_does_not_lock": LintRule("error", "Both pieces at a joint of a set carry the same revision of it."),
    "joint_not_known": LintRule("warning", "What the pieces at a joint of a set were cut from is on record."),
    "change_not_declared": LintRule(
        "warning", "A release declares each joint and other interface that its outline changes."
    ),
    "change_not_drawn": LintRule("warning", "The outline of a release shows each change that it declares."),
    "outside_margin": LintRule("error", "Texts and symbols of a mark keep the margin of its template."),
    "in_cut_corner": LintRule("error", "Texts and symbols of a mark keep out of the corners that are rounded off."),
    "on_hole": LintRule("error", "Texts, shapes and symbols keep clear of fixing holes and of the rings around them."),
    "quiet_zone_at_edge": LintRule("error", "The quiet zone of a symbol lies on the mark."),
    "quiet_zone_inked": LintRule("error", "The quiet zone of a symbol is free of ink."),
    "overlap": LintRule("error", "No text or shape of a mark lies on another."),
    "too_small_to_read": LintRule(
        "error", "Capitals are tall enough for the reading distance that the template states."
    ),
    "contrast": LintRule("error", "A text stands out from its ground."),
    "hole_narrower_than_cutter": LintRule("error", "A hole that a profile cutter is to cut is wider than the cutter."),
    "parts_too_close": LintRule("error", "A profile cutter passes between two parts, and cuts into neither."),
    "survival_below_floor": LintRule(
        "error",
        "Every symbol bears the mildest damages, and of the whole set symbols and identity survive the share that the "
        "template states.",
    ),
    "survival_wrong_text": LintRule("error", "No damage makes a mark read as the number or key of another piece."),
    "counter_closed": LintRule("error", "Every counter of a letter stays open under the cutter."),
    "counter_small": LintRule(
        "error", "What stands in a counter is wide enough to stand, and a quarter of what is drawn."
    ),
    "hole_gained": LintRule("error", "A cutter closes no opening of a letter to a hole."),
    "glyphs_merge": LintRule("error", "Between letters, lines and base line of an engraving stands a wall that holds."),
    "below_engraving_floor": LintRule("error", "Engraved letters are as high as their material asks for."),
    "stroke_under_cutter": LintRule("error", "The line of engraved letters is as wide as the groove of the cutter."),
    "stroke_hairline": LintRule("warning", "The groove of a cutter is no hairline in its letters."),
    "cutter_beyond_cone": LintRule("error", "A V cutter goes no deeper than its cone."),
    "groove_too_deep": LintRule(
        "error", "Two thirds of a part stay under an engraving, and what its material asks for."
    ),
    "dot_share": LintRule("error", "Drilled dots are 60 to 90 % as wide as their pitch."),
    "engraving_mirrored": LintRule("error", "A finished engraving is not mirrored."),
    "engraving_turned": LintRule("error", "A finished engraving stands in its reading direction."),
    "engraving_clipped": LintRule("error", "Nothing of a finished engraving is missing."),
    "engraving_wrong_text": LintRule("error", "A finished engraving says what was chosen, and nothing else."),
}
