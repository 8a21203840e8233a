"""From records, or from a draft of them, to the facts that a mark may show."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from schemas.manifest import ContainerPart
from service.marks.content import MarkFacts, link, message_15434
from service.marks.silhouette import Container
from service.marks.worst_case import WIDEST_KEY
from service.numbering.tables import CodeTables
from service.store.values import ContainerRow, KitRow, PieceRow, SegmentRow, ShopFacts
from service.work.draft import Draft


@dataclass(frozen=True, slots=True)
class KitFacts:
    """What all marks of a kit have in common."""

    kit: str
    container_name: str
    container_code: str
    nominal: str
    unit: str
    rotation: str | None
    line: str
    machine: str
    machine_code: str
    plant: str
    customer: str
    shop: ShopFacts
    tables: CodeTables
    public_url: str
    container: Container | None
    contents: tuple[tuple[str, int], ...] = ()
    kit_mass_kg: float | None = None

    @property
    def container_words(self) -> str:
        """The container as people on the line say it."""
        return container_words(self.container_name, self.nominal, self.unit)


def container_words(name: str, nominal: str, unit: str) -> str:
    """A container as people on the line say it: the name, and the content where the name lacks it."""
    content = f"{nominal} {unit}"
    if not unit or content.replace(" ", "").casefold() in name.replace(" ", "").casefold():
        return name
    return f"{name} {content}"


def kit_facts(
    kit: KitRow, shop: ShopFacts, tables: CodeTables, public_url: str, *, segments: Sequence[SegmentRow] = ()
) -> KitFacts:
    """The common facts of an issued kit. The line is the one on which the machine stands now.

    Args:
        kit: as it stands on record.
        shop: who made it.
        tables: of codes.
        public_url: of the service.
        segments: of the kit, for marks that say what it holds; places that were given up do not count.
    """
    line = kit.now_line or kit.born_line
    used = [segment for segment in segments if not segment.voided]
    return KitFacts(
        kit=kit.number,
        container_name=kit.container.name,
        container_code=kit.container.code,
        nominal=kit.container.nominal,
        unit=kit.container.unit,
        rotation=kit.machine.rotation,
        line=line.name,
        machine=kit.machine.name,
        machine_code=kit.number.rsplit("-", 1)[0],
        plant=kit.now_plant or kit.plant.name,
        customer=kit.plant.customer,
        shop=shop,
        tables=tables,
        public_url=public_url,
        container=container_shape(kit.container),
        contents=_contents(
            (f"{segment.assembly_code}{segment.assembly_ordinal}", segment.quantity) for segment in used
        ),
        kit_mass_kg=sum(segment.mass_kg * segment.quantity for segment in used) if used else None,
    )


def container_shape(container: ContainerRow | ContainerPart) -> Container | None:
    """What a silhouette is drawn of; None where width or height are not on record."""
    width = container.diameter_mm or container.width_mm or container.max_body_mm
    if not (width and container.height_mm):
        return None
    return Container(
        shape=container.shape or "",
        width_mm=float(width),
        height_mm=float(container.height_mm),
        waist_mm=None if container.min_body_mm is None else float(container.min_body_mm),
        neck_finish=container.neck_finish or "",
    )


def _contents(pieces: Iterable[tuple[str, int]]) -> tuple[tuple[str, int], ...]:
    """Pieces of each assembly of one set, in the order in which the assemblies come."""
    counts: Counter[str] = Counter()
    for assembly, quantity in pieces:
        counts[assembly] += quantity
    return tuple(counts.items())


def draft_facts(draft: Draft, shop: ShopFacts, tables: CodeTables, public_url: str) -> KitFacts:
    """The common facts of a kit that is being prepared."""
    registered = draft.registered
    row, part = registered.container, registered.container_facts
    return KitFacts(
        kit=str(draft.kit),
        container_name=registered.container_name,
        container_code=str(draft.kit.container),
        nominal=row.nominal if row else str(part.nominal or ""),
        unit=row.unit if row else part.unit or "",
        rotation=registered.rotation,
        line=registered.line_name,
        machine=registered.machine_name,
        machine_code=str(draft.kit.machine_name),
        plant=registered.plant_name,
        customer=registered.customer,
        shop=shop,
        tables=tables,
        public_url=public_url,
        container=container_shape(row or part),
        contents=_contents(
            (f"{segment.number.place.assembly}{segment.number.place.assembly_ordinal}", segment.part.quantity)
            for segment in draft.segments
        ),
        kit_mass_kg=sum(segment.mass_kg * segment.part.quantity for segment in draft.segments),
    )


def segment_positions(places: Iterable[tuple[int, str, int]]) -> Mapping[tuple[int, str, int], tuple[int, int]]:
    """For each (assembly, deck, ordinal): which one it is of how many on its deck, counted over the ordinals in use."""
    rows = sorted(set(places))
    totals = Counter((assembly, deck) for assembly, deck, _ordinal in rows)
    seen: Counter[tuple[int, str]] = Counter()
    positions = {}
    for assembly, deck, ordinal in rows:
        seen[assembly, deck] += 1
        positions[assembly, deck, ordinal] = (seen[assembly, deck], totals[assembly, deck])
    return positions


def segment_of(position: tuple[int, int] | None) -> str:
    """``segment 3 of 4``; empty for the only one."""
    return "" if position is None or position[1] == 1 else f"segment {position[0]} of {position[1]}"


def mark_facts(
    kit: KitFacts,
    segment: SegmentRow,
    *,
    piece: PieceRow | None,
    position: tuple[int, int] | None,
    serves: Sequence[str] = (),
) -> MarkFacts:
    """The facts of one mark: with the piece's key where pieces are tracked one by one, else the segment's."""
    key = piece.key if piece is not None and piece.key is not None else segment.key
    revision = (piece.revision if piece is not None else None) or segment.revision
    return _facts(
        kit,
        number=segment.number,
        key=key,
        revision=revision,
        assembly_name=segment.assembly_name,
        assembly_code=f"{segment.assembly_code}{segment.assembly_ordinal}",
        deck=segment.deck,
        place=segment.place,
        position=position,
        hand=segment.hand,
        quantity=segment.quantity,
        material=segment.material,
        thickness_mm=segment.thickness_mm,
        mass_kg=segment.mass_kg,
        stock_colour=segment.stock_colour,
        serves=serves,
    )


def drafted_marks(draft: Draft, kit: KitFacts) -> list[MarkFacts]:
    """The facts of every mark of a kit that is being prepared."""
    positions = segment_positions(
        (segment.assembly, segment.number.place.deck, segment.number.place.ordinal) for segment in draft.segments
    )
    return [
        _facts(
            kit,
            number=segment.printed,
            key=WIDEST_KEY,  # none is drawn yet; in a symbol all are alike
            revision=segment.revision.letter,
            assembly_name=draft.assemblies[segment.assembly].name,
            assembly_code=f"{segment.number.place.assembly}{segment.number.place.assembly_ordinal}",
            deck=segment.number.place.deck,
            place=segment.place,
            position=positions[segment.assembly, segment.number.place.deck, segment.number.place.ordinal],
            hand=segment.part.hand,
            quantity=segment.part.quantity,
            material=segment.material,
            thickness_mm=segment.thickness_mm,
            mass_kg=segment.mass_kg,
            stock_colour=segment.stock_colour,
            serves=(),
        )
        for segment in draft.segments
    ]


def _facts(
    kit: KitFacts,
    *,
    number: str,
    key: str,
    revision: str,
    assembly_name: str,
    assembly_code: str,
    deck: str,
    place: str,
    position: tuple[int, int] | None,
    hand: str | None,
    quantity: int,
    material: str,
    thickness_mm: float,
    mass_kg: float,
    stock_colour: str,
    serves: Sequence[str],
) -> MarkFacts:
    return MarkFacts(
        number=number,
        key=key,
        link=link(kit.public_url, key),
        message=message_15434(number, key, revision, quantity),
        container_name=kit.container_name,
        container_code=kit.container_code,
        container_words=kit.container_words,
        kit=kit.kit,
        assembly_name=assembly_name,
        assembly_code=assembly_code,
        deck=deck_word(kit.tables, deck),
        place=place,
        segment_of=segment_of(position),
        hand=hand or "",
        rotation=f"{kit.rotation} seen from above" if kit.rotation else "",
        quantity=quantity,
        material=material,
        thickness_mm=thickness_mm,
        mass_kg=mass_kg,
        revision=revision,
        stock_colour=stock_colour,
        line=kit.line,
        machine=kit.machine,
        machine_code=kit.machine_code,
        plant=kit.plant,
        customer=kit.customer,
        shop_name=kit.shop.name,
        shop_telephone=kit.shop.telephone,
        shop_address=kit.shop.address,
        serves=tuple(kit_beside(kit.machine_code, number) for number in serves),
        contents=kit.contents,
        kit_pieces=sum(pieces for _, pieces in kit.contents) if kit.contents else None,
        kit_mass_kg=kit.kit_mass_kg,
        container=kit.container,
    )


def kit_beside(machine_code: str, number: str) -> str:
    """Another kit as a mark of this machine names it: by its container; whole where it is another machine's."""
    machine, _, container = number.rpartition("-")
    return container if machine == machine_code else number


def deck_word(tables: CodeTables, deck: str) -> str:
    """The deck in words; empty where the assembly has none."""
    word = tables.decks.get(deck, deck)
    return "" if word == "none" else word
