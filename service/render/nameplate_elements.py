"""The elements of a Digital Nameplate, each with the ids that say what it means (IDTA 02006-3-0)."""

from __future__ import annotations

import io
from collections.abc import Sequence

from basyx.aas import model
from basyx.aas.adapter.json import write_aas_json_file

from service.marks.content import MarkFacts, composed, field_text
from service.render.nameplate_json import Missing, ShopAddress

LANGUAGE = "en"
NAMEPLATE = "https://admin-shell.io/idta/nameplate/3/0/Nameplate"
ADDRESS = "https://admin-shell.io/zvei/nameplate/1/0/ContactInformations/AddressInformation"
PHONE = "https://admin-shell.io/zvei/nameplate/1/0/ContactInformations/ContactInformation/Phone"
#: The name of the extension that says what is not on record.
NOT_ON_RECORD = "notOnRecord"

#: Names, semantic ids (IEC CDD) and supplemental ones (ECLASS): IDTA 02006-3-0, table of the submodel.
_IDS: dict[str, tuple[str, ...]] = {
    "URIOfTheProduct": ("0112/2///61987#ABN590#002", "0173-1#02-ABH173#003"),
    "ManufacturerName": ("0112/2///61987#ABA565#009", "0173-1#02-AAO677#004"),
    "ManufacturerProductDesignation": ("0112/2///61987#ABA567#009", "0173-1#02-AAW338#003"),
    "AddressInformation": (ADDRESS, "0173-1#02-AAQ837#008/0173-1#01-ADR448#008"),
    "Street": ("0173-1#02-AAO128#002",),
    "Zipcode": ("0173-1#02-AAO129#002",),
    "CityTown": ("0173-1#02-AAO132#002",),
    "NationalCode": ("0173-1#02-AAO134#002",),
    # The two of the telephone are those of the template for contact information, 1.0.
    "Phone": (PHONE,),
    "TelephoneNumber": ("0173-1#02-AAO136#002",),
    # From memory: text of an address that has no field of its own.
    "AddressRemarks": ("0173-1#02-AAO202#003",),
    "OrderCodeOfManufacturer": ("0112/2///61987#ABA950#008", "0173-1#02-AAO227#004"),
    "ManufacturerProductRoot": ("0112/2///61360_7#AAS011#001", "0173-1#02-AAU732#003"),
    "ManufacturerProductFamily": ("0112/2///61987#ABP464#002", "0173-1#02-AAU731#003"),
    "ManufacturerProductType": ("0112/2///61987#ABA300#008", "0173-1#02-AAO057#004"),
    "SerialNumber": ("0112/2///61987#ABA951#009", "0173-1#02-AAM556#004"),
    "HardwareVersion": ("0112/2///61987#ABA926#008", "0173-1#02-AAN270#004"),
}


def environment_json(plates: Sequence[MarkFacts], address: ShopAddress) -> tuple[bytes, tuple[Missing, ...]]:
    """As ``nameplate_json``, which is how it is called."""
    writer = _Writer(address)
    store: model.DictIdentifiableStore[model.Identifiable] = model.DictIdentifiableStore()
    for facts in {facts.link: facts for facts in plates}.values():
        for part in writer.shell(facts):
            store.add(part)
    stream = io.StringIO()
    write_aas_json_file(stream, store, indent=1, ensure_ascii=False)
    return stream.getvalue().encode() + b"\n", tuple(dict.fromkeys(writer.missing))


