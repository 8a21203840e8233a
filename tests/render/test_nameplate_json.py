"""The nameplate as data: what the standard asks for is there, once, under its ids; two readers take it."""

from __future__ import annotations

import io
import json
import subprocess
import sys
import unicodedata
from typing import Any

import pytest
from aas_test_engines.file import check_json_data
from basyx.aas import model
from basyx.aas.adapter.json import read_aas_json_file
from hypothesis import given, settings
from hypothesis import strategies as st

from service.render.nameplate_elements import designation
from service.render.nameplate_json import Missing, ShopAddress, nameplate_json
from tests.mark_factory import KEY, NUMBER, make_facts

WHERE = ShopAddress(street="3 Mill Lane", zipcode="00960", town="Workshop Town", country="GB")
LINK = "HTTPS://PARTS.EXAMPLE/S/K7M4XRAW"

#: IDTA 02006-3-0 (admin-shell-io/submodel-templates, Digital nameplate 3/0, index.adoc): what must be there exactly
#: once, with its semantic id and its type.
REQUIRED: dict[str, tuple[str, type[model.SubmodelElement]]] = {
    "URIOfTheProduct": ("0112/2///61987#ABN590#002", model.Property),
    "ManufacturerName": ("0112/2///61987#ABA565#009", model.MultiLanguageProperty),
    "ManufacturerProductDesignation": ("0112/2///61987#ABA567#009", model.MultiLanguageProperty),
    "AddressInformation": (
        "https://admin-shell.io/zvei/nameplate/1/0/ContactInformations/AddressInformation",
        model.SubmodelElementCollection,
    ),
    "OrderCodeOfManufacturer": ("0112/2///61987#ABA950#008", model.Property),
}
#: The same table: what may be there once.
OPTIONAL: dict[str, tuple[str, type[model.SubmodelElement]]] = {
    "ManufacturerProductRoot": ("0112/2///61360_7#AAS011#001", model.MultiLanguageProperty),
    "ManufacturerProductFamily": ("0112/2///61987#ABP464#002", model.MultiLanguageProperty),
    "ManufacturerProductType": ("0112/2///61987#ABA300#008", model.Property),
    "ProductArticleNumberOfManufacturer": ("0112/2///61987#ABA581#007", model.Property),
    "SerialNumber": ("0112/2///61987#ABA951#009", model.Property),
    "YearOfConstruction": ("0112/2///61987#ABP000#002", model.Property),
    "DateOfManufacture": ("0112/2///61987#ABB757#007", model.Property),
    "HardwareVersion": ("0112/2///61987#ABA926#008", model.Property),
    "CountryOfOrigin": ("0112/2///61987#ABP462#001", model.Property),
}
#: The same table: parts of the address that must be there, each in a language.
ADDRESS = {
    "Street": "0173-1#02-AAO128#002",
    "Zipcode": "0173-1#02-AAO129#002",
    "CityTown": "0173-1#02-AAO132#002",
    "NationalCode": "0173-1#02-AAO134#002",
}


def written(*facts: Any, where: ShopAddress = WHERE) -> bytes:
    plates = facts or (make_facts(public_url="https://parts.example"),)
    return nameplate_json(plates, where)[0]


def read(data: bytes) -> list[model.Submodel]:
    """The submodels as the library reads them from the file, faults not forgiven."""
    store = read_aas_json_file(io.BytesIO(data), failsafe=False)
    return [one for one in store if isinstance(one, model.Submodel)]


def elements(data: bytes) -> dict[str, model.SubmodelElement]:
    (plate,) = read(data)
    return {one.id_short: one for one in plate.submodel_element if one.id_short}


def semantic_id(element: model.HasSemantics) -> str:
    assert element.semantic_id is not None
    return element.semantic_id.key[0].value


def said(element: model.SubmodelElement) -> str:
    if isinstance(element, model.MultiLanguageProperty):
        return "" if element.value is None else element.value["en"]
    assert isinstance(element, model.Property)
    return str(element.value)


def test_what_the_standard_asks_for_is_there_under_its_ids() -> None:
    (plate,) = read(written())
    assert semantic_id(plate) == "https://admin-shell.io/idta/nameplate/3/0/Nameplate"
    found = elements(written())
    assert found.keys() >= REQUIRED.keys()
    assert found.keys() <= REQUIRED.keys() | OPTIONAL.keys()
    for name, element in found.items():
        identifier, kind = {**REQUIRED, **OPTIONAL}[name]
        assert semantic_id(element) == identifier
        assert isinstance(element, kind)
    address = found["AddressInformation"]
    assert isinstance(address, model.SubmodelElementCollection)
    parts = {one.id_short: one for one in address.value}
    for name, identifier in ADDRESS.items():
        assert semantic_id(parts[name]) == identifier
        assert isinstance(parts[name], model.MultiLanguageProperty)


