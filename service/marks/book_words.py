"""The chapters of the paper book that explain: how to find a part, how to read a number and a key.

The sentences say in plain words what ``service.numbering`` and ``service.marks.content`` do; whoever changes a rule
there changes its words here. Those on revisions stand in ``book_revision``.
"""

from __future__ import annotations

from service.marks.book import Book
from service.numbering.alike import SIGN_CLASSES

BOOK_FOR = (
    (
        "This book finds every part of the kit with no server and no network: what a number or a key names, where the "
        "part sits, the released drawing it is cut from, and which revision still locks into what survived. Keep it "
        "with the machine's papers, and a copy in another place."
    ),
)
"""What the book is for, on its cover."""

HOW_TO_FIND = (
    (
        "Read the number or the key off the piece. A key is eight signs over a base line; turn the piece "
        "until the line is below. Where signs are worn, keep every reading that is possible."
    ),
    "Prove the reading: chapters 3 and 4 show with a pencil whether a number or a key can be right.",
    (
        "Look up a key, or an older mark, in the index, chapter 12. A number says by itself in which assembly and on "
        "which deck the part sits: find it in the plans, then in the segment pages."
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

CODE_RULES = (
    (
        "What the codes on a plate hold, for whoever can decode them and has no service to ask: the QR Code a web "
        "address, of which only the eight signs behind the last /S/ matter, they are the key, whether the address "
        "lives or not. The Data Matrix holds the key, or a message of ISO/IEC 15434 that begins with [)>: behind 1P "
        "stands the number, behind 2P the revision, behind S the key, behind Q the quantity. The bars of a Code 128 "
        "hold the key or the number."
    ),
)
"""What a program that decodes a code gives, in words."""

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
