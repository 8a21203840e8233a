"""A failing test is named, whatever it wrote, also in a parallel run."""

from __future__ import annotations

from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


def test_a_failure_with_half_a_character_in_it_is_reported(
    pytester: pytest.Pytester, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONPATH", str(ROOT))
    pytester.makeconftest("from tests.conftest import pytest_runtest_makereport\n")
    pytester.makepyfile(
        """
        def test_in_the_message():
            assert "A500" == "\\ud83d A500"

        def test_in_the_reports_sections(request):
            request.node.add_report_section("call", "law", "falsified by \\ud83d")
            raise ValueError("\\udcff")
        """
    )
    result = pytester.runpytest_subprocess("-p", "no:cacheprovider", "-n", "1")
    result.assert_outcomes(failed=2)
    assert r"ValueError: \udcff" in result.stdout.str()
    assert r"falsified by \ud83d" in result.stdout.str()
