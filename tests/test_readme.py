"""The README holds: its examples run, its tables list what there is, its links and pictures lead somewhere."""

from __future__ import annotations

import fnmatch
import json
import os
import re
import shlex
import sqlite3
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from contextlib import closing
from itertools import takewhile
from pathlib import Path
from typing import get_args
from xml.etree import ElementTree

import httpx2
import pytest
from ezdxf.filemanagement import readfile
from PIL import Image
from pydantic import BaseModel
from typer.core import TyperGroup
from typer.main import get_command

from schemas.label_template import FieldName, Symbol, SymbolContent
from schemas.manifest import ContainerPart, LinePart, MachinePart, PlantPart
from schemas.manifest_reading import read_manifest
from schemas.manifest_table import COLUMNS
from schemas.requests import ReorderRequest
from service.api.shop import MOST_MANIFEST_BYTES
from service.app import make_app
from service.cli import app
from service.marks.dots import dots_per_mm
from service.marks.layout import lint_mark
from service.numbering.tables import DEFAULT_TABLES
from service.render.fonts import typeface
from service.rules.colours import STOCK_COLOURS
from service.rules.lifting import AUTHORITY
from service.rules.materials import MATERIALS
from service.rules.revisions import Outcome
from service.settings import SHIPPED_TEMPLATES, Settings
from service.store.template_folder import read_templates
from service.web.visits import VISIT_S
from service.work.prepare import prepare_kit
from service.work.read import read_mark
from service.work.release import INTERFACES, MOST_BYTES
from service.work.reorder import reorder
from service.work.workshop import Workshop
from tests.curl_line import call
from tests.demo_data import copied, open_workshop
from tests.faults.processes import serving
from tests.mark_factory import DPIS, make_facts
from tests.markdown_page import CHANGELOG, DEVELOPERS, README, ROOT, Page, coded
from tests.template_text import parse_template

KITWRIGHT = Path(sys.executable).parent / "kitwright"
PAGES = pytest.mark.parametrize("page", [README, DEVELOPERS, CHANGELOG], ids=lambda page: page.path.name)
MANIFEST_JSON, CORRECTION_JSON = README.blocks("json")[1:3]
MANIFEST_CSV = README.blocks("csv")[0]
(PROGRAM,) = README.blocks("python")


@pytest.fixture(scope="module")
def workshop(demo_folder: Path) -> Iterator[Workshop]:
    """The demonstration shop, only to be looked at."""
    opened = open_workshop(demo_folder)
    yield opened
    opened.exact.close()
    opened.database.close()


