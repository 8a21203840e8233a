"""The demo in two parts: fill an empty service with the invented shop, and tell the main job from kit to packet."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from schemas.answers import KitAnswer
from schemas.manifest_reading import read_manifest
from schemas.requests import ReorderRequest, ShopRequest
from service.demo.shop import DemoShop, demo_shop
from service.work.engrave import engrave_kit, engrave_segment
from service.work.issue import issue_kit
from service.work.packet import reorder_packet
from service.work.plan import kit_plan
from service.work.print_marks import print_kit, print_segment
from service.work.read import read_mark
from service.work.release import release_revision
from service.work.reorder import reorder
from service.work.resolve import resolve_mark
from service.work.shop_facts import set_shop_facts
from service.work.show_kit import list_kits
from service.work.workshop import Actor, Workshop

DEMO = Actor("demo")
DAMAGED = "0sv4 fc1 a5oo 5w2 u3 42"
"""The mark as it is read over the phone from the crushed segment."""

Step = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Told:
    """What the demo left behind."""

    kits: tuple[KitAnswer, ...]
    files: tuple[Path, ...]


def is_empty(workshop: Workshop) -> bool:
    """Whether no kit is on record."""
    return not list_kits(workshop, after=None, limit=1).kits


def work_to_load(shop: DemoShop) -> int:
    """How many steps loading takes."""
    return len(shop.cut_files) + len(shop.manifests) + 1


def load(workshop: Workshop, shop: DemoShop, step: Step) -> tuple[KitAnswer, ...]:
    """Release every cut file and issue every kit of the demo, in the order in which the shop did it."""
    step("the shop's own facts")
    set_shop_facts(
        workshop,
        # A number of the block that is kept for fiction.
        ShopRequest(name="Kitwright demo shop", address="1 Workshop Lane", telephone="+1 202 555 0143"),
        actor=DEMO,
    )
    for cut_file in shop.cut_files:
        step(f"release {cut_file.name} rev {cut_file.revision}")
        release_revision(
            workshop,
            cut_file.name,
            cut_file.data,
            revision=cut_file.revision,
            note=cut_file.note,
            units=cut_file.units,
            joints_changed=", ".join(cut_file.joints_changed),
            interfaces_changed=", ".join(cut_file.interfaces_changed),
            actor=DEMO,
        )
    kits = []
    for manifest in shop.manifests:
        container = manifest["container"]
        step(f"issue the kit for {container['name'] if isinstance(container, dict) else ''}")
        kits.append(issue_kit(workshop, read_manifest(json.dumps(manifest).encode()), actor=DEMO))
    return tuple(kits)


def tell(workshop: Workshop, kits: tuple[KitAnswer, ...], out: Path, step: Step) -> Told:
    """Print, engrave, read a damaged mark, order the segment again; leave every document in a folder."""
    out.mkdir(parents=True, exist_ok=True)
    files: list[Path] = []

    def keep(name: str, data: bytes) -> None:
        path = out / name
        path.write_bytes(data)
        files.append(path)

    first = kits[0]
    for template in ("nameplate-60x22", "tied-tag-80x50", "cart-placard-a5", "crate-label-a5"):
        step(f"print {template} for {first.number}")
        if template == "nameplate-60x22":
            keep(f"{first.number} {template}.pdf", print_kit(workshop, first.number, template=template, actor=DEMO))
        else:
            number = first.segments[0].number
            data = print_segment(workshop, number, form="pdf", template=template, actor=DEMO)
            keep(f"{number} {template}.pdf", data)
    step(f"engrave {first.number}")
    keep(f"{first.number} engraving.zip", engrave_kit(workshop, first.number, actor=DEMO))
    step("draw the plan")
    keep(f"{first.number} plan.svg", kit_plan(workshop, first.number).encode())
    step(f"read '{DAMAGED}'")
    reading = read_mark(workshop, DAMAGED)
    assert reading.number is not None
    segment = resolve_mark(workshop, reading.number)
    keep(f"{segment.number} engraving.svg", engrave_segment(workshop, segment.number, form="svg", actor=DEMO))
    keep(f"{segment.number} engraving.dxf", engrave_segment(workshop, segment.number, form="dxf", actor=DEMO))
    step(f"order {segment.number} again")
    answer = reorder(workshop, ReorderRequest(mark=DAMAGED, reason="crushed in a jam"), actor=DEMO)
    keep(f"reorder {answer.id} packet.zip", reorder_packet(workshop, answer.id, actor=DEMO))
    keep(f"reorder {answer.id}.json", (answer.model_dump_json(indent=2) + "\n").encode())
    return Told(kits, tuple(files))


TOLD_STEPS = 8
"""How many steps the telling takes."""

__all__ = ["DAMAGED", "TOLD_STEPS", "Told", "demo_shop", "is_empty", "load", "tell", "work_to_load"]
