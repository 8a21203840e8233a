"""Which library may be used in which room of the house. Who may import whom inside it, import-linter holds.

A library that is not named here for a room is refused there: a new one has to be let in on purpose.
"""

from __future__ import annotations

import ast
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[1]
OWN = {"schemas", "service"}

ROOMS: dict[str, set[str]] = {
    "schemas": {"pydantic", "pydantic_core"},
    "service/errors": set(),
    "service/findings": set(),
    "service/settings": {"pydantic", "pydantic_settings"},
    # What a number is must be readable and testable without anything else.
    "service/numbering": set(),
    "service/outlines": {"ezdxf", "numpy", "shapely"},
    # A million segments are weighed in columns; all else here is plain Python.
    "service/rules": {"numpy"},
    # What a mark looks like is geometry and modules: no page, no picture, no table.
    "service/marks": {"barcode", "numpy", "ppf", "segno", "shapely"},
    "service/render": {"PIL", "basyx", "fontTools", "numpy", "pypdfium2", "reportlab", "shapely", "zxingcpp"},
    # Requests to printers and notices are bytes over HTTP: the standard library speaks both.
    "service/printers": set(),
    "service/webhooks": set(),
    # The only room with SQL or file reads.
    "service/store": {"alembic", "numpy", "obstore", "psycopg", "sqlalchemy"},
    # A verb opens a transaction and hands it to the store; nothing else of that library.
    "service/work": {"pydantic", "sqlalchemy.Connection"},
    "service/api": {"fastapi", "starlette"},
    "service/web": {"fastapi", "jinja2", "starlette"},
    "service/demo": {"ezdxf"},
    "service/app": {"fastapi", "starlette"},
    "service/commands": {"pydantic", "rich", "typer", "uvicorn"},
    "service/cli": {"typer"},
}

# Needed though no line imports them.
UNSEEN = {"python-multipart": "FastAPI reads uploads with it"}


def files_of(room: str) -> list[Path]:
    """The Python files of a room, which is a package or a single module."""
    module = (ROOT / room).with_suffix(".py")
    return [module] if module.exists() else sorted((ROOT / room).rglob("*.py"))


def libraries(path: Path) -> Iterator[tuple[str, int]]:
    """What a file imports of others, anywhere in it, as dotted names (``sqlalchemy.Connection``), with the line."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        else:
            continue
        for name in names:
            top = name.partition(".")[0]
            if top not in sys.stdlib_module_names and top not in OWN:
                yield name, node.lineno


def lets_in(permission: str, name: str) -> bool:
    """Whether a permission, for a library or for one name of it, covers an imported name."""
    return name == permission or name.startswith(f"{permission}.")


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_uses_its_own_libraries_only(room: str) -> None:
    assert files_of(room), f"{room} does not exist"
    strangers = [
        f"{path.relative_to(ROOT)}:{line}: {name}"
        for path in files_of(room)
        for name, line in libraries(path)
        if not any(lets_in(permission, name) for permission in ROOMS[room])
    ]
    assert strangers == []


@pytest.mark.parametrize("room", ROOMS)
def test_no_library_is_let_in_that_nobody_uses(room: str) -> None:
    used = {name for path in files_of(room) for name, _ in libraries(path)}
    assert [one for one in ROOMS[room] if not any(lets_in(one, name) for name in used)] == []


def test_every_room_is_in_the_table() -> None:
    rooms = {f"service/{path.stem}" for path in (ROOT / "service").iterdir() if path.suffix == ".py" or path.is_dir()}
    assert rooms - {"service/__init__", "service/__pycache__"} == set(ROOMS) - {"schemas"}


def test_every_dependency_is_used() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    declared = {canonicalize_name(Requirement(line).name) for line in project["dependencies"]}
    provided_by = packages_distributions()
    used = {
        canonicalize_name(distribution)
        for room in ROOMS
        for path in files_of(room)
        for name, _ in libraries(path)
        for distribution in provided_by.get(name.partition(".")[0], [])
    }
    assert declared - used == set(UNSEEN)
