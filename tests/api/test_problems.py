"""Bad input: a problem document each, that names field, value, place and the next thing to do; nothing stored."""

from __future__ import annotations

import io
import json
from typing import Any

import httpx2
import pytest
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service import errors
from service.api.reference import error_leaves
from service.work.release import MOST_BYTES
from tests.api.conftest import KIT
from tests.api.problem_documents import problem_of
from tests.small_kit import NUMBER_U3, as_bytes, file_of, make_dxf, manifest, segment


def kit(client: TestClient, **changes: Any) -> httpx2.Response:
    return client.post("/api/kits", json=manifest(**changes))


def assembly(**changes: object) -> list[dict[str, object]]:
    return [{"code": "SW", "ordinal": 2, "segments": [segment("SW2-U1", **changes)]}]


LONG_NAME = "a container with a name much too long for any nameplate to bear"
CONTAINER = {"code": "A500", "name": "tall round 500 mL", "nominal": 500, "unit": "mL"}


@pytest.mark.parametrize(
    ("changes", "status", "code", "place"),
    [
        ({"machine": {"class": "QQ", "ordinal": 1}}, 422, "unknown_code", "machine.class"),
        ({"segments": {"QQ1": [segment("SW2-U1")]}}, 422, "unknown_code", "assemblies[0].code"),
        ({"assemblies": assembly(deck="Q")}, 422, "unknown_code", "assemblies[0].segments[0].deck"),
        ({"assemblies": assembly(cut_file="never.dxf")}, 422, "cut_file_unknown", "assemblies[0].segments[0].cut_file"),
        ({"segments": {"SW2": [segment("SW2-U1")] * 2}}, 422, "duplicate_place", "assemblies[0].segments[1]"),
        ({"container": {**CONTAINER, "name": LONG_NAME}}, 422, "field_does_not_fit", None),
        ({"assemblies": assembly(thickness_mm=-1)}, 422, "bad_manifest", "assemblies[0].segments[0].thickness_mm"),
        ({"assemblies": assembly(hand="MIDDLE")}, 422, "bad_manifest", "assemblies[0].segments[0].hand"),
        ({"assemblies": []}, 422, "bad_manifest", "assemblies"),
        ({"colour": "green"}, 422, "bad_manifest", "colour"),
        ({"plant": {"code": "O5V"}}, 422, "bad_manifest", "plant.code"),
        ({"token": "stale"}, 409, "token_stale", None),
    ],
)  # fmt: skip
def test_a_wrong_manifest(
    early_visitor: TestClient, changes: dict[str, Any], status: int, code: str, place: str | None
) -> None:
    document = problem_of(kit(early_visitor, **changes))
    assert (document.status, document.code) == (status, code)
    if place is not None:
        assert document.place == place


@pytest.mark.parametrize(
    ("part", "field"),
    [
        ({"machine": {"class": "FC", "ordinal": 1, "rotation": "anticlockwise"}}, "machine.rotation"),
        ({"plant": {"code": "OSV", "name": "Elsewhere"}}, "plant.name"),
    ],
)
def test_a_contradictory_registration(visitor: TestClient, part: dict[str, Any], field: str) -> None:
    document = problem_of(kit(visitor, container={"name": "sport 330 mL", "nominal": 330, "unit": "mL"}, **part))
    assert (document.status, document.code, document.field) == (409, "contradiction", field)


def test_a_kit_twice(visitor: TestClient) -> None:
    assert problem_of(kit(visitor)).code == "kit_exists"


@pytest.mark.parametrize(
    ("body", "code"),
    [
        (b"", "not_json"),
        (b"{", "not_json"),
        (b"not json at all", "not_json"),
        (b"\x00\xff\xfe\x01", "not_json"),
        (b"\x7fELF\x02\x01\x01" + bytes(range(256)), "not_json"),
        (b"[" * 5000, "not_json"),
        (b"null", "bad_manifest"),
        (b"[]", "bad_manifest"),
        (b'"text"', "bad_manifest"),
        (b"17", "bad_manifest"),
        (b"{}", "bad_manifest"),
        (b'{"plant": {"code": NaN}}', "bad_manifest"),
        (b'{"line": {"ordinal": 1e400}}', "bad_manifest"),
        (b'{"line": {"ordinal": ' + b"9" * 400 + b"}}", "bad_manifest"),
        (b'{"plant": {"code": "\\ud800"}}', "bad_manifest"),
        (b"plant.code,OSV\nassembly,nonsense\n", "bad_csv"),
        (b"plant.code,OSV\n", "bad_csv"),
        (b'plant.code,"OSV\nassembly,deck\n', "bad_csv"),
        (b"plant.code,OSV\nplant.code,OSV\nassembly,deck,ordinal\nSW2,U,1\n", "bad_csv"),
        (b"plant.code,OSV\nassembly,deck,ordinal\nSW2,U,1,9,9\n", "bad_csv"),
        (b"plant.code,OSV\nassembly,deck,ordinal\nstar,U,1\n", "bad_csv"),
    ],
)
def test_a_body_that_is_no_manifest(early_visitor: TestClient, body: bytes, code: str) -> None:
    document = problem_of(early_visitor.post("/api/kits", content=body))
    assert document.code == code
    assert 400 <= document.status < 500


