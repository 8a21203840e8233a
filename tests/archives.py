"""Archives that nobody exported: a whole one taken apart, changed and put together again."""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

MANIFEST = "MANIFEST.json"
Members = dict[str, bytes]


def members(path: Path) -> Members:
    """The unpacked members of an archive by name, in their order."""
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def pack(path: Path, packed: Mapping[str, bytes]) -> Path:
    """Members as a ZIP archive."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in packed.items():
            archive.writestr(name, data)
    return path


def changed(source: Path, target: Path, change: Callable[[Members], object]) -> Path:
    """An archive with members changed and the manifest as it was."""
    parts = members(source)
    change(parts)
    return pack(target, parts)


def remade(source: Path, target: Path, change: Callable[[Members], object]) -> Path:
    """The same with a manifest that was made to fit: hashes, lengths and counts are right."""
    parts = members(source)
    change(parts)
    manifest = json.loads(parts[MANIFEST])
    manifest["files"] = {
        name: {"bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}
        for name, data in parts.items()
        if name != MANIFEST
    }
    for table in manifest["tables"]:
        table["rows"] = parts[f"tables/{table['name']}.jsonl"].count(b"\n")
    return pack(target, {**parts, MANIFEST: json.dumps(manifest, indent=1).encode()})


def manifest_with(parts: Members, **changes: Any) -> None:
    """Change fields of the manifest among the members."""
    manifest = json.loads(parts[MANIFEST])
    parts[MANIFEST] = json.dumps({**manifest, **changes}, indent=1).encode()


def cut_file_in(parts: Members) -> str:
    """The name of the first cut file among the members."""
    return next(name for name in parts if name.startswith("vault/"))


def cut_file_name(data: bytes) -> str:
    """The name under which an archive holds these bytes."""
    sha256 = hashlib.sha256(data).hexdigest()
    return f"vault/sha256/{sha256[:2]}/{sha256[2:]}"