class _Writer:
    """Makes elements with their ids, and keeps what it found missing."""

    def __init__(self, address: ShopAddress) -> None:
        self._address = address
        self.missing: list[Missing] = []

    def shell(self, facts: MarkFacts) -> tuple[model.Identifiable, ...]:
        """The shell of a piece and its nameplate."""
        plate = model.Submodel(
            f"{facts.link}/nameplate",
            submodel_element=self._elements(facts),
            id_short="Nameplate",
            semantic_id=self._reference(NAMEPLATE),
        )
        asset = model.AssetInformation(
            asset_kind=model.AssetKind.INSTANCE,
            global_asset_id=facts.link,
            specific_asset_id=[
                model.SpecificAssetId("partNumber", facts.number),
                model.SpecificAssetId("serialNumber", facts.key),
            ],
        )
        reference = model.ModelReference.from_referable(plate)
        shell = model.AssetAdministrationShell(
            asset, f"{facts.link}/shell", id_short=f"Segment_{facts.key}", submodel={reference}
        )
        return shell, plate

    def _elements(self, facts: MarkFacts) -> list[model.SubmodelElement]:
        types = model.datatypes
        return [
            self._property("URIOfTheProduct", types.AnyURI(facts.link), types.AnyURI),
            self._text("ManufacturerName", facts.shop_name, todo="Set the name of the shop"),
            self._text("ManufacturerProductDesignation", designation(facts), todo="Name the assembly"),
            self._address_information(facts),
            self._property("OrderCodeOfManufacturer", facts.number, str),
            self._text("ManufacturerProductRoot", "change part"),
            *self._given("ManufacturerProductFamily", facts.assembly_name),
            self._property("ManufacturerProductType", f"{facts.kit} {facts.place}".strip(), str),
            self._property("SerialNumber", facts.key, str),
            *([self._property("HardwareVersion", facts.revision, str)] if facts.revision else []),
        ]

    def _address_information(self, facts: MarkFacts) -> model.SubmodelElement:
        where = self._address
        todo = "Put the {} of the shop on record"
        parts = [
            self._text("Street", where.street, todo=todo.format("street")),
            self._text("Zipcode", where.zipcode, todo=todo.format("postal code")),
            self._text("CityTown", where.town, todo=todo.format("town")),
            self._text("NationalCode", where.country, todo=todo.format("country")),
            *self._given("AddressRemarks", facts.shop_address),
        ]
        if facts.shop_telephone:
            number = self._text("TelephoneNumber", facts.shop_telephone)
            parts.append(self._collection("Phone", [number]))
        return self._collection("AddressInformation", parts)

    def _collection(self, name: str, parts: list[model.SubmodelElement]) -> model.SubmodelElement:
        semantic, more = self._ids(name)
        return model.SubmodelElementCollection(name, value=parts, semantic_id=semantic, supplemental_semantic_id=more)

    def _property(self, name: str, value: str, kind: type) -> model.SubmodelElement:
        semantic, more = self._ids(name)
        return model.Property(name, kind, value, semantic_id=semantic, supplemental_semantic_id=more)

    def _given(self, name: str, text: str) -> list[model.SubmodelElement]:
        """A text that may be left out."""
        return [self._text(name, text)] if text else []

    def _text(self, name: str, text: str, *, todo: str = "") -> model.SubmodelElement:
        """A text in the shop's language; without a value, and with the reason, where it is not on record."""
        semantic, more = self._ids(name)
        value, extension = None, []
        if text:
            value = model.MultiLanguageTextType({LANGUAGE: composed(text)})
        else:
            self.missing.append(Missing(name, todo))
            extension = [model.Extension(NOT_ON_RECORD, str, f"{todo}.")]
        return model.MultiLanguageProperty(
            name, value, semantic_id=semantic, supplemental_semantic_id=more, extension=extension
        )

    def _ids(self, name: str) -> tuple[model.Reference, list[model.Reference]]:
        first, *others = _IDS[name]
        return self._reference(first), [self._reference(one) for one in others]

    def _reference(self, identifier: str) -> model.Reference:
        return model.ExternalReference((model.Key(model.KeyTypes.GLOBAL_REFERENCE, identifier),))


def designation(facts: MarkFacts) -> str:
    """What the piece is, in words: assembly, which segment, deck, hand, and what runs on it."""
    parts = [facts.assembly_name, *(field_text(facts, name, LANGUAGE) for name in ("segment", "deck", "hand"))]
    words = ", ".join(part for part in parts if part)
    return f"{words}, for {facts.container_words}" if words and facts.container_words else words
