"""Label templates from folders: those that are shipped, and the shop's own, which may replace one of the same name."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from schemas.label_template import LabelTemplate, parse_template
from service.errors import BadTemplate


def read_templates(folders: Iterable[Path]) -> dict[str, LabelTemplate]:
    """Every template of the folders by name, a later folder over an earlier one.

    Raises:
        BadTemplate: a folder or file cannot be read, or a template has a fault; file, field and line are named.
    """
    found: dict[str, LabelTemplate] = {}
    for folder in folders:
        if not folder.is_dir():
            raise BadTemplate(
                "there is no such folder", field="KITWRIGHT_TEMPLATES", value=folder, todo="Name a folder of templates"
            )
        for path in sorted(folder.glob("*.toml")):
            try:
                text = path.read_text(encoding="utf-8")
            except (OSError, UnicodeDecodeError) as error:
                raise BadTemplate(
                    f"the file cannot be read: {error}",
                    field="template",
                    value=path.name,
                    todo="Save it as UTF-8 text that the service may read",
                    place=path.name,
                ) from error
            template = parse_template(text, source=path.name)
            found[template.name] = template
    return found
