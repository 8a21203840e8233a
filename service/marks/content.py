"""What a mark says: the facts of one segment or piece, the texts made of them, and what its symbols hold."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import get_args

from schemas.label_template import FieldName, SymbolContent
from service.errors import SymbolDoesNotFit
from service.marks import words
from service.marks.kit_plan import KitPlan
from service.marks.silhouette import Container
from service.marks.words import SHOP_LANGUAGE

FIELD_NAMES: tuple[FieldName, ...] = get_args(FieldName)

# ISO/IEC 15434: envelope of format 06 (data identifiers of ISO/IEC 15418).
RECORD_SEPARATOR, GROUP_SEPARATOR, END_OF_TRANSMISSION = "\x1e", "\x1d", "\x04"
MESSAGE_HEADER = f"[)>{RECORD_SEPARATOR}06{GROUP_SEPARATOR}"
MESSAGE_TRAILER = f"{RECORD_SEPARATOR}{END_OF_TRANSMISSION}"


#: More assemblies than this are told by their kind alone.
MOST_ASSEMBLIES = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkFacts:
    """Everything that a mark may show, as plain values. What does not apply is empty or None.

    Attributes:
        number: of the segment, ``OSV4-FC1-A500-SW2-U3-42``.
        key: eight symbols without a gap; of the piece, or of the segment where pieces are not tracked one by one.
        link: what the QR Code holds, see :func:`link`.
        message: what the Data Matrix may hold, see :func:`message_15434`.
        container_name: as the register names it, ``tall round``.
        container_code: ``A500``.
        container_words: as people on the line say it, ``tall round 500 mL``.
        kit: ``OSV4-FC1-A500``.
        assembly_name: ``discharge star wheel``.
        assembly_code: ``SW2``.
        deck: ``upper``.
        place: ``SW2-U3``.
        segment_of: ``segment 3 of 4``.
        hand: ``LEFT``, ``RIGHT`` (looking downstream) or empty.
        rotation: ``clockwise seen from above`` or empty.
        quantity: pieces of this segment in one set of the kit.
        material: ``UHMW-PE``.
        thickness_mm: nominal.
        mass_kg: of one piece.
        revision: of the cut file.
        stock_colour: word of the plastic's colour; empty where it is not known.
        line: ``line 4``.
        machine: ``filler-capper 1``.
        machine_code: ``OSV4-FC1``.
        plant: ``Ostrey Vale``.
        customer: ``Tarnquill Waters``.
        shop_name: who made it.
        shop_telephone: whom to call.
        shop_address: where they are.
        serves: the other kits that this segment stays on the machine for.
        contents: how many pieces of each assembly one set of the kit has, ``("SW2", 4)``.
        kit_pieces: how many pieces one set of the kit has; None where nobody counted them.
        kit_mass_kg: mass of one set of the kit; None where it is not known of every piece.
        container: what the register says of the container's shape.
        plan: the kit seen from above; only where the template shows it.
    """

    number: str
    key: str
    link: str
    message: str
    container_name: str = ""
    container_code: str = ""
    container_words: str = ""
    kit: str = ""
    assembly_name: str = ""
    assembly_code: str = ""
    deck: str = ""
    place: str = ""
    segment_of: str = ""
    hand: str = ""
    rotation: str = ""
    quantity: int = 1
    material: str = ""
    thickness_mm: float | None = None
    mass_kg: float | None = None
    revision: str = ""
    stock_colour: str = ""
    line: str = ""
    machine: str = ""
    machine_code: str = ""
    plant: str = ""
    customer: str = ""
    shop_name: str = ""
    shop_telephone: str = ""
    shop_address: str = ""
    serves: tuple[str, ...] = ()
    contents: tuple[tuple[str, int], ...] = ()
    kit_pieces: int | None = None
    kit_mass_kg: float | None = None
    container: Container | None = None
    plan: KitPlan | None = None


def field_text(facts: MarkFacts, field_name: FieldName, language: str = SHOP_LANGUAGE) -> str:
    """The text of one field in a language; empty where the facts have nothing to say.

    Blanks of any kind count as one, and a letter that came as a base and an accent becomes the one letter it is.
    """
    return composed(_TEXTS[field_name](facts, language))


@lru_cache(maxsize=2048)
def composed(text: str) -> str:
    """A text as it is printed: blanks single, accents joined to their letters (Unicode normalization form C)."""
    return unicodedata.normalize("NFC", " ".join(text.split()))


_TEXTS: dict[FieldName, Callable[[MarkFacts, str], str]] = {
    "number": lambda facts, _: facts.number,
    "key": lambda facts, _: spaced_key(facts.key),
    "kit": lambda facts, _: facts.kit,
    "place": lambda facts, _: facts.place,
    "container": lambda facts, _: facts.container_words,
    "container_code": lambda facts, _: facts.container_code,
    "assembly": lambda facts, _: facts.assembly_name,
    "assembly_code": lambda facts, _: facts.assembly_code,
    "deck": lambda facts, language: words.deck_words(facts.deck, language),
    "segment": lambda facts, language: words.segment_words(facts.segment_of, language),
    "segment_count": lambda facts, language: words.count_words(facts.segment_of, language),
    "hand": lambda facts, language: words.hand_words(facts.hand, language),
    "rotation": lambda facts, language: words.rotation_words(facts.rotation, language),
    "quantity": lambda facts, language: words.pieces_words(facts.quantity, language) if facts.quantity > 1 else "",
    "material": lambda facts, _: facts.material,
    "thickness": lambda facts, language: (
        "" if facts.thickness_mm is None else f"{words.decimal(f'{facts.thickness_mm:g}', language)} mm"
    ),
    "mass": lambda facts, language: "" if facts.mass_kg is None else words.mass_words(facts.mass_kg, language),
    "revision": lambda facts, language: words.revision_words(facts.revision, language),
    "colour": lambda facts, language: words.colour_word(facts.stock_colour, language),
    "customer": lambda facts, _: facts.customer,
    "plant": lambda facts, _: facts.plant,
    "line": lambda facts, _: facts.line,
    "machine": lambda facts, _: facts.machine,
    "machine_code": lambda facts, _: facts.machine_code,
    "serves": lambda facts, language: words.stays_on_words(facts.serves, language),
    "contents": lambda facts, _: contents_text(facts.contents),
    "kit_pieces": lambda facts, language: (
        "" if facts.kit_pieces is None else words.pieces_words(facts.kit_pieces, language)
    ),
    "kit_mass": lambda facts, language: (
        "" if facts.kit_mass_kg is None else words.mass_words(facts.kit_mass_kg, language)
    ),
    "shop": lambda facts, _: facts.shop_name,
    "telephone": lambda facts, _: facts.shop_telephone,
    "address": lambda facts, _: facts.shop_address,
}


def symbol_text(facts: MarkFacts, content: SymbolContent) -> str:
    """What a symbol with this content holds."""
    return _SYMBOL_TEXTS[content](facts)


_SYMBOL_TEXTS: dict[SymbolContent, Callable[[MarkFacts], str]] = {
    "link": lambda facts: facts.link,
    "message": lambda facts: facts.message,
    "key": lambda facts: facts.key,
    "number": lambda facts: facts.number,
    "contents": lambda facts: contents_15434(facts.kit, facts.kit_pieces),
}


def spaced_key(key: str) -> str:
    """A key as it is printed: in two fours."""
    return f"{key[:4]} {key[4:]}".strip()


def contents_text(contents: tuple[tuple[str, int], ...]) -> str:
    """Pieces by assembly, ``SW1 ×4, SW2 ×4``; of a kit with very many assemblies by their kind, ``SW ×8``."""
    counted = contents
    if len(contents) > MOST_ASSEMBLIES:
        kinds: dict[str, int] = {}
        for code, pieces in contents:
            kind = code.rstrip("0123456789")
            kinds[kind] = kinds.get(kind, 0) + pieces
        counted = tuple(kinds.items())
    return ", ".join(f"{code} ×{pieces}" for code, pieces in counted)


@lru_cache(maxsize=1024)
def link(public_url: str, key: str) -> str:
    """The address that opens the page of a key: in capitals, so that QR Code's alphanumeric mode holds it.

    Scheme and host mean the same in any letter case (RFC 3986, 6.2.2.1); the service answers ``/S/`` and the key in
    any case too.
    """
    return f"{public_url.strip().rstrip('/')}/S/{key}".upper()


def message_15434(number: str, key: str, revision: str, quantity: int) -> str:
    """The ISO/IEC 15434 message, format 06, that names a piece to other people's systems.

    Data identifiers of ISO/IEC 15418 (ANSI MH10.8.2, meanings from memory): 1P item assigned by the supplier,
    2P its revision level, S serial assigned by the supplier, Q quantity. An unknown revision is left out.

    Raises:
        SymbolDoesNotFit: a value holds a control character, which would be read as the end of a field.
    """
    return _envelope([f"1P{number}", *([f"2P{revision}"] if revision else []), f"S{key}", f"Q{quantity}"])


def contents_15434(kit: str, pieces: int | None) -> str:
    """The ISO/IEC 15434 message, format 06, of a crate: 1P the number of the kit, Q how many pieces a set of it has.

    Raises:
        SymbolDoesNotFit: the number holds a control character.
    """
    return _envelope([f"1P{kit}", *([] if pieces is None else [f"Q{pieces}"])])


def _envelope(fields: list[str]) -> str:
    for field in fields:
        if not (field.isascii() and field.isprintable()):
            raise SymbolDoesNotFit(
                "a data field of the message holds printable ASCII characters only",
                field="message",
                value=field,
                todo="Correct the number, key or revision",
            )
    return MESSAGE_HEADER + GROUP_SEPARATOR.join(fields) + MESSAGE_TRAILER
