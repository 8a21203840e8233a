"""Small kits that processes issue while they are killed: who issues which, and the loop that each process runs.

Every process has kits of its own. Some of them its neighbour is after too: with the same Idempotency-Key, as a client
whose connection broke and whose retry went to another host, or without any key, as a second client.
"""

from __future__ import annotations

import hashlib
import itertools
import os
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from schemas.manifest_reading import read_manifest
from service.errors import DatabaseUnavailable, LintFailed
from service.work.issue import issue_kit
from service.work.once import Retry
from service.work.workshop import Workshop
from tests.large_kit import FILE, open_large
from tests.small_kit import as_bytes, manifest

PROCESSES = 8
PLACES = ("SW1-U1", "SW1-U2", "SW1-U3")
KITS_A_MACHINE = 10
# The grammar has two digits for the ordinal of a machine.
MOST_KITS = 99 * KITS_A_MACHINE
_EVERY = 10
# While the server is down a client asks again at this pace.
_PAUSE_S = 0.1


@dataclass(frozen=True)
class Wanted:
    """One kit that a process issues.

    Attributes:
        number: the number that it must get.
        key: the Idempotency-Key that the process sends, None when it sends none.
        body: the manifest as a client sends it.
    """

    number: str
    key: str | None
    body: bytes


def wanted_by(process: int, kits: int) -> Iterator[Wanted]:
    """What a process issues, in order: its own kits, and some of its neighbour's in between."""
    neighbour = process % PROCESSES + 1
    for count in range(kits):
        yield _wanted(process, count, keyed=True)
        if count % _EVERY == 0:
            yield _wanted(neighbour, count, keyed=True)
        elif count % _EVERY == _EVERY // 2:
            yield _wanted(neighbour, count, keyed=False)


def _wanted(process: int, count: int, *, keyed: bool) -> Wanted:
    machine, kit = divmod(count, KITS_A_MACHINE)
    nominal = 100 + kit
    body = as_bytes(small_manifest(line=process, machine=machine + 1, nominal=nominal))
    key = f"process {process} kit {count}" if keyed else None
    return Wanted(f"OSV{process}-FC{machine + 1}-A{nominal}", key, body)


def small_manifest(*, line: int, machine: int, nominal: int) -> dict[str, Any]:
    """Three segments that lock into each other, cut from one file."""
    segments = [
        {"deck": "U", "ordinal": int(place[-1]), "cut_file": FILE, "material": "UHMW-PE", "thickness_mm": 20.0}
        for place in PLACES
    ]
    return manifest(
        line={"ordinal": line},
        machine={"class": "FC", "ordinal": machine, "rotation": "clockwise"},
        container={
            "code": f"A{nominal}",
            "name": f"tall round {nominal} mL",
            "nominal": nominal,
            "unit": "mL",
            "shape": "round",
        },
        segments={"SW1": segments},
        joints=[
            {"between": list(pair), "form": "dovetail", "clearance_mm": 0.15} for pair in itertools.pairwise(PLACES)
        ],
    )


def issue_all(url: str, vault: str, process: int, kits: int, said: Path) -> None:
    """Issue what this process is after, from where it was killed on; say each answer in a line of the file ``said``.

    A line is ``issued <number> <SHA-256 of the answer>`` or ``refused <number> <code>``. It is written after the
    answer, so the kit of whose issue the process died is asked for again.
    """
    workshop = open_large(url, vault)
    done = said.read_bytes().count(b"\n")
    line = os.open(said, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    for wanted in list(wanted_by(process, kits))[done:]:
        os.write(line, f"{_issue(workshop, wanted)}\n".encode())


def _issue(workshop: Workshop, wanted: Wanted) -> str:
    retry = Retry.of(wanted.key, "POST /api/kits", wanted.body)
    while True:
        try:
            answer = issue_kit(workshop, read_manifest(wanted.body), retry=retry)
        except DatabaseUnavailable:
            time.sleep(_PAUSE_S)
        except LintFailed as error:
            return f"refused {wanted.number} {error.rule}"
        else:
            assert answer.number == wanted.number
            return f"issued {answer.number} {hashlib.sha256(answer.model_dump_json().encode()).hexdigest()}"
