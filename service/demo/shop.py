"""The whole demonstration: every cut file with its revisions in the order of release, and the kits' manifests."""

from __future__ import annotations

from dataclasses import dataclass

from service.demo.kit import DemoRevision
from service.demo.kit_a12 import kit_a12
from service.demo.kit_a330 import kit_a330
from service.demo.kit_a500 import kit_a500
from service.demo.kit_c500 import kit_c500

__all__ = ["DemoRevision", "DemoShop", "demo_shop"]


@dataclass(frozen=True, slots=True)
class DemoShop:
    """What the demonstration loads.

    Attributes:
        cut_files: every revision of every cut file, in the order of release.
        manifests: the kits, in the order of issue; a kit that shares a segment comes after the one that owns it.
    """

    cut_files: tuple[DemoRevision, ...]
    manifests: tuple[dict[str, object], ...]


def demo_shop() -> DemoShop:
    """The demonstration shop; every call gives the same bytes."""
    kits = (kit_a500(), kit_a330(), kit_c500(), kit_a12())
    return DemoShop(
        cut_files=tuple(revision for kit in kits for revision in kit.revisions()),
        manifests=tuple(kit.manifest() for kit in kits),
    )
