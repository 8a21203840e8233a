"""Label templates from folders: those that are shipped, and the shop's own, which may replace one of the same name.

A file with a fault is left out, with everything that is wrong with it; the others serve.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from schemas.label_template import LabelTemplate
from schemas.template_reading import MOST_BYTES, ReadFault, Reading, read_bytes
from service.errors import BadTemplate


@dataclass(frozen=True, slots=True)
class TemplateFile:
    """One file of a folder of templates.

    Attributes:
        file_name: its name, for one ``nameplate-60x22.toml``.
        folder: its place among the folders, the shipped one first.
        reading: of what is in it.
    """

    file_name: str
    folder: int
    reading: Reading

    @property
    def stem(self) -> str:
        """The name that its template is expected to bear."""
        return Path(self.file_name).stem


def template_files(folders: Iterable[Path]) -> tuple[TemplateFile, ...]:
    """Every file of the folders that is called ``….toml``, in order; whatever is wrong with one stands in its reading.

    Raises:
        BadTemplate: a folder is not there or may not be read.
    """
    found: list[TemplateFile] = []
    for number, folder in enumerate(folders):
        taken: dict[str, str] = {}
        for path in _listed(folder):
            file = TemplateFile(path.name, number, read_file(path))
            parts = file.reading.parts
            if parts is not None and file.reading.template is not None:
                first = taken.setdefault(parts.name, path.name)
                if first != path.name:
                    file = replace(file, reading=_with(file.reading, _name_taken(parts.name, first, file.reading)))
            found.append(file)
    return tuple(found)


def templates_of(files: Iterable[TemplateFile]) -> dict[str, LabelTemplate]:
    """The templates by name, a later folder over an earlier one, without the files that have faults."""
    wholes = (file.reading.template for file in files)
    return {template.name: template for template in wholes if template is not None}


def read_templates(folders: Iterable[Path]) -> dict[str, LabelTemplate]:
    """Every whole template of the folders by name.

    Raises:
        BadTemplate: a folder is not there or may not be read.
    """
    return templates_of(template_files(folders))


def read_file(path: Path) -> Reading:
    """The reading of one file; one that cannot be read is a reading with that fault."""
    try:
        target = path.resolve(strict=True)
    except FileNotFoundError:
        return _refused("not_readable", "there is no such file", "Name a file that is there")
    except (OSError, RuntimeError) as error:  # a circle of links is the one or the other, by the version of Python
        return _refused("folder_loop", f"it is a link that leads nowhere ({error})", "Take the link out")
    if target.is_dir():
        if target in path.parent.resolve().parents or target == path.parent.resolve():
            return _refused("folder_loop", f"it leads back into the folder {target.name}", "Take the link out")
        return _refused("not_readable", "it is a folder", "Name the files in it")
    if not target.is_file():
        return _refused("not_readable", "it is no file but a device or a pipe", "Name a file")
    try:
        with target.open("rb") as file:
            return read_bytes(file.read(MOST_BYTES + 1))
    except OSError as error:
        what = f"it cannot be read ({error.strerror or error})"
        return _refused("not_readable", what, "Let the service read it")


def _listed(folder: Path) -> list[Path]:
    try:
        if not folder.is_dir():
            raise BadTemplate(
                "there is no such folder", field="KITWRIGHT_TEMPLATES", value=folder, todo="Name a folder of templates"
            )
        return sorted(path for path in folder.iterdir() if path.suffix == ".toml")
    except OSError as error:
        raise BadTemplate(
            f"the folder cannot be read ({error.strerror or error})",
            field="KITWRIGHT_TEMPLATES",
            value=folder,
            todo="Let the service read the folder",
        ) from error


def _refused(rule: str, what: str, todo: str) -> Reading:
    return Reading((ReadFault(rule=rule, path=(), what=what, todo=todo),))


def _name_taken(name: str, first: str, reading: Reading) -> ReadFault:
    return ReadFault(
        rule="name_taken",
        path=("name",),
        what=f"{first} of the same folder has this name already",
        value=name,
        todo="Give one of them another name",
        line=reading.places.line(("name",)),
    )


def _with(reading: Reading, fault: ReadFault) -> Reading:
    return replace(reading, faults=(*reading.faults, fault))