def test_a_manifest_far_too_large(early_visitor: TestClient) -> None:
    assert problem_of(early_visitor.post("/api/kits", content=b" " * 4_000_001)).code == "too_large"
    assert problem_of(early_visitor.post("/api/kits", content=b" " * 25_000_001)).status == 413

    def unending() -> Any:
        for _ in range(30):
            yield b" " * 1_000_000

    assert problem_of(early_visitor.post("/api/kits", content=unending())).status == 413


@pytest.mark.parametrize(
    ("data", "fields", "code"),
    [
        (b"", {"revision": "A"}, "bad_cut_file"),
        (b"\x89PNG\r\n\x1a\n" + bytes(100), {"revision": "A"}, "bad_cut_file"),
        (b"PK\x03\x04" + bytes(100), {"revision": "A"}, "bad_cut_file"),
        (make_dxf()[:400], {"revision": "A"}, "bad_cut_file"),
        (make_dxf(insunits=0), {"revision": "A"}, "no_units"),
        (make_dxf(insunits=0), {"revision": "A", "units": "cubits"}, "bad_request"),
        (make_dxf(), {"revision": "I"}, "bad_revision"),
        (make_dxf(), {"revision": "A", "joints_changed": "U4"}, "bad_request"),
        (make_dxf(), {"revision": "A", "interfaces_changed": "mood"}, "bad_request"),
        (make_dxf(), {}, "bad_fields"),
        (bytes(MOST_BYTES + 1), {"revision": "A"}, "too_large"),
    ],
)
def test_a_refused_upload(early_visitor: TestClient, data: bytes, fields: dict[str, str], code: str) -> None:
    answer = early_visitor.post("/api/cut-files/new.dxf/revisions", files={"file": ("new.dxf", data)}, data=fields)
    document = problem_of(answer)
    assert document.code == code
    assert 400 <= document.status < 500


def test_an_upload_without_a_file(early_visitor: TestClient) -> None:
    document = problem_of(early_visitor.post("/api/cut-files/new.dxf/revisions", data={"revision": "A"}))
    assert (document.code, document.field) == ("bad_fields", "file")


@pytest.mark.parametrize(
    "name",
    [
        "..%2f..%2fetc%2fpasswd.dxf",
        "%2e%2e.dxf",
        "a%00.dxf",
        "a%0a.dxf",
        "x.exe",
        "%e2%80%aefxd.dxf",
        "a" * 300 + ".dxf",
    ],
)
def test_hostile_file_names(early_visitor: TestClient, name: str) -> None:
    answer = early_visitor.post(
        f"/api/cut-files/{name}/revisions", files={"file": ("x", make_dxf())}, data={"revision": "A"}
    )
    assert problem_of(answer).code in ("bad_file_name", "page_unknown")


def test_a_revision_twice(early_visitor: TestClient) -> None:
    answer = early_visitor.post(
        f"/api/cut-files/{file_of('SW2-U1')}/revisions", files={"file": ("x", make_dxf())}, data={"revision": "-"}
    )
    assert (problem_of(answer).status, problem_of(answer).code) == (409, "revision_exists")


@pytest.mark.parametrize(
    ("path", "status", "code"),
    [
        ("/api/kits/OSV4-FC1-A330", 404, "kit_unknown"),
        ("/api/segments/OSV4-FC9-A500-SW2-U3-99", 404, "mark_unknown"),
        (f"/api/segments/{NUMBER_U3[:-1]}3", 409, "ambiguous_mark"),
        ("/api/segments/OSV4€", 422, "bad_character"),
        ("/api/cut-files/none.dxf", 404, "cut_file_unknown"),
        (f"/api/cut-files/{file_of('SW2-U1')}/revisions/C", 404, "revision_unknown"),
        ("/api/reorders/17", 404, "reorder_unknown"),
        ("/api/reorders/first", 422, "bad_fields"),
        ("/api/reorders/17/packet.zip", 404, "reorder_unknown"),
        (f"/api/kits/{KIT}/nameplates.pdf?template=none", 404, "template_unknown"),
        (f"/api/kits/{KIT}/nameplates.pdf?dpi=1", 422, "bad_request"),
        (f"/api/kits/{KIT}/nameplates.pdf?paper=moon", 422, "bad_fields"),
        ("/api/kits?limit=0", 422, "bad_fields"),
        ("/api/kits?after=OSV4", 422, "bad_request"),
        ("/api/read", 422, "bad_fields"),
        ("/api/read?mark=", 422, "bad_request"),
        (f"/api/read?mark={'A' * 10_000}", 422, "bad_number"),
        ("/api/nothing", 404, "page_unknown"),
    ],
)
def test_what_is_not_there(visitor: TestClient, path: str, status: int, code: str) -> None:
    document = problem_of(visitor.get(path))
    assert (document.status, document.code) == (status, code)


