"""For each error code that HTTP can answer with: what has to stand on record, and the request that provokes it."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import httpx2
from ezdxf.document import Drawing
from fastapi.testclient import TestClient

from service.app import make_app
from service.settings import Settings
from service.store import containers, database, plants
from service.work import drawing_room, show_kit
from tests.api.conftest import BASE, KIT, OWNER_KEY
from tests.api.order_provocations import ORDER_PROVOCATIONS
from tests.api.piece_provocations import PIECE_PROVOCATIONS
from tests.api.print_job_provocations import PRINT_JOB_PROVOCATIONS
from tests.api.printer_provocations import PRINTER_PROVOCATIONS
from tests.api.scene import SECOND, Ask, Scene
from tests.small_kit import NUMBER_U3, NUMBER_U4, file_of, issue_small, make_dxf, manifest, release, segment

JSON = {"content-type": "application/json"}
ANY = {"If-Match": "*"}
UNSOUND = b"0\nSECTION\n2\nENTITIES\n"


def drawn(*corners: tuple[float, float], close: bool) -> bytes:
    """A drawing in mm of one line through these corners."""
    document = Drawing.new("R2010")
    document.header["$INSUNITS"] = 4
    document.modelspace().add_lwpolyline(corners, close=close)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()


BOW_TIE = drawn((0, 0), (100, 100), (100, 0), (0, 100), close=True)
OPEN_LINE = drawn((0, 0), (100, 0), (100, 100), close=False)


def too_small(scene: Scene) -> Ask:
    release(scene.workshop, "BP2-X1", data=make_dxf(width_mm=4, height_mm=4, hole_mm=1))
    kit = issue_small(scene.workshop, machine=SECOND, segments={"BP2": [segment("BP2-X1")]})
    return scene.get(f"/api/segments/{kit.segments[0].number}/engraving.dxf")


def no_letter_left(scene: Scene) -> Ask:
    with scene.workshop.database.write() as connection:
        customer = plants.customer_id(connection, "Tarnquill Waters")
        assert customer is not None
        letters = scene.client.get("/api/codes").json()["design_letters"]
        for letter in letters:
            containers.add_container(
                connection,
                customer_id=customer,
                design=letter,
                nominal_digits=330,
                name=f"sport {letter}",
                nominal="330",
                unit="mL",
            )
    return scene.kit(container={"name": "one more", "nominal": 330, "unit": "mL"})


def shared_segment(scene: Scene) -> Ask:
    number = NUMBER_U4
    issue_small(
        scene.workshop,
        container={"name": "square 500 mL", "nominal": 500, "unit": "mL"},
        segments={"SW2": [{"deck": "U", "ordinal": 4, "shares": number}], "OR1": [segment("OR1-L1")]},
    )
    return scene.post(
        f"/api/kits/{KIT}/corrections", {"reason": "cut in two", "void": [{"number": number}]}, headers=ANY
    )


def correction(scene: Scene) -> Ask:
    facts = [{"number": NUMBER_U3, "facts": {"hand": "LEFT"}}]
    return scene.post(f"/api/kits/{KIT}/corrections", {"reason": "typed wrong", "correct": facts}, headers=ANY)


def marked(scene: Scene) -> Ask:
    scene.get(f"/api/segments/{NUMBER_U3}/nameplate.svg")()
    return correction(scene)


def voided(scene: Scene) -> Ask:
    scene.post(f"/api/kits/{KIT}/corrections", {"reason": "cut in two", "void": [{"number": NUMBER_U3}]}, headers=ANY)()
    return scene.get(f"/api/segments/{NUMBER_U3}/nameplate.pdf")


def stale(scene: Scene) -> Ask:
    tag = scene.get(f"/api/kits/{KIT}")().headers["ETag"]
    correction(scene)()
    body = {"reason": "typed wrong", "correct": [{"number": NUMBER_U3, "facts": {"hand": "RIGHT"}}]}
    return scene.post(f"/api/kits/{KIT}/corrections", body, headers={"If-Match": tag})


def withdrawn(scene: Scene) -> Ask:
    withdraw = scene.post(f"/api/cut-files/{file_of('SW2-U3')}/revisions/-/withdrawal", {"reason": "bore too small"})
    withdraw()
    return withdraw


def closed(scene: Scene) -> Ask:
    number = scene.post("/api/reorders", {"mark": NUMBER_U3, "reason": "crushed"})().json()["id"]
    scene.post(f"/api/reorders/{number}/fitted", {})()
    return scene.post(f"/api/reorders/{number}/cancelled", {"reason": "not wanted"})


def other_payload(scene: Scene) -> Ask:
    key = {"Idempotency-Key": "one key"}
    scene.post("/api/reorders", {"mark": NUMBER_U3, "reason": "crushed"}, headers=key)()
    return scene.post("/api/reorders", {"mark": NUMBER_U4, "reason": "crushed"}, headers=key)


def token(scene: Scene) -> Ask:
    prepared = scene.client.post("/api/kits?prepare=true", json=manifest(machine=SECOND)).json()
    release(scene.workshop, "SW2-U3", revision="A")
    part = segment("SW2-U3")
    del part["revision"]
    return scene.kit(token=prepared["token"], segments={"SW2": [part]})


def busy(scene: Scene) -> Ask:
    """Another write keeps the database to itself."""
    scene.monkeypatch.setattr(database, "WAIT_S", 0.05)
    scene.workshop.database._turn.acquire()

    def ask() -> httpx2.Response:
        try:
            return scene.post("/api/reorders", {"mark": NUMBER_U3, "reason": "crushed"})()
        finally:
            scene.workshop.database._turn.release()

    return ask


def no_folder(scene: Scene) -> Ask:
    """A file lies where the vault's folder was."""
    folder = Path(scene.settings.vault_url)
    folder.rename(folder.with_name("elsewhere"))
    folder.write_bytes(b"")
    return scene.upload(make_dxf(width_mm=90.0))


