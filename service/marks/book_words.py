"""The chapters of the paper book that explain: how to find a part, read a number, and choose the revision to cut.

The sentences say in plain words what ``service.numbering``, ``service.rules.joints`` and ``service.rules.revisions``
do; whoever changes a rule there changes its words here.
"""

from __future__ import annotations

from service.marks.book import Book
from service.numbering.alike import SIGN_CLASSES

HOW_TO_FIND = (
    (
        "Read the number or the key off the piece. A key is eight signs over a base line; turn the piece "
        "until the line is below. Where signs are worn, keep every reading that is possible."
    ),
    "Prove the reading: chapters 3 and 4 show with a pencil whether a number or a key can be right.",
    (
        "Look up a key in the index at the end. A number says by itself in which assembly and on which deck "
        "the part sits: find it in the plans, then in the segment pages."
    ),
    "On the segment page compare outline, overall dimensions, material, thickness and mass with the piece in hand.",
    "Choose the revision to cut as chapter 5 says; the segment page holds all that is needed.",
    (
        "Find the cut file by its name and revision, on whatever medium it was kept. Only the file whose "
        "SHA-256 is the one printed here is the released one. Most computers tell it: sha256sum FILE, "
        "certutil -hashfile FILE SHA256, or shasum -a 256 FILE."
    ),
    "Engrave the number with its check, or the key where the number has no room, before the profile is cut.",
)
"""Steps from a broken piece to the file that it is cut from."""

READING_RULES = (
    (
        "The number is a birth name: it stays when the machine moves to another line or is renamed. Revision, "
        "date, colour, material and hand are never part of it."
    ),
    (
        "It was issued once and is never given to another part. Every group but the check is letters, then "
        "digits, so it reads the same with its hyphens lost. Digits have no leading zeros."
    ),
    (
        f"Signs that are read for one another: {', '.join(' '.join(signs) for signs in SIGN_CLASSES)}. Their "
        "place decides: where letters stand no digit can, and where digits stand no letter."
    ),
    (
        "A reading is never picked because it is likely. When two readings are left, both parts are compared "
        "with the piece in hand."
    ),
)

KEY_RULES = (
    (
        "A key names one piece of plastic, or a segment on marks that stand for all its pieces. It has seven "
        "random symbols and a check symbol and is printed in two fours. A base line stands under an engraved "
        "key, because 6 and 9, M and W turn into each other on a turned piece."
    ),
    (
        "Every symbol counts as the value of this table. The eight values, multiplied by 1, 2, 3 and on to 8 "
        "from the left, add up to a multiple of 23. Every single wrong symbol and every swap of two makes the "
        "sum miss it."
    ),
)

REVISION_RULES = (
    (
        "As built",
        (
            "Cut the revision that the broken piece was cut from. It locked into its neighbours, so an exact "
            "copy will. This is the default. If the piece was reworked on site, do the same rework to the new "
            "one."
        ),
    ),
    (
        "Newest that fits",
        (
            "Only when the newest is asked for, or the as-built revision is withdrawn. Take the released "
            "revisions that are not withdrawn, the newest first: those newer than the as-built one or, when "
            "that is withdrawn, all. One may be cut alone when for every surviving neighbour it carries the "
            "same joint revision as the revision that the neighbour was built at, and no release between it "
            "and the as-built one changes another interface: hub bore, bolt pattern, pocket, outside contour, "
            "thickness."
        ),
    ),
    (
        "Newest with neighbours",
        (
            "When none may be cut alone: the newest, and with it the smallest set of neighbours, each at a "
            "revision that makes every joint between two pieces carry one joint revision on both sides. Check "
            "on the machine what else the revision changes before cutting."
        ),
    ),
    (
        "Neighbour not known",
        "When it is not known what a surviving neighbour was cut from, only an exact copy, as built, is safe.",
    ),
    (
        "No record",
        (
            "When the revision of the broken piece is not known, or nothing that may be cut locks: do not "
            "cut. Ask for the key on the piece, for the number of the neighbour that survived, or for a trace "
            "of the edge on paper."
        ),
    ),
    (
        "Never",
        (
            "A withdrawn revision is never cut. A piece that is ordered but not fitted, damaged or scrapped "
            "is nobody's as-built."
        ),
    ),
)
"""The outcomes of the decision and their rule; ``service.rules.revisions`` decides alike."""

JOINT_RULES = (
    (
        "Each joint has a revision of its own, counted from 0, that both sides must carry to lock. The side that "
        "releases a change to the joint first starts its next revision; the other side catches up by its own release "
        "that changes the joint. A withdrawn release still counts."
    ),
    (
        "The segment pages print for each joint which joint revision is in which revision letter of either side. "
        "'0 in -, A; 1 in B' says that a piece cut from the initial release (-) or from A carries joint revision 0, "
        "and one cut from B carries 1. Two pieces lock when the figures of their letters are equal."
    ),
)
"""How joint revisions count; ``service.rules.joints`` counts alike."""

PAGE_CHECK_WORDS = (
    (
        "Copies of single pages prove themselves. At the foot of each page stands its check value: {rule}. Accented "
        "letters count in their composed form (Unicode NFC). Text is taken in the order in which it is set: tables "
        "row by row, in each row cell by cell, each cell from top to bottom, pictures where they stand. Kit and page "
        "number stand at the head and count. With the text of a page above that line in the file page.txt, this "
        "prints the value:"
    ),
    "tr -d '[:space:]-' < page.txt | sha256sum | cut -c 1-8",
    (
        "A value that differs shows that the copy was changed, or read with an error. An equal one does not show who "
        "made it: compare the ledger tip on the cover with one that was written down elsewhere."
    ),
)
"""How a page proves itself; ``{rule}`` is the rule as each page prints it."""


def grammar_rows(book: Book) -> tuple[tuple[str, str, str, str], ...]:
    """Group, what its letters and digits mean, and what they say in this kit."""
    plant_line, machine, container = book.kit.split("-")
    example = book.example()[0].split("-")
    codes = book.codes
    return (
        (plant_line, "plant code", "line on which the machine was born", f"{codes.plant}; {codes.line}"),
        (
            machine,
            "machine class",
            "how many of that class the line had when it came",
            f"{codes.machine_class}; {codes.machine}",
        ),
        (
            container,
            "design letter of the container",
            "nominal content: litres in mL, other units as they are, decimals cut",
            codes.container,
        ),
        (example[3], "kind of assembly", "its place in the flow", _table(codes.assemblies)),
        (
            example[4],
            "deck",
            "segment: stars in direction of rotation from the keyway, guides from the infeed",
            _table(codes.decks),
        ),
        (example[5], "none", "check, two digits from 02 to 98: chapter 3", "ISO/IEC 7064, MOD 97-10"),
    )


def _table(rows: tuple[tuple[str, str], ...]) -> str:
    return ", ".join(f"{code} {word}" for code, word in rows)
