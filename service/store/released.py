"""Which bytes the vault must hold: those of every revision that was ever released."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, select

from service.store.tables import CutFile, Revision


@dataclass(frozen=True, slots=True)
class ReleasedFile:
    """A released revision: the SHA-256 of its bytes, and how people call it."""

    sha256: str
    cut_file: str
    letter: str

    def __str__(self) -> str:
        return f"{self.cut_file} revision {self.letter}"


def released_files(connection: Connection) -> list[ReleasedFile]:
    """Every revision by the SHA-256 of its bytes, withdrawn ones too; those of equal bytes in the order of release."""
    rows = connection.execute(
        select(Revision.sha256, CutFile.name, Revision.letter)
        .join(CutFile, CutFile.id == Revision.cut_file_id)
        .order_by(Revision.id)
    )
    # Sorted here: what a server takes for the order of text depends on the machine.
    return sorted((ReleasedFile(*row) for row in rows), key=lambda released: released.sha256)
