"""A nameplate as data over HTTP: of the segment or piece that is named, and complete when the shop's address is."""

from __future__ import annotations

import json
from typing import Any

import pytest
from aas_test_engines.file import check_json_data
from fastapi.testclient import TestClient

from schemas.answers import KitAnswer
from tests.small_kit import NUMBER_U3, NUMBER_U4


def nameplate(client: TestClient, mark: str) -> Any:
    answer = client.get(f"/api/segments/{mark}/nameplate.json")
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/json"
    return answer.json()


def not_on_record(node: Any) -> list[str]:
    """Names of the elements without a value."""
    if isinstance(node, list):
        return [name for one in node for name in not_on_record(one)]
    if not isinstance(node, dict):
        return []
    own = [node["idShort"]] if any(one.get("name") == "notOnRecord" for one in node.get("extensions", ())) else []
    return own + [name for value in node.values() for name in not_on_record(value)]


def test_it_names_the_piece_that_bears_the_mark(client: TestClient, issued: KitAnswer) -> None:
    segment = next(row for row in issued.segments if row.number == NUMBER_U3)
    (piece,) = segment.pieces
    for mark in (NUMBER_U3, NUMBER_U3.lower(), str(piece.key)):
        (shell,) = nameplate(client, mark)["assetAdministrationShells"]
        assert shell["assetInformation"]["globalAssetId"].endswith(f"/S/{piece.key}")
        assert {"name": "partNumber", "value": NUMBER_U3} in shell["assetInformation"]["specificAssetIds"]
    other = client.get(f"/api/segments/{NUMBER_U4}/nameplate.json")
    assert NUMBER_U3 not in other.text
    assert f"nameplate-{NUMBER_U4}.json" in other.headers["content-disposition"]


def test_it_is_complete_when_the_shop_is_on_record(client: TestClient, issued: KitAnswer) -> None:
    assert not_on_record(nameplate(client, NUMBER_U3)) == [
        "ManufacturerName",
        "Street",
        "Zipcode",
        "CityTown",
        "NationalCode",
    ]
    shop = {"name": "Kitwright demo shop", "address": "1 Workshop Lane", "telephone": "+1 202 555 0143"}
    shop |= {"street": "1 Workshop Lane", "postal_code": "00143", "town": "Workshop Town", "country": "us"}
    assert client.put("/api/shop", json=shop, headers={"If-Match": "*"}).json()["country"] == "US"
    complete = nameplate(client, NUMBER_U3)
    assert not_on_record(complete) == []
    assert check_json_data(complete).ok()
    assert "Workshop Town" in json.dumps(complete)


def test_looking_at_it_puts_nothing_on_record(client: TestClient, issued: KitAnswer) -> None:
    before = client.get(f"/api/segments/{NUMBER_U3}").json()["marks"]
    nameplate(client, NUMBER_U3)
    assert client.get(f"/api/segments/{NUMBER_U3}").json()["marks"] == before


@pytest.mark.parametrize(("mark", "code"), [("OSV4-FC9-A500-SW2-U3-99", "mark_unknown"), ("x", "mark_unknown")])
def test_what_is_not_on_record_has_none(client: TestClient, issued: KitAnswer, mark: str, code: str) -> None:
    assert client.get(f"/api/segments/{mark}/nameplate.json").json()["code"] == code


@pytest.mark.parametrize("country", ["GBR", "G", "1A", "ß"])
def test_a_country_has_two_letters(client: TestClient, country: str) -> None:
    answer = client.put(
        "/api/shop", json={"name": "Kitwright demo shop", "country": country}, headers={"If-Match": "*"}
    )
    assert answer.status_code == 422
    assert answer.json()["field"] == "country"
