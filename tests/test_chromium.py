"""The browser that the page tests drive, and the guard around it."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.chromium import ChromiumMissing, find_chromium

ROOT = Path(__file__).resolve().parents[1]


def test_a_page_runs_scripts(page: Page) -> None:
    page.goto("data:text/html,<h1>A500</h1><script>document.querySelector('h1').textContent += ' tall'</script>")
    assert page.inner_text("h1") == "A500 tall"


def test_the_guard_sees_strays_and_broken_scripts(
    browser: Browser, pytester: pytest.Pytester, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONPATH", str(ROOT))
    pytester.makeconftest("from tests.conftest import browser, page\n__all__ = ['browser', 'page']")
    pytester.makepyfile(
        """
        def test_stray(page):
            page.set_content("<img src='http://fonts.example/a.png'>", wait_until="networkidle")

        def test_broken(page):
            page.set_content("<script>nonsense.at.all()</script>", wait_until="load")
        """
    )
    result = pytester.runpytest_subprocess("-p", "no:cacheprovider")
    result.assert_outcomes(passed=2, errors=2)
    result.stdout.fnmatch_lines(
        [
            "*AssertionError: the page needs the internet",
            "*http://fonts.example/a.png*",
            "*AssertionError: a script of the page broke",
            "*nonsense is not defined*",
        ]
    )


def test_a_named_browser_that_is_none_is_refused_by_name(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CHROMIUM", "/nowhere/chromium")
    with pytest.raises(ChromiumMissing, match="/nowhere/chromium"):
        find_chromium(None)  # type: ignore[arg-type]  # the name is looked at first
