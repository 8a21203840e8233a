"""A printer program for the tests of printing; without it they skip, and fail where all tests must run."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.printers.ippeveprinter import Bus, EvePrinter, skip_or_fail

MakePrinter = Callable[..., EvePrinter]


@pytest.fixture(scope="session")
def bus(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bus]:
    """The message bus that the printers of this run announce themselves on."""
    skip_or_fail()
    bus = Bus(tmp_path_factory.mktemp("bus"))
    yield bus
    bus.close()


@pytest.fixture
def make_printer(bus: Bus, tmp_path: Path) -> Iterator[MakePrinter]:
    """Starts printers, and ends them with the test."""
    started: list[EvePrinter] = []

    def make(**facts: Any) -> EvePrinter:
        printer = EvePrinter(bus, tmp_path / f"printer{len(started)}", **facts)
        started.append(printer)
        return printer.start()

    yield make
    for printer in started:
        printer.kill()
