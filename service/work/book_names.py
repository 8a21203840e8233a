"""What people and papers called a kit's parts, its machine and their places before they had numbers, for its book."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Connection

from service.marks.book import OlderMark
from service.store import aliases, containers
from service.store.alias_subjects import designations
from service.store.aliases import AliasRow, SubjectKind
from service.work.book_facts import BookFacts


def older_marks(connection: Connection, facts: BookFacts) -> tuple[OlderMark, ...]:
    """Every legacy mark of the kit and of what belongs to it, in the order of their letters, wrong ones too."""
    kit = facts.kit
    further = containers.further_containers(connection, kit.id)
    kinds: tuple[tuple[SubjectKind, set[int]], ...] = (
        ("segment", {row.id for row in (*facts.rows, *facts.spent)}),
        ("kit", {kit.id}),
        ("machine", {kit.machine.id}),
        ("container", {kit.container.id, *(row.id for row in further)}),
        ("line", {kit.born_line.id}),
        ("plant", {kit.plant.id}),
    )
    shown = {row.id for row in facts.rows}
    found = [pair for kind, ids in kinds for pair in _marks(connection, kind, ids, shown)]
    return tuple(mark for _, mark in sorted(found, key=lambda pair: (pair[0].folded, pair[0].id)))


def _marks(
    connection: Connection, kind: SubjectKind, ids: set[int], shown: set[int]
) -> Iterator[tuple[AliasRow, OlderMark]]:
    named = {id_: rows for id_, rows in aliases.aliases_of(connection, kind, ids).items() if rows}
    means = designations(connection, kind, named)
    for id_, rows in named.items():
        for row in rows:
            yield (
                row,
                OlderMark(
                    mark=row.text,
                    kind=kind,
                    means=means[id_],
                    said=_said(row),
                    has_page=kind == "segment" and id_ in shown,
                ),
            )


def _said(row: AliasRow) -> str:
    """Who says so, what else is known, and first of all whether it does not hold."""
    wrong = row.wrong
    words = (
        f"WRONG, {wrong.at.partition('T')[0]}: {wrong.reason}" if wrong else "",
        row.source,
        row.note,
        f"recorded {row.at.partition('T')[0]} by {row.by}",
    )
    return "; ".join(filter(None, words))
