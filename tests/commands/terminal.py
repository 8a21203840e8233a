"""A folder in which commands are typed, and what they answer."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest

from service.cli import main
from service.settings import Settings

KITWRIGHT = Path(sys.executable).parent / "kitwright"


@dataclass(frozen=True)
class Done:
    """A command that ended: its status, and what it wrote with every run of blanks as one."""

    status: int
    out: str
    err: str


@dataclass(frozen=True)
class Terminal:
    """A folder in which commands run, with records and vault in it."""

    folder: Path
    monkeypatch: pytest.MonkeyPatch
    capsys: pytest.CaptureFixture[str]

    @property
    def settings(self) -> Settings:
        """The records of the folder."""
        return Settings(
            database_url=f"sqlite:///{self.folder / 'kitwright.db'}",
            vault_url=str(self.folder / "vault"),
            render_workers=0,
        )

    def run(self, *arguments: str, environment: Mapping[str, str] | None = None) -> Done:
        """Run the command to its end, in this process; what it does not catch itself fails the test."""
        with self.monkeypatch.context() as here:
            here.chdir(self.folder)
            here.setattr(sys, "argv", ["kitwright", *arguments])
            here.setenv("COLUMNS", "200")
            here.setenv("KITWRIGHT_DATABASE_URL", self.settings.database_url)
            here.setenv("KITWRIGHT_VAULT_URL", self.settings.vault_url)
            here.setenv("KITWRIGHT_RENDER_WORKERS", "0")
            for name, value in (environment or {}).items():
                here.setenv(name, value)
            self.capsys.readouterr()
            with pytest.raises(SystemExit) as ended:
                main()
        written = self.capsys.readouterr()
        return Done(int(ended.value.code or 0), " ".join(written.out.split()), " ".join(written.err.split()))

    def process(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        """The command as the system finds it, in a process of its own."""
        return subprocess.run(
            [str(KITWRIGHT), *arguments], cwd=self.folder, capture_output=True, text=True, check=False, timeout=240
        )

    def good(self, *arguments: str) -> str:
        """What a command that has to end well writes."""
        done = self.run(*arguments)
        assert done.status == 0, done.err
        return done.out