def altered(scene: Scene) -> Ask:
    kept = scene.kept("SW2-U3")
    data = kept.read_bytes()
    kept.chmod(0o600)
    kept.write_bytes(data.replace(b"150.3", b"150.4", 1))
    return scene.get(f"/api/cut-files/{file_of('SW2-U3')}/revisions/-/file")


def missing(scene: Scene) -> Ask:
    scene.kept("SW2-U3").unlink()
    return scene.get(f"/api/cut-files/{file_of('SW2-U3')}/revisions/-/file")


def wrong_symbol(scene: Scene) -> Ask:
    """The writer of pictures draws the plate of another segment."""
    drawn = scene.client.get(f"/api/segments/{NUMBER_U4}/nameplate.png").content
    scene.monkeypatch.setattr(drawing_room, "png", lambda *_layout, **_dpi: drawn)
    return scene.get(f"/api/segments/{NUMBER_U3}/nameplate.png")


def broken_program(scene: Scene) -> Ask:
    def fails(*_: object) -> None:
        raise RuntimeError("a secret of the program")

    scene.monkeypatch.setattr(show_kit, "show_kit", fails)
    return scene.get(f"/api/kits/{KIT}")


def guarded(scene: Scene) -> Ask:
    app = make_app(Settings.model_validate({**scene.settings.model_dump(), "owner_key": OWNER_KEY}), scene.workshop)
    return lambda: TestClient(app, base_url=BASE).get("/api/kits")


def long_link(scene: Scene) -> Ask:
    client = scene.over(public_url="https://parts.example/" + "a" * 200)
    return lambda: client.post("/api/kits", json=manifest(machine=SECOND))