def test_a_bad_character_is_pointed_at(early_visitor: TestClient) -> None:
    document = problem_of(early_visitor.get("/api/read", params={"mark": "OSV4€"}))
    assert (document.code, document.position, document.place) == ("bad_character", 4, "character 5")


def test_a_method_that_is_not_taken(early_visitor: TestClient) -> None:
    answer = early_visitor.delete("/api/kits")
    assert (problem_of(answer).status, problem_of(answer).code) == (405, "method_not_taken")
    assert "GET" in answer.headers["Allow"] or "POST" in answer.headers["Allow"]


@pytest.mark.parametrize(
    ("body", "code"),
    [
        (b"{", "not_json"),
        (b"[]", "bad_fields"),
        (b"{}", "bad_fields"),
        (as_bytes({"mark": NUMBER_U3}), "bad_fields"),
        (as_bytes({"mark": NUMBER_U3, "reason": "crushed", "quantity": 0}), "bad_fields"),
        (as_bytes({"mark": NUMBER_U3, "reason": "crushed", "prefer": "any"}), "bad_fields"),
        (as_bytes({"mark": NUMBER_U3, "reason": "crushed", "sooner": True}), "bad_fields"),
        (as_bytes({"mark": NUMBER_U3, "reason": "crushed", "survivors": ["OSV4-FC1-A500-SW2-U1-48"]}), "bad_request"),
        (as_bytes({"mark": "nothing like it", "reason": "crushed"}), "mark_unknown"),
    ],
)
def test_a_wrong_reorder(visitor: TestClient, body: bytes, code: str) -> None:
    answer = visitor.post("/api/reorders", content=body, headers={"content-type": "application/json"})
    assert problem_of(answer).code == code


def test_an_etag_that_is_none(visitor: TestClient) -> None:
    body = {"reason": "typed wrong", "correct": [{"number": NUMBER_U3, "facts": {"hand": "LEFT"}}]}
    answer = visitor.post(f"/api/kits/{KIT}/corrections", json=body, headers={"If-Match": '"later"'})
    assert problem_of(answer).field == "If-Match"


def test_a_code_too_like_another(early_visitor: TestClient) -> None:
    for code, problem_code in (("5W", "bad_code"), ("SW", "code_too_alike"), ("TOOLONG", "bad_code")):
        answer = early_visitor.post("/api/codes", json={"table": "assembly", "code": code, "name": "turret"})
        assert problem_of(answer).code == problem_code


def test_every_code_has_an_anchor_in_the_reference(early_visitor: TestClient) -> None:
    page = early_visitor.get("/docs").text
    assert all(f'id="{kind.code}"' in page for kind in error_leaves())
    assert "http://" not in page.replace("http://127.0.0.1", "")


def test_every_error_makes_a_sentence() -> None:
    """Whatever is raised, by whichever leaf, the message holds field, value and the next thing to do."""
    for kind in error_leaves():
        if issubclass(kind, errors.Faults):
            continue
        more: dict[str, Any] = {"position": 3} if kind is errors.BadCharacter else {}
        error = kind("it is wrong", field="the_field", value="the value", todo="Do the next thing", **more)
        assert str(error) == "the_field 'the value': it is wrong. Do the next thing."


HOSTILE = st.text(max_size=60) | st.sampled_from(
    ["\x00", "../..", "%2e%2e", "'; DROP TABLE segment; --", "\ud800", "𝕆𝕊𝕍", "\u202e"]
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=HOSTILE)
def test_no_text_breaks_the_service(client: TestClient, text: str) -> None:
    quoted = httpx2.QueryParams({"mark": text.encode("utf-8", "replace").decode()})
    assert client.get(f"/api/read?{quoted}").status_code < 500
    for path in ("kits", "segments", "cut-files", "reorders"):
        safe = "".join(char for char in text if char.isprintable() and char not in "/?#%\\") or "x"
        assert client.get(f"/api/{path}/{safe}").status_code < 500
    for body in ({"mark": text, "reason": text}, {"marks": [text]}):
        encoded = json.dumps(body).encode()
        headers = {"content-type": "application/json"}
        for path in ("reorders", "read", f"kits/{KIT}/corrections", "codes", "shop"):
            assert client.post(f"/api/{path}", content=encoded, headers=headers).status_code < 500
    assert client.post("/api/kits", content=json.dumps(manifest(stock_colour=text)).encode()).status_code < 500


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.binary(max_size=200))
def test_no_bytes_break_the_service(client: TestClient, data: bytes) -> None:
    assert client.post("/api/kits", content=data).status_code < 500
    upload = {"file": ("x.dxf", io.BytesIO(data))}
    assert client.post("/api/cut-files/x.dxf/revisions", files=upload, data={"revision": "A"}).status_code < 500
