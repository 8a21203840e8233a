"""Finds the Chromium that the browser tests drive; run as a program it prints the path or what to install.

Searched in this order: the program that ``CHROMIUM`` names, the system's, the one that Playwright installed.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Browser, Playwright, sync_playwright

# Without a sandbox, since in a container the tests run as root; the rest keeps the browser from calling home.
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
ADVICE = "no Chromium found: install Debian's chromium, or name the program in CHROMIUM"


class ChromiumMissing(RuntimeError):
    """No Chromium is here; the message says what to install."""


@contextlib.contextmanager
def driver() -> Iterator[Playwright]:
    """A running Playwright.

    Raises:
        ChromiumMissing: its own program does not start, most often for want of a library of the system.
    """
    try:
        playwright = sync_playwright().start()
    except Exception as error:
        raise ChromiumMissing(f"Playwright does not start ({error}): install Debian's libatomic1") from error
    try:
        yield playwright
    finally:
        playwright.stop()


def find_chromium(playwright: Playwright) -> Path:
    """The program to drive.

    Raises:
        ChromiumMissing: none was found, or what ``CHROMIUM`` names is no program.
    """
    named = os.environ.get("CHROMIUM")
    if named:
        if shutil.which(named) is None:
            raise ChromiumMissing(f"CHROMIUM '{named}' is no program")
        return Path(named)
    for candidate in ("chromium", "chromium-browser", playwright.chromium.executable_path):
        found = shutil.which(candidate)
        if found:
            return Path(found)
    raise ChromiumMissing(ADVICE)


def launch(playwright: Playwright, *extra_flags: str) -> Browser:
    """A running headless Chromium."""
    return playwright.chromium.launch(executable_path=find_chromium(playwright), args=[*FLAGS, *extra_flags])


def main() -> int:
    """Print where Chromium is; 1 when there is none."""
    try:
        with driver() as playwright:
            print(find_chromium(playwright))
    except ChromiumMissing as missing:
        print(missing, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
