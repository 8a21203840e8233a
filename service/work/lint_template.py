"""Lint a template: against its file, a ruler, the printers that it is made for, and all that the shop has on record."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from weakref import WeakKeyDictionary

from schemas.label_template import LabelTemplate
from schemas.template_reading import Reading
from service.marks.template_findings import Pointer, TemplateFinding, merged
from service.marks.template_lint import lint_template
from service.marks.worst_case import Recorded
from service.numbering.tables import CodeTables
from service.render.fonts import typeface
from service.store import codes, longest, shop
from service.store.database import Database
from service.store.longest import OnRecord
from service.store.template_folder import read_file
from service.store.values import ShopFacts
from service.work.mark_facts import container_words, deck_word, kit_beside
from service.work.template_survival import survival_findings
from service.work.workshop import Workshop

_KEPT: WeakKeyDictionary[Database, tuple[int, Recorded]] = WeakKeyDictionary()
"""What was on record after the last event, for a database; templates are linted many times, records change seldom."""


@dataclass(frozen=True, slots=True)
class Linted:
    """A template and everything that is wrong with it.

    Attributes:
        source: what its file is called.
        reading: of the file.
        findings: all of them, in the order of the file.
    """

    source: str
    reading: Reading
    findings: tuple[TemplateFinding, ...]

    @property
    def template(self) -> LabelTemplate | None:
        """The template, if nothing is wrong with it that its file can tell."""
        return self.reading.template

    @property
    def is_clean(self) -> bool:
        """Whether nothing is wrong; notes stand against nothing."""
        return all(finding.level != "error" for finding in self.findings)


def lint_reading(reading: Reading, *, source: str, recorded: Recorded | None = None, damage: bool = False) -> Linted:
    """Lint a template.

    Args:
        reading: of its file, or of its tables from JSON; those have paths and no lines.
        source: what to call it in findings, ``name.toml`` where it is a file.
        recorded: what the shop has on record; None for a shop that has just begun.
        damage: whether an example of its marks is put to the fixed set of damages too, where the template states floors
            and nothing else is wrong with it; that takes some seconds.
    """
    known = recorded or Recorded()
    findings = [*lint_template(reading, known, typeface(), source=source)]
    if damage and all(finding.level != "error" for finding in findings):
        findings += survival_findings(reading, known, source=source)
    findings += _not_named_like_its_file(reading, source)
    return Linted(source, reading, merged(findings))


def _not_named_like_its_file(reading: Reading, source: str) -> list[TemplateFinding]:
    stem, dot, _ = source.rpartition(".toml")
    name = reading.parts.name if reading.parts is not None and "name" not in reading.stand_ins else ""
    if not (dot and stem and name) or name == stem:
        return []
    return [
        Pointer(reading, source).finding(
            "name_not_file",
            ("name",),
            f"the file is called {source}, and whoever looks for '{name}' will look for {name}.toml",
            value=name,
            todo=f"Call the file {name}.toml, or the template {stem}",
        )
    ]


def lint_files(paths: Sequence[Path], *, recorded: Recorded | None = None, damage: bool = False) -> Iterator[Linted]:
    """Lint files one by one, whatever they are; a name that two files of one folder bear is told at the later one."""
    taken: dict[tuple[Path, str], str] = {}
    for path in paths:
        one = lint_reading(read_file(path), source=path.name, recorded=recorded, damage=damage)
        name = one.template.name if one.template is not None else ""
        first = taken.setdefault((path.parent.resolve(), name), path.name) if name else path.name
        if first != path.name:
            said = f"{first} of the same folder has this name already"
            todo = "Give one of them another name"
            twice = Pointer(one.reading, path.name).finding("name_taken", ("name",), said, value=name, todo=todo)
            one = replace(one, findings=merged([*one.findings, twice]))
        yield one


def on_record(workshop: Workshop) -> Recorded:
    """What the shop has on record of everything that a mark may show, looked up again after each event."""
    return _on_record(workshop.database, workshop.public_url)


def recorded_at(database_url: str, public_url: str) -> Recorded | None:
    """The same for a database that nobody has opened; None, and nothing made, where there are no records yet.

    Raises:
        DatabaseUnavailable: it does not answer.
    """
    with closing(Database(database_url)) as database:
        file = database.url.database
        if database.url.get_backend_name() == "sqlite" and not (file and Path(file).is_file()):
            return None
        return _on_record(database, public_url) if database.ready() else None


def _on_record(database: Database, public_url: str) -> Recorded:
    with database.read() as connection:
        last = longest.last_change(connection)
        known = _KEPT.get(database)
        if known is not None and known[0] == last:
            return known[1]
        tables = codes.code_tables(connection)
        found = _recorded(longest.on_record(connection), shop.shop_facts(connection), tables, public_url)
    _KEPT[database] = (last, found)
    return found


def _recorded(found: OnRecord, facts: ShopFacts, tables: CodeTables, public_url: str) -> Recorded:
    numbers = [number.split("-") for number in found.texts["number"]]
    places = [f"{groups[3]}-{groups[4]}" for groups in numbers]
    texts: dict[str, tuple[str, ...]] = {
        **found.texts,
        "container_code": tuple(code for code, *_ in found.containers),
        "container_words": tuple(container_words(name, nominal, unit) for _, name, nominal, unit in found.containers),
        "machine_code": _each(number.rpartition("-")[0] for number in found.texts["kit"]),
        "place": _each(places),
        "assembly_code": _each(groups[3] for groups in numbers),
        "deck": _each(deck_word(tables, deck) for deck in tables.decks),
        "rotation": _each(f"{turn} seen from above" for turn in found.rotations),
        "material": _each(material for material, *_ in found.sheets),
        "stock_colour": _each(colour for _, colour, *_ in found.sheets),
        "hand": _each(hand or "" for *_, hand in found.sheets),
        "segment_of": _each([f"segment {found.highest_ordinal} of {found.highest_ordinal}"][: found.highest_ordinal]),
        "shop_name": (facts.name,),
        "shop_telephone": (facts.telephone,),
        "shop_address": (facts.address,),
    }
    shared, kits = found.most_shared
    machine_code = "-".join(shared.split("-")[:2])
    return Recorded(
        texts={name: tuple(filter(None, those)) for name, those in texts.items()},
        quantity=found.most_pieces,
        thickness_mm=tuple({thickness for _, _, thickness, _ in found.sheets}),
        mass_kg=found.heaviest_kg,
        kit_pieces=found.most_of_kit,
        kit_mass_kg=found.heaviest_kit_kg,
        serves=tuple(kit_beside(machine_code, kit) for kit in kits),
        contents=tuple((f"{code}{ordinal}", pieces) for code, ordinal, pieces in found.fullest),
        public_url=public_url,
    )


def _each(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(texts))
