"""A page of the documentation taken apart: its code blocks, its tables, where its links lead."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


@dataclass(frozen=True)
class Page:
    """A Markdown page of the project."""

    path: Path

    @property
    def text(self) -> str:
        """The page as it is written."""
        return self.path.read_text(encoding="utf-8")

    @property
    def prose(self) -> str:
        """The page without its code blocks."""
        return re.sub(r"^```.*?^```$", "", self.text, flags=re.MULTILINE | re.DOTALL)

    def blocks(self, language: str) -> list[str]:
        """The code blocks in a language, in order."""
        return re.findall(rf"^```{language}\n(.*?)^```$", self.text, re.MULTILINE | re.DOTALL)

    def table(self, *header: str) -> list[list[str]]:
        """The rows below the header that begins with these words; each cell without blanks around it."""
        lines = self.prose.splitlines()
        for number, line in enumerate(lines):
            if _cells(line)[: len(header)] == list(header):
                rows = []
                for row in lines[number + 2 :]:
                    if not row.startswith("|"):
                        break
                    rows.append(_cells(row))
                return rows
        raise AssertionError(f"{self.path.name} has no table that begins with {' | '.join(header)}")

    def first_column(self, *header: str) -> list[str]:
        """The first cells of a table, without the backticks round them."""
        return [row[0].strip("`") for row in self.table(*header)]

    def links(self) -> list[str]:
        """Where links and pictures lead, addresses on the web left out."""
        targets = re.findall(r"\]\(([^)\s]+)\)", self.prose)
        return [target for target in targets if "://" not in target]

    def headings(self) -> set[str]:
        """The anchors of its headings, as Markdown readers form them."""
        found = re.findall(r"^#+ (.+)$", self.prose, re.MULTILINE)
        return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in found}


def coded(cell: str) -> list[str]:
    """What stands in backticks in a cell."""
    return re.findall(r"`([^`]+)`", cell)


def _cells(line: str) -> list[str]:
    """The cells of a row; a bar after a backslash does not part them."""
    if not line.startswith("|"):
        return []
    return [cell.strip().replace(r"\|", "|") for cell in re.split(r"(?<!\\)\|", line)[1:-1]]


README = Page(ROOT / "README.md")
DEVELOPERS = Page(ROOT / "DEVELOPERS.md")
CHANGELOG = Page(ROOT / "CHANGELOG.md")
