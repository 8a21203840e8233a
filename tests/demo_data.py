"""The demonstration shop on record, made once and copied for each test that writes."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

from schemas.manifest_reading import read_manifest
from schemas.requests import ShopRequest
from service.demo.shop import demo_shop
from service.store.database import Database
from service.store.vault import Vault
from service.work.issue import issue_kit
from service.work.release import release_revision
from service.work.rendering import RenderRoom
from service.work.shop_facts import set_shop_facts
from service.work.workshop import Workshop
from tests.router_factory import ROUTERS
from tests.template_text import parse_template

TEMPLATES = Path(__file__).parents[1] / "label_templates"
SHOP_NAME = "Demonstration shop"
TELEPHONE = "+00 555 0100"


def open_workshop(folder: Path) -> Workshop:
    """A workshop over the records and cut files in a folder, drawing in its own thread."""
    database = Database(f"sqlite:///{folder / 'kitwright.db'}")
    database.migrate()
    return Workshop(
        database=database,
        vault=Vault(str(folder / "vault")),
        templates={
            path.stem: parse_template(path.read_text(encoding="utf-8"), source=path.name)
            for path in sorted(TEMPLATES.glob("*.toml"))
        },
        public_url="http://127.0.0.1:8000",
        rendering=RenderRoom(0),
        routers=ROUTERS,
    )


def fill(folder: Path) -> None:
    """Put every cut file and kit of the demonstration on record in an empty folder."""
    folder.mkdir(parents=True, exist_ok=True)
    workshop = open_workshop(folder)
    set_shop_facts(workshop, ShopRequest(name=SHOP_NAME, address="1 Router Lane", telephone=TELEPHONE))
    demo = demo_shop()
    for one in demo.cut_files:
        release_revision(
            workshop,
            one.name,
            one.data,
            revision=one.revision,
            note=one.note,
            units=one.units,
            joints_changed=", ".join(one.joints_changed),
            interfaces_changed=", ".join(one.interfaces_changed),
        )
    for manifest in demo.manifests:
        issue_kit(workshop, read_manifest(json.dumps(manifest).encode()))
    workshop.database.close()


def copied(source: Path, target: Path) -> Path:
    """The folder's records and cut files once more, for a test that writes."""
    shutil.copytree(source, target)
    return target
