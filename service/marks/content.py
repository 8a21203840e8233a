"""What a mark says: the facts of one segment or piece, the texts made of them, and what its symbols hold."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import get_args

from schemas.label_template import FieldName, SymbolContent
from service.errors import SymbolDoesNotFit

FIELD_NAMES: tuple[FieldName, ...] = get_args(FieldName)

# ISO/IEC 15434: envelope of format 06 (data identifiers of ISO/IEC 15418).
RECORD_SEPARATOR, GROUP_SEPARATOR, END_OF_TRANSMISSION = "\x1e", "\x1d", "\x04"
MESSAGE_HEADER = f"[)>{RECORD_SEPARATOR}06{GROUP_SEPARATOR}"
MESSAGE_TRAILER = f"{RECORD_SEPARATOR}{END_OF_TRANSMISSION}"


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


def field_text(facts: MarkFacts, field_name: FieldName) -> str:
    """The text of one field; empty where the facts have nothing to say. Blanks of any kind count as one."""
    return _single_blanks(_TEXTS[field_name](facts))


@lru_cache(maxsize=2048)
def _single_blanks(text: str) -> str:
    return " ".join(text.split())


_TEXTS: dict[FieldName, Callable[[MarkFacts], str]] = {
    "number": lambda facts: facts.number,
    "key": lambda facts: spaced_key(facts.key),
    "kit": lambda facts: facts.kit,
    "place": lambda facts: facts.place,
    "container": lambda facts: facts.container_words,
    "container_code": lambda facts: facts.container_code,
    "assembly": lambda facts: facts.assembly_name,
    "assembly_code": lambda facts: facts.assembly_code,
    "deck": lambda facts: f"{facts.deck} deck" if facts.deck else "",
    "segment": lambda facts: facts.segment_of,
    "segment_count": lambda facts: facts.segment_of.removeprefix("segment "),
    "hand": lambda facts: facts.hand,
    "rotation": lambda facts: facts.rotation,
    "quantity": lambda facts: f"{facts.quantity} pieces" if facts.quantity > 1 else "",
    "material": lambda facts: facts.material,
    "thickness": lambda facts: "" if facts.thickness_mm is None else f"{facts.thickness_mm:g} mm",
    "mass": lambda facts: "" if facts.mass_kg is None else mass_text(facts.mass_kg),
    "revision": lambda facts: f"rev {facts.revision}" if facts.revision else "",
    "colour": lambda facts: facts.stock_colour,
    "customer": lambda facts: facts.customer,
    "plant": lambda facts: facts.plant,
    "line": lambda facts: facts.line,
    "machine": lambda facts: facts.machine,
    "machine_code": lambda facts: facts.machine_code,
    "serves": lambda facts: f"stays on for {', '.join(facts.serves)}" if facts.serves else "",
    "shop": lambda facts: facts.shop_name,
    "telephone": lambda facts: facts.shop_telephone,
    "address": lambda facts: facts.shop_address,
}


def symbol_text(facts: MarkFacts, content: SymbolContent) -> str:
    """What a symbol with this content holds."""
    return _SYMBOL_TEXTS[content](facts)


_SYMBOL_TEXTS: dict[SymbolContent, Callable[[MarkFacts], str]] = {
    "link": lambda facts: facts.link,
    "message": lambda facts: facts.message,
    "key": lambda facts: facts.key,
    "number": lambda facts: facts.number,
}


def spaced_key(key: str) -> str:
    """A key as it is printed: in two fours."""
    return f"{key[:4]} {key[4:]}".strip()


def mass_text(mass_kg: float) -> str:
    """Mass of one piece to three significant figures at most, never rounded to nothing."""
    if mass_kg < 0.01:
        return "under 0.01 kg"
    return f"{mass_kg:.2f} kg" if mass_kg < 10 else f"{mass_kg:.1f} kg" if mass_kg < 100 else f"{mass_kg:.0f} kg"


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
    fields = [f"1P{number}", *([f"2P{revision}"] if revision else []), f"S{key}", f"Q{quantity}"]
    for field in fields:
        if not (field.isascii() and field.isprintable()):
            raise SymbolDoesNotFit(
                "a data field of the message holds printable ASCII characters only",
                field="message",
                value=field,
                todo="Correct the number, key or revision",
            )
    return MESSAGE_HEADER + GROUP_SEPARATOR.join(fields) + MESSAGE_TRAILER
