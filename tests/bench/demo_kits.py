"""Kits of any size out of the demonstration's filler-capper kit: its real outlines, put together several times over."""

from __future__ import annotations

import copy
import json
from typing import Any

from schemas.manifest import KitManifest
from schemas.manifest_reading import read_manifest
from service.demo.kit import DemoRevision
from service.demo.kit_a500 import kit_a500
from service.store import cutfiles
from service.work.release import release_revision
from service.work.workshop import Workshop
from tests.factories import NOW

_APART = 10
"""Between the ordinals of an assembly and of its next copy; the kit has fewer of each."""


class DemoKits:
    """Manifests of kits with the same segments for one machine after the other."""

    def __init__(self, workshop: Workshop, *, segments: int) -> None:
        """Release every cut file that the kits name; each copy of a part has a file of its own."""
        kit = kit_a500()
        self._plain: dict[str, Any] = json.loads(json.dumps(kit.manifest()))
        self._assemblies: list[dict[str, Any]] = []
        self._joints: list[dict[str, Any]] = []
        left, times = segments, 0
        while left > 0:
            left = self._one_more(times, left)
            times += 1
        last = {revision.name: revision for revision in kit.revisions()}
        for revision in last.values():
            _release(workshop, revision, times)

    def _one_more(self, time: int, left: int) -> int:
        for assembly in copy.deepcopy(self._plain["assemblies"]):
            if left == 0:
                return 0
            assembly["ordinal"] += _APART * time
            assembly["segments"] = assembly["segments"][:left]
            left -= len(assembly["segments"])
            for segment in assembly["segments"]:
                segment["cut_file"] = _copied_name(segment["cut_file"], time)
                del segment["revision"]
            self._assemblies.append(assembly)
        for joint in self._plain["joints"]:
            between = [_copied_place(place, time) for place in joint["between"]]
            self._joints.append({**joint, "between": between})
        return left

    def manifest(self, machine: int) -> KitManifest:
        """The manifest of the kit for a machine of line 4."""
        places = {
            f"{assembly['code']}{assembly['ordinal']}-{segment['deck']}{segment['ordinal']}"
            for assembly in self._assemblies
            for segment in assembly["segments"]
        }
        document = {
            **self._plain,
            "machine": {**self._plain["machine"], "ordinal": machine},
            "assemblies": self._assemblies,
            "joints": [joint for joint in self._joints if places.issuperset(joint["between"])],
        }
        return read_manifest(json.dumps(document).encode())


def _release(workshop: Workshop, revision: DemoRevision, times: int) -> None:
    """Release a file once as anybody would, and put it on record under the names of the copies."""
    release_revision(workshop, _copied_name(revision.name, 0), revision.data, revision="-", units=revision.units)
    with workshop.database.write() as connection:
        first = cutfiles.find_revision(connection, _copied_name(revision.name, 0), "-")
        assert first is not None
        drawing = cutfiles.drawing_bytes(connection, [first.id])[first.id]
        for time in range(1, times):
            cutfiles.add_revision(
                connection,
                name=_copied_name(revision.name, time),
                letter="-",
                ordinal=0,
                sha256=first.sha256,
                size_bytes=first.size_bytes,
                note="",
                units=first.units,
                area_mm2=first.area_mm2,
                width_mm=first.width_mm,
                height_mm=first.height_mm,
                drawing=drawing,
                released_at=NOW,
            )


def _copied_name(name: str, time: int) -> str:
    return f"{name.removesuffix('.dxf')}-{time + 1}.dxf"


def _copied_place(place: str, time: int) -> str:
    """``SW2-U3`` in the copy that stands ``time`` times further on."""
    assembly, _, rest = place.partition("-")
    code = assembly.rstrip("0123456789")
    return f"{code}{int(assembly.removeprefix(code)) + _APART * time}-{rest}"
