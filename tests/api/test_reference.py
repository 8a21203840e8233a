"""``/docs``: every call, every code, every rule of the lint, without any other address."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from service.api.reference import error_leaves
from service.rules.lint import LINT_RULES
from service.rules.template_rules import TEMPLATE_RULES
from tests.api.conftest import OWNER_KEY, Visited

ROOT = Path(__file__).resolve().parents[2]


class Page(HTMLParser):
    """The anchors, links and headings of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.anchors: list[str] = []
        self.addresses: list[str] = []
        self.open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag != "meta":
            self.open.append(tag)
        for name, value in attrs:
            if name == "id" and value:
                self.anchors.append(value)
            if name in ("href", "src") and value:
                self.addresses.append(value)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


@pytest.fixture(scope="module")
def text(visited: Visited) -> str:
    """The page as it is served."""
    return visited.issued.get("/docs").text


def named_rules() -> Iterator[str]:
    """Every rule that a finding is made with anywhere in the program, written as a word where it is made."""
    makers = {"Finding", "_finding", "say", "_say", "_stops"}
    # Commands say things too, and mean the terminal.
    rooms = [room for room in (ROOT / "service").iterdir() if room.name not in ("cli.py", "commands")]
    found = [path for room in (*rooms, ROOT / "schemas") for path in ([room] if room.is_file() else room.rglob("*.py"))]
    for path in (path for path in found if path.suffix == ".py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        constants = dict(_constants(tree))
        for node in ast.walk(tree):
            name = node.func.attr if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) else None
            name = node.func.id if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) else name
            if isinstance(node, ast.Call) and name in makers | {"findings_of", "findings_of_details"}:
                given = [keyword.value for keyword in node.keywords if keyword.arg == "rule"]
                if name in makers - {"Finding"}:
                    given += node.args[:1]
                words = [word for value in given for word in ast.walk(value)]
                yield from (
                    word.value for word in words if isinstance(word, ast.Constant) and isinstance(word.value, str)
                )
                yield from (constants[word.id] for word in words if isinstance(word, ast.Name) and word.id in constants)


def _constants(tree: ast.Module) -> Iterator[tuple[str, str]]:
    """The names that a file gives to words, one by one or several in a line."""
    for node in tree.body:
        if not isinstance(node, ast.Assign):
            continue
        named, given = node.targets[0], node.value
        pairs = (
            zip(named.elts, given.elts, strict=True)
            if (isinstance(named, ast.Tuple) and isinstance(given, ast.Tuple) and len(named.elts) == len(given.elts))
            else [(named, given)]
        )
        for name, value in pairs:
            if isinstance(name, ast.Name) and isinstance(value, ast.Constant) and isinstance(value.value, str):
                yield name.id, value.value


def test_every_rule_of_a_finding_is_in_the_table_or_is_an_error() -> None:
    errors = {kind.code for kind in error_leaves()}
    named = set(named_rules())
    assert named >= {"kit_exists", "on_hole", "cut_file_unknown", "joint_wrong"}
    assert named - errors == set(LINT_RULES)
    assert not errors & set(LINT_RULES)


def test_every_code_and_rule_has_one_anchor(text: str) -> None:
    anchors = Page(text).anchors
    assert sorted(anchors) == sorted([*(kind.code for kind in error_leaves()), *LINT_RULES, *TEMPLATE_RULES])


def test_the_page_is_whole_and_leads_nowhere_else(text: str) -> None:
    page = Page(text)
    assert page.open == []
    assert page.addresses == ["/openapi.json"]
    assert "http://" not in text
    assert "https://" not in text


def test_every_call_and_parameter_is_on_it(visited: Visited, text: str) -> None:
    plain = unescape(text)
    for path, methods in visited.issued.get("/openapi.json").json()["paths"].items():
        for method, operation in methods.items():
            assert f"<h3>{method.upper()} {path}</h3>" in plain
            for parameter in operation.get("parameters", ()):
                assert parameter["description"] in plain


def test_nothing_on_it_can_run(visited: Visited) -> None:
    assert visited.issued.get("/docs").headers["Content-Security-Policy"].startswith("default-src 'none'")


def test_the_page_is_open_to_whoever_has_to_find_out_what_a_code_means(guarded: TestClient) -> None:
    assert guarded.get("/docs").status_code == 200
    assert OWNER_KEY not in guarded.get("/docs").text