CONTAINER = {"nominal": 330, "unit": "mL"}
SHARED = {"deck": "U", "ordinal": 1}
PROVOCATIONS: dict[str, Callable[[Scene], Ask]] = {
    **ORDER_PROVOCATIONS,
    **PIECE_PROVOCATIONS,
    **PRINT_JOB_PROVOCATIONS,
    **PRINTER_PROVOCATIONS,
    "bad_picture": lambda scene: lambda: scene.client.post("/api/read/picture", files={"file": ("a.jpg", UNSOUND)}),
    "bad_character": lambda scene: scene.get("/api/read", params={"mark": "OSV4€"}),
    "bad_number": lambda scene: scene.get("/api/read", params={"mark": "A" * 10_000}),
    "bad_check": lambda scene: scene.kit(segments={"SW2": [{**SHARED, "shares": f"{NUMBER_U3[:-1]}3"}]}),
    "bad_code": lambda scene: scene.post("/api/codes", {"table": "deck", "code": "5", "name": "fifth"}),
    "code_too_alike": lambda scene: scene.post("/api/codes", {"table": "assembly", "code": "SV", "name": "sieve"}),
    "unknown_code": lambda scene: scene.kit(machine={"class": "QQ", "ordinal": 1}),
    "not_json": lambda scene: lambda: scene.client.post("/api/reorders", content=b"{", headers=JSON),
    "bad_csv": lambda scene: lambda: scene.client.post("/api/kits", content=b"plant.code,OSV\n"),
    "bad_manifest": lambda scene: scene.kit(colour="green"),
    "bad_fields": lambda scene: scene.get("/api/kits?limit=0"),
    "field_does_not_fit": lambda scene: scene.kit(container={**CONTAINER, "name": "a name much too long " * 5}),
    "missing_glyph": lambda scene: scene.kit(container={**CONTAINER, "name": "運動 330 mL"}),
    "symbol_does_not_fit": long_link,
    "bad_cut_file": lambda scene: scene.upload(UNSOUND),
    "no_outline": lambda scene: scene.upload(OPEN_LINE),
    "no_units": lambda scene: scene.upload(make_dxf(insunits=0)),
    "self_crossing": lambda scene: scene.upload(BOW_TIE),
    "bad_file_name": lambda scene: scene.upload(make_dxf(), name="CON.dxf"),
    "bad_revision": lambda scene: scene.upload(make_dxf(), revision="I"),
    "no_engraving_room": too_small,
    "bad_request": lambda scene: scene.get(f"/api/kits/{KIT}/nameplates.pdf?dpi=1"),
    "idempotency_mismatch": other_payload,
    "method_not_taken": lambda scene: lambda: scene.client.delete("/api/kits"),
    "too_large": lambda scene: lambda: scene.client.post("/api/kits", content=b" " * 4_000_001),
    "number_unknown": lambda scene: scene.kit(segments={"SW2": [{**SHARED, "shares": "OSV4-FC1-A500-SW2-U9-24"}]}),
    "mark_unknown": lambda scene: scene.get("/api/segments/OSV4-FC9-A500-SW2-U3-99"),
    "kit_unknown": lambda scene: scene.get("/api/kits/OSV4-FC1-A330"),
    "cut_file_unknown": lambda scene: scene.get("/api/cut-files/never.dxf"),
    "revision_unknown": lambda scene: scene.get(f"/api/cut-files/{file_of('SW2-U3')}/revisions/F"),
    "router_unknown": lambda scene: scene.get(f"/api/segments/{NUMBER_U3}/engraving.nc?router=none"),
    "template_unknown": lambda scene: scene.get(f"/api/kits/{KIT}/nameplates.pdf?template=none"),
    "machine_unknown": lambda scene: scene.get("/api/machines/OSV4-FC9"),
    "container_unknown": lambda scene: scene.post(
        "/api/aliases", {"kind": "container", "of": "A501", "text": "the tall one"}
    ),
    "alias_unknown": lambda scene: scene.post("/api/aliases/7/wrong", {"reason": "Betty is the next one"}),
    "place_unknown": lambda scene: scene.get("/api/machines?plant=Elsewhere"),
    "same_interface_unknown": lambda scene: scene.post("/api/same-interfaces/7/withdrawal", {"reason": "bored out"}),
    "reorder_unknown": lambda scene: scene.get("/api/reorders/17"),
    "page_unknown": lambda scene: scene.get("/api/nothing"),
    "contradiction": lambda scene: scene.post("/api/machines/OSV4-FC1/placements", {"line": 4}),
    "revision_exists": lambda scene: scene.upload(make_dxf(width_mm=99.0), name=file_of("SW2-U3")),
    "revision_withdrawn": withdrawn,
    "mark_exists": marked,
    "place_voided": voided,
    "segment_shared": shared_segment,
    "token_stale": token,
    "ambiguous_mark": lambda scene: scene.get(f"/api/segments/{NUMBER_U3[:-1]}3"),
    "stale_edit": stale,
    "edit_unseen": lambda scene: scene.post("/api/plants/OSV/names", {"name": "Ostrey Works"}),
    "reorder_closed": closed,
    "design_letters_spent": no_letter_left,
    "not_signed_in": guarded,
    "foreign_origin": lambda scene: scene.get("/api/kits", headers={"Origin": "https://elsewhere.example"}),
    "foreign_host": lambda scene: scene.get("/api/kits", headers={"Host": "elsewhere.example"}),
    "database_unavailable": busy,
    "vault_unavailable": no_folder,
    "cut_file_altered": altered,
    "cut_file_missing": missing,
    "read_back_failed": wrong_symbol,
    "defect": broken_program,
}
"""By code. What a provocation does before it returns is the scene; what it returns is the one request that is wrong."""
