"""What will lock, over HTTP: the answer, its pictures, and an order that is refused until somebody decides."""

from __future__ import annotations

from fastapi.testclient import TestClient

from schemas.answers import KitAnswer
from service.work.workshop import Workshop
from tests.api.problem_documents import problem_of
from tests.small_kit import NUMBER_U2, NUMBER_U3, NUMBER_U4, QUARTERS, make_dxf, release


def test_each_revision_is_held_against_the_survivors(client: TestClient, workshop: Workshop, issued: KitAnswer) -> None:
    for place, other in (("SW2-U3", "SW2-U4"), ("SW2-U4", "SW2-U3")):
        release(workshop, place, revision="A", joints_changed=other)
    path = f"/api/segments/{NUMBER_U3}/locking"
    answer = client.get(path).json()
    assert [(row["revision"], row["verdict"]) for row in answer["revisions"]] == [("A", "collides"), ("-", "exact")]
    assert [(row["goal"], row["by"], row["count"]) for row in answer["sets"]] == [
        ("as_built", "declared", 1),
        ("as_built", "computed", 1),
        ("current", "declared", 2),
        ("current", "computed", 2),
    ]
    assert answer["disputes"] == []
    joint = next(row for row in answer["revisions"][0]["joints"] if row["place"] == "SW2-U4")
    # By hand: an edge moved by 1 mm across a gap of 0.3 mm, over 150 mm.
    assert (round(joint["depth_mm"], 3), round(joint["overlap_mm2"], 1)) == (0.7, 105.0)
    picture = client.get(joint["picture"])
    assert picture.headers["content-type"] == "image/svg+xml"
    assert "0.70 mm deep" in picture.text
    alone = client.get(path, params={"survivors": [NUMBER_U2]}).json()
    assert alone["revisions"][0]["verdict"] == "fits_but_differs"
    wide = client.get(path, params={"oversize_mm": -0.5, "cutter_mm": 3, "temperature_c": 4}).json()
    assert (wide["oversize_mm"], wide["cutter_mm"], wide["piece_temperature_c"]) == (-0.5, 3.0, 4.0)
    assert wide["revisions"][1]["verdict"] == "exact"
    assert {row["state"] for row in wide["revisions"][1]["joints"]} == {"too_loose"}


def test_what_is_asked_wrongly_is_refused(client: TestClient, issued: KitAnswer) -> None:
    path = f"/api/segments/{NUMBER_U3}/locking"
    for params in ({"temperature_c": 900}, {"cutter_mm": -1}, {"oversize_mm": 9}):
        assert problem_of(client.get(path, params=params)).code == "bad_fields"
    assert problem_of(client.get(path, params={"survivors": "OSV4-FC1-A500-SW2-U1-48"})).code == "bad_request"
    assert problem_of(client.get(f"{path}/-/SW2-U1.svg")).code == "bad_request"
    assert problem_of(client.get(f"{path}/K/SW2-U4.svg")).code == "revision_unknown"
    assert problem_of(client.get("/api/segments/nothing/locking")).status == 404


def test_a_dispute_waits_for_a_person(client: TestClient, workshop: Workshop, issued: KitAnswer) -> None:
    for ordinal, other in ((3, NUMBER_U4), (4, NUMBER_U3)):
        release(
            workshop,
            f"SW2-U{ordinal}",
            revision="A",
            joints_changed=other,
            data=make_dxf(corner=QUARTERS[ordinal]),
        )
    body = {"mark": NUMBER_U3, "reason": "crushed", "prefer": "newest"}
    problem = problem_of(client.post("/api/reorders", json=body))
    assert (problem.code, problem.status) == ("fit_disputed", 409)
    assert "By the record: cut revision A, SW2-U4 at A. By the outlines: cut revision A" in problem.detail
    decided = {**body, "decide": "computed", "decide_reason": "edges traced at the plant"}
    made = client.post("/api/reorders", json=decided)
    assert made.status_code == 201
    assert (made.json()["outcome"], made.json()["also_cut"]) == ("current_fits", [])
    assert "decide fit" in [row["verb"] for row in client.get(f"/api/segments/{NUMBER_U3}/history").json()["events"]]
