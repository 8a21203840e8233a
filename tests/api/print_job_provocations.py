"""Requests that provoke what can be wrong with a print job."""

from __future__ import annotations

from collections.abc import Callable

from tests.api.conftest import KIT
from tests.api.scene import Ask, Scene
from tests.small_shop import put_print_job


def cancelled(scene: Scene) -> Ask:
    job = put_print_job(scene.workshop, KIT)
    cancel = scene.post(f"/api/print-jobs/{job}/cancel", None)
    cancel()
    return cancel


PRINT_JOB_PROVOCATIONS: dict[str, Callable[[Scene], Ask]] = {
    "print_job_unknown": lambda scene: scene.get("/api/print-jobs/9"),
    "print_job_closed": cancelled,
    "nothing_asked": lambda scene: scene.post(
        f"/api/print-jobs/{put_print_job(scene.workshop, KIT)}/answer", {"printed": True}
    ),
}