def environment() -> dict[str, str]:
    """The environment of a command of the page: no settings but that documents are drawn in the command itself."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("KITWRIGHT_")}
    return {**kept, "KITWRIGHT_RENDER_WORKERS": "0", "NO_PROXY": "127.0.0.1", "no_proxy": "127.0.0.1"}


def run(command: list[str], folder: Path, **settings: str) -> str:
    """What a command writes; it has to end well."""
    given = {**environment(), **settings}
    done = subprocess.run(command, cwd=folder, env=given, capture_output=True, text=True, check=False)
    assert done.returncode == 0, f"{shlex.join(command)}\n{done.stdout}{done.stderr}"
    return done.stdout


def test_the_examples_of_the_page_run_one_after_the_other(demo_folder: Path, tmp_path: Path) -> None:
    data = copied(demo_folder, tmp_path / "kitwright-data")
    (tmp_path / "kit.json").write_text(MANIFEST_JSON, encoding="utf-8")
    (tmp_path / "kit.csv").write_text(MANIFEST_CSV, encoding="utf-8")
    (tmp_path / "correction.json").write_text(CORRECTION_JSON, encoding="utf-8")
    settings = {
        "KITWRIGHT_DATABASE_URL": f"sqlite:///{data / 'kitwright.db'}",
        "KITWRIGHT_VAULT_URL": str(data / "vault"),
        "KITWRIGHT_RENDER_WORKERS": "0",
    }
    answers, printed = {}, {}
    done: set[str] = set()
    with serving(environment=settings) as service:
        for line in "".join(README.blocks("sh")).splitlines():
            words = shlex.split(line)
            given = dict(word.split("=", 1) for word in takewhile(lambda word: word.startswith("KITWRIGHT_"), words))
            program, *rest = words[len(given) :]
            if program == "make":
                assert re.search(rf"^{rest[0]}:", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE)
            elif program == "curl":
                answers[line] = call(line, service=service.url, folder=tmp_path)
                assert answers[line].is_success, f"{line}\n{answers[line].text}"
            elif program == "kitwright" and rest != ["serve"]:
                printed[line] = run([str(KITWRIGHT), *rest], tmp_path, **given)
            else:
                assert program == "export" or rest == ["serve"], line
            done.add(program)
        program_says = run([sys.executable, "-c", PROGRAM.replace("http://127.0.0.1:8000", service.url)], tmp_path)
        leaned_on = httpx2.post(
            f"{service.url}/api/kits/OSV4-FC1-A500/retirement", json={"reason": "the bottle is gone"}, trust_env=False
        )
    assert done == {"make", "curl", "kitwright", "export"}

    def told(words: str) -> httpx2.Response:
        """What the one call of the page with these words was answered."""
        (answer,) = [answer for line, answer in answers.items() if words in line]
        return answer

    read, corrected, revision, reorder = map(told, ("/api/read?", "/corrections", "revision=C", "/api/reorders -H"))
    prepared, issued = map(told, ("?prepare=true", "Idempotency-Key: line-7-a500"))
    shown = answers["curl http://127.0.0.1:8000/api/kits/OSV7-FC1-A500"]
    assert read.json() == json.loads(README.blocks("json")[0])
    assert (prepared.status_code, prepared.json()["status"]) == (200, "prepared")
    assert (issued.status_code, issued.json()["status"]) == (201, "issued")
    assert [one["number"] for one in prepared.json()["segments"]] == [one["number"] for one in shown.json()["segments"]]
    hands = {one["number"]: one["hand"] for one in corrected.json()["segments"]}
    assert hands["OSV7-FC1-A500-OR1-U1-87"] == "LEFT"
    assert revision.json()["interfaces_changed"] == ["pocket"]
    for place in ("line=4&on=2025-02-15", "line=7&on=2025-04-15"):
        assert "OSV4-FC1" in [machine["designation"] for machine in told(place).json()["machines"]], place
    assert told("/lines/7/names").json()["name"] == "hall B"
    survey = told("/surveys").json()
    assert survey["findings"] == [json.loads(README.blocks("json")[4])]
    assert "OSV4-FC1-A500" in survey["check_before_reuse"]
    assert told("/reuse-checks").json()["check_before_reuse"] == []
    assert told("/api/same-interfaces").json()["same_interfaces"][0]["assembly"] == "SW2"
    assert (reorder.json()["id"], reorder.json()["outcome"], reorder.json()["cut"]["revision"]) == (1, "exact", "A")
    assert f"It prints `{program_says.strip()}`" in README.text
    made, tracked, scrapped = map(told, ("-A500/sets -H", "/pieces -H", "-62/scrapped -H"))
    assert (made.status_code, made.json()["status"], made.json()["set"]) == (201, "made", 2)
    sets = answers["curl http://127.0.0.1:8000/api/kits/OSV4-FC1-A500/sets"].json()["sets"]
    assert [one["material_batch"] for one in sets] == [None, "PE-2207"]
    assert len(tracked.json()["new_keys"]) == 3
    assert [piece["count"] for piece in scrapped.json()["pieces"] if piece["end"] == "worn"] == [2]
    assert "OSV4-FC1-A500-SW1-L1-20" in {one["number"] for one in told("-A330/shared").json()["segments"]}
    assert "OSV4-FC1-A500-SW1-L1-20" not in {one["number"] for one in told("-A330/unshared").json()["segments"]}
    assert told("/retirement").json()["status"] == "retired"
    refused = json.loads(README.blocks("json")[3])
    assert refused.items() <= leaned_on.json().items()
    assert "ledger whole" in printed["kitwright verify-ledger"]
    (restored,) = [said for line, said in printed.items() if "kitwright restore" in line]
    assert told("/ledger/tip").json()["tip"] in restored
    archive = set(zipfile.ZipFile(tmp_path / "shop.zip").namelist())
    for member in README.first_column("In the archive", "Holds"):
        assert fnmatch.filter(archive, f"{member}*"), member

    for name, begins in (
        ("packet.zip", b"PK"),
        ("reorder.zip", b"PK"),
        ("nameplates.pdf", b"%PDF"),
        ("book.pdf", b"%PDF"),
    ):
        assert (tmp_path / name).read_bytes().startswith(begins)
    names = zipfile.ZipFile(tmp_path / "packet.zip").namelist()
    assert {"work-sheet.pdf", "nameplates.pdf", "SHA256SUMS", "cut/osv4-fc1-a500-sw2-u3-rev-A.dxf"} <= set(names)
    assert readfile(tmp_path / "engraving.dxf").modelspace().query("LWPOLYLINE[layer=='ENGRAVE_TEXT']")
    for name in ("backup.db", "again/kitwright.db"):
        with closing(sqlite3.connect(tmp_path / name)) as copy:
            found = copy.execute("SELECT number FROM kit WHERE number = 'OSV7-FC1-A500'").fetchall()
        assert found == [("OSV7-FC1-A500",)]


def test_asking_for_the_newest_cuts_both_quarters(demo_folder: Path, tmp_path: Path) -> None:
    assert "Who asks for the newest gets B for both quarters" in README.text
    third, fourth = "OSV4-FC1-A500-SW2-U3-42", "OSV4-FC1-A500-SW2-U4-39"
    own = open_workshop(copied(demo_folder, tmp_path / "data"))
    answer = reorder(own, ReorderRequest(mark=third, reason="crushed", prefer="newest"))
    own.exact.close()
    own.database.close()
    assert (answer.outcome, answer.cut and answer.cut.revision) == ("current_needs_neighbours", "B")
    assert [(also.number, also.revision) for also in answer.also_cut] == [(fourth, "B")]


@pytest.mark.parametrize("text", [MANIFEST_JSON, MANIFEST_CSV], ids=["json", "csv"])
def test_a_manifest_of_the_page_prepares_without_a_finding(text: str, workshop: Workshop) -> None:
    answer = prepare_kit(workshop, read_manifest(text.encode()))
    assert (answer.number, answer.status, answer.findings) == ("OSV7-FC1-A500", "prepared", ())


def test_the_two_manifests_are_the_same_kit(workshop: Workshop) -> None:
    one, other = (prepare_kit(workshop, read_manifest(text.encode())) for text in (MANIFEST_JSON, MANIFEST_CSV))
    assert one == other


@pytest.mark.parametrize("row", README.table("Mark", "Outcome"), ids=lambda row: row[0])
def test_a_mark_is_read_as_the_page_says(row: list[str], workshop: Workshop) -> None:
    mark, outcome, number, says = row[0].strip("`"), row[1], row[2].strip("`") or None, row[3]
    reading = read_mark(workshop, mark)
    assert (reading.outcome, reading.number) == (outcome, number)
    assert set(coded(says)) <= {candidate.number for candidate in reading.candidates}


def test_the_groups_of_the_number_are_its_example() -> None:
    assert "-".join(coded(row[1])[0] for row in README.table("Group", "Example")) == "OSV4-FC1-A500-SW2-U3-42"


def test_the_codes_are_those_a_shop_begins_with() -> None:
    tables = {row[0]: row[1] for row in README.table("Table", "Codes")}
    for name, codes in (
        ("machine class", DEFAULT_TABLES.machine_classes),
        ("assembly", DEFAULT_TABLES.assemblies),
        ("deck", DEFAULT_TABLES.decks),
    ):
        assert dict(re.findall(r"`(\w+)` ([\w -]+)", tables[name])) == dict(codes)
    letters = coded(tables["design letter"].partition(", then")[0])
    assert tuple(letters) == DEFAULT_TABLES.design_letters


def test_every_field_of_the_head_is_explained() -> None:
    groups: dict[str, type[BaseModel]] = {
        "plant": PlantPart,
        "line": LinePart,
        "machine": MachinePart,
        "container": ContainerPart,
    }
    fields = [
        f"{group}.{field.alias or name}" for group, part in groups.items() for name, field in part.model_fields.items()
    ]
    assert README.first_column("Field", "Meaning") == [*fields, "stock_colour", "serves"]


def test_every_column_of_a_segment_is_explained() -> None:
    assert README.first_column("Column", "Meaning") == list(COLUMNS)


@pytest.mark.parametrize(
    ("opening", "words"), [("Stock colours: ", STOCK_COLOURS), ("Materials: ", MATERIALS)], ids=["colours", "materials"]
)
def test_the_words_a_manifest_may_use_are_listed(opening: str, words: dict[str, object]) -> None:
    listed = re.search(rf"^{opening}((?:[^.;]|\n)*)[.;]", README.text, re.MULTILINE)
    assert listed
    assert coded(listed[1]) == list(words)


def test_the_form_of_a_release_is_explained(workshop: Workshop) -> None:
    schema = make_app(Settings(), workshop).openapi()
    operation = schema["paths"]["/api/cut-files/{name}/revisions"]["post"]
    reference = operation["requestBody"]["content"]["multipart/form-data"]["schema"]["$ref"]
    parts = schema["components"]["schemas"][reference.rpartition("/")[2]]["properties"]
    rows = {row[0].strip("`"): row[1] for row in README.table("Part of the form", "Meaning")}
    assert rows.keys() == parts.keys()
    assert tuple(coded(rows["interfaces_changed"])) == INTERFACES


def test_every_outcome_is_explained() -> None:
    assert README.first_column("Outcome", "What is cut") == list(get_args(Outcome))


def test_the_shipped_templates_are_listed_with_their_sizes() -> None:
    shipped = read_templates([SHIPPED_TEMPLATES])
    rows = README.table("Template", "Size")
    assert {row[0].strip("`") for row in rows} == shipped.keys()
    for name, size, distance in rows:
        template = shipped[name.strip("`")]
        assert size.startswith(f"{template.width_mm:g} × {template.height_mm:g} mm")
        assert distance == f"{template.reading_distance_mm:g} mm"


def test_the_template_of_the_page_is_whole_and_prints() -> None:
    (text,) = README.blocks("toml")
    template = parse_template(text, source="README.md")
    for dpi in DPIS:
        assert lint_mark(template, make_facts(), typeface(), dots_per_mm(dpi)) == []


def test_what_a_template_may_show_is_listed() -> None:
    rows = {row[0]: coded(row[1]) for row in README.table("Part", "Choices")}
    assert rows == {
        "`show` of a field": list(get_args(FieldName)),
        "`kind` of a symbol": list(get_args(Symbol.model_fields["kind"].annotation)),
        "`content` of a symbol": list(get_args(SymbolContent)),
    }


def test_settings_are_listed_with_their_defaults() -> None:
    rows = {row[0].strip("`"): row[1] for row in README.table("Setting", "Default")}
    assert list(rows) == [f"KITWRIGHT_{name.upper()}" for name in Settings.model_fields]
    for name, field in Settings.model_fields.items():
        stated = rows[f"KITWRIGHT_{name.upper()}"]
        if field.default is None:
            assert stated == "none"
        elif stated.startswith("`"):
            assert stated == f"`{field.default}`"


def test_every_command_and_each_of_its_options_is_listed() -> None:
    program = get_command(app)
    assert isinstance(program, TyperGroup)
    rows = {row[0].strip("`").removeprefix("kitwright "): row[1] for row in README.table("Command", "Does")}
    assert list(rows) == list(program.commands)
    for command, does in rows.items():
        known = {option for parameter in program.commands[command].params for option in parameter.opts}
        listed = {option for option in coded(does) if option.startswith("--")}
        assert listed == {option for option in known if option.startswith("--") and option != "--help"}


def test_every_call_of_the_api_is_listed(workshop: Workshop) -> None:
    paths = make_app(Settings(), workshop).openapi()["paths"]
    calls = [f"{method.upper()} {path}" for path, methods in paths.items() for method in methods]
    assert sorted(README.first_column("Call", "Does")) == sorted(calls)


@PAGES
def test_links_and_pictures_lead_somewhere(page: Page) -> None:
    for target in page.links():
        name, _, anchor = target.partition("#")
        there = (page.path.parent / name) if name else page.path
        assert there.exists(), target
        assert not anchor or anchor in Page(there).headings(), target


def test_the_pictures_are_small_and_all_of_them_are_shown() -> None:
    pictures = {str(path.relative_to(ROOT)): path for path in (ROOT / "docs" / "pictures").iterdir()}
    assert pictures.keys() == set(re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README.text))
    for path in pictures.values():
        assert path.stat().st_size < 300_000
        if path.suffix == ".svg":
            root = ElementTree.parse(path).getroot()  # noqa: S314 - a file of the project itself
            assert root.tag == "{http://www.w3.org/2000/svg}svg"
            continue
        with Image.open(path) as picture:
            picture.verify()


def test_the_limits_are_those_of_the_service() -> None:
    words = " ".join(README.prose.split())
    assert f"at most {MOST_BYTES // 1_000_000} MB, a manifest {MOST_MANIFEST_BYTES // 1_000_000} MB" in words
    assert VISIT_S == 12 * 3600
    assert "for twelve hours" in words


def test_the_page_says_that_it_authorises_nothing() -> None:
    assert AUTHORITY.casefold() in " ".join(README.prose.split()).casefold()
