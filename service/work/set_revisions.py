"""From which revision each segment of a further set is cut: the one that is named, else the newest that may be cut."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from service.errors import KitwrightError
from service.findings import Finding
from service.numbering.number import Number
from service.numbering.tables import CodeTables
from service.store.values import RevisionRow, SegmentRow
from service.work.naming import read_place


def chosen_revisions(
    own: Sequence[SegmentRow],
    releases: Mapping[int, Sequence[RevisionRow]],
    asked: Mapping[str, str],
    tables: CodeTables,
    findings: list[Finding],
) -> dict[int, RevisionRow]:
    """The revision of each segment by its row id; what cannot be cut is left out and found fault with.

    Args:
        own: the segments of the set.
        releases: the released revisions of each cut file by its row id, oldest first.
        asked: letters by place or number.
        tables: the codes that places are read with.
        findings: is added to.
    """
    by_name = {name: row for row in own for name in (row.number, row.place)}
    letters: dict[int, str] = {}
    for name, letter in asked.items():
        row = by_name.get(_plain(name, tables))
        if row is None:
            findings.append(
                _stops(
                    "place_not_in_kit",
                    "no segment that is cut for this kit has this place or number",
                    name,
                    "Name a place of the kit such as SW2-U3",
                    name,
                )
            )
        elif letters.setdefault(row.id, letter) != letter:
            findings.append(
                _stops("revision_twice", f"two revisions are named for {row.place}", letter, "Name one of them", name)
            )
    chosen: dict[int, RevisionRow] = {}
    for row in own:
        revision = _revision(row, releases[row.cut_file_id], letters.get(row.id), findings)
        if revision is not None:
            chosen[row.id] = revision
    return chosen


def _plain(name: str, tables: CodeTables) -> str:
    """A place or number as it is kept; as it came where it is neither, to be named as unknown."""
    try:
        return str(Number.parse(name.strip().upper(), tables) if name.count("-") > 1 else read_place(name, tables))
    except KitwrightError:
        return name


def _revision(
    row: SegmentRow, rows: Sequence[RevisionRow], letter: str | None, findings: list[Finding]
) -> RevisionRow | None:
    usable = [one for one in rows if one.withdrawn_at is None]
    if letter is None:
        if usable:
            return usable[-1]
        findings.append(
            _stops(
                "revision_withdrawn",
                f"every revision of {row.cut_file} is withdrawn",
                row.place,
                "Release a good revision first",
                row.place,
            )
        )
        return None
    found = next((one for one in rows if one.letter == letter), None)
    choice = f"Use one of {', '.join(one.letter for one in usable) or 'none: release one first'}"
    if found is None:
        findings.append(
            _stops(
                "revision_unknown", f"revision {letter} of {row.cut_file} was never released", letter, choice, row.place
            )
        )
        return None
    if found.withdrawn_at is not None:
        findings.append(
            _stops(
                "revision_withdrawn",
                f"revision {letter} of {row.cut_file} is withdrawn: {found.withdrawn_reason}",
                letter,
                choice,
                row.place,
            )
        )
        return None
    return found


def _stops(rule: str, message: str, value: str, todo: str, where: str) -> Finding:
    return Finding(
        rule=rule,
        level="error",
        message=message,
        field="revisions",
        value=value,
        todo=todo,
        place=f"revisions.{where}",
    )