def test_it_says_what_the_plate_says() -> None:
    found = elements(written())
    assert {name: said(found[name]) for name in found if name != "AddressInformation"} == {
        "URIOfTheProduct": LINK,
        "ManufacturerName": "Kitwright demo shop",
        "ManufacturerProductDesignation": (
            "discharge star wheel, segment 3 of 4, upper deck, LEFT, for tall round 500 mL"
        ),
        "OrderCodeOfManufacturer": NUMBER,
        "ManufacturerProductRoot": "change part",
        "ManufacturerProductFamily": "discharge star wheel",
        "ManufacturerProductType": "OSV4-FC1-A500 SW2-U3",
        "SerialNumber": KEY,
        "HardwareVersion": "B",
    }
    address = found["AddressInformation"]
    assert isinstance(address, model.SubmodelElementCollection)
    parts = {one.id_short: one for one in address.value}
    assert [said(parts[name]) for name in ADDRESS] == ["3 Mill Lane", "00960", "Workshop Town", "GB"]
    assert said(parts["AddressRemarks"]) == "3 Mill Lane"
    phone = parts["Phone"]
    assert isinstance(phone, model.SubmodelElementCollection)
    (number,) = phone.value
    assert said(number) == "+44 1632 960118"


def test_another_tool_finds_nothing_wrong_with_it() -> None:
    """aas-test-engines checks the metamodel, IDTA 01001-3-0, its constraints and patterns."""
    result = check_json_data(json.loads(written()))
    assert result.ok()


def test_the_other_tool_would_find_something_wrong() -> None:
    document = json.loads(written())
    document["submodels"][0]["submodelElements"][0]["idShort"] = "7 no name"
    assert not check_json_data(document).ok()


def test_the_shell_is_of_the_piece_and_leads_to_its_nameplate() -> None:
    store = read_aas_json_file(io.BytesIO(written()), failsafe=False)
    (shell,) = [one for one in store if isinstance(one, model.AssetAdministrationShell)]
    assert shell.asset_information.global_asset_id == LINK
    assert shell.asset_information.asset_kind is model.AssetKind.INSTANCE
    (reference,) = shell.submodel
    assert isinstance(reference.resolve(store), model.Submodel)
    (plate,) = read(written())
    assert plate.id == f"{LINK}/nameplate"


def test_what_is_not_on_record_has_no_value_and_says_so() -> None:
    data, missing = nameplate_json(
        [make_facts(shop_name="", shop_address="", shop_telephone="")], ShopAddress(street="3 Mill Lane")
    )
    assert missing == (
        Missing("ManufacturerName", "Set the name of the shop"),
        Missing("Zipcode", "Put the postal code of the shop on record"),
        Missing("CityTown", "Put the town of the shop on record"),
        Missing("NationalCode", "Put the country of the shop on record"),
    )
    found = elements(data)
    name = found["ManufacturerName"]
    assert isinstance(name, model.MultiLanguageProperty)
    assert name.value is None
    assert [(one.name, one.value) for one in name.extension] == [("notOnRecord", "Set the name of the shop.")]
    address = found["AddressInformation"]
    assert isinstance(address, model.SubmodelElementCollection)
    assert {one.id_short for one in address.value} == ADDRESS.keys(), "what may be left out is left out"
    assert check_json_data(json.loads(data)).ok()


def test_each_piece_is_an_asset_of_its_own_and_none_comes_twice() -> None:
    pieces = [make_facts(key=key) for key in ("K7M4XRAW", "P3HW9TCP", "K7M4XRAW")]
    assert len(read(written(*pieces))) == 2


def test_equal_facts_are_equal_bytes() -> None:
    assert written() == written()


def test_a_nameplate_of_few_words() -> None:
    bare = make_facts(assembly_name="", segment_of="", deck="", hand="", container_words="", revision="")
    assert designation(bare) == ""
    found = elements(written(bare))
    assert "HardwareVersion" not in found
    assert "ManufacturerProductFamily" not in found


@settings(max_examples=25, deadline=None)
@given(words=st.text(st.characters(codec="utf-8", exclude_categories=["C"]), max_size=60))
def test_any_printable_words_are_read_again(words: str) -> None:
    facts = make_facts(shop_name=words, assembly_name=words)
    data = written(facts)
    found = elements(data)
    expected = said(found["ManufacturerName"])
    assert expected == " ".join(unicodedata.normalize("NFC", words).split())
    assert check_json_data(json.loads(data)).ok()


def test_the_library_is_loaded_only_when_a_nameplate_is_written() -> None:
    program = "import sys; import service.app; sys.exit('basyx' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0


@pytest.mark.parametrize("country", ["GB", ""])
def test_the_country_is_given_or_missing(country: str) -> None:
    _, missing = nameplate_json([make_facts()], ShopAddress("3 Mill Lane", "00960", "Workshop Town", country))
    assert bool(missing) == (not country)
