"""Broken templates, one fault each, whose first line says what has to be found: rule, field and line."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

FOLDER = Path(__file__).parent / "schemas" / "hostile_templates"
CLEAN = "clean"


@dataclass(frozen=True)
class Hostile:
    """A broken file and the finding that points at its fault."""

    path: Path
    rule: str
    field: str
    line: int | None

    @property
    def name(self) -> str:
        """The name of the file without its ending."""
        return self.path.stem


def _read(path: Path) -> Hostile:
    rule, field, line = path.read_bytes().split(b"\n", 1)[0].decode().removeprefix("# ").split()
    return Hostile(path, rule, field, None if line == "-" else int(line))


HOSTILE = tuple(_read(path) for path in sorted(FOLDER.glob("*.toml")) if path.stem != CLEAN)
CLEAN_PATH = FOLDER / f"{CLEAN}.toml"
