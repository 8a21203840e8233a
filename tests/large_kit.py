"""A kit of 150 segments, and a process that issues such kits until it is stopped."""

from __future__ import annotations

import sys
from typing import Any

from schemas.manifest_reading import read_manifest
from service.errors import LintFailed
from service.settings import SHIPPED_TEMPLATES
from service.store.database import Database
from service.store.template_folder import read_templates
from service.store.vault import Vault
from service.work.issue import issue_kit
from service.work.release import release_revision
from service.work.rendering import RenderRoom
from service.work.workshop import Workshop
from tests.small_kit import as_bytes, make_dxf, manifest

SEGMENTS = 150
PER_ASSEMBLY = 15
FILE = "plate.dxf"


def large_manifest(*, machine: int = 1) -> dict[str, Any]:
    """Ten star wheels of fifteen segments each, all cut from one file."""
    return manifest(
        machine={"class": "FC", "ordinal": machine},
        segments={
            f"SW{assembly}": [
                {
                    "deck": "U",
                    "ordinal": ordinal,
                    "cut_file": FILE,
                    "revision": "-",
                    "material": "UHMW-PE",
                    "thickness_mm": 20.0,
                }
                for ordinal in range(1, PER_ASSEMBLY + 1)
            ]
            for assembly in range(1, SEGMENTS // PER_ASSEMBLY + 1)
        },
    )


def open_large(url: str, vault: str) -> Workshop:
    """A workshop over the records and the vault of a test."""
    return Workshop(
        database=Database(url),
        vault=Vault(vault),
        templates=read_templates([SHIPPED_TEMPLATES]),
        public_url="http://127.0.0.1:8000",
        rendering=RenderRoom(0),
    )


def release_plate(workshop: Workshop) -> None:
    """The one cut file of a large kit."""
    release_revision(workshop, FILE, make_dxf(width_mm=240.0, height_mm=120.0), revision="-")


def main(url: str, vault: str, first: str, last: str) -> None:
    """Issue the kits of machines ``first`` to ``last``; say each, and whether somebody else was quicker."""
    workshop = open_large(url, vault)
    print("ready", flush=True)
    for machine in range(int(first), int(last) + 1):
        try:
            issue_kit(workshop, read_manifest(as_bytes(large_manifest(machine=machine))))
            print(f"issued {machine}", flush=True)
        except LintFailed as error:
            print(f"{error.rule} {machine}", flush=True)
    print("done", flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
