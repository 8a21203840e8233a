"""Work at the desks over and over, for a process that is killed in the middle of it."""

from __future__ import annotations

import sys
from pathlib import Path

from sqlalchemy import text

from schemas.requests import ReorderRequest
from service.rules.revision_letters import letter_of
from service.work.engrave import engrave_segment
from service.work.export import export_to_file
from service.work.release import release_revision
from service.work.reorder import reorder
from tests.large_kit import open_large
from tests.small_kit import NUMBER_U3, make_dxf

FILE = "osv4-fc1-a500-guard.dxf"


def main(url: str, vault: str, archives: str, what: str) -> None:
    """Do one kind of work until the end of time; say each time that it is done."""
    workshop = open_large(url, vault)
    with workshop.database.read() as connection:
        count = connection.scalar(
            text("SELECT count(*) FROM revision JOIN cut_file ON cut_file.id = cut_file_id WHERE name = :name"),
            {"name": FILE},
        )
    print("ready", flush=True)
    for number in range(count or 0, 10_000):
        if what == "release":
            data = make_dxf(hole_mm=20.0 + number / 10)
            release_revision(workshop, FILE, data, revision=letter_of(number))
        elif what == "reorder":
            reorder(workshop, ReorderRequest(mark=NUMBER_U3, reason="crushed", also="again and again"))
        elif what == "engrave":
            engrave_segment(workshop, NUMBER_U3, form="dxf")
        else:
            target = Path(archives) / f"{number}.zip"
            target.unlink(missing_ok=True)
            export_to_file(workshop, target)
        print(f"done {what}", flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
