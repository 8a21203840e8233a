"""Processes for fault tests: the service, or a snippet of Python, started for real and killed for real."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
_OWN = "KITWRIGHT_"


class NotReady(AssertionError):
    """A process ended or kept silent instead of getting ready; the message ends with what it wrote."""


class Running:
    """A started process; what it writes (both streams) is kept in ``output``."""

    def __init__(self, command: Sequence[str], environment: Mapping[str, str]) -> None:
        # Settings of the person who runs the tests must not reach the process that is tested.
        inherited = {name: value for name, value in os.environ.items() if not name.startswith(_OWN)}
        self._process = subprocess.Popen(
            command,
            env={**inherited, "PYTHONUNBUFFERED": "1", **environment},
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            start_new_session=True,
        )
        self._lines: list[str] = []
        # Read all the time: a process whose pipe is full would stand still.
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        if self._process.stdout is not None:
            with self._process.stdout as stream:
                self._lines.extend(stream)

    @property
    def output(self) -> str:
        """What the process has written so far."""
        return "".join(self._lines)

    @property
    def alive(self) -> bool:
        """Whether the process still runs."""
        return self._process.poll() is None

    def wait_for_output(self, text: str, *, timeout_s: float = 30.0) -> None:
        """Wait until the process has written ``text``.

        Raises:
            NotReady: it ended without, or the time is over.
        """
        deadline = time.monotonic() + timeout_s
        while text not in self.output:
            if not self.alive:
                self._reader.join(timeout=5)
                if text in self.output:
                    return
                raise NotReady(f"ended with {self._process.returncode} before writing '{text}': {self.output}")
            if time.monotonic() > deadline:
                raise NotReady(f"did not write '{text}' within {timeout_s} s: {self.output}")
            time.sleep(0.01)

    def wait(self, *, timeout_s: float = 60.0) -> int:
        """Wait for the end of the process and return its exit code."""
        code = self._process.wait(timeout=timeout_s)
        self._reader.join(timeout=5)
        return code

    def kill9(self) -> None:
        """Kill the process and all that it started, in the middle of whatever it does."""
        self._signal(signal.SIGKILL)
        self.wait()

    def stop(self) -> int:
        """Ask the process to end, as a supervisor does, and return its exit code."""
        with contextlib.suppress(ProcessLookupError):
            self._process.terminate()
        try:
            return self.wait(timeout_s=20)
        except subprocess.TimeoutExpired:
            self.kill9()
            return self._process.returncode

    def _signal(self, number: signal.Signals) -> None:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self._process.pid, number)


class Service(Running):
    """``kitwright serve`` on a port of its own; ready when ``/healthz`` answers."""

    def __init__(self, *, port: int, environment: Mapping[str, str], arguments: Sequence[str] = ()) -> None:
        self.port = port
        self.url = f"http://127.0.0.1:{port}"
        command = [str(Path(sys.executable).parent / "kitwright"), "serve", *arguments]
        super().__init__(command, {**environment, "KITWRIGHT_PORT": str(port)})

    def wait_until_ready(self, *, timeout_s: float = 60.0) -> None:
        """Wait until the service answers.

        Raises:
            NotReady: it ended, or the time is over.
        """
        wait_for_http(self, f"{self.url}/healthz", timeout_s=timeout_s)


def wait_for_http(process: Running, url: str, *, timeout_s: float) -> None:
    """Wait until ``url``, which ``process`` serves, answers 200.

    Raises:
        NotReady: the process ended, or the time is over.
    """
    # A proxy that the environment names must not stand between two processes of one machine.
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    deadline = time.monotonic() + timeout_s
    while process.alive and time.monotonic() < deadline:
        with contextlib.suppress(urllib.error.URLError, ConnectionError, TimeoutError), opener.open(url, timeout=5):
            return
        time.sleep(0.05)
    state = "keeps silent" if process.alive else "ended"
    raise NotReady(f"{url}: the process {state}: {process.output}")


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextlib.contextmanager
def serving(*, environment: Mapping[str, str], port: int = 0, arguments: Sequence[str] = ()) -> Iterator[Service]:
    """A ready ``kitwright serve`` with the given settings, on a free port unless one is given; ended afterwards."""
    service = Service(port=port or free_port(), environment=environment, arguments=arguments)
    try:
        service.wait_until_ready()
        yield service
    finally:
        service.kill9()


@contextlib.contextmanager
def snippet(
    code: str, *, environment: Mapping[str, str] | None = None, arguments: Sequence[str] = ()
) -> Iterator[Running]:
    """A Python process that runs ``code`` with the project on its path; killed afterwards if it still runs."""
    running = Running([sys.executable, "-c", code, *arguments], {"PYTHONPATH": str(ROOT), **(environment or {})})
    try:
        yield running
    finally:
        running.kill9()
