"""Rules about the project itself that no other tool holds: sizes, names, reasons, and what must be documented."""

from __future__ import annotations

import importlib
import inspect
import re
import tomllib
from collections import Counter
from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from pydantic_settings import BaseSettings

from service import errors

ROOT = Path(__file__).resolve().parents[1]
FOLDERS = (".ci", "alembic", "label_templates", "schemas", "service", "tests")
LONGEST_FILE_LINES = 400
# One subject each, and a list by nature: cut in two they would be harder to read, not easier.
CATALOGUES = {"service/errors.py"}


def texts() -> Iterator[tuple[Path, str]]:
    """Every text file of the project but the lock file, with its path from the root."""
    folders = [path for folder in FOLDERS for path in (ROOT / folder).rglob("*") if "__pycache__" not in path.parts]
    for path in [*ROOT.iterdir(), *folders]:
        if path.is_file() and path.suffix not in {".lock", ".db"}:
            try:
                yield path.relative_to(ROOT), path.read_text(encoding="utf-8")
            except UnicodeDecodeError:
                continue


def sources() -> Iterator[tuple[Path, str]]:
    """Every Python file of the project."""
    return ((path, text) for path, text in texts() if path.suffix == ".py")


def lines_matching(pattern: str, files: Iterator[tuple[Path, str]]) -> list[str]:
    """Where a pattern stands, as ``path:line: text``."""
    return [
        f"{path}:{number}: {line.strip()}"
        for path, text in files
        for number, line in enumerate(text.splitlines(), start=1)
        if re.search(pattern, line)
    ]


def error_classes() -> list[type[errors.KitwrightError]]:
    """Every error of the tree but its root."""
    return [
        kind
        for _, kind in inspect.getmembers(errors, inspect.isclass)
        if issubclass(kind, errors.KitwrightError) and kind is not errors.KitwrightError
    ]


def coded_errors() -> list[type[errors.KitwrightError]]:
    """The errors that do not share the code of their branch."""
    return [kind for kind in error_classes() if "code" in vars(kind)]


def error_leaves() -> list[type[errors.KitwrightError]]:
    """The errors that are raised; the rest are branches."""
    return [kind for kind in error_classes() if not kind.__subclasses__()]


def settings_names() -> list[str]:
    """The environment variables that the service reads."""
    # Imported here, so that a broken module fails this check and not the others.
    settings = importlib.import_module("service.settings")
    return [
        (str(kind.model_config.get("env_prefix", "")) + name).upper()
        for _, kind in inspect.getmembers(settings, inspect.isclass)
        if issubclass(kind, BaseSettings) and kind.__module__ == settings.__name__
        for name in kind.model_fields
    ]


def test_the_walk_sees_the_project() -> None:
    paths = {str(path) for path, _ in texts()}
    assert {"Makefile", "pyproject.toml", "service/errors.py", "tests/test_house.py", ".ci/run"} <= paths
    assert not any(path.startswith(".venv") for path in paths)


def test_no_file_is_too_long_for_one_subject() -> None:
    lengths = {str(path): len(text.splitlines()) for path, text in sources()}
    assert {path for path, count in lengths.items() if count > LONGEST_FILE_LINES} <= CATALOGUES


def test_no_file_is_a_drawer_for_anything() -> None:
    drawers = {"utils.py", "util.py", "helpers.py", "common.py", "misc.py"}
    assert [str(path) for path, _ in sources() if path.name in drawers] == []


def test_nothing_is_left_for_later() -> None:
    assert lines_matching(r"\b(TO[D]O|FIX[M]E|XX[X]|HAC[K])\b", texts()) == []


def test_no_path_of_a_developers_machine() -> None:
    assert lines_matching(r"(^|[^\w.])/(?:home|root|work|Users)/[\w.]", texts()) == []


