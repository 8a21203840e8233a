"""Requests that provoke what can be wrong with damage reports, steps of orders and webhooks."""

from __future__ import annotations

from collections.abc import Callable

from tests.api.scene import Ask, Scene
from tests.small_kit import NUMBER_U2, NUMBER_U3, QUARTERS, make_dxf, release


def order(scene: Scene, number: str = NUMBER_U3, **more: object) -> int:
    """A segment is on order; the order's id."""
    answer = scene.post("/api/reorders", {"mark": number, "reason": "crushed", **more})()
    return int(answer.json()["id"])


def report(scene: Scene) -> int:
    """Somebody called; the report's id."""
    return int(scene.post("/api/damage-reports", {"words": "the green one is in pieces"})().json()["id"])


def already_on_order(scene: Scene) -> Ask:
    order(scene)
    return scene.post("/api/reorders", {"mark": NUMBER_U3, "reason": "crushed"})


def closed_report(scene: Scene) -> Ask:
    number = report(scene)
    give_up = scene.post(f"/api/damage-reports/{number}/given-up", {"reason": "found whole"})
    give_up()
    return give_up


def nothing_to_send(scene: Scene) -> Ask:
    asked = {"url": "http://127.0.0.1:9/kitwright", "name": "planning"}
    hook = scene.post("/api/webhooks", asked)().json()["id"]
    order(scene, NUMBER_U2)
    (notice,) = scene.get(f"/api/webhooks/{hook}/deliveries")().json()["deliveries"]
    scene.post(f"/api/webhooks/{hook}/ended", None)()
    return scene.post(f"/api/webhooks/{hook}/deliveries/{notice['id']}/again", None)


def disputed_fit(scene: Scene) -> Ask:
    """Both sides declare that a joint changed, and neither outline changes it."""
    for ordinal, other in ((3, "SW2-U4"), (4, "SW2-U3")):
        unchanged = make_dxf(corner=QUARTERS[ordinal])
        release(scene.workshop, f"SW2-U{ordinal}", revision="A", joints_changed=other, data=unchanged)
    return scene.post("/api/reorders", {"mark": NUMBER_U3, "reason": "crushed", "prefer": "newest"})


ORDER_PROVOCATIONS: dict[str, Callable[[Scene], Ask]] = {
    "already_on_order": already_on_order,
    "fit_disputed": disputed_fit,
    "step_refused": lambda scene: scene.post(f"/api/reorders/{order(scene)}/state", {"state": "shipped"}),
    "report_unknown": lambda scene: scene.get("/api/damage-reports/9"),
    "report_closed": closed_report,
    "photo_unknown": lambda scene: scene.get(f"/api/damage-reports/{report(scene)}/photos/1"),
    "webhook_unknown": lambda scene: scene.get("/api/webhooks/9/deliveries"),
    "bad_webhook_address": lambda scene: scene.post(
        "/api/webhooks", {"url": "http://169.254.169.254/latest", "name": "landlord"}
    ),
    "nothing_to_send": nothing_to_send,
}
