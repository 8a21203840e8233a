"""A kit of so many plates that its printing can be broken off in the middle, and what then lies in the tray."""

from __future__ import annotations

import re
from collections import Counter

from schemas.manifest_reading import read_manifest
from schemas.print_jobs import PrintJobRequest
from service.work.issue import issue_kit
from service.work.print_marks import plates_of_kit
from service.work.workshop import Workshop
from tests.large_kit import FILE, release_plate
from tests.printers.ippeveprinter import EvePrinter
from tests.small_kit import as_bytes, manifest

PER_ASSEMBLY = 10


def issue_plates(workshop: Workshop, count: int = 40) -> str:
    """Issue a kit of ``count`` segments with one tracked piece each; its number."""
    release_plate(workshop)
    segments = {
        f"SW{1 + first // PER_ASSEMBLY}": [
            {"deck": "U", "ordinal": ordinal, "cut_file": FILE, "revision": "-", "material": "UHMW-PE"}
            | {"thickness_mm": 20.0}
            for ordinal in range(1, min(PER_ASSEMBLY, count - first) + 1)
        ]
        for first in range(0, count, PER_ASSEMBLY)
    }
    return issue_kit(workshop, read_manifest(as_bytes(manifest(segments=segments)))).number


def keys_of(workshop: Workshop, kit: str) -> list[str]:
    """The key of each mark of a kit, in assembly order."""
    return [plate.facts.key for plate in plates_of_kit(workshop, kit, set_number=None)]


def request(kit: str, printer: EvePrinter, **more: object) -> PrintJobRequest:
    """What is asked of ``start_print_job``."""
    return PrintJobRequest.model_validate({"marks": [kit], "printer": printer.uri, **more})


def tray(printer: EvePrinter) -> Counter[str]:
    """How often each key lies in the printer's tray, read off what was printed."""
    found: Counter[str] = Counter()
    for page in printer.printed():
        # A plate shows its key in two fours; a raster is read by its symbols, which have it in one.
        keys = set(re.findall(r"\b([2-9A-Z]{4}) ([2-9A-Z]{4})\b", page["text"]))
        found.update({first + second for first, second in keys} or set(re.findall(r"/S/([2-9A-Z]{8})", page["text"])))
    return found