def test_every_exception_to_a_check_has_a_reason() -> None:
    bare = r"#\s*noqa(?!: [A-Z]+\d+(, ?[A-Z]+\d+)* +\S)|#\s*type:\s*ignore(?!\[[\w, -]+\] +# \S)"
    assert lines_matching(bare, sources()) == []


def test_migrations_do_not_hide_the_library_of_that_name() -> None:
    assert not (ROOT / "alembic" / "__init__.py").exists()


def test_the_lock_names_public_indexes_only() -> None:
    text = (ROOT / "uv.lock").read_text(encoding="utf-8")
    lock = tomllib.loads(text)
    remote = [source for package in lock["package"] if "editable" not in (source := package["source"])]
    addresses = {urlsplit(address) for address in re.findall(r'"(\w+://[^"]+)"', text)}
    assert remote
    assert all(set(source) == {"registry"} for source in remote)
    assert {address.scheme for address in addresses} == {"https"}
    assert len({address.netloc for address in addresses}) == 2, "one index, one store of files"
    assert all(re.fullmatch(r"([a-z]+\.)?[a-z]+\.org", address.netloc) for address in addresses)


def test_the_lock_is_made_from_this_project_file() -> None:
    lock = tomllib.loads((ROOT / "uv.lock").read_text(encoding="utf-8"))
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    (own,) = [package for package in lock["package"] if package["name"] == project["name"]]
    locked = {(entry["name"], entry.get("specifier", "")) for entry in own["metadata"]["requires-dist"]}
    extras = project["optional-dependencies"].values()
    asked = [Requirement(line) for line in chain(project["dependencies"], *extras)]
    assert locked == {(canonicalize_name(one.name), str(one.specifier)) for one in asked}
    assert lock["requires-python"] == project["requires-python"]


def test_no_two_errors_share_a_code() -> None:
    counts = Counter(kind.code for kind in coded_errors())
    assert [code for code, count in counts.items() if count > 1] == []


def test_an_errors_code_is_its_name() -> None:
    as_code = {kind: re.sub(r"(?<=[a-z])(?=[A-Z])", "_", kind.__name__).lower() for kind in coded_errors()}
    assert {kind.__name__: kind.code for kind in coded_errors() if kind.code != as_code[kind]} == {}


def test_every_error_has_a_title_of_its_own() -> None:
    counts = Counter(kind.title for kind in error_leaves())
    assert [title for title, count in counts.items() if count > 1] == []
    assert all(title[0].isupper() and not title.endswith(".") for title in counts)


def test_the_tree_of_errors_is_drawn_as_it_is() -> None:
    drawn = re.findall(r"[├└]── (\w+) +(\w+)", errors.__doc__ or "")
    assert sorted(name for name, _ in drawn) == sorted(kind.__name__ for kind in error_classes())
    assert {(kind.__name__, kind.code) for kind in error_leaves()} <= set(drawn)


def test_every_error_code_is_documented() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    heading = re.search(r"^#+ Error codes\n(.*?)(?=^#|\Z)", text, re.MULTILINE | re.DOTALL)
    assert heading, "DEVELOPERS.md has no table «Error codes»"
    documented = re.findall(r"^\| *`(\w+)`", heading.group(1), re.MULTILINE)
    assert sorted(documented) == sorted(kind.code for kind in error_leaves())


def test_every_setting_is_documented() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    names = settings_names()
    assert "KITWRIGHT_DATABASE_URL" in names
    assert [name for name in names if f"`{name}`" not in text] == []


def test_no_setting_is_documented_that_nothing_reads() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert set(re.findall(r"`(KITWRIGHT_[A-Z0-9_]+)`", text)) <= set(settings_names())


@pytest.mark.parametrize("script", ["run", "venv", "browser", "printer"])
def test_a_script_can_be_run(script: str) -> None:
    path = ROOT / ".ci" / script
    assert path.stat().st_mode & 0o111
    assert path.read_text(encoding="utf-8").startswith("#!/")
