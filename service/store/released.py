"""Which bytes the vault must hold: every revision that was ever released, and every photograph of a report."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, select

from service.store.tables import CutFile, DamagePhoto, Revision


@dataclass(frozen=True, slots=True)
class KeptFile:
    """Bytes in the vault: their SHA-256, and how people call them.

    Attributes:
        sha256: of the bytes.
        name: of the cut file, or which photograph of which damage report.
        letter: the revision of a cut file; empty for a photograph.
    """

    sha256: str
    name: str
    letter: str

    def __str__(self) -> str:
        return f"{self.name} revision {self.letter}" if self.letter else self.name


def kept_files(connection: Connection) -> list[KeptFile]:
    """Every revision, withdrawn ones too, and every photograph, by SHA-256; those of equal bytes as they came."""
    released = connection.execute(
        select(Revision.sha256, CutFile.name, Revision.letter)
        .join(CutFile, CutFile.id == Revision.cut_file_id)
        .order_by(Revision.id)
    )
    taken = connection.execute(
        select(DamagePhoto.sha256, DamagePhoto.ordinal, DamagePhoto.damage_report_id).order_by(DamagePhoto.id)
    )
    found = [KeptFile(*row) for row in released]
    found += [
        KeptFile(sha256, f"photograph {ordinal} of damage report {report}", "") for sha256, ordinal, report in taken
    ]
    # Sorted here: what a server takes for the order of text depends on the machine.
    return sorted(found, key=lambda kept: kept.sha256)
