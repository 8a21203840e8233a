"""Two parts over each other, and the casualties of a kit after three invented years, for the documents.

Run with ``python -m tests.pictures.plant_lists``; it writes ``docs/pictures/bolts-on-wrong.svg`` and the other one.
"""

from __future__ import annotations

import contextlib
import random
import tempfile
from dataclasses import replace
from pathlib import Path

from schemas.requests import FittedRequest, ReorderRequest
from service.app import close_workshop, open_workshop
from service.demo.story import demo_shop, load
from service.settings import Settings
from service.work.bolts_on_wrong import overlay_picture
from service.work.casualties import kit_casualty_plan
from service.work.fit import fit_reorder
from service.work.reorder import reorder
from service.work.show_kit import show_kit
from service.work.workshop import Workshop

FOLDER = Path(__file__).parents[2] / "docs" / "pictures"
KIT = "OSV4-FC1-A500"
PAIR = ("OSV4-FC1-A330-SW1-U1-29", "OSV4-FC1-A330-SW1-U2-26")
OFTEN = ["OSV4-FC1-A500-SW2-U3-42"] * 4 + ["OSV4-FC1-A500-SW2-U2-45"] * 2


def at(workshop: Workshop, moment: str) -> Workshop:
    """The workshop with its clock at a moment."""
    return replace(workshop, now=lambda: moment)


def break_some(workshop: Workshop) -> None:
    """Twelve pieces break in three years, and each is ordered again and fitted."""
    draws = random.Random(4)
    single = [one.number for one in show_kit(workshop, KIT).segments if one.quantity == 1]
    marks = [*OFTEN, *(draws.choice(single) for _ in range(6))]
    draws.shuffle(marks)
    for month, mark in enumerate(marks):
        then = at(workshop, f"20{23 + month // 4}-{2 + 3 * (month % 4):02d}-10T08:00:00Z")
        order = reorder(then, ReorderRequest(mark=mark, reason="crushed in a jam"))
        fit_reorder(then, order.id, FittedRequest())


def draw() -> None:
    """Write both pictures."""
    with tempfile.TemporaryDirectory() as folder, contextlib.ExitStack() as stack:
        settings = Settings(
            database_url=f"sqlite:///{folder}/kitwright.db", vault_url=f"{folder}/vault", render_workers=0
        )
        workshop = open_workshop(settings)
        stack.callback(close_workshop, workshop)
        load(at(workshop, "2023-01-09T08:00:00Z"), demo_shop(), lambda _step: None)
        break_some(workshop)
        (FOLDER / "bolts-on-wrong.svg").write_text(overlay_picture(workshop, *PAIR))
        (FOLDER / "casualties.svg").write_text(kit_casualty_plan(at(workshop, "2026-01-09T08:00:00Z"), KIT))


if __name__ == "__main__":
    draw()
