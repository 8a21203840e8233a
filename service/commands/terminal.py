"""What every command needs: where it writes, the workshop of the settings, a bar of progress, errors in words."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, SpinnerColumn, TaskID, TextColumn

from service.app import close_workshop, open_workshop
from service.errors import BadRequest, Faults, KitwrightError, LintFailed, TargetUnavailable
from service.settings import Settings, read_settings
from service.work.rendering import Tell
from service.work.workshop import Actor, Workshop

OUT = Console()
ERR = Console(stderr=True)
TERMINAL = Actor("terminal")


@contextmanager
def opened(settings: Settings | None = None) -> Iterator[Workshop]:
    """The workshop of the environment's settings, closed at the end."""
    workshop = open_workshop(settings or read_settings())
    try:
        yield workshop
    finally:
        close_workshop(workshop)


@contextmanager
def progress(total: int) -> Iterator[Callable[[str], None]]:
    """A bar that says what is being done."""
    columns = (SpinnerColumn(), BarColumn(), MofNCompleteColumn(), TextColumn("{task.description}"))
    with Progress(*columns, console=ERR, transient=True) as bar:
        task = bar.add_task("", total=total)

        def step(words: str) -> None:
            bar.update(task, description=words, advance=1)

        yield step


@contextmanager
def watched() -> Iterator[Tell]:
    """A bar for each thing that is done to marks, with how many of how many."""
    columns = (TextColumn("marks {task.description}"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=ERR, transient=True) as bar:
        bars: dict[str, TaskID] = {}

        def tell(what: str, done: int, of: int) -> None:
            if what not in bars:
                bars[what] = bar.add_task(what, total=of)
            bar.update(bars[what], completed=done)

        yield tell


def say(words: str) -> None:
    """A line of the answer, as it is: never broken, nothing in it read as markup."""
    OUT.print(words, markup=False, highlight=False, soft_wrap=True)


def say_error(error: KitwrightError) -> None:
    """What is wrong, where, and what to do; every finding when there are several."""
    # The same code as over the API: that of the first rule which stops the work.
    code = error.rule if isinstance(error, LintFailed) else error.code
    ERR.print(f"[bold red]{error.title}[/]  [dim]{code}[/]", highlight=False)
    ERR.print(str(error), markup=False, highlight=False)
    if error.place:
        ERR.print(f"at {error.place}", markup=False, highlight=False)
    if isinstance(error, Faults):
        for finding in error.findings:
            ERR.print(f"  - {finding.sentence()}", markup=False, highlight=False)


def hold_place(target: Path, *, option: str = "--out") -> None:
    """See that a file can be written, before the work goes on record that makes it.

    Raises:
        BadRequest: its folder is not there or may not be written to, or it is a folder itself.
    """
    if target.is_dir():
        raise BadRequest("this is a folder", field=option, value=target, todo="Name a file in it")
    if not target.parent.is_dir():
        raise BadRequest(
            "there is no such folder",
            field=option,
            value=target,
            todo=f"Make the folder {target.parent}, or name another",
        )
    if not os.access(target if target.exists() else target.parent, os.W_OK):
        raise BadRequest(
            "this user may not write there", field=option, value=target, todo="Name a file in a folder of your own"
        )


def write_file(target: Path, data: bytes | IO[bytes], *, option: str = "--out") -> None:
    """Write a finished file, from its bytes or from an open file.

    Raises:
        TargetUnavailable: it cannot be written; the disk is full, for one.
    """
    try:
        if isinstance(data, bytes):
            target.write_bytes(data)
            return
        with target.open("wb") as stream:
            shutil.copyfileobj(data, stream)
    except OSError as error:
        raise TargetUnavailable(
            f"it cannot be written ({error.strerror or error})",
            field=option,
            value=target,
            todo="Make room, or name another folder, and ask again",
        ) from error
